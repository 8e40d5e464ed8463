//! The compartments of the trays in rising order: which is next, what fits, and who lies beside whom.

use super::address::touch;
use super::{are_look_alikes, fits};
use model::{Book, Fixing, FixingId, Store, Tray};

/// A compartment in use: tray, number from 1, and whose fasteners lie in it.
#[derive(Debug, Clone, Copy)]
struct Taken {
    tray: usize,
    number: u32,
    fixing: FixingId,
}

/// All trays of a store, filled from the first compartment on.
#[derive(Debug)]
pub struct Trays<'s> {
    trays: &'s [Tray],
    taken: Vec<Taken>,
    /// Tray and number from which the next search starts.
    next: (usize, u32),
    /// Fixings still to be placed.
    to_come: usize,
}

impl<'s> Trays<'s> {
    /// Empty trays for so many fixings.
    pub fn new(store: &'s Store, to_come: usize) -> Self {
        Self { trays: &store.trays, taken: Vec::new(), next: (0, 1), to_come }
    }

    /// Takes the next compartment that fits and has no look-alike beside it; `None` sends the fixing into a bag.
    ///
    /// Passing compartments over costs places: it is done only while enough are left for all that is still to come.
    pub fn place(&mut self, book: &Book, id: FixingId) -> Option<(String, u32)> {
        self.to_come = self.to_come.saturating_sub(1);
        let fixing = book.fixing(id);
        let (tray, number) = self.find(book, fixing)?;
        self.taken.push(Taken { tray, number, fixing: id });
        self.next = (tray, number + 1);
        Some((self.trays[tray].key.clone(), number))
    }

    fn find(&self, book: &Book, fixing: &Fixing) -> Option<(usize, u32)> {
        let (first, from) = self.next;
        for (i, tray) in self.trays.iter().enumerate().skip(first) {
            let start = if i == first { from } else { 1 };
            let good = |n: &u32| fits(fixing, tray) && !self.beside_look_alike(book, fixing, i, *n);
            let Some(number) = (start..=cells(tray)).find(good) else { continue };
            let passed_over = (i, number) != self.next;
            let enough = self.left_behind(i, number) >= self.to_come;
            return (!passed_over || enough).then_some((i, number));
        }
        None
    }

    /// Compartments behind one.
    fn left_behind(&self, tray: usize, number: u32) -> usize {
        let later: u32 = self.trays[tray + 1..].iter().map(cells).sum();
        (cells(&self.trays[tray]).saturating_sub(number) + later) as usize
    }

    fn beside_look_alike(&self, book: &Book, fixing: &Fixing, tray: usize, number: u32) -> bool {
        self.taken
            .iter()
            .filter(|t| t.tray == tray && touch(&self.trays[tray], t.number, number))
            .any(|t| are_look_alikes(book.fixing(t.fixing), fixing))
    }
}

/// Number of compartments of a tray.
fn cells(tray: &Tray) -> u32 {
    u32::from(tray.rows) * u32::from(tray.columns)
}
