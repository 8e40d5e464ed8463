//! Safety states, parts that may break, what to have ready for fasteners that may, and what the sheet notes of the book.

use super::counted;
use crate::FoundViolations;
use crate::case::PlanCase;
use crate::texts::{TextReading, figures_in};
use model::{DriveForm, FastenerKind, Fixing, ReachVerdict, TappedIn, rules};
use std::collections::{BTreeMap, BTreeSet};

/// What every sheet says first.
const SERVICE_DATA_WORDS: &str = "Follow the maker's service data.";
/// What every sheet of an invented book says.
const INVENTED_WORDS: &str = "All figures of this book are invented.";
/// First drill of an extractor over the nominal diameter (common practice, no single source).
const PILOT_FRACTION: f64 = 0.5;
/// How much wider than the nominal diameter the drill of a thread insert is, in pitches (basic profile of ISO 68-1).
const INSERT_PITCHES: f64 = 0.2165;

/// J913: the service data first, then each safety state of the way in with how it is made. J914: parts that may break.
pub(super) fn judge_safety(case: &PlanCase, found: &mut FoundViolations) {
    let states = case.conditions.iter().map(|id| case.book.condition(*id)).filter(|c| c.safety);
    let mut wanted = vec![String::from(SERVICE_DATA_WORDS)];
    wanted.extend(states.map(|c| format!("{}: {}", c.title, c.establish)));
    compare_lines("J913", "safety", &wanted, &case.plan.readiness.safety, found);
    let brittle = case.off.keys().map(|id| case.book.part(*id)).filter(|part| part.brittle);
    let wanted: Vec<String> = brittle.map(|part| part.title.clone()).collect();
    compare_lines("J914", "parts that may break", &wanted, &case.plan.readiness.brittle, found);
}

/// The lines of a list, each as often as it is wanted.
fn compare_lines(
    code: &'static str,
    what: &str,
    wanted: &[String],
    said: &[String],
    found: &mut FoundViolations,
) {
    let mut left: Vec<&String> = said.iter().collect();
    for line in wanted {
        match left.iter().position(|one| *one == line) {
            Some(at) => _ = left.remove(at),
            None => found.add(code, "readiness", format!("{what}: `{line}` is not on the sheet")),
        }
    }
    for line in left {
        found.add(code, "readiness", format!("{what}: nothing of the book says `{line}`"));
    }
}

/// J917: every fixing that may break, round off or seize, with how hard it breaks loose and what belongs ready.
pub(super) fn judge_rescue(case: &PlanCase, found: &mut FoundViolations) {
    let mut said: BTreeMap<&str, &model::plan::RescueLine> = BTreeMap::new();
    for line in &case.plan.readiness.rescue {
        if said.insert(&line.fixing, line).is_some() {
            found.add("J917", "readiness", format!("`{}` is listed twice", line.fixing));
        }
    }
    for fixing in case.fixings_off().map(|id| case.book.fixing(id)) {
        let product: f64 = fixing.history.iter().map(|(_, factor)| factor).product();
        let factor = rules::BREAK_LOOSE_RATIO * product;
        let is_risky = fixing.drive.is_turned() && factor >= rules::RISKY_BREAK_LOOSE_RATIO;
        let place = format!("rescue of `{}`", fixing.key);
        match (said.remove(fixing.key.as_str()), is_risky) {
            (None, true) => found.add("J917", place, "may break, and nothing is told to have ready"),
            (Some(_), false) => found.add("J917", place, "nothing says that it may break"),
            (Some(line), true) => {
                let is_factor = crate::same_figure(line.break_loose_factor, factor);
                if usize::from(line.count) != fixing.holes.len() || !is_factor {
                    found.add(
                        "J917",
                        place.clone(),
                        "number of fasteners or break-loose factor is not the book's",
                    );
                }
                judge_rescue_items(fixing, &line.items, &place, found);
            }
            (None, false) => {}
        }
    }
    for key in said.keys() {
        found.add("J917", format!("rescue of `{key}`"), "it stays on, or there is no such fixing");
    }
}

