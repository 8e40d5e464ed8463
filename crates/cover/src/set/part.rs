//! A subproblem of the set cover's tree: what is left of the matrix, with prices, and the columns taken so far.

use super::reduce::{
    KeptMatrix, SetCoverMatrix, drop_dominated_columns, drop_implied_rows, take_forced_columns,
};
use super::relaxed::{SetRelaxation, first_prices};
use super::{SetCoverProblem, greedy};
use crate::lists::NumberLists;
use crate::search::{CoverSearch, whole_bound};
use crate::tree;
use crate::volume::VolumeAscent;

/// Steps of the volume method at the root, and in a part below it.
const ROOT_STEPS: u32 = 1500;
const PART_STEPS: u32 = 100;
/// Factor of the first step at the root and in a part.
const ROOT_FACTOR: f64 = 0.1;
const PART_FACTOR: f64 = 0.5;
/// Steps between two greedy covers at the root.
const GREEDY_EVERY: u32 = 15;
/// Rounds of ascent and reduction in one part, while each takes away a tenth of the columns.
const MAX_SET_ROUNDS: u32 = 4;
const WORTH_A_ROUND_FRACTION: f64 = 0.9;

/// What is left to decide, and what was decided on the way.
#[derive(Debug, Clone)]
pub struct SetSubproblem {
    /// What is left.
    pub matrix: SetCoverMatrix,
    /// Numbers of its columns in the whole problem.
    pub names: Vec<u32>,
    /// Columns of the whole problem taken on the way.
    pub taken: Vec<u32>,
    /// Their cost.
    pub paid: u64,
    price_cost: Vec<f64>,
    mean_share: Vec<f64>,
    bound: u64,
    is_root: bool,
}

/// The root after its ascent; `None` where the best answer is proven already.
pub fn set_root(problem: &SetCoverProblem, search: &mut CoverSearch) -> Option<SetSubproblem> {
    let matrix = SetCoverMatrix::new(problem.costs.clone(), problem.rows.clone());
    let part = SetSubproblem {
        names: (0..problem.costs.len() as u32).collect(),
        price_cost: first_prices(&matrix),
        mean_share: Vec::new(),
        matrix,
        taken: Vec::new(),
        paid: 0,
        bound: 0,
        is_root: true,
    };
    let mut root = tree::TreeSubproblem::tightened(part, search)?;
    root.is_root = false;
    Some(root)
}

impl SetSubproblem {
    /// Offers columns of this part together with those taken.
    pub fn offer_columns(&self, columns: &[u32], cost: u64, search: &mut CoverSearch) {
        if self.paid + cost < search.upper {
            let mut all = self.taken.clone();
            all.extend(columns.iter().map(|j| self.names[*j as usize]));
            search.offer_answer(&all, self.paid + cost);
        }
    }

    /// The part after the exact reductions; `None` where it has no cover.
    fn after_reductions(mut self, search: &mut CoverSearch) -> Option<Self> {
        loop {
            let mut kept = KeptMatrix::whole_matrix(&self.matrix);
            if !take_forced_columns(&self.matrix, &mut kept) {
                return None;
            }
            if !kept.changed {
                drop_implied_rows(&self.matrix, &mut kept, search);
                drop_dominated_columns(&self.matrix, &mut kept, search);
            }
            search.spend_visits(self.matrix.rows.entry_count());
            if !kept.changed {
                return Some(self);
            }
            self = self.restricted_to(&kept);
        }
    }

    /// What is left of the part, numbered anew.
    fn restricted_to(mut self, kept: &KeptMatrix) -> Self {
        self.taken.extend(kept.taken.iter().map(|j| self.names[*j as usize]));
        self.paid += kept.taken.iter().map(|j| self.matrix.costs[*j as usize]).sum::<u64>();
        let number = number_kept(&kept.columns);
        let rows = self.matrix.rows.iter().zip(&kept.rows).filter(|(_, keep)| **keep);
        let renamed = |row: &[u32]| -> Vec<u32> {
            row.iter().filter(|j| kept.columns[**j as usize]).map(|j| number[*j as usize]).collect()
        };
        let rows = NumberLists::from_lists(rows.map(|(row, _)| renamed(row)));
        self.matrix = SetCoverMatrix::new(select_kept(&self.matrix.costs, &kept.columns), rows);
        self.names = select_kept(&self.names, &kept.columns);
        self.mean_share = select_kept(&self.mean_share, &kept.columns);
        self.price_cost = select_kept(&self.price_cost, &kept.rows);
        self
    }

