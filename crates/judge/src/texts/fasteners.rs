//! What a sentence about fasteners has to say: which, how many, with what drive, which way they turn, what goes on their threads, to what figure.

use super::StepSentence;
use crate::case::PlanCase;
use crate::replay::touches_of_action;
use model::plan::Step;
use model::{Act, DriveForm, FastenerKind, Fixing, FixingId, HoleOrderOrigin, Lubrication, PartKind};
use std::collections::BTreeSet;

/// What is promised with wheel bolts.
const RETORQUE_WORDS: &str = "Promise: the same figure again after 40 to 80 km of driving; tell the owner and write it on the hand-over";

/// The fasteners that a step works on.
fn holes_of_step(case: &PlanCase, step: &Step) -> BTreeSet<(FixingId, u16)> {
    let touches = step.actions.iter().flat_map(|action| touches_of_action(case, action));
    touches.map(|touch| (touch.fixing, touch.hole)).collect()
}

/// The one fixing of a step with the number of its fasteners there.
fn one_fixing<'a>(case: &PlanCase<'a>, step: &Step) -> Option<(&'a Fixing, usize)> {
    let holes = holes_of_step(case, step);
    let id = holes.first()?.0;
    Some((case.book.fixing(id), holes.len()))
}

/// "the drain plug", "6 × manifold bolts".
fn counted(fixing: &Fixing, count: usize, new: &str) -> String {
    match fixing.holes.len() {
        1 => format!("the {new}{}", fixing.title),
        _ => format!("{count} × {new}{}", fixing.title),
    }
}

pub(super) fn undoing(case: &PlanCase, step: &Step) -> Option<StepSentence> {
    let (fixing, count) = one_fixing(case, step)?;
    let acts: BTreeSet<Act> =
        step.actions.iter().filter_map(|a| case.duty_of_action(a)).map(|duty| duty.line.act).collect();
    let is_turned = fixing.drive.is_turned();
    let stays_in = is_turned && !fixing.slackened && !acts.contains(&Act::RunOut);
    let plain: &[&str] = match (stays_in, is_turned) {
        (true, _) => &["they", "it", "stays", "stay"],
        (false, true) => &["to", "undo", "they", "it", "stays", "stay"],
        (false, false) => &[],
    };
    let mut sentence = StepSentence { says: vec![counted(fixing, count, "")], plain };
    sentence.say(match (fixing.slackened, stays_in) {
        (true, _) => "Slacken",
        (false, true) => "Break loose",
        (false, false) => undoing_verb(fixing),
    });
    if fixing.drive.form() == DriveForm::NotKnown {
        sentence.say("drive not known: look first");
    } else if is_turned {
        sentence.say(format!("({})", fixing.drive));
    }
    if fixing.is_left_hand {
        sentence.say("left-hand thread: turn clockwise");
    }
    if fixing.slackened {
        sentence.say(if count == 1 { "leave it in place" } else { "leave them in place" });
    } else if stays_in {
        sentence.say("a quarter turn");
        sentence.say("in for now");
    } else if fixing.captive && is_turned {
        sentence.say("on the part");
    }
    Some(sentence)
}

fn undoing_verb(fixing: &Fixing) -> &'static str {
    match fixing.kind {
        FastenerKind::Connector => "Unplug",
        _ if fixing.drive.form() == DriveForm::Latch => "Unplug",
        FastenerKind::Clip => "Unclip",
        FastenerKind::Clamp => "Release",
        FastenerKind::SplitPin => "Draw",
        FastenerKind::LockWire => "Cut",
        FastenerKind::TabPlate => "Bend back",
        FastenerKind::RollPin => "Drive out",
        FastenerKind::Stud | FastenerKind::Sensor | FastenerKind::ThreadedPlug => "Screw out",
        FastenerKind::Circlip | FastenerKind::Key | FastenerKind::Washer | FastenerKind::Shim => "Take out",
        FastenerKind::Bolt | FastenerKind::Nut | FastenerKind::Screw | FastenerKind::Union => "Undo",
    }
}

