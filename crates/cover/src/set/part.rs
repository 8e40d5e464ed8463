//! A subproblem of the set cover's tree: what is left of the matrix, with prices, and the columns taken so far.

use super::reduce::{Kept, Matrix, dominated_columns, forced, implied_rows};
use super::relaxed::{Relaxed, first_prices};
use super::{SetCover, greedy};
use crate::lists::Lists;
use crate::search::{Search, whole_bound};
use crate::tree;
use crate::volume::Volume;

/// Steps of the volume method at the root, and in a part below it.
const ROOT_STEPS: u32 = 1500;
const PART_STEPS: u32 = 100;
/// Factor of the first step at the root and in a part.
const ROOT_FACTOR: f64 = 0.1;
const PART_FACTOR: f64 = 0.5;
/// Steps between two greedy covers at the root.
const GREEDY_EVERY: u32 = 15;
/// Rounds of ascent and reduction in one part, while each takes away a tenth of the columns.
const MOST_ROUNDS: u32 = 4;
const WORTH_A_ROUND_FRACTION: f64 = 0.9;

/// What is left to decide, and what was decided on the way.
#[derive(Debug, Clone)]
pub struct Part {
    /// What is left.
    pub matrix: Matrix,
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
pub fn root(problem: &SetCover, search: &mut Search) -> Option<Part> {
    let matrix = Matrix::new(problem.costs.clone(), problem.rows.clone());
    let part = Part {
        names: (0..problem.costs.len() as u32).collect(),
        price_cost: first_prices(&matrix),
        mean_share: Vec::new(),
        matrix,
        taken: Vec::new(),
        paid: 0,
        bound: 0,
        is_root: true,
    };
    let mut root = tree::Part::tightened(part, search)?;
    root.is_root = false;
    Some(root)
}

impl Part {
    /// Offers columns of this part together with those taken.
    pub fn offer(&self, columns: &[u32], cost: u64, search: &mut Search) {
        if self.paid + cost < search.upper {
            let mut all = self.taken.clone();
            all.extend(columns.iter().map(|j| self.names[*j as usize]));
            search.offer(&all, self.paid + cost);
        }
    }

    /// The part after the exact reductions; `None` where it has no cover.
    fn reduced(mut self, search: &mut Search) -> Option<Self> {
        loop {
            let mut kept = Kept::all(&self.matrix);
            if !forced(&self.matrix, &mut kept) {
                return None;
            }
            if !kept.changed {
                implied_rows(&self.matrix, &mut kept, search);
                dominated_columns(&self.matrix, &mut kept, search);
            }
            search.spend(self.matrix.rows.entries());
            if !kept.changed {
                return Some(self);
            }
            self = self.restricted(&kept);
        }
    }

    /// What is left of the part, numbered anew.
    fn restricted(mut self, kept: &Kept) -> Self {
        self.taken.extend(kept.taken.iter().map(|j| self.names[*j as usize]));
        self.paid += kept.taken.iter().map(|j| self.matrix.costs[*j as usize]).sum::<u64>();
        let number = numbers(&kept.columns);
        let rows = self.matrix.rows.iter().zip(&kept.rows).filter(|(_, keep)| **keep);
        let renamed = |row: &[u32]| -> Vec<u32> {
            row.iter().filter(|j| kept.columns[**j as usize]).map(|j| number[*j as usize]).collect()
        };
        let rows = Lists::of(rows.map(|(row, _)| renamed(row)));
        self.matrix = Matrix::new(only(&self.matrix.costs, &kept.columns), rows);
        self.names = only(&self.names, &kept.columns);
        self.mean_share = only(&self.mean_share, &kept.columns);
        self.price_cost = only(&self.price_cost, &kept.rows);
        self
    }

