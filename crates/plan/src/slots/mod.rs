//! Slots: an address for every fastener while it is off, so that none is lost and each finds its hole again.
//!
//! **Question.** Where does each fixing go? The book's wish comes first ([`model::KeepPlace`]); without one:
//!
//! | fixing | kept |
//! |---|---|
//! | slackened | in its hole, without a slot |
//! | captive; connector, clamp or union (they stay on loom, hose or pipe: common practice, no single source) | on the part |
//! | look-alike of another fixing of the same part (several lengths on one cover) | hole card, one for the part |
//! | any other | tray |
//! | renewed each time | `scrap`: counted, kept apart until hand-over |
//!
//! **Addresses.** `A-T1-03` is compartment 3 of tray `T1` for vehicle `A`, counted along the rows from the first corner;
//! `A-B04` a bag, `A-H02` a hole card; `on part`, `in hole` and `scrap` need no number.
//!
//! **Order.** Within a tray the compartment's number rises with the strip order, so refit reads the tray backwards.
//!
//! **Look-alikes** (same kind, thread and drive; other length or class) never lie in touching compartments, corners
//! included: compartments are left empty between them while there are enough for all that is still to come, and a bag is
//! taken where there are not. What does not fit its compartment (see `check_progress_fits`) goes into a bag too.
//!
//! **Beside other vehicles.** The trays are those of the workshop: a compartment that another open visit has is left out
//! ([`lay_slots_beside`]).
//!
//! **Worked example.** Tray of 2 × 3; strip order M6 × 20, M6 × 25, M8 × 30. The first takes 01; 02, 04 and 05 touch it,
//! so M6 × 25 takes 03 and M8 × 30 takes 04.

mod address;
mod alike;
mod beside;
mod fit;
mod tray;

use std::collections::{BTreeMap, BTreeSet};

use model::plan::SlotLine;
use model::{Book, FastenerKind, Fixing, FixingId, KeepPlace, PartId, SlotAddress, Store};

use crate::scope::PlanScope;
pub use address::kept_apart;
pub use alike::are_look_alikes;
pub use beside::{CompartmentsInUse, lay_slots_beside};
pub use fit::{FILL_FRACTION, fits_compartment};
use tray::TrayFilling;

/// The slots of all fixings in scope but those that are only slackened, in strip order; fixings that the order leaves out follow by id. What has a slot in `taken` keeps
/// it, and nothing else comes there.
#[must_use]
pub fn assign_slots(
    book: &Book,
    store: &Store,
    scope: &PlanScope,
    strip_order: &[FixingId],
    (vehicle, taken): (&str, &[SlotLine]),
) -> Vec<SlotLine> {
    let order = complete_strip_order(scope, strip_order);
    fill_slots(book, (store, &CompartmentsInUse::new()), order, (vehicle, taken))
}

/// The slots of fixings in an order; compartments in use for other vehicles are left out.
fn fill_slots(
    book: &Book,
    (store, in_use): (&Store, &CompartmentsInUse),
    mut order: Vec<FixingId>,
    (vehicle, taken): (&str, &[SlotLine]),
) -> Vec<SlotLine> {
    order.retain(|id| !book.fixing(*id).slackened);
    let kept = |id: FixingId| taken.iter().find(|line| line.fixing == book.fixing(id).key);
    let keeps: Vec<KeepPlace> = order.iter().map(|id| choose_keep(book, &order, *id)).collect();
    let in_tray = |at: usize| {
        keeps[at] == KeepPlace::Tray && !book.fixing(order[at]).one_time && kept(order[at]).is_none()
    };
    let mut trays = TrayFilling::new((store, in_use), (0..order.len()).filter(|at| in_tray(*at)).count());
    let mut numbers = SlotNumbers { vehicle, bags: 0, cards: BTreeMap::new() };
    for line in taken {
        let Some(id) = book.fixing_by_key(&line.fixing) else { continue };
        trays.keep_place(&line.slot, id);
        numbers.keep_number(&line.slot, book.fixing(id).part);
    }
    let mut lines = Vec::new();
    for (id, keep) in order.iter().zip(&keeps) {
        let fixing = book.fixing(*id);
        if let Some(line) = kept(*id) {
            lines.push(line.clone());
            continue;
        }
        let (slot, keep) = if fixing.one_time {
            (SlotAddress::Scrap, KeepPlace::Bag)
        } else {
            assign_slot(book, fixing, *id, *keep, &mut trays, &mut numbers)
        };
        lines.push(slot_line(fixing, slot, keep));
    }
    lines
}

