//! The Lagrangian relaxation of a set cover's rows.
//!
//! With prices `u_i ≥ 0` on the rows, `L(u) = Σ u_i + Σ_j min(0, c_j − Σ_{i ∈ j} u_i)` is a bound. The term in brackets is
//! the column's *reduced cost* `r_j`. A cover with a column of `r_j > 0` costs at least `L + r_j`, one without a column of
//! `r_j < 0` at least `L − r_j`: columns are barred or taken where that reaches the best value.

use super::reduce::{KeptMatrix, SetCoverMatrix};
use crate::search::whole_bound;

/// Room for one evaluation.
#[derive(Debug, Clone, Default)]
pub struct SetRelaxation {
    /// Reduced cost of each column.
    pub reduced_cost: Vec<f64>,
    /// `1 −` the number of relaxed columns that cover each row.
    pub slope_share: Vec<f64>,
}

impl SetRelaxation {
    /// The bound at given prices; fills reduced costs and slope.
    pub fn evaluate_bound(&mut self, matrix: &SetCoverMatrix, price_cost: &[f64]) -> f64 {
        self.reduced_cost.clear();
        self.slope_share.clear();
        self.slope_share.resize(price_cost.len(), 1.0);
        let mut bound: f64 = price_cost.iter().sum();
        for (cost, rows) in matrix.costs.iter().zip(matrix.columns.iter()) {
            let paid: f64 = rows.iter().map(|i| price_cost[*i as usize]).sum();
            let reduced = *cost as f64 - paid;
            self.reduced_cost.push(reduced);
            if reduced < 0.0 {
                bound += reduced;
                rows.iter().for_each(|i| self.slope_share[*i as usize] -= 1.0);
            }
        }
        bound
    }

    /// Bars and takes what the reduced costs decide; `paid` is what the taken columns cost already.
    pub fn fix_columns(
        &self,
        matrix: &SetCoverMatrix,
        bound_cost: f64,
        paid: u64,
        upper: u64,
        kept: &mut KeptMatrix,
    ) {
        let reaches = |more_cost: f64| paid.saturating_add(whole_bound(bound_cost + more_cost)) >= upper;
        for (j, reduced) in self.reduced_cost.iter().enumerate() {
            if *reduced > 0.0 && reaches(*reduced) {
                kept.columns[j] = false;
                kept.changed = true;
            } else if *reduced < 0.0 && reaches(-reduced) {
                kept.take_column(matrix, j as u32);
            }
        }
    }
}

/// Prices to begin with: the least cost of a column per row of it.
#[must_use]
pub fn first_prices(matrix: &SetCoverMatrix) -> Vec<f64> {
    let share = |j: &u32| {
        let at = *j as usize;
        matrix.costs[at] as f64 / matrix.columns.get(at).len().max(1) as f64
    };
    matrix.rows.iter().map(|row| row.iter().map(share).fold(f64::INFINITY, f64::min)).collect()
}
