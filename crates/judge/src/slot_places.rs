//! Places of slots: does every address exist, belong to this vehicle and hold what it is given, and do the steps name it?
//!
//! Which compartments touch and what fits into one are worked out here from the trays of the store alone.
//!
//! **Fit.** A fastener is a box as wide as its head, as long as it is under the head and its head is high. It has to lie flat in the
//! compartment, and all boxes of a fixing together may fill [`FILLED_FRACTION`] of it.
//!
//! **Worked example.** Six bolts of 13 mm head and 31 mm in all are 31 400 mm³; a compartment of 40 × 50 × 30 mm takes 36 000 mm³.

use crate::FoundViolations;
use crate::case::{PlanCase, step_place};
use model::plan::{SlotLine, Step, StepKind};
use model::{FastenerKind, Fixing, FixingId, KeepPlace, PartId, SlotAddress, Tray};
use std::collections::{BTreeMap, BTreeSet};

/// Share of a compartment that loose fasteners may fill (assumption: tipped in, not stacked).
const FILLED_FRACTION: f64 = 0.6;

/// A line whose fixing is known.
struct PlacedFixing<'a> {
    line: &'a SlotLine,
    id: FixingId,
    fixing: &'a Fixing,
}

/// J806 steps, J807 addresses that exist, J808 fit, J809 bags and cards of several, J810 look-alikes that touch, J811 how it is kept.
pub(crate) fn judge_slot_places(case: &PlanCase, found: &mut FoundViolations) {
    let placed: Vec<PlacedFixing> =
        case.plan.slots.iter().filter_map(|line| placed_fixing(case, line)).collect();
    for one in &placed {
        let place = format!("slot of `{}`", one.line.fixing);
        judge_address(case, one, &place, found);
        judge_keep(case, one, &place, found);
    }
    judge_shared_places(&placed, found);
    judge_neighbours(case, &placed, found);
    judge_step_slots(case, found);
}

fn placed_fixing<'a>(case: &PlanCase<'a>, line: &'a SlotLine) -> Option<PlacedFixing<'a>> {
    let id = case.book.fixing_by_key(&line.fixing)?;
    Some(PlacedFixing { line, id, fixing: case.book.fixing(id) })
}

/// The tray of an address with the number of the compartment, by the asked vehicle's letter.
fn tray_of_address<'a>(case: &PlanCase<'a>, slot: &SlotAddress) -> Option<(&'a Tray, u32)> {
    let vehicle = &case.plan.asked.vehicle;
    case.store.trays.iter().find_map(|tray| Some((tray, slot.compartment_of(vehicle, &tray.key)?)))
}

fn judge_address(case: &PlanCase, one: &PlacedFixing, place: &str, found: &mut FoundViolations) {
    let slot = &one.line.slot;
    match slot {
        SlotAddress::Compartment { .. } => {
            let Some((tray, number)) = tray_of_address(case, slot) else {
                let vehicle = &case.plan.asked.vehicle;
                found.add("J807", place, format!("vehicle `{vehicle}` has no tray of `{slot}`"));
                return;
            };
            let last = u32::from(tray.rows) * u32::from(tray.columns);
            if number == 0 || number > last {
                found.add("J807", place, format!("tray `{}` ends at {last}, the slot is `{slot}`", tray.key));
            }
            if !is_held_by(one.fixing, tray) {
                found.add("J808", place, format!("its fasteners do not fit into `{slot}`"));
            }
        }
        SlotAddress::Bag { vehicle, number } | SlotAddress::HoleCard { vehicle, number } => {
            if *vehicle != case.plan.asked.vehicle || *number == 0 {
                found.add("J807", place, format!("`{slot}` is not of vehicle `{}`", case.plan.asked.vehicle));
            }
        }
        SlotAddress::OnPart | SlotAddress::InHole | SlotAddress::Scrap => {}
    }
}

/// Whether all fasteners of a fixing fit into one compartment.
fn is_held_by(fixing: &Fixing, tray: &Tray) -> bool {
    let (head_mm, high_mm) = (fixing.head.diameter.as_mm(), fixing.head.grip_height.as_mm());
    let long_mm = high_mm + fixing.length.map_or(0.0, units::Length::as_mm);
    let mut sides_mm = [tray.width.as_mm(), tray.depth.as_mm()];
    sides_mm.sort_by(f64::total_cmp);
    let [short_mm, wide_mm] = sides_mm;
    let tall_mm = tray.height.as_mm();
    let room_mm3 = FILLED_FRACTION * short_mm * wide_mm * tall_mm;
    let need_mm3 = head_mm * head_mm * long_mm * fixing.holes.len() as f64;
    long_mm <= wide_mm && head_mm <= short_mm && head_mm <= tall_mm && need_mm3 <= room_mm3 * (1.0 + 1.0e-9)
}

/// J811: as the book wishes; without a wish what stays on its part stays there, several lengths of one part lie on a hole card,
/// the rest in a tray, or in a bag of its own where there is no place in a tray.
fn judge_keep(case: &PlanCase, one: &PlacedFixing, place: &str, found: &mut FoundViolations) {
    let wanted = wanted_keep(case, one.id, one.fixing);
    let said = one.line.keep;
    let is_scrap = one.line.slot == SlotAddress::Scrap;
    if one.fixing.one_time || is_scrap {
        if one.fixing.one_time != is_scrap {
            let words = "only what is renewed, and all of it, goes to scrap";
            found.add("J811", place, words);
        }
    } else if said != wanted && !(wanted == KeepPlace::Tray && said == KeepPlace::Bag) {
        let (wanted, said) = (wanted.spoken_word(), said.spoken_word());
        found.add("J811", place, format!("is to be kept: {wanted}; the plan says: {said}"));
    }
}

