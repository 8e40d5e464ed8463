//! Torques: what the one verdict on a tightening says about a figure, told before anything is loosened.
//!
//! **Question.** Can this figure be meant for this fastener, and if it can, is there something to ask first?
//!
//! **Method.** [`model::tightening_verdict`], which plan, card, sheet and *why* show as well. A figure that lies far outside the band of its thread is
//! an error, with the unit that was meant where one fits. All else is a warning: one for each figure, by what weighs most, with every ground in
//! its message. What is not known stands against nothing. Plugs, unions, clamps and sensors obey other rules and are left out.
//!
//! **Worked example.** M8, 8.8, `80 N·m`: absurd; as 80 lbf·in it is 9.04 N·m and fits.
//!
//! **Sources.** As in `bolting::verdict`. **A guard, never an instruction: the maker's figure wins.**

use super::{RuleSubject, rule};
use bolting::guard::{TorqueVerdict, TorqueWindow, WindowCeiling};
use bolting::verdict::{BandEnd, TighteningGround, TighteningVerdict};
use faults::{Fault, FaultRule};
use fields::ValueSpot;
use model::{Fixing, greatest_pass, tightening_verdict};
use units::Torque;

rule! { B313 "absurd torque",
why "A torque far outside the range for the thread and its class breaks the bolt or clamps nothing.",
bad "tighten     = [\"5 N·m\", \"9000 N·m\"]",
help "check the figure, the thread and the class against the maker's data." }
rule! { B314 "unit slip",
why "A figure that is absurd in its own unit and fits in another one was most likely meant in that other.",
bad "tighten     = [\"5 N·m\", \"80 N·m\"]",
help "check the unit at the source of the figure." }
rule! { B338 "unusual torque",
why "A figure just outside the band of its thread is possible, and more often a slip of the pen.",
bad "tighten     = [\"5 N·m\", \"15 N·m\"]",
help "ask first: look the figure up again, with its unit, thread and class; where it is right, let its source say so." }
rule! { B339 "out of line with its like",
why "Fixings of one class, hole and lubrication are tightened alike; one that is not was read in another unit or in another row of the table.",
bad "tighten     = [\"5 N·m\", \"12 N·m\"]",
help "ask first: look the figure up again, with its unit and the row of its thread." }
rule! { B340 "thread strips",
why "A thread in soft metal or plastic, or one that is engaged too short, gives way before the torque is reached, and the repair takes an insert.",
bad "tapped_in   = \"plastic\"",
help "ask first: check figure, engagement and what the hole is tapped into." }
rule! { B341 "bolt yields or breaks",
why "A lubricated thread turns the same torque into far more load than a dry one; the figure holds for one surface only.",
bad "tighten     = [\"5 N·m\", \"12 N·m\"]",
help "ask first: check figure, class and the lubrication that the figure is for." }
rule! { B342 "angle past yield",
why "A bolt that an angle has stretched for good may not hold a second time; a new one is got before the start, not at the refit.",
bad "tighten     = [\"5 N·m\", \"90°\"]",
help "ask the maker whether it is renewed each time, and write `one_time = true` if it is." }

pub(super) const RULES: &[FaultRule] = &[B313, B314, B338, B339, B340, B341, B342];

pub(super) fn check_torques(subject: &RuleSubject<'_>) {
    for (fixing, spot) in subject.sound_fixings().filter(|(fixing, _)| are_passes_sound(fixing)) {
        if let Some(verdict) = tightening_verdict(subject.book, fixing) {
            check_verdict(subject, fixing, spot, &verdict);
        }
    }
}

/// Passes of nothing, of more than a full turn, or beyond the end torque are refused by the rules of passes, and said nothing more about.
fn are_passes_sound(fixing: &Fixing) -> bool {
    let Some((_, torque)) = greatest_pass(fixing) else { return false };
    let mut angles = fixing.tightening.stages.iter().filter_map(|stage| stage.target.angle());
    torque > Torque::ZERO
        && angles.all(|angle| angle.as_turns() <= 1.0)
        && fixing.tightening.end_torque.is_none_or(|end| end >= torque)
}

/// One fault for a figure that something stands against.
fn check_verdict(subject: &RuleSubject<'_>, fixing: &Fixing, spot: &ValueSpot, verdict: &TighteningVerdict) {
    let absurd = verdict.grounds.iter().find_map(|ground| match ground {
        TighteningGround::OutsideBand { window, end, verdict: TorqueVerdict::Absurd } => Some((window, *end)),
        _ => None,
    });
    let fault = match absurd {
        Some((window, end)) => absurd_fault(fixing, spot, verdict, (window, end)),
        None => questionable_fault(fixing, spot, verdict),
    };
    fault.into_iter().for_each(|fault| subject.bag.push(fault));
}

