//! Slots: does every fastener that is off have a place, and does no tray compartment hold two fixings?

use crate::FoundViolations;
use crate::case::PlanCase;
use model::{KeepPlace, SlotAddress};
use std::collections::{BTreeMap, BTreeSet};

/// J801 lines, J802 counts, J803 shared compartments, J804 keep, J805 renewal and drive.
pub(crate) fn judge_slots(case: &PlanCase, found: &mut FoundViolations) {
    let mut lines = BTreeSet::new();
    let mut trays: BTreeMap<&SlotAddress, &str> = BTreeMap::new();
    for line in &case.plan.slots {
        let place = format!("slot of `{}`", line.fixing);
        let Some(id) = case.book.fixing_by_key(&line.fixing) else {
            found.add("J102", place, format!("there is no fixing `{}`", line.fixing));
            continue;
        };
        let fixing = case.book.fixing(id);
        if !lines.insert(id) || !case.off.contains_key(&fixing.part) {
            found.add("J801", place.clone(), "the fixing has two lines, or its part stays on");
        }
        if fixing.slackened {
            found.add("J801", place.clone(), "the fixing is slackened and stays in its hole, without a slot");
        }
        if usize::from(line.count) != fixing.holes.len() {
            found.add("J802", place.clone(), format!("{} fasteners, not {}", fixing.holes.len(), line.count));
        }
        if line.renewed != fixing.one_time || line.drive != fixing.drive || line.kind != fixing.kind {
            found.add("J805", place.clone(), "renewal, drive or kind differs from the book");
        }
        if line.size != fixing.size_or_drive_words() {
            let words = format!("the size is {}, the plan says {}", fixing.size_or_drive_words(), line.size);
            found.add("J805", place.clone(), words);
        }
        let scrapped = line.renewed && line.slot == SlotAddress::Scrap;
        if !scrapped && !is_address_for(line.keep, &line.slot) {
            found.add(
                "J804",
                place.clone(),
                format!("`{}` is not an address for keeping: {}", line.slot, line.keep.spoken_word()),
            );
        }
        let is_tray = line.keep == KeepPlace::Tray && !scrapped;
        if let Some(other) = is_tray.then(|| trays.insert(&line.slot, &line.fixing)).flatten() {
            found.add("J803", place, format!("compartment `{}` also holds `{other}`", line.slot));
        }
    }
    let has_slot = |id: &model::FixingId| !case.book.fixing(*id).slackened;
    for fixing in case.fixings_off().filter(has_slot).filter(|f| !lines.contains(f)) {
        found.add("J801", "slots", format!("fixing `{}` has no line", case.book.fixing(fixing).key));
    }
}

/// Whether an address is of the kind that a way of keeping needs.
const fn is_address_for(keep: KeepPlace, slot: &SlotAddress) -> bool {
    match slot {
        SlotAddress::Compartment { .. } => matches!(keep, KeepPlace::Tray),
        SlotAddress::Bag { .. } => matches!(keep, KeepPlace::Bag),
        SlotAddress::HoleCard { .. } => matches!(keep, KeepPlace::HoleCard),
        SlotAddress::OnPart => matches!(keep, KeepPlace::OnPart),
        SlotAddress::InHole => matches!(keep, KeepPlace::InHole),
        SlotAddress::Scrap => false,
    }
}
