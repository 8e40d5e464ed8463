//! Clauses: "one of these has to be there", which every kit that satisfies a row obeys.
//!
//! A *blocker* of a row is a set of items that meets every alternative: without all of them the row is unsatisfied. A kit
//! satisfies the row exactly when it meets every blocker, so a row of "this and this, or that and that" is the same as a
//! list of plain clauses. There are too many to write down; one is made when a kit violates it.
//!
//! For a row with costs the alternatives up to a cost have blockers too; a clause for these may be bought off by a
//! *skip*: a column whose weight is the step to the row's next cost.

use std::collections::{BTreeMap, BTreeSet};

use super::kit_cover::{KitCover, KitRow};

/// Clauses over the items of a cover and the skips behind them.
#[derive(Debug, Clone, Default)]
pub struct KitClauses {
    /// Weight of each column: items first, then skips.
    pub weights: Vec<u64>,
    /// Columns of each clause, rising.
    pub clauses: BTreeSet<Vec<u32>>,
    /// Column of the skip past a level of a row.
    skips: BTreeMap<(usize, usize), u32>,
}

impl KitClauses {
    /// No clause yet.
    #[must_use]
    pub fn for_cover(cover: &KitCover) -> Self {
        Self { weights: cover.weights.clone(), ..Self::default() }
    }

    /// Adds what a kit violates, cheap rows included; returns the clauses that are new.
    pub fn add_violated(&mut self, cover: &KitCover, kit: &[bool]) -> Vec<Vec<u32>> {
        let mut new = Vec::new();
        for (r, row) in cover.rows.iter().enumerate() {
            self.add_row(r, row, kit, &mut new);
        }
        new
    }

    /// Adds the violated clauses of one row, level by level of its costs.
    fn add_row(&mut self, r: usize, row: &KitRow, kit: &[bool], new: &mut Vec<Vec<u32>>) {
        let reached = row.cost(kit);
        let levels = cost_levels(row);
        for (k, level) in levels.iter().enumerate() {
            if reached.is_some_and(|cost| cost <= *level) {
                return;
            }
            let mut clause = find_blocker(row, *level, kit);
            if let Some(next) = levels.get(k + 1) {
                clause.push(self.skip_column(r, k, next - level));
            }
            if self.clauses.insert(clause.clone()) {
                new.push(clause);
            }
        }
    }

    fn skip_column(&mut self, row: usize, level: usize, weight: u64) -> u32 {
        let weights = &mut self.weights;
        *self.skips.entry((row, level)).or_insert_with(|| {
            weights.push(weight);
            weights.len() as u32 - 1
        })
    }

    /// What every answer costs: the cheapest level of each row.
    #[must_use]
    pub fn cost_floor(cover: &KitCover) -> u64 {
        cover.fixed + cover.rows.iter().filter_map(|r| r.alternatives.first()).map(|a| a.cost).sum::<u64>()
    }
}

/// The costs of a row, rising, each once.
fn cost_levels(row: &KitRow) -> Vec<u64> {
    let mut levels: Vec<u64> = row.alternatives.iter().map(|a| a.cost).collect();
    levels.dedup();
    levels
}

/// A minimal set of items outside a kit that meets every alternative up to a cost; none of these lies in the kit.
fn find_blocker(row: &KitRow, level: u64, kit: &[bool]) -> Vec<u32> {
    let outside = |items: &[u32]| items.iter().copied().filter(|i| !kit[*i as usize]).collect::<Vec<u32>>();
    let mut open: Vec<Vec<u32>> =
        row.alternatives.iter().filter(|a| a.cost <= level).map(|a| outside(&a.items)).collect();
    let all = open.clone();
    let mut chosen = Vec::new();
    while let Some(item) = most_frequent(&open) {
        open.retain(|items| !items.contains(&item));
        chosen.push(item);
    }
    for at in (0..chosen.len()).rev() {
        let item = chosen[at];
        let spared = |items: &Vec<u32>| items.iter().any(|i| *i != item && chosen.contains(i));
        if all.iter().all(spared) {
            chosen.remove(at);
        }
    }
    chosen.sort_unstable();
    chosen
}

fn most_frequent(lists: &[Vec<u32>]) -> Option<u32> {
    let mut items: Vec<u32> = lists.iter().flatten().copied().collect();
    items.sort_unstable();
    let runs = items.chunk_by(|a, b| a == b);
    runs.max_by_key(|run| (run.len(), core::cmp::Reverse(run[0]))).map(|run| run[0])
}
