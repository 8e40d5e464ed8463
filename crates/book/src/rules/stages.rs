//! Passes of tightening: they rise, an angle follows a torque, the end is not below the start.
//!
//! Why: passes that fall, or an angle from nowhere, leave a joint at a tension that nobody meant.

use super::{RuleSubject, rule};
use faults::FaultRule;
use fields::ValueSpot;
use model::{Fixing, StageTarget};
use units::Torque;

rule! { B315 "passes do not rise",
why "Each pass by torque goes beyond the one before; one that does not changes nothing, so the figures were swapped.",
bad "tighten     = [\"9 N·m\", \"5 N·m\"]",
help "put the passes into the order they are done in; use `closing_pass = true` to repeat the last torque." }
rule! { B316 "angle without a torque before",
why "An angle counts from where a torque has seated the joint; without one it has no starting point.",
bad "tighten     = [\"90°\"]",
help "add the seating torque as the first pass." }
rule! { B317 "end torque below a pass",
why "The torque at the end of an angle cannot be below the torque it started from.",
bad "tighten     = [\"5 N·m\", \"90°\"]\n  end_torque  = \"3 N·m\"",
help "check the unit of `end_torque`, or leave it out." }
rule! { B318 "odd tolerance",
why "No torque tool keeps within 1 %, and beyond 30 % a torque says nothing; the usual is 4 % (ISO 6789, from memory).",
bad "tolerance   = \"0.04 %\"",
help "write the allowed deviation to each side: `4 %`." }
rule! { B319 "absurd pass",
why "A torque or an angle of nothing or less tightens nothing; more than a full turn after seating breaks any bolt of an engine.",
bad "tighten     = [\"5 N·m\", \"900°\"]",
help "check the figure and its unit." }
rule! { B336 "end torque without an angle",
why "Only an angle pass ends at a torque that is not its own figure.",
bad "end_torque  = \"20 N·m\"",
help "take `end_torque` out, or add the angle pass." }

pub(super) const RULES: &[FaultRule] = &[B315, B316, B317, B318, B319, B336];

/// Tolerances that make sense, as fractions (assumption round the 4 % of ISO 6789).
const TOLERANCE_FRACTION: core::ops::RangeInclusive<f64> = 0.01..=0.30;
/// Greatest angle of one pass (assumption).
const MAX_ANGLE_DEG: f64 = 360.0;

pub(super) fn check_stages(subject: &RuleSubject<'_>) {
    for (fixing, spot) in subject.sound_fixings() {
        if b319_figures(subject, fixing, spot) {
            b315_rise(subject, fixing, spot);
            b317_end(subject, fixing, spot);
        }
        let tolerance = fixing.tightening.tolerance_fraction;
        if spot.has("tolerance") && !TOLERANCE_FRACTION.contains(&tolerance) {
            let message = format!("a tolerance of {} % for `{}` is odd", tolerance * 100.0, fixing.key);
            subject.bag.push(super::rule_error(&B318, message, spot.key("tolerance").span, "1 % to 30 %"));
        }
    }
}

/// Whether all figures make sense by themselves.
fn b319_figures(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) -> bool {
    let before = subject.bag.len();
    for (index, stage) in fixing.tightening.stages.iter().enumerate() {
        let good = match stage.target {
            StageTarget::Torque(torque) => torque > Torque::ZERO,
            StageTarget::Angle(angle) => angle.as_deg() > 0.0 && angle.as_deg() <= MAX_ANGLE_DEG,
            StageTarget::Seat | StageTarget::ByFeel | StageTarget::Loosen | StageTarget::NotKnown => true,
        };
        if !good {
            let message = format!("`{}` cannot be a pass of `{}`", stage.as_written, fixing.key);
            let span = spot.key("tighten").item(index).span;
            subject.bag.push(super::rule_error(&B319, message, span, "absurd"));
        }
    }
    subject.bag.len() == before
}

fn b315_rise(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    let mut last: Option<Torque> = None;
    for (index, stage) in fixing.tightening.stages.iter().enumerate() {
        let span = spot.key("tighten").item(index).span;
        match (stage.target, last) {
            (StageTarget::Torque(torque), Some(before)) if torque <= before => {
                let message = format!("the pass of {torque} follows one of {before}");
                subject.bag.push(super::rule_error(&B315, message, span, "does not go beyond it"));
                return;
            }
            (StageTarget::Torque(torque), _) => last = Some(torque),
            (StageTarget::Loosen, _) => last = None,
            (StageTarget::Angle(angle), None) => {
                let message = format!("`{}` is turned by {angle} without a torque before it", fixing.key);
                subject.bag.push(super::rule_error(&B316, message, span, "no torque before"));
                return;
            }
            (StageTarget::Angle(_) | StageTarget::Seat | StageTarget::ByFeel | StageTarget::NotKnown, _) => {}
        }
    }
}

fn b317_end(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    let Some(end) = fixing.tightening.end_torque else { return };
    let span = spot.key("end_torque").span;
    let torques = fixing.tightening.stages.iter().filter_map(|s| match s.target {
        StageTarget::Torque(torque) => Some(torque),
        _ => None,
    });
    if let Some(torque) = torques.reduce(Torque::max).filter(|t| *t > end) {
        let message = format!("`{}` ends at {end}, below its pass of {torque}", fixing.key);
        subject.bag.push(super::rule_error(&B317, message, span, "below a pass"));
    } else if !fixing.tightening.stages.iter().any(|s| matches!(s.target, StageTarget::Angle(_))) {
        let message = format!("`{}` has an end torque but no angle", fixing.key);
        subject.bag.push(super::rule_warning(&B336, message, span, "no angle pass"));
    }
}
