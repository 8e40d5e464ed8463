//! Torque for a preload as text.

use super::{push_figure, push_grounds};
use crate::bolting_answers::FigureRange;
use crate::bolting_answers::figures::{
    FINE, format_figure, format_force_range, format_percent_range, format_range, format_torque_range as n_m,
};
use crate::bolting_answers::torque::TorqueAnswer;
use crate::text::table::{PageWidth, bullet};

/// The answer.
#[must_use]
pub fn format_torque(answer: &TorqueAnswer, width: PageWidth) -> String {
    let digits = answer.digits();
    let mut out = String::new();
    push_figure(&mut out, "torque", &n_m(answer.torque_range_n_m, digits), width);
    let other = format!(
        "{}, {}",
        format_range(answer.torque_range_lbf_ft, digits, "lbf·ft"),
        format_range(answer.torque_range_lbf_in, digits, "lbf·in")
    );
    push_figure(&mut out, "that is", &other, width);
    let one = |figure: f64| FigureRange::from_ends(figure, figure);
    let share = answer
        .of_proof_fraction
        .map_or_else(String::new, |s| format!(", {} of proof load", format_percent_range(one(s))));
    push_figure(
        &mut out,
        "for",
        &format!("{}{share}", format_force_range(one(answer.preload_n), FINE)),
        width,
    );
    if !answer.torque_range_n_m.is_single() {
        let text = match answer.slippery_preload_n {
            Some(made_n) => format!(
                "the highest of these torques gives {} at the lowest friction",
                format_force_range(one(made_n), digits)
            ),
            None => String::from("the highest of these torques BREAKS the bolt where the joint is slippery"),
        };
        push_figure(&mut out, "range", &text, width);
    }
    if let Some(from) = answer.may_yield_from_n_m {
        push_figure(&mut out, "may yield", &format!("from {} N·m", format_figure(from, digits)), width);
    }
    out.push('\n');
    out.push_str(&bullet(width, "", &torque_words(answer)));
    push_grounds(&mut out, &answer.why, width);
    out
}

fn torque_words(answer: &TorqueAnswer) -> String {
    let class = answer.class.map_or_else(String::new, |c| format!(" of class {c}"));
    let friction = answer.friction.as_ref().map_or_else(String::new, |f| format!(", {}", f.words()));
    let (low, high) = (format_figure(answer.short_factor.low, 2), format_figure(answer.short_factor.high, 2));
    let factor = if low == high { low } else { format!("{low} to {high}") };
    format!("{}{class}{friction}; factor K of the short form {factor}", answer.thread)
}