/// The pass that a ground speaks about: the angle, else the greatest torque.
fn pass_of_ground<'s>(
    fixing: &Fixing,
    spot: &'s ValueSpot,
    ground: &TighteningGround,
) -> (usize, &'s ValueSpot) {
    let stages = &fixing.tightening.stages;
    let angle = stages.iter().position(|stage| stage.target.angle().is_some());
    let torque = greatest_pass(fixing).map_or(0, |(index, _)| index);
    let index = match ground {
        TighteningGround::TurnsPastYield { .. } => angle.unwrap_or(torque),
        _ => torque,
    };
    (index, spot.key("tighten").item(index))
}

fn size_words(fixing: &Fixing) -> String {
    let thread = fixing.thread.map_or_else(|| fixing.drive.to_string(), |t| t.to_string());
    let class = fixing.class.map_or_else(String::new, |c| format!(", class {c}"));
    format!("{thread}{class}")
}

fn band_words(window: &TorqueWindow) -> String {
    let n_m = |torque: Torque| torque.show_in(&Torque::UNITS[0], 2);
    format!("plausible: {} to {}", n_m(window.range.low()), n_m(window.range.high()))
}

/// B313 and B314: far outside the band.
fn absurd_fault(
    fixing: &Fixing,
    spot: &ValueSpot,
    verdict: &TighteningVerdict,
    (window, end): (&TorqueWindow, BandEnd),
) -> Option<Fault> {
    let (index, _) = greatest_pass(fixing)?;
    let span = spot.key("tighten").item(index).span;
    let (written, size) = (&fixing.tightening.stages[index].as_written, size_words(fixing));
    let slip = verdict.grounds.iter().find_map(|ground| match ground {
        TighteningGround::ReadsInOtherUnit(slip) => Some(*slip),
        _ => None,
    });
    if let Some(slip) = slip {
        let message = format!("`{written}` for {size} looks like the wrong unit");
        let meant = slip.meant.show_in(&Torque::UNITS[0], 3);
        let help = format!("if {} was meant instead of {}, it is {meant}", slip.meant_in, slip.written_as);
        return Some(super::rule_error(&B314, message, span, band_words(window)).help(help));
    }
    let why = match (end, window.ceiling) {
        (BandEnd::Below, _) => "far too little to hold",
        (BandEnd::Above, WindowCeiling::BoltYield) => "the bolt yields long before",
        (BandEnd::Above, WindowCeiling::CastAluminium) => "the thread in the casting gives way long before",
    };
    let message = format!("`{written}` is absurd for {size}: {why}");
    Some(super::rule_error(&B313, message, span, band_words(window)))
}

/// The rule of a ground and how much it tells, most telling last; `None` for what stands against nothing.
fn rule_of_ground(ground: &TighteningGround) -> Option<(u8, &'static FaultRule)> {
    match ground {
        TighteningGround::OutsideBand { .. } | TighteningGround::ReadsInOtherUnit(_) => Some((0, &B338)),
        TighteningGround::OutOfLine { .. } => Some((1, &B339)),
        TighteningGround::TurnsPastYield { .. } => Some((2, &B342)),
        TighteningGround::Yields { .. } | TighteningGround::Breaks { .. } => Some((3, &B341)),
        TighteningGround::Strips { .. } => Some((4, &B340)),
        TighteningGround::TurnNotKnown
        | TighteningGround::OneTime
        | TighteningGround::ThreadUnknown
        | TighteningGround::ClassUnknown
        | TighteningGround::LubricationUnknown
        | TighteningGround::EngagementUnknown => None,
    }
}

/// B338 to B342: possible, and to be asked about; one warning with all grounds, by the most telling of them.
fn questionable_fault(fixing: &Fixing, spot: &ValueSpot, verdict: &TighteningVerdict) -> Option<Fault> {
    let ranked = verdict.objections().filter_map(|ground| Some((rule_of_ground(ground)?, ground)));
    let ((_, rule), ground) = ranked.max_by_key(|((rank, _), ground)| (ground.weight(), *rank))?;
    let (index, place) = pass_of_ground(fixing, spot, ground);
    let written = &fixing.tightening.stages[index].as_written;
    let against = verdict.against_words()?;
    let standing = match verdict.standing() {
        TorqueVerdict::Plausible | TorqueVerdict::Unusual => "is unusual",
        TorqueVerdict::Absurd => "cannot be meant",
    };
    let message = format!("`{written}` for {} {standing}: {against}", size_words(fixing));
    Some(super::rule_warning(rule, message, place.span, band_words(&verdict.window)))
}
