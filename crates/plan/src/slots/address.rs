//! Neighbours: which compartments touch, and whether two fixings lie apart.

use model::plan::SlotLine;
use model::{KeepPlace, SlotAddress, Store, Tray};

/// Whether two compartments of a tray are one or touch, corners included; both numbered from 1 along the rows.
#[must_use]
pub fn compartments_touch(tray: &Tray, a: u32, b: u32) -> bool {
    let columns = u32::from(tray.columns).max(1);
    let place = |n: u32| ((n.max(1) - 1) / columns, (n.max(1) - 1) % columns);
    let ((row_a, column_a), (row_b, column_b)) = (place(a), place(b));
    row_a.abs_diff(row_b) <= 1 && column_a.abs_diff(column_b) <= 1
}

/// Tray and number of an address in a tray: of `A-T1-03` the tray `T1` and 3.
fn compartment_of_line<'s>(store: &'s Store, line: &SlotLine) -> Option<(&'s Tray, u32)> {
    let SlotAddress::Compartment { tray: name, number } = &line.slot else { return None };
    let ends = |t: &&Tray| name.strip_suffix(t.key.as_str()).is_some_and(|vehicle| vehicle.ends_with('-'));
    Some((store.trays.iter().find(ends)?, *number))
}

/// Whether the fasteners of two fixings lie in slots that do not touch.
///
/// A hole card holds each fastener in its own hole, and what stays in its hole or on its part is with it: those are apart
/// from everything. Old ones to be thrown away lie with each other only.
#[must_use]
pub fn kept_apart(store: &Store, a: &SlotLine, b: &SlotLine) -> bool {
    match (compartment_of_line(store, a), compartment_of_line(store, b)) {
        (Some((tray, n)), Some((other, m))) if tray.key == other.key => !compartments_touch(tray, n, m),
        _ => {
            a.slot != b.slot || matches!(a.keep, KeepPlace::HoleCard | KeepPlace::InHole | KeepPlace::OnPart)
        }
    }
}