pub(super) fn running_in(case: &PlanCase, step: &Step) -> Option<StepSentence> {
    let (fixing, count) = one_fixing(case, step)?;
    let new = if fixing.one_time { "new " } else { "" };
    let mut sentence = StepSentence { says: vec![counted(fixing, count, new)], plain: &[] };
    if !fixing.drive.is_turned() {
        sentence.say(setting_verb(fixing));
        return Some(sentence);
    }
    if case.book.part(fixing.part).world.is_started_by_hand_first {
        sentence.say("Start every fastener of the part by hand before any is run in");
        sentence.say("Run in");
    } else {
        sentence.say("Start by hand and run in");
    }
    sentence.say(match fixing.lubrication {
        Lubrication::Oiled => "oil the threads and seats",
        Lubrication::Paste => "apply paste to the threads",
        Lubrication::ThreadLocker => "apply thread-locker to clean threads",
        Lubrication::Sealant => "apply sealant to the threads",
        Lubrication::Dry => "threads clean and dry",
        Lubrication::Unstated => "",
    });
    if fixing.is_left_hand {
        sentence.say("left-hand thread: turn anticlockwise");
    }
    Some(sentence)
}

/// How something is put in that is not turned.
fn setting_verb(fixing: &Fixing) -> &'static str {
    match fixing.kind {
        _ if fixing.slackened => "Set back",
        FastenerKind::Connector => "Plug in",
        FastenerKind::Clip => "Clip in",
        FastenerKind::SplitPin => "Fit and spread",
        FastenerKind::LockWire => "Twist in",
        FastenerKind::TabPlate => "Bend up",
        FastenerKind::RollPin => "Drive in",
        FastenerKind::Circlip | FastenerKind::Key | FastenerKind::Washer | FastenerKind::Shim => "Fit",
        FastenerKind::Bolt
        | FastenerKind::Nut
        | FastenerKind::Stud
        | FastenerKind::Screw
        | FastenerKind::Clamp
        | FastenerKind::Union
        | FastenerKind::ThreadedPlug
        | FastenerKind::Sensor => "Set",
    }
}

pub(super) fn tightening(case: &PlanCase, step: &Step) -> Option<StepSentence> {
    let holes = holes_of_step(case, step);
    let ids: BTreeSet<FixingId> = holes.iter().map(|(id, _)| *id).collect();
    let fixings: Vec<&Fixing> = ids.iter().map(|id| case.book.fixing(*id)).collect();
    let mut sentence = StepSentence { says: vec![String::from("Tighten")], plain: &["the", "and", "then"] };
    let is_one_each = holes.len() == 1 && fixings.iter().all(|fixing| fixing.holes.len() == 1);
    match &fixings[..] {
        [] => return None,
        [one] if is_one_each => sentence.say(format!("the {}", one.title)),
        [one] => sentence.say(format!("{} × {}", holes.len(), one.title)),
        [..] => {
            sentence.say(format!("{} in all", holes.len()));
            sentence.says.extend(fixings.iter().map(|fixing| fixing.title.clone()));
        }
    }
    let figures: BTreeSet<String> = fixings.iter().map(|fixing| figure_of_fixing(fixing)).collect();
    sentence.says.extend(figures);
    if holes.len() > 2 && HoleOrderOrigin::of_fixings(&fixings).has_order() {
        sentence.say("in pattern order");
    }
    if fixings.iter().any(|fixing| fixing.is_figure_missing()) {
        sentence.say(model::FIGURE_MISSING_ADVICE);
    }
    if fixings.iter().any(|fixing| fixing.critical) {
        sentence.say("Look at each one a second time");
    }
    if fixings.iter().any(|fixing| case.book.part(fixing.part).kind == Some(PartKind::Wheel)) {
        sentence.say(RETORQUE_WORDS);
    }
    Some(sentence)
}

/// All passes of a fixing, one after the other, as the book writes them.
fn figure_of_fixing(fixing: &Fixing) -> String {
    let stages: Vec<&str> = fixing.tightening.stages.iter().map(|stage| stage.as_written.as_str()).collect();
    let closing = if fixing.tightening.closing_pass { ", then once more at the last torque" } else { "" };
    format!("{}{closing}", stages.join(", then "))
}
