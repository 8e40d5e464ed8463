//! Local search on kits: take a few items out, cover the rows that opened, drop what became needless; keep what is no worse.
//!
//! Rows are covered in random order by the alternative that asks for least: its cost and the weights of its missing items,
//! less what the relaxation has the rows pay toward them, times a random factor. Where rows have costs, a step may also
//! make one row cheaper. A step that ends more expensive than it began is undone.

use super::kit_cover::KitCover;
use super::relaxed::KitRelaxation;
use super::state::KitState;
use crate::search::CoverSearch;
use crate::tree;

/// Maximum number of items taken out in one step.
const MAX_TAKEN_OUT: usize = 4;
/// A broken cap costs this share of all weights for each unit (assumption: more than any item is worth).
const RANDOM_SPREAD: usize = 64;

/// A step may end more expensive than the best so far by this part of it (assumption, from trials).
const SLACK_DIVISOR: u64 = 150;

/// State of the search over one cover.
pub struct KitLocalSearch {
    fixed: u64,
    /// What an item counts when rows are covered, and what it weighs for the order of dropping.
    pub wanted: Vec<u64>,
    state: KitState,
    /// Items put in and taken out in this step, to be undone.
    done: Vec<(u32, bool)>,
    barred: Vec<bool>,
    over_weight: u64,
    has_costs: bool,
    /// Least measure so far.
    record: u64,
}

impl KitLocalSearch {
    /// A kit built row by row.
    #[must_use]
    pub fn new(cover: &KitCover, search: &mut CoverSearch) -> Self {
        let mut local = Self {
            fixed: cover.fixed,
            wanted: cover.weights.clone(),
            state: KitState::new(cover),
            done: Vec::new(),
            barred: cover.empty_kit(),
            over_weight: cover.above_all(),
            has_costs: cover.rows.iter().any(|r| !r.is_free()),
            record: u64::MAX,
        };
        local.mend_rows(search);
        local.drop_needless(search);
        local
    }

    /// What the search offers: the kit and its value, with what is fixed.
    #[must_use]
    pub fn kit(&self) -> (&[bool], u64) {
        (self.state.kit(), self.fixed + self.state.value())
    }

    /// Starts again from another kit at other prices: items that rows pay in full, then covered.
    pub fn restart_from(
        &mut self,
        relaxed: &KitRelaxation,
        chosen: impl Fn(u32) -> bool,
        search: &mut CoverSearch,
    ) {
        for (wanted, rest) in self.wanted.iter_mut().zip(&relaxed.rest_cost) {
            *wanted = (rest.max(0.0).round() as u64).max(*wanted / 16);
        }
        for item in 0..self.state.len() as u32 {
            match (self.state.has(item), chosen(item)) {
                (false, true) => self.state.put_in(item, search),
                (true, false) => self.state.take_out(item, search),
                _ => {}
            }
        }
        self.mend_rows(search);
        self.drop_needless(search);
    }

    /// The value with broken caps and open rows held against it.
    fn penalised_value(&self) -> u64 {
        let open = self.state.open_rows().len() as u64;
        let broken = self.state.cap_excess().saturating_add(open).saturating_mul(self.over_weight);
        self.state.value().saturating_add(broken)
    }

    fn put_in(&mut self, item: u32, search: &mut CoverSearch) {
        self.state.put_in(item, search);
        self.done.push((item, true));
    }

    fn take_out(&mut self, item: u32, search: &mut CoverSearch) {
        self.state.take_out(item, search);
        self.done.push((item, false));
    }

    /// Covers open rows in random order until none is open or none can be covered.
    fn mend_rows(&mut self, search: &mut CoverSearch) {
        while !self.state.open_rows().is_empty() {
            let row = self.state.open_rows()[search.below(self.state.open_rows().len())] as usize;
            let Some(alternative) = self.cheapest_to_mend(row, search) else { return };
            let items: Vec<u32> = self.state.lacking_items(alternative).collect();
            items.into_iter().for_each(|item| self.put_in(item, search));
        }
    }

    fn cheapest_to_mend(&self, row: usize, search: &mut CoverSearch) -> Option<u32> {
        let mut least = None;
        for alternative in self.state.alternatives_of(row) {
            search.spend_visits(4);
            if self.state.lacking_items(alternative).any(|i| self.barred[i as usize]) {
                continue;
            }
            let asked: u64 = self.state.lacking_items(alternative).map(|i| self.wanted[i as usize]).sum();
            let spread = (RANDOM_SPREAD + search.below(RANDOM_SPREAD)) as u64;
            let cost = asked.saturating_add(self.state.alternative_cost(alternative)).saturating_mul(spread);
            if least.is_none_or(|(c, _)| cost < c) {
                least = Some((cost, alternative));
            }
        }
        least.map(|(_, alternative)| alternative)
    }

    /// Drops items whose absence does not raise the measure, in random order.
    fn drop_needless(&mut self, search: &mut CoverSearch) {
        let mut items: Vec<u32> = (0..self.state.len() as u32).filter(|i| self.state.has(*i)).collect();
        for at in (1..items.len()).rev() {
            let other = search.below(at + 1);
            items.swap(at, other);
        }
        for item in items {
            self.drop_if_needless(item, search);
        }
    }

