//! The trays while they fill up: which compartment comes next, and which must stay empty.

use std::collections::BTreeSet;

use model::{Book, FixingId, SlotAddress, Store, Tray};

use super::address::compartments_touch;
use super::alike::are_look_alikes;
use super::beside::CompartmentsInUse;
use super::fit::fits_compartment;

/// Trays with what lies in them.
pub struct TrayFilling<'s> {
    store: &'s Store,
    /// Trays and compartments of other vehicles.
    in_use: BTreeSet<(usize, u32)>,
    /// Last compartment used of each tray.
    last: Vec<u32>,
    /// Tray, compartment and what lies there.
    placed: Vec<(usize, u32, FixingId)>,
    /// Fixings still to come that need a compartment.
    to_come: usize,
}

impl<'s> TrayFilling<'s> {
    /// Trays with nothing of this vehicle in them, and how many fixings will need a compartment.
    #[must_use]
    pub fn new((store, in_use): (&'s Store, &CompartmentsInUse), to_come: usize) -> Self {
        let place = |(key, number): &(String, u32)| {
            store.trays.iter().position(|tray| tray.key == *key).map(|at| (at, *number))
        };
        let in_use = in_use.iter().filter_map(place).collect();
        Self { store, in_use, last: vec![0; store.trays.len()], placed: Vec::new(), to_come }
    }

    /// Notes what lies in a compartment already.
    pub fn keep_place(&mut self, slot: &SlotAddress, id: FixingId) {
        let SlotAddress::Compartment { tray, number } = slot else { return };
        let is_it = |own: &Tray| tray.strip_suffix(own.key.as_str()).is_some_and(|rest| rest.ends_with('-'));
        if let Some(at) = self.store.trays.iter().position(is_it) {
            self.last[at] = self.last[at].max(*number);
            self.placed.push((at, *number, id));
        }
    }

    /// The tray's key and the compartment's number for a fixing; `None` if it has to go elsewhere.
    pub fn place_fixing(&mut self, book: &Book, id: FixingId) -> Option<(&'s str, u32)> {
        self.to_come = self.to_come.saturating_sub(1);
        let store = self.store;
        let mut fitting =
            (0..store.trays.len()).filter(|t| fits_compartment(book.fixing(id), &store.trays[*t]));
        let (tray, number) = fitting.find_map(|t| Some((t, self.next_compartment(book, id, t)?)))?;
        self.last[tray] = number;
        self.placed.push((tray, number, id));
        Some((&store.trays[tray].key, number))
    }

    /// The next compartment of a tray that touches no look-alike and leaves enough for what is still to come.
    fn next_compartment(&self, book: &Book, id: FixingId, tray: usize) -> Option<u32> {
        let number = self.free_of_tray(tray).find(|n| !self.touches_look_alike(book, id, tray, *n))?;
        let left_empty = self.free_of_tray(tray).take_while(|n| *n < number).count();
        (left_empty == 0 || self.to_come + 1 + left_empty <= self.free_compartments()).then_some(number)
    }

    fn tray_size(&self, tray: usize) -> u32 {
        u32::from(self.store.trays[tray].rows) * u32::from(self.store.trays[tray].columns)
    }

    /// Compartments of a tray behind the last used one that no other vehicle has.
    fn free_of_tray(&self, tray: usize) -> impl Iterator<Item = u32> {
        (self.last[tray] + 1..=self.tray_size(tray)).filter(move |n| !self.in_use.contains(&(tray, *n)))
    }

    /// The same of all trays.
    fn free_compartments(&self) -> usize {
        (0..self.last.len()).map(|t| self.free_of_tray(t).count()).sum()
    }

    fn touches_look_alike(&self, book: &Book, id: FixingId, tray: usize, number: u32) -> bool {
        let near = |(t, n, _): &&(usize, u32, FixingId)| {
            *t == tray && compartments_touch(&self.store.trays[tray], *n, number)
        };
        self.placed
            .iter()
            .filter(near)
            .any(|(_, _, other)| are_look_alikes(book.fixing(id), book.fixing(*other)))
    }
}
