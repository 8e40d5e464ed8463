//! The sentences of the steps: short, in the imperative, in workshop words.

use model::plan::StepKind;
use model::{
    Book, DriveForm, FIGURE_MISSING_ADVICE, FastenerKind, Fixing, HoleOrderOrigin, Lubrication, Opening,
    Part, PartKind, Tightening,
};

/// "the drain plug", "6 × short manifold bolts", "1 × cover bolts" where it is one of several; `new` is "new " or empty.
fn counted_fasteners(fixing: &Fixing, count: usize, new: &str) -> String {
    if fixing.holes.len() == 1 {
        return format!("the {new}{}", fixing.title);
    }
    format!("{count} × {new}{}", fixing.title)
}

/// Undoing a fixing.
#[must_use]
pub fn undo_words(fixing: &Fixing, count: usize) -> String {
    let what = counted_fasteners(fixing, count, "");
    if fixing.slackened {
        return slacken_words(fixing, &what, count);
    }
    let verb = match fixing.kind {
        FastenerKind::Connector => "Unplug",
        _ if fixing.drive.form() == DriveForm::Latch => "Unplug",
        FastenerKind::Clip => "Unclip",
        FastenerKind::Clamp => "Release",
        FastenerKind::Stud | FastenerKind::Sensor | FastenerKind::ThreadedPlug => "Screw out",
        FastenerKind::Bolt | FastenerKind::Nut | FastenerKind::Screw | FastenerKind::Union => "Undo",
        FastenerKind::SplitPin => "Draw",
        FastenerKind::LockWire => "Cut",
        FastenerKind::TabPlate => "Bend back",
        FastenerKind::RollPin => "Drive out",
        FastenerKind::Circlip | FastenerKind::Key | FastenerKind::Washer | FastenerKind::Shim => "Take out",
    };
    let drive = match fixing.drive.form() {
        DriveForm::NotKnown => String::from(" (drive not known: look first)"),
        _ if fixing.drive.is_turned() => format!(" ({})", fixing.drive),
        _ => String::new(),
    };
    let rest = match (fixing.captive && fixing.drive.is_turned(), count) {
        (true, 1) => "; it stays on the part",
        (true, _) => "; they stay on the part",
        (false, _) => "",
    };
    let hand = if fixing.is_left_hand { "; left-hand thread: turn clockwise to undo" } else { "" };
    format!("{verb} {what}{drive}{rest}{hand}.")
}

/// Loosening a fixing that stays in its hole.
fn slacken_words(fixing: &Fixing, what: &str, count: usize) -> String {
    let stays = if count == 1 { "it" } else { "them" };
    if !fixing.drive.is_turned() {
        return format!("Slacken {what}; leave {stays} in place.");
    }
    let drive = match fixing.drive.form() {
        DriveForm::NotKnown => String::from("drive not known: look first"),
        _ => fixing.drive.to_string(),
    };
    let hand = if fixing.is_left_hand { "; left-hand thread: turn clockwise to undo" } else { "" };
    format!("Slacken {what} ({drive}){hand}; leave {stays} in place.")
}

/// Breaking a fixing loose, to be run out later.
#[must_use]
pub fn break_loose_words(fixing: &Fixing, count: usize) -> String {
    let what = counted_fasteners(fixing, count, "");
    let drive = if fixing.drive.is_turned() { format!(" ({})", fixing.drive) } else { String::new() };
    let hand = if fixing.is_left_hand { "; left-hand thread: turn clockwise" } else { "" };
    let rest = if count == 1 { "it stays in" } else { "they stay in" };
    format!("Break loose {what}{drive}, a quarter turn{hand}; {rest} for now.")
}

/// Lifting a part off.
#[must_use]
pub fn remove_words(part: &Part) -> String {
    let helper = if part.helper { " with a second pair of hands" } else { "" };
    let tip = part.tip.as_ref().map_or_else(String::new, |t| format!(" {t}"));
    let mass = mass_words(part.mass).map_or_else(String::new, |mass| format!(" ({mass})"));
    format!("Take off {}{mass}{helper}.{tip}", part.title_in_sentence())
}

/// A mass as far as it is known, "4.8 kg" or "~ 4 to 6 kg"; nothing where nothing is.
#[must_use]
pub fn mass_words(mass: model::Known<units::Mass>) -> Option<String> {
    let (low, high) = mass.ends()?;
    Some(if low == high {
        low.to_string()
    } else {
        format!("~ {} to {high}", units::significant(low.as_kg(), 2))
    })
}

