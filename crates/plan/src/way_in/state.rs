//! The book as items with needs: parts first, then conditions.

use std::collections::BTreeSet;

use model::{Book, ConditionId, Need, PartId};

use super::estimate;
use crate::scope::is_access_open;

/// The way taken of each part, by position; `None` while it is open or where there are no ways.
pub(super) type WaysTaken = Vec<Option<u16>>;

/// A way that can be taken, by its position on the part.
#[derive(Debug, Clone)]
pub(crate) struct WayInItemWay {
    pub(crate) way: u16,
    pub(crate) needs: Vec<usize>,
}

/// Parts and conditions with what they need.
#[derive(Debug)]
pub(super) struct WayInItems {
    pub(super) needs: Vec<Vec<usize>>,
    /// Ways by part; empty where there is nothing to choose.
    pub(super) ways: Vec<Vec<WayInItemWay>>,
    pub(super) cost_s: Vec<f64>,
}

/// The item of a need.
pub(crate) fn item_of(book: &Book, need: Need) -> usize {
    match need {
        Need::Off(part) => part.index(),
        Need::Condition(condition) => book.parts.len() + condition.index(),
    }
}

impl WayInItems {
    pub(super) fn new(book: &Book) -> Self {
        let as_items = |needs: &[Need]| needs.iter().map(|n| item_of(book, *n)).collect::<Vec<_>>();
        let of_parts = book.parts.iter().map(|p| as_items(&p.needs));
        let of_conditions = book.conditions.iter().map(|c| as_items(&c.needs));
        let parts_s = book.part_ids().map(|p| estimate::part_s(book, p));
        let conditions_s =
            (0..book.conditions.len()).map(|c| estimate::condition_s(book, ConditionId::new(c)));
        Self {
            needs: of_parts.chain(of_conditions).collect(),
            ways: usable_ways(book).collect(),
            cost_s: parts_s.chain(conditions_s).collect(),
        }
    }

    /// What the ways pull in, besides an item's own needs.
    pub(super) fn way_needs(&self, item: usize, ways: &WaysTaken) -> &[usize] {
        let taken = ways.get(item).copied().flatten();
        let of_item = self.ways.get(item).map_or(&[][..], |w| w);
        of_item.iter().find(|w| Some(w.way) == taken).map_or(&[], |w| &w.needs)
    }

    /// Everything that some items pull in, by the ways taken so far.
    pub(super) fn closure_of(&self, wanted: &[usize], ways: &WaysTaken) -> Vec<bool> {
        let mut inside = vec![false; self.needs.len()];
        self.pull_in(&mut inside, wanted, ways);
        inside
    }

    /// Adds what some items pull in; gives the cost of what is new.
    pub(super) fn pull_in(&self, inside: &mut [bool], wanted: &[usize], ways: &WaysTaken) -> f64 {
        let mut added_s = 0.0;
        let mut open: Vec<usize> = wanted.to_vec();
        while let Some(item) = open.pop() {
            if !inside[item] {
                inside[item] = true;
                added_s += self.cost_s[item];
                open.extend(self.needs[item].iter().chain(self.way_needs(item, ways)));
            }
        }
        added_s
    }

    /// Whether needs and ways taken close a circle among some items.
    pub(super) fn has_circle(&self, inside: &[bool], ways: &WaysTaken) -> bool {
        // Items whose needs are all met are taken away until nothing is left, or a circle.
        let mut waits: Vec<usize> = vec![0; self.needs.len()];
        let mut wanted_by: Vec<Vec<usize>> = vec![Vec::new(); self.needs.len()];
        for item in (0..self.needs.len()).filter(|i| inside[*i]) {
            let needs: BTreeSet<usize> =
                self.needs[item].iter().chain(self.way_needs(item, ways)).copied().collect();
            waits[item] = needs.len();
            needs.into_iter().for_each(|n| wanted_by[n].push(item));
        }
        let mut free: Vec<usize> = (0..self.needs.len()).filter(|i| inside[*i] && waits[*i] == 0).collect();
        let mut met = 0;
        while let Some(item) = free.pop() {
            met += 1;
            for by in &wanted_by[item] {
                waits[*by] -= 1;
                if waits[*by] == 0 {
                    free.push(*by);
                }
            }
        }
        met < inside.iter().filter(|i| **i).count()
    }
}

/// The ways of each part on which every hole of its fixings can be got at; all of them if there is no such way, so that
/// the scope can name the hole.
pub(crate) fn usable_ways(book: &Book) -> impl Iterator<Item = Vec<WayInItemWay>> + '_ {
    book.part_ids().map(|part| {
        let all = book.part(part).ways.iter().enumerate().map(|(at, way)| WayInItemWay {
            way: at as u16,
            needs: way.needs.iter().map(|n| item_of(book, *n)).collect(),
        });
        let all: Vec<WayInItemWay> = all.collect();
        let usable: Vec<WayInItemWay> =
            all.iter().filter(|w| opens_all(book, part, w.way)).cloned().collect();
        if usable.is_empty() { all } else { usable }
    })
}

fn opens_all(book: &Book, part: PartId, way: u16) -> bool {
    book.fixings_of(part).map(|f| book.fixing(f)).all(|fixing| {
        let served = |hole: u16| {
            fixing.accesses.iter().any(|a| is_access_open(a, Some(way)) && a.holes.contains(&hole))
        };
        (0..fixing.holes.len() as u16).all(served)
    })
}