/// Penetrant first, a fresh grip of its drive, heat where nothing melts, then what takes out the rest of it.
fn judge_rescue_items(fixing: &Fixing, items: &[String], place: &str, found: &mut FoundViolations) {
    let mut wanted: Vec<(&str, Vec<String>)> = vec![("penetrant", Vec::new())];
    let grip = match fixing.drive.form() {
        DriveForm::HexSocket
        | DriveForm::Hexalobular
        | DriveForm::CrossRecess
        | DriveForm::CrossRecessZ
        | DriveForm::Slot
        | DriveForm::SquareSocket => "new bit",
        DriveForm::Square => "pipe wrench",
        _ => "socket",
    };
    wanted.push((grip, vec![fixing.drive.to_string()]));
    if fixing.tapped_in != TappedIn::Plastic {
        wanted.push(("heat", Vec::new()));
    }
    match (fixing.kind, fixing.thread) {
        (FastenerKind::Nut, _) => wanted.push(("nut splitter", Vec::new())),
        (_, Some(thread)) => {
            let tenths_up = |size_mm: f64| units::significant((size_mm * 10.0 - 1.0e-9).ceil() / 10.0, 4);
            let pilot = tenths_up(thread.d_mm() * PILOT_FRACTION);
            wanted.push(("left-hand drill", vec![format!("{pilot} mm"), thread.to_string()]));
            match thread.screw() {
                Some(screw) => {
                    let drill = tenths_up(screw.d_mm() + INSERT_PITCHES * screw.pitch_mm());
                    wanted.push(("thread insert kit", vec![screw.to_string(), format!("{drill} mm")]));
                }
                None => wanted.push(("tap", vec![thread.to_string()])),
            }
        }
        (_, None) => {}
    }
    let is_it = |((what, names), item): (&(&str, Vec<String>), &String)| {
        let mut reading = TextReading::new(item);
        let says = names.iter().all(|name| reading.take(name)) && item.contains(what);
        says && reading.words_left().iter().all(|word| figures_in(word).is_empty())
    };
    if items.len() != wanted.len() || !wanted.iter().zip(items).all(is_it) {
        let names = wanted.iter().map(|(what, names)| format!("{what} {}", names.join(" ")));
        let words = format!(
            "what belongs ready is {}; the sheet says {}",
            names.collect::<Vec<_>>().join("; "),
            items.join("; ")
        );
        found.add("J917", place, words);
    }
}

/// J919: what is assumed because nobody told it, what rests on a room class, and that a book is invented.
pub(super) fn judge_notes(case: &PlanCase, found: &mut FoundViolations) {
    let ready = &case.plan.readiness;
    let wanted = assumed_counts(case);
    let mut said: Vec<&String> = ready.assumed.iter().collect();
    for counted in &wanted {
        match said.iter().position(|line| line.contains(&format!("({counted})"))) {
            Some(at) => _ = said.remove(at),
            None => {
                found.add("J919", "readiness", format!("that figures of {counted} are assumed is not told"))
            }
        }
    }
    for line in said {
        found.add("J919", "readiness", format!("nothing is assumed as `{line}` says"));
    }
    let by_class = count_by_class(case);
    if by_class != ready.proven_by_class {
        let words = format!(
            "{by_class} proven fasteners rest on a room class, the sheet says {}",
            ready.proven_by_class
        );
        found.add("J919", "readiness", words);
    }
    let note = case.book.is_invented.then_some(INVENTED_WORDS);
    if ready.book_note.as_deref() != note {
        found.add("J919", "readiness", "what is to be said of the book is not what the sheet says");
    }
    for line in &ready.figures_missing {
        let fixing = case.book.fixing_by_key(&line.fixing).map(|id| case.book.fixing(id));
        if fixing.is_some_and(|fixing| fixing.title != line.title) {
            found.add("J907", "readiness", format!("`{}` has another title in the book", line.fixing));
        }
    }
}

/// "12 parts", "1 station": of how many the book leaves a figure out that the plan reckons with.
fn assumed_counts(case: &PlanCase) -> Vec<String> {
    let book = case.book;
    let parts = || case.off.keys().map(|id| book.part(*id));
    let untimed = parts().filter(|part| !part.lift_time.is_known() || !part.place_time.is_known()).count();
    let tasks: BTreeSet<_> = case.tasks.iter().filter(|id| !book.task(**id).work.is_known()).collect();
    let has_no_length = |fixing: &&Fixing| fixing.thread.is_some() && !fixing.engagement.is_known();
    let fixings = case.fixings_off().map(|id| book.fixing(id)).filter(has_no_length).count();
    let stations: BTreeSet<usize> = parts().map(|part| part.station.index()).collect();
    let stations = stations.iter().filter(|at| !book.stations[**at].enter.is_known()).count();
    let counts = [(untimed, "part"), (tasks.len(), "task"), (fixings, "fixing"), (stations, "station")];
    counts.into_iter().filter(|(count, _)| *count > 0).map(|(count, what)| counted(count, what)).collect()
}

/// Proven fasteners whose room is a class.
fn count_by_class(case: &PlanCase) -> u32 {
    let mut worst: BTreeMap<(model::FixingId, u16), (ReachVerdict, bool)> = BTreeMap::new();
    for (duty, holes) in case.duties.iter().zip(&case.holes) {
        let Some(duty) = duty else { continue };
        let by_class = case.book.reach_doubts(duty.id, duty.line.access).is_by_class;
        for hole in holes {
            let known = worst.entry((duty.id, *hole)).or_insert((ReachVerdict::Proven, by_class));
            known.0 = known.0.max(duty.line.sure);
        }
    }
    let is_counted = |known: &&(ReachVerdict, bool)| **known == (ReachVerdict::Proven, true);
    u32::try_from(worst.values().filter(is_counted).count()).unwrap_or(u32::MAX)
}
