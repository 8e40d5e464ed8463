//! Preload and torque of a joint as text.

use super::{push_figure, push_grounds};
use crate::bolting_answers::figures::{
    COARSE, format_figure, format_force_range, format_percent_range, format_torque_range,
};
use crate::bolting_answers::preload::{PreloadAnswer, PreloadScatter};
use crate::text::table::{PageWidth, bullet};
use bolting::Edition;
use bolting::scatter::TighteningMethod;

/// The answer.
#[must_use]
pub fn format_preload(answer: &PreloadAnswer, width: PageWidth) -> String {
    let digits = answer.friction.digits();
    let mut out = String::new();
    push_figure(&mut out, "preload", &answer.preload_words(digits), width);
    push_figure(&mut out, "torque", &format_torque_range(answer.torque_range_n_m, digits), width);
    if let Some((safe, left)) = answer.safe_torque_n_m.zip(answer.safe_preload_n) {
        let text = format!(
            "{} N·m stays within this share however low the friction is, and gives a preload of {}",
            format_figure(safe, COARSE),
            format_force_range(left, COARSE)
        );
        push_figure(&mut out, "safe", &text, width);
    }
    if let Some(scatter) = &answer.scatter {
        let text = format!(
            "allow for {} ({})",
            format_force_range(scatter.preload_n, COARSE),
            scatter_words(scatter)
        );
        push_figure(&mut out, "scatter", &text, width);
    }
    out.push('\n');
    out.push_str(&bullet(width, "", &preload_words(answer)));
    push_grounds(&mut out, &answer.why, width);
    out
}

/// What the figures belong to, in one sentence.
fn preload_words(answer: &PreloadAnswer) -> String {
    let class = answer.class.map_or_else(String::new, |c| format!(" of class {c}"));
    let mut text = format!("{}{class}, {}", answer.thread, answer.friction.words());
    if let Some(share) = answer.of_yield_fraction {
        text.push_str(&format!(", {} of yield", format_percent_range(share)));
    }
    if let Some(share) = answer.of_proof_fraction {
        text.push_str(&format!(", {} of proof load", format_percent_range(share)));
    }
    let edition = match answer.edition {
        Edition::E1986 => "1986",
        Edition::E2001 => "2001 and later",
    };
    if answer.class.is_some() {
        text.push_str(&format!("; VDI 2230, edition {edition}"));
    }
    text
}

fn scatter_words(scatter: &PreloadScatter) -> String {
    let how = match scatter.method {
        TighteningMethod::TorqueClassA => "torque wrench, slippery surfaces",
        TighteningMethod::TorqueClassB => "torque wrench, friction estimated",
        TighteningMethod::TorqueTested => "torque wrench, torque found by tests on the joint",
        TighteningMethod::Feel => "by feel",
        TighteningMethod::Impact => "impact driver",
        TighteningMethod::Angle => "torque, then angle into yield",
        TighteningMethod::Yield => "yield control",
        TighteningMethod::Hydraulic => "hydraulic tensioning",
        TighteningMethod::Stretch => "stretch of the bolt measured",
    };
    let factor = scatter.factor;
    format!(
        "{how}: ratio of greatest to least preload {} to {}, {}",
        format_figure(factor.low, 2),
        format_figure(factor.high, 2),
        scatter.source
    )
}
