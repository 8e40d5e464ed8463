//! A kit that can be changed item by item, with the cost of every row kept up to date.

use super::kit_cover::KitCover;
use crate::lists::NumberLists;
use crate::search::CoverSearch;

/// No alternative of the row is whole.
const OPEN: u32 = u32::MAX;

/// The cover in both directions, and a kit in it.
#[derive(Debug, Clone)]
pub struct KitState {
    weights: Vec<u64>,
    /// Cost and row of each alternative; those of one row lie together, cheapest first.
    costs: Vec<u64>,
    row_of: Vec<u32>,
    firsts: Vec<u32>,
    items: NumberLists,
    places: NumberLists,
    caps: Vec<(Vec<u64>, u64, u64)>,
    inside: Vec<bool>,
    missing: Vec<u32>,
    best: Vec<u32>,
    open: Vec<u32>,
    place_of_open: Vec<u32>,
    value: u64,
    over: u64,
}

impl KitState {
    /// The empty kit.
    #[must_use]
    pub fn new(cover: &KitCover) -> Self {
        let all = || cover.rows.iter().flat_map(|r| &r.alternatives);
        let items = NumberLists::from_lists(all().map(|a| a.items.iter().copied()));
        let mut firsts = vec![0];
        let mut row_of = Vec::new();
        for (row, r) in (0..).zip(&cover.rows) {
            row_of.extend(r.alternatives.iter().map(|_| row));
            firsts.push(row_of.len() as u32);
        }
        let rows = cover.rows.len();
        let mut state = Self {
            weights: cover.weights.clone(),
            costs: all().map(|a| a.cost).collect(),
            row_of,
            firsts,
            places: items.transposed(cover.weights.len()),
            caps: cover.caps.iter().map(|cap| (cap.amounts.clone(), cap.most, 0)).collect(),
            inside: cover.empty_kit(),
            missing: items.iter().map(|items| items.len() as u32).collect(),
            items,
            best: vec![OPEN; rows],
            open: (0..rows as u32).collect(),
            place_of_open: (0..rows as u32).collect(),
            value: 0,
            over: 0,
        };
        (0..rows).for_each(|row| state.look_again(row));
        state
    }

    /// Rows without a whole alternative.
    #[must_use]
    pub fn open_rows(&self) -> &[u32] {
        &self.open
    }

    /// Weight of the kit and cost of the rows that are done.
    #[must_use]
    pub const fn value(&self) -> u64 {
        self.value
    }

    /// By how much the caps are broken, all together.
    #[must_use]
    pub const fn cap_excess(&self) -> u64 {
        self.over
    }

    /// Whether an item is in the kit.
    #[must_use]
    pub fn has(&self, item: u32) -> bool {
        self.inside[item as usize]
    }

    /// The kit.
    #[must_use]
    pub fn kit(&self) -> &[bool] {
        &self.inside
    }

