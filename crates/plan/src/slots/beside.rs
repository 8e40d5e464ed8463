//! Compartments beside other vehicles: a plan's slots laid anew so that none is in a compartment that another open visit has.

use std::collections::BTreeSet;

use model::plan::{Plan, SlotLine};
use model::{Book, FixingId, Store};

use super::fill_slots;
use crate::{make, mix_up};

/// Compartments that other visits have: the tray's key and the number.
pub type CompartmentsInUse = BTreeSet<(String, u32)>;

/// Lays the slots of a plan anew where one of them is in a compartment of another visit, with the steps and mix-ups that name them;
/// what has its slot in `kept` stays where it is. Says whether anything was moved.
pub fn lay_slots_beside(
    (book, store): (&Book, &Store),
    plan: &mut Plan,
    kept: &[SlotLine],
    in_use: &CompartmentsInUse,
) -> bool {
    let is_kept = |line: &SlotLine| kept.iter().any(|kept| kept.fixing == line.fixing);
    let clashes = |line: &SlotLine| {
        let mut of_trays = store.trays.iter();
        of_trays.any(|tray| {
            let number = line.slot.compartment_of(&plan.asked.vehicle, &tray.key);
            number.is_some_and(|number| in_use.contains(&(tray.key.clone(), number)))
        })
    };
    if !plan.slots.iter().any(|line| !is_kept(line) && clashes(line)) {
        return false;
    }
    let order: Vec<FixingId> =
        plan.slots.iter().filter_map(|line| book.fixing_by_key(&line.fixing)).collect();
    let vehicle = plan.asked.vehicle.clone();
    plan.slots = fill_slots(book, (store, in_use), order, (&vehicle, kept));
    mix_up::renew_kept_apart(book, store, plan);
    make::address_steps(plan);
    true
}