/// The strip order with every fixing of the scope exactly once, and no other.
fn complete_strip_order(scope: &PlanScope, strip_order: &[FixingId]) -> Vec<FixingId> {
    let mut open: BTreeSet<FixingId> = scope.duties.iter().map(|d| d.duty.fixing).collect();
    let mut order: Vec<FixingId> = strip_order.iter().copied().filter(|id| open.remove(id)).collect();
    order.extend(open);
    order
}

/// How a fixing is to be kept.
fn choose_keep(book: &Book, all: &[FixingId], id: FixingId) -> KeepPlace {
    let fixing = book.fixing(id);
    let stays = matches!(fixing.kind, FastenerKind::Connector | FastenerKind::Clamp | FastenerKind::Union);
    let mixed = |other: &FixingId| {
        let other = book.fixing(*other);
        other.part == fixing.part && !other.one_time && are_look_alikes(fixing, other)
    };
    match fixing.keep {
        Some(wish) => wish,
        None if fixing.captive || stays => KeepPlace::OnPart,
        None if all.iter().any(mixed) => KeepPlace::HoleCard,
        None => KeepPlace::Tray,
    }
}

/// Counts bags and cards.
struct SlotNumbers<'v> {
    vehicle: &'v str,
    bags: u32,
    cards: BTreeMap<PartId, u32>,
}

impl SlotNumbers<'_> {
    fn next_bag(&mut self) -> SlotAddress {
        self.bags += 1;
        SlotAddress::Bag { vehicle: self.vehicle.into(), number: self.bags }
    }

    /// Goes on behind a number that is in use.
    fn keep_number(&mut self, slot: &SlotAddress, of: PartId) {
        match slot {
            SlotAddress::Bag { number, .. } => self.bags = self.bags.max(*number),
            SlotAddress::HoleCard { number, .. } => {
                self.cards.insert(of, *number);
            }
            _ => {}
        }
    }

    fn card_for_part(&mut self, part: PartId) -> SlotAddress {
        let next = self.cards.values().max().map_or(1, |last| last + 1);
        let number = *self.cards.entry(part).or_insert(next);
        SlotAddress::HoleCard { vehicle: self.vehicle.into(), number }
    }
}

fn assign_slot(
    book: &Book,
    fixing: &Fixing,
    id: FixingId,
    keep: KeepPlace,
    trays: &mut TrayFilling,
    numbers: &mut SlotNumbers,
) -> (SlotAddress, KeepPlace) {
    match keep {
        KeepPlace::InHole => (SlotAddress::InHole, keep),
        KeepPlace::OnPart => (SlotAddress::OnPart, keep),
        KeepPlace::HoleCard => (numbers.card_for_part(fixing.part), keep),
        KeepPlace::Bag => (numbers.next_bag(), keep),
        KeepPlace::Tray => match trays.place_fixing(book, id) {
            Some((tray, number)) => (SlotAddress::in_tray(numbers.vehicle, tray, number), keep),
            None => (numbers.next_bag(), KeepPlace::Bag),
        },
    }
}

fn slot_line(fixing: &Fixing, slot: SlotAddress, keep: KeepPlace) -> SlotLine {
    SlotLine {
        fixing: fixing.key.clone(),
        slot,
        keep,
        count: fixing.holes.len() as u16,
        renewed: fixing.one_time,
        kind: fixing.kind,
        size: fixing.size_or_drive_words(),
        drive: fixing.drive,
    }
}
