//! A bound from below by clauses: the cheapest columns that meet the clauses known so far are a bound for every kit.
//!
//! If they satisfy all rows they are a best kit; else each row that they leave open gives a clause that they violate. The
//! clauses alone are a set cover, and are solved as one. Ends, as a row has finitely many blockers.
//!
//! **Sources.** Logic-based Benders decomposition in the form of implicit hitting sets: E. Moreno-Centeno, R. M. Karp, "The
//! implicit hitting set approach to solve combinatorial optimization problems", Operations Research 61 (2013), 453-468.

use super::clause::KitClauses;
use super::part::KitSubproblem;
use crate::search::CoverSearch;
use crate::set::{self, SetCoverProblem};

/// Clauses of a root part.
pub struct HittingSetBound {
    part: KitSubproblem,
    clauses: KitClauses,
    kit: Vec<bool>,
    /// No kit costs less.
    pub bound: u64,
    /// Nothing more can come of it.
    pub is_done: bool,
}

impl HittingSetBound {
    /// Nothing known but what the part has proven.
    #[must_use]
    pub fn new(part: &KitSubproblem, bound: u64) -> Self {
        let kit = part.cover.empty_kit();
        Self { clauses: KitClauses::for_cover(&part.cover), part: part.clone(), kit, bound, is_done: false }
    }

    /// Rounds of clauses until so much work is spent, or the bound meets the best value.
    pub fn raise_bound(&mut self, search: &mut CoverSearch, visits: u64) {
        let until = search.visits().saturating_add(visits);
        while !self.is_done && !search.is_over() && search.visits() < until {
            if self.bound >= search.upper {
                self.is_done = true;
                return;
            }
            if !self.grow_clauses(search) {
                self.is_done = true;
                return;
            }
            self.meet_clauses(search, until - search.visits().min(until));
        }
    }

    /// Adds violated clauses, and those of kits made to meet the new ones; false if there is none.
    fn grow_clauses(&mut self, search: &mut CoverSearch) -> bool {
        let cover = &self.part.cover;
        let mut kit = self.kit.clone();
        let mut grew = false;
        loop {
            search.spend_visits(8 * cover.entries());
            let new = self.clauses.add_violated(cover, &kit);
            if new.is_empty() {
                return grew;
            }
            grew = true;
            meet_greedily(&new, &mut kit, &self.clauses.weights);
        }
    }

    /// Solves the clauses as a set cover.
    fn meet_clauses(&mut self, search: &mut CoverSearch, visits: u64) {
        let rows: Vec<Vec<u32>> = self.clauses.clauses.iter().cloned().collect();
        let Ok(problem) = SetCoverProblem::new(self.clauses.weights.clone(), &rows) else {
            self.is_done = true;
            return;
        };
        let floor = KitClauses::cost_floor(&self.part.cover);
        let mut child = search.child_search(visits);
        child.upper = search.upper.saturating_sub(floor);
        let bound = set::search_set_cover(&problem, &mut child);
        let chosen = child.best.take();
        search.join_child(&child);
        self.bound = self.bound.max(floor.saturating_add(bound)).min(search.upper);
        let Some(chosen) = chosen else { return };
        self.kit.fill(false);
        for column in chosen {
            if let Some(has) = self.kit.get_mut(column as usize) {
                *has = true;
            }
        }
        offer_subproblem_kit(&self.part, &self.kit, search);
    }
}

/// Offers a kit of a part, if it is one.
fn offer_subproblem_kit(part: &KitSubproblem, kit: &[bool], search: &mut CoverSearch) {
    if let Some(value) = part.cover.value(kit) {
        let mut all = part.taken.clone();
        all.extend(part.names.iter().zip(kit).filter(|(_, has)| **has).map(|(name, _)| *name));
        search.offer_answer(&all, value);
    }
}

/// Puts items in until each clause that can be met by items is met: the one asked for most often by its weight first.
fn meet_greedily(clauses: &[Vec<u32>], kit: &mut [bool], weights: &[u64]) {
    let mut open: Vec<&Vec<u32>> = clauses.iter().collect();
    loop {
        let mut items: Vec<u32> =
            open.iter().flat_map(|c| c.iter().copied()).filter(|i| (*i as usize) < kit.len()).collect();
        items.sort_unstable();
        let rated = items.chunk_by(|a, b| a == b).map(|run| {
            let weight = weights[run[0] as usize].max(1) as f64;
            (run.len() as f64 / weight, run[0])
        });
        let Some((_, item)) = rated.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1))) else { return };
        kit[item as usize] = true;
        open.retain(|c| !c.contains(&item));
    }
}