    fn drop_if_needless(&mut self, item: u32, search: &mut CoverSearch) {
        if self.state.has(item) && self.state.is_needless(item, search) {
            self.take_out(item, search);
        }
    }

    /// Takes a few items out that are in the same rows, and bars them.
    fn break_up(&mut self, search: &mut CoverSearch) -> Vec<u32> {
        let most = 1 + search.below(MAX_TAKEN_OUT);
        let mut out = Vec::new();
        let mut from = search.below(self.state.len()) as u32;
        for _ in 0..8 * MAX_TAKEN_OUT {
            if self.state.has(from) {
                self.take_out(from, search);
                self.barred[from as usize] = search.below(4) > 0;
                out.push(from);
            }
            if out.len() >= most {
                break;
            }
            from = self.draw_neighbour(from, search);
        }
        out
    }

    /// A random item that shares a row with another; now and then any item.
    fn draw_neighbour(&self, item: u32, search: &mut CoverSearch) -> u32 {
        let places = self.state.places_of(item);
        if places.is_empty() || search.below(4) == 0 {
            return search.below(self.state.len()) as u32;
        }
        let row = self.state.row_of(places[search.below(places.len())]);
        let all = self.state.alternatives_of(row);
        let alternative = all.start + search.below(all.len()) as u32;
        let items = self.state.items_of(alternative);
        if items.is_empty() { item } else { items[search.below(items.len())] }
    }

    /// Makes a row cheaper by putting in what a cheaper alternative lacks.
    fn cheapen_row(&mut self, search: &mut CoverSearch) {
        let row = search.below(self.state.row_count());
        let Some(now) = self.state.row_cost(row) else { return };
        let all = self.state.alternatives_of(row);
        let alternative = all.start + search.below(all.len()) as u32;
        if self.state.alternative_cost(alternative) < now {
            let items: Vec<u32> = self.state.lacking_items(alternative).collect();
            items.into_iter().for_each(|item| self.put_in(item, search));
        }
    }

    /// One step: change, cover, drop, and back if that was worse.
    fn make_step(&mut self, search: &mut CoverSearch) {
        self.done.clear();
        let before = self.penalised_value();
        self.record = self.record.min(before);
        if self.has_costs && search.below(3) == 0 {
            self.cheapen_row(search);
        }
        let out = self.break_up(search);
        self.mend_rows(search);
        out.iter().for_each(|i| self.barred[*i as usize] = false);
        self.mend_rows(search);
        self.drop_near(search);
        if self.penalised_value() > before.max(self.record + self.record / SLACK_DIVISOR) {
            self.undo_step(search);
        }
    }

    /// Drops what became needless near the items put in during this step.
    fn drop_near(&mut self, search: &mut CoverSearch) {
        let mut near: Vec<u32> = Vec::new();
        let mut seen = vec![false; self.state.len()];
        let mut add = |alternative: u32| {
            let kept = self.state.items_of(alternative).iter().filter(|i| self.state.has(**i));
            near.extend(kept.filter(|i| !core::mem::replace(&mut seen[**i as usize], true)));
        };
        let put = self.done.iter().filter(|(_, was_put)| *was_put).map(|(item, _)| *item);
        for item in put.collect::<Vec<u32>>() {
            for place in self.state.places_of(item) {
                add(*place);
                let row = self.state.row_of(*place);
                for other in self.state.alternatives_of(row) {
                    add(other);
                    search.spend_visits(2);
                }
            }
        }
        near.sort_unstable();
        if !near.is_empty() {
            let turn = search.below(near.len());
            near.rotate_left(turn);
        }
        for item in near {
            self.drop_if_needless(item, search);
        }
    }

    fn undo_step(&mut self, search: &mut CoverSearch) {
        while let Some((item, was_put)) = self.done.pop() {
            if was_put {
                self.state.take_out(item, search);
            } else {
                self.state.put_in(item, search);
            }
        }
    }

    /// Offers the kit under the names of the items, with what was taken before.
    pub fn offer_kit(&self, names: &[u32], taken: &[u32], search: &mut CoverSearch) {
        let (kit, value) = self.kit();
        if self.state.open_rows().is_empty() && self.state.cap_excess() == 0 && value < search.upper {
            let mut chosen = taken.to_vec();
            chosen.extend(names.iter().zip(kit).filter(|(_, has)| **has).map(|(name, _)| *name));
            search.offer_answer(&chosen, value);
        }
    }
}

/// A local search with the names of its items.
pub struct NamedKitSearch {
    /// The search.
    pub local: KitLocalSearch,
    /// Number in the whole of each item.
    pub names: Vec<u32>,
    /// Items of the whole that are in every kit.
    pub taken: Vec<u32>,
}

impl tree::LocalImprover for NamedKitSearch {
    fn improve_answer(&mut self, search: &mut CoverSearch, steps: u64) {
        for _ in 0..steps {
            if search.is_over() {
                return;
            }
            self.local.make_step(search);
            self.local.offer_kit(&self.names, &self.taken, search);
        }
    }
}