fn wanted_keep(case: &PlanCase, id: FixingId, fixing: &Fixing) -> KeepPlace {
    let stays = matches!(fixing.kind, FastenerKind::Connector | FastenerKind::Clamp | FastenerKind::Union);
    let has_double = || {
        case.fixings_off()
            .filter(|other| *other != id)
            .map(|other| case.book.fixing(other))
            .any(|other| other.part == fixing.part && !other.one_time && is_taken_for(fixing, other))
    };
    match fixing.keep {
        Some(wish) => wish,
        None if fixing.captive || stays => KeepPlace::OnPart,
        None if has_double() => KeepPlace::HoleCard,
        None => KeepPlace::Tray,
    }
}

/// Whether a fastener of one fixing can be taken for one of another in a tray: alike but for length or class.
fn is_taken_for(a: &Fixing, b: &Fixing) -> bool {
    let is_alike = a.thread.is_some() && (a.thread, a.kind, a.drive) == (b.thread, b.kind, b.drive);
    is_alike && (a.length, a.class) != (b.length, b.class)
}

/// J809: a bag holds one fixing, a hole card one part.
fn judge_shared_places(placed: &[PlacedFixing], found: &mut FoundViolations) {
    let mut bags: BTreeMap<&SlotAddress, &str> = BTreeMap::new();
    let mut cards: BTreeMap<&SlotAddress, PartId> = BTreeMap::new();
    for one in placed {
        let slot = &one.line.slot;
        let place = || format!("slot of `{}`", one.line.fixing);
        match slot {
            SlotAddress::Bag { .. } => {
                if let Some(other) = bags.insert(slot, &one.line.fixing) {
                    found.add("J809", place(), format!("bag `{slot}` also holds `{other}`"));
                }
            }
            SlotAddress::HoleCard { .. } => {
                if cards.insert(slot, one.fixing.part).is_some_and(|part| part != one.fixing.part) {
                    found.add("J809", place(), format!("hole card `{slot}` is that of another part"));
                }
            }
            SlotAddress::Compartment { .. }
            | SlotAddress::OnPart
            | SlotAddress::InHole
            | SlotAddress::Scrap => {}
        }
    }
}

/// Whether two compartments are one or touch, corners included.
fn do_touch(tray: &Tray, a: u32, b: u32) -> bool {
    let wide = u32::from(tray.columns).max(1);
    let [a, b] = [a, b].map(|number| number.saturating_sub(1));
    (a / wide).abs_diff(b / wide) < 2 && (a % wide).abs_diff(b % wide) < 2
}

/// Whether what lies in two slots can be taken for each other: the same slot, or compartments that touch. What is on a card, on its part or in its
/// hole is told apart by where it is.
pub(crate) fn do_lie_together(case: &PlanCase, a: &SlotLine, b: &SlotLine) -> bool {
    match (tray_of_address(case, &a.slot), tray_of_address(case, &b.slot)) {
        (Some((tray, left)), Some((other, right))) if tray.key == other.key => do_touch(tray, left, right),
        _ => match a.slot {
            SlotAddress::HoleCard { .. } | SlotAddress::OnPart | SlotAddress::InHole => false,
            SlotAddress::Compartment { .. } | SlotAddress::Bag { .. } | SlotAddress::Scrap => {
                a.slot == b.slot
            }
        },
    }
}

/// J810: look-alikes never lie in one compartment or in compartments that touch.
fn judge_neighbours(case: &PlanCase, placed: &[PlacedFixing], found: &mut FoundViolations) {
    let in_tray = |one: &&PlacedFixing| matches!(one.line.slot, SlotAddress::Compartment { .. });
    let trays: Vec<&PlacedFixing> = placed.iter().filter(in_tray).collect();
    for (at, one) in trays.iter().enumerate() {
        for other in &trays[at + 1..] {
            if is_taken_for(one.fixing, other.fixing) && do_lie_together(case, one.line, other.line) {
                let words =
                    format!("lies at `{}` beside its look-alike `{}`", one.line.slot, other.line.fixing);
                found.add("J810", format!("slot of `{}`", one.line.fixing), words);
            }
        }
    }
}

/// J806: a step that undoes or runs in a fixing names the fixing's own slot, new fasteners come from none, and no other step names one.
pub(crate) fn judge_step_slots(case: &PlanCase, found: &mut FoundViolations) {
    for (name, sequence) in case.sequences() {
        for step in &sequence.steps {
            let wanted = wanted_slots(case, step);
            let agrees = match step.slot.as_ref() {
                Some(said) => wanted.contains(&Some(said)),
                None => wanted.is_empty() || wanted.contains(&None),
            };
            if !agrees || wanted.len() > 1 {
                let shown =
                    |slot: Option<&SlotAddress>| slot.map_or_else(|| "none".to_owned(), |s| format!("`{s}`"));
                let table = wanted.iter().map(|slot| shown(*slot)).collect::<Vec<_>>().join(", ");
                let table = if table.is_empty() { String::from("none") } else { table };
                let words = format!("names the slot {}, the table has {table}", shown(step.slot.as_ref()));
                found.add("J806", step_place(name, step), words);
            }
        }
    }
}

/// The slots of a step's fixings in the table; nothing where the step moves no fastener.
fn wanted_slots<'a>(case: &PlanCase<'a>, step: &Step) -> BTreeSet<Option<&'a SlotAddress>> {
    let is_in = step.kind == StepKind::RunIn;
    if !is_in && step.kind != StepKind::Undo {
        return BTreeSet::new();
    }
    let of = |key: &String| case.plan.slots.iter().find(|line| line.fixing == *key);
    let lines = step.fixings.iter().filter_map(of);
    lines.map(|line| Some(&line.slot).filter(|_| !(is_in && line.renewed))).collect()
}