    /// Raises the bound; returns the fixing that it allows, or `None` where the part is done.
    fn raise_and_fix(&mut self, search: &mut CoverSearch) -> Option<KeptMatrix> {
        let most = if self.is_root { ROOT_STEPS } else { PART_STEPS };
        let factor = if self.is_root { ROOT_FACTOR } else { PART_FACTOR };
        let mut volume = VolumeAscent::from_centre(core::mem::take(&mut self.price_cost), factor);
        let mut relaxed = SetRelaxation::default();
        let mut trial = Vec::new();
        for step in 0..most {
            let target = search.upper.saturating_sub(self.paid) as f64;
            if search.is_over() || !volume.next_trial(target, &mut trial) {
                break;
            }
            let bound = relaxed.evaluate_bound(&self.matrix, &trial);
            let newest = volume.take_evaluation(&trial, bound, &relaxed.slope_share);
            self.update_mean(&relaxed, newest);
            search.spend_visits(self.matrix.rows.entry_count());
            if (self.is_root && step % GREEDY_EVERY == 0) || step + 1 == most {
                let (cover, cost) =
                    greedy::build_greedy_cover(&self.matrix, &relaxed.reduced_cost, &trial, search);
                self.offer_columns(&cover, cost, search);
            }
            if self.bound_reached(volume.bound_cost) >= search.upper {
                return None;
            }
        }
        self.bound = self.bound.max(self.bound_reached(volume.bound_cost));
        let mut kept = KeptMatrix::whole_matrix(&self.matrix);
        let bound = relaxed.evaluate_bound(&self.matrix, &volume.centre_cost);
        relaxed.fix_columns(&self.matrix, bound, self.paid, search.upper, &mut kept);
        self.price_cost = volume.centre_cost;
        Some(kept)
    }

    fn bound_reached(&self, bound_cost: f64) -> u64 {
        self.paid.saturating_add(whole_bound(bound_cost))
    }

    /// Mixes the newest relaxed answer into the mean.
    fn update_mean(&mut self, relaxed: &SetRelaxation, newest_fraction: f64) {
        self.mean_share.resize(relaxed.reduced_cost.len(), 0.0);
        for (mean, reduced) in self.mean_share.iter_mut().zip(&relaxed.reduced_cost) {
            let now = if *reduced < 0.0 { newest_fraction } else { 0.0 };
            *mean = (1.0 - newest_fraction) * *mean + now;
        }
    }

    /// The column to decide next: the mean says least about it, and it costs or covers most.
    fn undecided_column(&self) -> usize {
        let worth = |j: usize| {
            let mean = self.mean_share.get(j).copied().unwrap_or(0.0).clamp(0.0, 1.0);
            mean.min(1.2 - mean) * (self.matrix.columns.get(j).len() as f64)
        };
        let all = (0..self.matrix.costs.len()).map(|j| (worth(j), j));
        all.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1))).map_or(0, |(_, j)| j)
    }
}

impl tree::TreeSubproblem for SetSubproblem {
    fn tightened(mut self, search: &mut CoverSearch) -> Option<Self> {
        for _ in 0..MAX_SET_ROUNDS {
            self = self.after_reductions(search)?;
            if self.matrix.rows.is_empty() {
                self.offer_columns(&[], 0, search);
                return None;
            }
            let before = self.matrix.costs.len();
            let kept = self.raise_and_fix(search)?;
            if search.is_over() {
                return Some(self);
            }
            if kept.changed {
                self = self.restricted_to(&kept);
            }
            if self.matrix.costs.len() as f64 > WORTH_A_ROUND_FRACTION * before as f64 {
                break;
            }
        }
        self = self.after_reductions(search)?;
        if self.matrix.rows.is_empty() {
            self.offer_columns(&[], 0, search);
            return None;
        }
        Some(self)
    }

    fn bound(&self) -> u64 {
        self.bound.max(self.paid)
    }

    fn split_in_two(self) -> [Self; 2] {
        let column = self.undecided_column();
        let mut with = KeptMatrix::whole_matrix(&self.matrix);
        with.take_column(&self.matrix, column as u32);
        let mut without = KeptMatrix::whole_matrix(&self.matrix);
        without.columns[column] = false;
        [self.clone().restricted_to(&with), self.restricted_to(&without)]
    }
}

/// New numbers of what is kept.
fn number_kept(kept: &[bool]) -> Vec<u32> {
    let mut next = 0;
    let number = |keep: &bool| {
        let now = next;
        next += u32::from(*keep);
        now
    };
    kept.iter().map(number).collect()
}

/// What is kept of a list; of an empty list nothing.
fn select_kept<T: Copy>(list: &[T], kept: &[bool]) -> Vec<T> {
    list.iter().zip(kept).filter(|(_, keep)| **keep).map(|(item, _)| *item).collect()
}
