//! A cover at the prices of the relaxation: the column that costs least for what its open rows are priced, again and again.
//!
//! A column with `m` open rows and reduced cost over these `r = c_j − Σ u_i` is rated `r / m` where `r > 0`, else `r · m`;
//! the least rating is taken (Caprara, Fischetti & Toth 1999, section 3). What became needless goes at the end.

use super::reduce::SetCoverMatrix;
use crate::search::CoverSearch;

/// State of one run.
struct GreedyCoverRun<'m> {
    matrix: &'m SetCoverMatrix,
    reduced_cost: Vec<f64>,
    open_rows: Vec<u32>,
    covered: Vec<u32>,
    chosen: Vec<u32>,
}

/// A cover without needless columns, and its cost.
pub fn build_greedy_cover(
    matrix: &SetCoverMatrix,
    reduced_cost: &[f64],
    price_cost: &[f64],
    search: &mut CoverSearch,
) -> (Vec<u32>, u64) {
    let open_rows = matrix.columns.iter().map(|rows| rows.len() as u32).collect();
    let covered = vec![0; matrix.rows.len()];
    let mut run = GreedyCoverRun {
        matrix,
        reduced_cost: reduced_cost.to_vec(),
        open_rows,
        covered,
        chosen: Vec::new(),
    };
    let mut candidates = cheapest_candidates(matrix, reduced_cost);
    let mut left = matrix.rows.len();
    while left > 0 {
        candidates.retain(|j| run.open_rows[*j as usize] > 0);
        let rated = candidates.iter().map(|j| (run.rate_column(*j as usize), *j));
        let Some((_, column)) = rated.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))) else { break };
        search.spend_visits(candidates.len());
        left -= run.take_column(column, price_cost, search);
    }
    run.without_needless()
}

/// Columns worth looking at: of each row the few with the least reduced cost.
fn cheapest_candidates(matrix: &SetCoverMatrix, reduced_cost: &[f64]) -> Vec<u32> {
    const MAX_OF_A_ROW: usize = 6;
    let mut wanted = vec![false; matrix.costs.len()];
    for row in matrix.rows.iter() {
        let mut few: Vec<(f64, u32)> = Vec::with_capacity(MAX_OF_A_ROW + 1);
        for j in row {
            let reduced = reduced_cost[*j as usize];
            let at = few.partition_point(|(r, _)| *r <= reduced);
            if at < MAX_OF_A_ROW {
                few.insert(at, (reduced, *j));
                few.truncate(MAX_OF_A_ROW);
            }
        }
        few.iter().for_each(|(_, j)| wanted[*j as usize] = true);
    }
    (0..matrix.costs.len() as u32).filter(|j| wanted[*j as usize]).collect()
}

impl GreedyCoverRun<'_> {
    fn rate_column(&self, j: usize) -> f64 {
        let (reduced, rows) = (self.reduced_cost[j], f64::from(self.open_rows[j]));
        if reduced > 0.0 { reduced / rows } else { reduced * rows }
    }

    /// Chooses a column; returns how many rows it covers first.
    fn take_column(&mut self, column: u32, price_cost: &[f64], search: &mut CoverSearch) -> usize {
        self.chosen.push(column);
        let mut newly = 0;
        for i in self.matrix.columns.get(column as usize) {
            let row = *i as usize;
            self.covered[row] += 1;
            if self.covered[row] > 1 {
                continue;
            }
            newly += 1;
            search.spend_visits(self.matrix.rows.get(row).len());
            for j in self.matrix.rows.get(row) {
                self.reduced_cost[*j as usize] += price_cost[row];
                self.open_rows[*j as usize] -= 1;
            }
        }
        newly
    }

    /// Drops columns whose rows others cover too, dearest first.
    fn without_needless(mut self) -> (Vec<u32>, u64) {
        let mut order = self.chosen.clone();
        order.sort_by_key(|j| (core::cmp::Reverse(self.matrix.costs[*j as usize]), *j));
        let mut needless = Vec::new();
        for j in order {
            let rows = self.matrix.columns.get(j as usize);
            if rows.iter().all(|i| self.covered[*i as usize] > 1) {
                rows.iter().for_each(|i| self.covered[*i as usize] -= 1);
                needless.push(j);
            }
        }
        self.chosen.retain(|j| !needless.contains(j));
        let cost = self.chosen.iter().map(|j| self.matrix.costs[*j as usize]).sum();
        (self.chosen, cost)
    }
}
