//! Preload and torque of a joint as text.

use super::{figure, grounds};
use crate::bolting::figures::{COARSE, force, kept, percent, torque};
use crate::bolting::preload::{PreloadAnswer, Scatter};
use crate::text::table::bullet;
use bolting::Edition;
use bolting::scatter::Method;

/// The answer.
#[must_use]
pub fn preload(answer: &PreloadAnswer) -> String {
    let digits = answer.friction.digits();
    let mut out = String::new();
    figure(&mut out, "preload", &force(answer.preload_range_n, digits));
    figure(&mut out, "torque", &torque(answer.torque_range_n_m, digits));
    if let Some((safe, left)) = answer.safe_torque_n_m.zip(answer.safe_preload_n) {
        let text = format!(
            "{} N·m keeps to this share however slippery the joint is; it leaves {}",
            kept(safe, COARSE),
            force(left, COARSE)
        );
        figure(&mut out, "safe", &text);
    }
    if let Some(scatter) = &answer.scatter {
        let text = format!("reckon with {} ({})", force(scatter.preload_n, COARSE), by(scatter));
        figure(&mut out, "scatter", &text);
    }
    out.push('\n');
    out.push_str(&bullet("", &words(answer)));
    grounds(&mut out, &answer.why);
    out
}

/// What the figures belong to, in one sentence.
fn words(answer: &PreloadAnswer) -> String {
    let class = answer.class.map_or_else(String::new, |c| format!(" of class {c}"));
    let mut text = format!("{}{class}, {}", answer.thread, answer.friction.words());
    if let Some(share) = answer.of_yield_fraction {
        text.push_str(&format!(", {} of yield", percent(share)));
    }
    if let Some(share) = answer.of_proof_fraction {
        text.push_str(&format!(", {} of proof load", percent(share)));
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

fn by(scatter: &Scatter) -> String {
    let how = match scatter.method {
        Method::TorqueClassA => "torque wrench, slippery surfaces",
        _ => "torque wrench, friction estimated",
    };
    let factor = scatter.factor;
    format!(
        "{how}: greatest over least {} to {}, {}",
        kept(factor.low, 2),
        kept(factor.high, 2),
        scatter.source
    )
}
