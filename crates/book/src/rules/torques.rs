//! Torques: possible for the thread and its class, and in the unit that was meant.
//!
//! **Question.** Can this figure be meant for this fastener, and if not, which unit was?
//!
//! **Method.** [`bolting::guard`] gives the window of plausible torques. The greatest pass is judged; where an angle
//! follows, or the thread is in plastic, a low figure is correct, so only the upper limit is checked. A figure that is
//! merely unusual passes. Without a thread the window is the hull over the threads that the hexagon may carry. Plugs,
//! unions, clamps and sensors obey other rules and are left out.
//!
//! **Worked example.** M8, 8.8, `80 N·m`: absurd; as 80 lbf·in it is 9.04 N·m and fits.
//!
//! **Sources.** As in [`bolting::guard`]. **A guard, never an instruction: the maker's figure wins.**

use super::{RuleSubject, rule};
use bolting::guard::{
    TorqueVerdict, TorqueWindow, UnitSlip, WindowCeiling, judge_torque, likely_unit_slip_from,
};
use faults::FaultRule;
use fields::ValueSpot;
use model::{Fixing, StageTarget, TappedIn};
use units::Torque;

rule! { B313 "absurd torque",
why "A torque far outside the range for the thread and its class breaks the bolt or clamps nothing.",
bad "tighten     = [\"5 N·m\", \"9000 N·m\"]",
help "check the figure, the thread and the class against the maker's data." }
rule! { B314 "unit slip",
why "A figure that is absurd in its own unit and fits in another one was most likely meant in that other.",
bad "tighten     = [\"5 N·m\", \"80 N·m\"]",
help "check the unit at the source of the figure." }

pub(super) const RULES: &[FaultRule] = &[B313, B314];

pub(super) fn check_torques(subject: &RuleSubject<'_>) {
    for (fixing, spot) in subject.sound_fixings() {
        check_greatest_torque(subject, fixing, spot);
    }
}

/// The greatest pass by torque, with its position.
fn check_greatest_torque(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot) {
    let Some(window) = fixing.plausible_torques() else { return };
    let stages = fixing.tightening.stages.iter().enumerate();
    let torques = stages.filter_map(|(index, stage)| match stage.target {
        StageTarget::Torque(torque) => Some((index, torque)),
        _ => None,
    });
    let Some((index, torque)) = torques.max_by(|a, b| a.1.as_n_m().total_cmp(&b.1.as_n_m())) else { return };
    let low_is_right = fixing.tapped_in == TappedIn::Plastic
        || fixing.tightening.stages.iter().any(|s| matches!(s.target, StageTarget::Angle(_)));
    if low_is_right && torque <= window.range.high() || judge_torque(torque, &window) != TorqueVerdict::Absurd
    {
        return;
    }
    let written = &fixing.tightening.stages[index].as_written;
    let unit = Torque::parse_with_unit(written).map_or(&Torque::UNITS[0], |(_, unit)| unit);
    let slip = likely_unit_slip_from(torque, unit, &window.range);
    report_absurd_torque(
        subject,
        fixing,
        spot.key("tighten").item(index),
        &AbsurdTorque { torque, written, window, slip },
    );
}

/// The message about an absurd torque.
struct AbsurdTorque<'f> {
    torque: Torque,
    written: &'f str,
    window: TorqueWindow,
    slip: Option<UnitSlip>,
}

fn report_absurd_torque(
    subject: &RuleSubject<'_>,
    fixing: &Fixing,
    spot: &ValueSpot,
    found: &AbsurdTorque<'_>,
) {
    let thread = fixing.thread.map_or_else(|| fixing.drive.to_string(), |t| t.to_string());
    let class = fixing.class.map_or_else(String::new, |c| format!(", class {c}"));
    let (low, high) = (found.window.range.low(), found.window.range.high());
    let span = spot.span;
    let label =
        format!("plausible: {} to {}", low.show_in(&Torque::UNITS[0], 2), high.show_in(&Torque::UNITS[0], 2));
    if let Some(slip) = found.slip {
        let message = format!("`{}` for {thread}{class} looks like the wrong unit", found.written);
        let meant = slip.meant.show_in(&Torque::UNITS[0], 3);
        let help = format!("if {} was meant instead of {}, it is {meant}", slip.meant_in, slip.written_as);
        subject.bag.push(super::rule_error(&B314, message, span, label).help(help));
        return;
    }
    let why = match found.window.ceiling {
        _ if found.torque < low => "far too little to hold",
        WindowCeiling::BoltYield => "the bolt yields long before",
        WindowCeiling::CastAluminium => "the thread in the casting gives way long before",
    };
    let message = format!("`{}` is absurd for {thread}{class}: {why}", found.written);
    subject.bag.push(super::rule_error(&B313, message, span, label));
}