    /// Items that could be in it.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.inside.len()
    }

    /// Rows.
    #[must_use]
    pub const fn row_count(&self) -> usize {
        self.best.len()
    }

    /// The alternatives of a row, cheapest first.
    #[must_use]
    pub fn alternatives_of(&self, row: usize) -> core::ops::Range<u32> {
        self.firsts[row]..self.firsts[row + 1]
    }

    /// The alternatives that hold an item.
    #[must_use]
    pub fn places_of(&self, item: u32) -> &[u32] {
        self.places.get(item as usize)
    }

    /// The row of an alternative.
    #[must_use]
    pub fn row_of(&self, alternative: u32) -> usize {
        self.row_of[alternative as usize] as usize
    }

    /// Items of an alternative.
    #[must_use]
    pub fn items_of(&self, alternative: u32) -> &[u32] {
        self.items.get(alternative as usize)
    }

    /// Items of an alternative that the kit lacks.
    pub fn lacking_items(&self, alternative: u32) -> impl Iterator<Item = u32> + '_ {
        self.items.get(alternative as usize).iter().copied().filter(|i| !self.has(*i))
    }

    /// Cost of an alternative.
    #[must_use]
    pub fn alternative_cost(&self, alternative: u32) -> u64 {
        self.costs[alternative as usize]
    }

    /// What the row costs now; `None` where it is open.
    #[must_use]
    pub fn row_cost(&self, row: usize) -> Option<u64> {
        (self.best[row] != OPEN).then(|| self.alternative_cost(self.best[row]))
    }

    /// Whether the kit without an item of it costs no more; caps only gain by it.
    #[must_use]
    pub fn is_needless(&self, item: u32, search: &mut CoverSearch) -> bool {
        let mut more = 0;
        for (at, alternative) in self.places_of(item).iter().enumerate() {
            let row = self.row_of(*alternative);
            if self.best[row] != *alternative {
                continue;
            }
            let whole = |a: &u32| self.missing[*a as usize] == 0 && !self.items_of(*a).contains(&item);
            let Some(next) = self.alternatives_of(row).find(whole) else {
                search.spend_visits(at + 1);
                return false;
            };
            more += self.alternative_cost(next) - self.alternative_cost(*alternative);
            if more > self.weights[item as usize] {
                search.spend_visits(at + 1);
                return false;
            }
        }
        search.spend_visits(self.places_of(item).len());
        true
    }

    /// Puts an item in.
    pub fn put_in(&mut self, item: u32, search: &mut CoverSearch) {
        self.inside[item as usize] = true;
        self.value += self.weights[item as usize];
        for (amounts, most, now) in &mut self.caps {
            let before = now.saturating_sub(*most);
            *now += amounts[item as usize];
            self.over += now.saturating_sub(*most) - before;
        }
        search.spend_visits(self.places.get(item as usize).len());
        for at in 0..self.places.get(item as usize).len() {
            let alternative = self.places.get(item as usize)[at];
            self.missing[alternative as usize] -= 1;
            if self.missing[alternative as usize] == 0 {
                self.settle_row(alternative);
            }
        }
    }

    /// Takes an item out.
    pub fn take_out(&mut self, item: u32, search: &mut CoverSearch) {
        self.inside[item as usize] = false;
        self.value -= self.weights[item as usize];
        for (amounts, most, now) in &mut self.caps {
            let before = now.saturating_sub(*most);
            *now -= amounts[item as usize];
            self.over -= before - now.saturating_sub(*most);
        }
        search.spend_visits(self.places.get(item as usize).len());
        for at in 0..self.places.get(item as usize).len() {
            let alternative = self.places.get(item as usize)[at];
            self.missing[alternative as usize] += 1;
            let row = self.row_of[alternative as usize] as usize;
            if self.best[row] == alternative {
                self.value -= self.costs[alternative as usize];
                self.best[row] = OPEN;
                self.place_of_open[row] = self.open.len() as u32;
                self.open.push(row as u32);
                self.look_again(row);
            }
        }
    }

    /// An alternative has become whole.
    fn settle_row(&mut self, alternative: u32) {
        let row = self.row_of[alternative as usize] as usize;
        let now = self.best[row];
        if now == OPEN {
            let at = self.place_of_open[row] as usize;
            self.open.swap_remove(at);
            if let Some(moved) = self.open.get(at) {
                self.place_of_open[*moved as usize] = at as u32;
            }
        } else if self.alternative_cost(alternative) < self.alternative_cost(now) {
            self.value -= self.alternative_cost(now);
        } else {
            return;
        }
        self.best[row] = alternative;
        self.value += self.alternative_cost(alternative);
    }

    /// Finds the cheapest whole alternative of an open row.
    fn look_again(&mut self, row: usize) {
        let whole = self.alternatives_of(row).find(|a| self.missing[*a as usize] == 0);
        if let Some(alternative) = whole {
            self.settle_row(alternative);
        }
    }
}