    /// Raises the bound; returns the fixing that it allows, or `None` where the part is done.
    fn ascended(&mut self, search: &mut Search) -> Option<Kept> {
        let most = if self.is_root { ROOT_STEPS } else { PART_STEPS };
        let factor = if self.is_root { ROOT_FACTOR } else { PART_FACTOR };
        let mut volume = Volume::from(core::mem::take(&mut self.price_cost), factor);
        let mut relaxed = Relaxed::default();
        let mut trial = Vec::new();
        for step in 0..most {
            let target = search.upper.saturating_sub(self.paid) as f64;
            if search.is_over() || !volume.next(target, &mut trial) {
                break;
            }
            let bound = relaxed.evaluate(&self.matrix, &trial);
            let newest = volume.hear(&trial, bound, &relaxed.slope_share);
            self.average(&relaxed, newest);
            search.spend(self.matrix.rows.entries());
            if (self.is_root && step % GREEDY_EVERY == 0) || step + 1 == most {
                let (cover, cost) = greedy::cover(&self.matrix, &relaxed.reduced_cost, &trial, search);
                self.offer(&cover, cost, search);
            }
            if self.reached(volume.bound_cost) >= search.upper {
                return None;
            }
        }
        self.bound = self.bound.max(self.reached(volume.bound_cost));
        let mut kept = Kept::all(&self.matrix);
        let bound = relaxed.evaluate(&self.matrix, &volume.centre_cost);
        relaxed.fix(&self.matrix, bound, self.paid, search.upper, &mut kept);
        self.price_cost = volume.centre_cost;
        Some(kept)
    }

    fn reached(&self, bound_cost: f64) -> u64 {
        self.paid.saturating_add(whole_bound(bound_cost))
    }

    /// Mixes the newest relaxed answer into the mean.
    fn average(&mut self, relaxed: &Relaxed, newest_fraction: f64) {
        self.mean_share.resize(relaxed.reduced_cost.len(), 0.0);
        for (mean, reduced) in self.mean_share.iter_mut().zip(&relaxed.reduced_cost) {
            let now = if *reduced < 0.0 { newest_fraction } else { 0.0 };
            *mean = (1.0 - newest_fraction) * *mean + now;
        }
    }

    /// The column to decide next: the mean says least about it, and it costs or covers most.
    fn undecided(&self) -> usize {
        let worth = |j: usize| {
            let mean = self.mean_share.get(j).copied().unwrap_or(0.0).clamp(0.0, 1.0);
            mean.min(1.2 - mean) * (self.matrix.columns.get(j).len() as f64)
        };
        let all = (0..self.matrix.costs.len()).map(|j| (worth(j), j));
        all.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1))).map_or(0, |(_, j)| j)
    }
}

impl tree::Part for Part {
    fn tightened(mut self, search: &mut Search) -> Option<Self> {
        for _ in 0..MOST_ROUNDS {
            self = self.reduced(search)?;
            if self.matrix.rows.is_empty() {
                self.offer(&[], 0, search);
                return None;
            }
            let before = self.matrix.costs.len();
            let kept = self.ascended(search)?;
            if search.is_over() {
                return Some(self);
            }
            if kept.changed {
                self = self.restricted(&kept);
            }
            if self.matrix.costs.len() as f64 > WORTH_A_ROUND_FRACTION * before as f64 {
                break;
            }
        }
        self = self.reduced(search)?;
        if self.matrix.rows.is_empty() {
            self.offer(&[], 0, search);
            return None;
        }
        Some(self)
    }

    fn bound(&self) -> u64 {
        self.bound.max(self.paid)
    }

    fn split(self) -> [Self; 2] {
        let column = self.undecided();
        let mut with = Kept::all(&self.matrix);
        with.take(&self.matrix, column as u32);
        let mut without = Kept::all(&self.matrix);
        without.columns[column] = false;
        [self.clone().restricted(&with), self.restricted(&without)]
    }
}

/// New numbers of what is kept.
fn numbers(kept: &[bool]) -> Vec<u32> {
    let mut next = 0;
    let number = |keep: &bool| {
        let now = next;
        next += u32::from(*keep);
        now
    };
    kept.iter().map(number).collect()
}

/// What is kept of a list; of an empty list nothing.
fn only<T: Copy>(list: &[T], kept: &[bool]) -> Vec<T> {
    list.iter().zip(kept).filter(|(_, keep)| **keep).map(|(item, _)| *item).collect()
}
