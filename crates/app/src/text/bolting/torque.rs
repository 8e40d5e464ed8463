//! Torque for a preload as text.

use super::{figure, grounds};
use crate::bolting::Between;
use crate::bolting::figures::{FINE, between, force, kept, percent, torque as n_m};
use crate::bolting::torque::TorqueAnswer;
use crate::text::table::bullet;

/// The answer.
#[must_use]
pub fn torque(answer: &TorqueAnswer) -> String {
    let digits = answer.digits();
    let mut out = String::new();
    figure(&mut out, "torque", &n_m(answer.torque_range_n_m, digits));
    let other = format!(
        "{}, {}",
        between(answer.torque_range_lbf_ft, digits, "lbf·ft"),
        between(answer.torque_range_lbf_in, digits, "lbf·in")
    );
    figure(&mut out, "that is", &other);
    let one = |figure: f64| Between::of(figure, figure);
    let share =
        answer.of_proof_fraction.map_or_else(String::new, |s| format!(", {} of proof load", percent(one(s))));
    figure(&mut out, "for", &format!("{}{share}", force(one(answer.preload_n), FINE)));
    if !answer.torque_range_n_m.is_one() {
        let text = format!(
            "the highest of these torques makes {} where the joint is slippery",
            force(one(answer.slippery_preload_n), digits)
        );
        figure(&mut out, "range", &text);
    }
    if let Some(from) = answer.may_yield_from_n_m {
        figure(&mut out, "may yield", &format!("from {} N·m", kept(from, digits)));
    }
    out.push('\n');
    out.push_str(&bullet("", &words(answer)));
    grounds(&mut out, &answer.why);
    out
}

fn words(answer: &TorqueAnswer) -> String {
    let class = answer.class.map_or_else(String::new, |c| format!(" of class {c}"));
    let friction = answer.friction.as_ref().map_or_else(String::new, |f| format!(", {}", f.words()));
    let (low, high) = (kept(answer.short_factor.low, 2), kept(answer.short_factor.high, 2));
    let factor = if low == high { low } else { format!("{low} to {high}") };
    format!("{}{class}{friction}; factor K of the short form {factor}", answer.thread)
}