/// Setting a part in place.
#[must_use]
pub fn refit_words(part: &Part, has_tab_plates: bool) -> String {
    let helper = if part.helper { " with a second pair of hands" } else { "" };
    let new: Vec<String> = part.renew_with.iter().map(|s| s.name.clone()).collect();
    let new = if new.is_empty() { String::new() } else { format!(", with new parts: {}", new.join(", ")) };
    let tip = part.refit_tip.as_ref().map_or_else(String::new, |tip| format!(" {tip}"));
    let plates = if has_tab_plates { ", its tab plates under their bolts" } else { "" };
    format!("Set {} in place{helper}{new}{plates}.{tip}", part.title_in_sentence())
}

/// Capping or uncapping an opening; `None` where there is no cap.
#[must_use]
pub fn cap_words(opening: &Opening, kind: StepKind) -> Option<String> {
    let cap = opening.cap.as_ref()?;
    let count = if opening.count > 1 { format!("{} × ", opening.count) } else { String::new() };
    Some(match kind {
        StepKind::Uncap => format!("Take the caps off the {} ({count}{cap}) and count them.", opening.title),
        _ => format!("Cap the {} at once ({count}{cap}).", opening.title),
    })
}

/// Starting and running in a fixing.
#[must_use]
pub fn run_in_words(part: &Part, fixing: &Fixing, count: usize) -> String {
    let what = counted_fasteners(fixing, count, if fixing.one_time { "new " } else { "" });
    if !fixing.drive.is_turned() {
        let verb = match fixing.kind {
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
        };
        return format!("{verb} {what}.");
    }
    let prepared = match fixing.lubrication {
        Lubrication::Oiled => "; oil the threads and seats",
        Lubrication::Paste => "; apply paste to the threads",
        Lubrication::ThreadLocker => "; apply thread-locker to clean threads",
        Lubrication::Sealant => "; apply sealant to the threads",
        Lubrication::Dry => "; threads clean and dry",
        Lubrication::Unstated => "",
    };
    let hand = if fixing.is_left_hand { "; left-hand thread: turn anticlockwise" } else { "" };
    if part.world.is_started_by_hand_first {
        let first = "Start every fastener of the part by hand before any is run in.";
        return format!("{first} Run in {what}{prepared}{hand}.");
    }
    format!("Start by hand and run in {what}{prepared}{hand}.")
}

/// What is promised with the figure of wheel bolts (again on the ground: US Army TM 9-2330-238-14 para 4-49; the distance is common
/// practice).
const RETORQUE_PROMISE: &str = " Promise: the same figure again after 40 to 80 km of driving; tell the owner and write it on the hand-over.";

/// Tightening a joint of a part, with what is promised of it.
#[must_use]
pub fn tighten_step_words(book: &Book, fixings: &[&Fixing], count: usize) -> String {
    let is_wheel = |fixing: &&Fixing| book.part(fixing.part).kind == Some(PartKind::Wheel);
    let promise = if fixings.iter().any(is_wheel) { RETORQUE_PROMISE } else { "" };
    format!("{}{promise}", tighten_joint_words(fixings, count))
}

/// Tightening a joint.
fn tighten_joint_words(fixings: &[&Fixing], count: usize) -> String {
    let titles: Vec<&str> = fixings.iter().map(|f| f.title.as_str()).collect();
    let figures: Vec<String> = {
        let mut seen = Vec::new();
        for fixing in fixings {
            let figure = figure_words(&fixing.tightening);
            if !seen.contains(&figure) {
                seen.push(figure);
            }
        }
        seen
    };
    let missing = if fixings.iter().any(|f| f.is_figure_missing()) {
        format!(" {FIGURE_MISSING_ADVICE}")
    } else {
        String::new()
    };
    let one = fixings.iter().all(|f| f.holes.len() == 1) && count == 1;
    let names = titles.join(" and ");
    let what = match (one, titles.len()) {
        (true, _) => format!("the {names}"),
        (false, 0 | 1) => format!("{count} × {names}"),
        (false, _) => format!("{names} ({count} in all)"),
    };
    let related = HoleOrderOrigin::of_fixings(fixings).has_order();
    let order = if count > 2 && related { " in pattern order" } else { "" };
    let twice = if fixings.iter().any(|f| f.critical) { " Look at each one a second time." } else { "" };
    format!("Tighten {what}{order}: {}.{missing}{twice}", figures.join("; "))
}

fn figure_words(tightening: &Tightening) -> String {
    let stages: Vec<&str> = tightening.stages.iter().map(|s| s.as_written.as_str()).collect();
    let closing = if tightening.closing_pass { ", then once more at the last torque" } else { "" };
    format!("{}{closing}", stages.join(", then "))
}
