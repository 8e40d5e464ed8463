//! Local search with row weights: take columns out, put others in for the rows left open, and learn which rows are hard.
//!
//! Every row has a weight, at first 1; a column is worth the weights of the rows that it alone would open or cover, by its
//! cost. A step takes out the column that is worth least (not one just put in), then covers open rows drawn at random by
//! the column worth most among those of the row that are not just taken out, as long as the cost stays below the best; the
//! weights of rows still open grow by 1. When no row is open, a better cover is found, and the search goes on below it.
//! It works on the columns that fixing at the root has left, so far as each row keeps its cheapest ones.
//!
//! **Sources.** C. Gao, X. Yao, T. Weise, J. Li, "An efficient local search heuristic with row weighting for the unicost set
//! covering problem", European Journal of Operational Research 246 (2015), 750-761; here with costs, where as many
//! columns leave as the cost asks for.

use super::part::SetSubproblem;
use crate::search::CoverSearch;
use crate::tree;

/// State of the search over the columns of the root part.
pub struct SetLocalSearch {
    part: SetSubproblem,
    inside: Vec<bool>,
    /// Columns inside, in no order, and the position of each.
    members: Vec<u32>,
    place: Vec<u32>,
    covered: Vec<u32>,
    /// Inside: weights of the rows that it alone covers. Outside: weights of the open rows that it would cover.
    worth: Vec<i64>,
    weights: Vec<i64>,
    open: Vec<u32>,
    place_of_open: Vec<u32>,
    changed_at: Vec<u64>,
    may_enter: Vec<bool>,
    cost: u64,
    now: u64,
    last_in: u32,
}

impl SetLocalSearch {
    /// Starts from the best cover known, as far as it lies in the part, made whole where it does not.
    pub fn new(part: &SetSubproblem, search: &mut CoverSearch) -> Self {
        let (columns, rows) = (part.matrix.costs.len(), part.matrix.rows.len());
        let mut local = Self {
            part: part.clone(),
            inside: vec![false; columns],
            members: Vec::new(),
            place: vec![0; columns],
            covered: vec![0; rows],
            worth: part.matrix.columns.iter().map(|rows| rows.len() as i64).collect(),
            weights: vec![1; rows],
            open: (0..rows as u32).collect(),
            place_of_open: (0..rows as u32).collect(),
            changed_at: vec![0; columns],
            may_enter: vec![true; columns],
            cost: 0,
            now: 0,
            last_in: u32::MAX,
        };
        if let Some(best) = search.best.clone() {
            let known =
                |j: &usize| best.binary_search(&part.names[*j]).is_ok() || best.contains(&part.names[*j]);
            let start: Vec<usize> = (0..columns).filter(known).collect();
            start.into_iter().for_each(|j| local.put_in(j, search));
        }
        local
    }

    /// Cost that a better answer may still have.
    const fn cost_limit(&self, search: &CoverSearch) -> u64 {
        search.upper.saturating_sub(self.part.paid)
    }

    /// Offers what covers all, and takes columns out until the cost is below the best.
    fn shrink_cover(&mut self, search: &mut CoverSearch) {
        if self.open.is_empty() {
            self.part.offer_columns(&self.members, self.cost, search);
        }
        while self.cost >= self.cost_limit(search) && !self.members.is_empty() {
            self.remove_worst(search);
        }
    }

    /// Takes out the column that is worth least by its cost.
    fn remove_worst(&mut self, search: &mut CoverSearch) {
        search.spend_visits(self.members.len());
        let mut worst: Option<u32> = None;
        for j in &self.members {
            let better = worst.is_none_or(|w| self.is_worth_less(*j, w));
            if (*j != self.last_in || self.members.len() == 1) && better {
                worst = Some(*j);
            }
        }
        if let Some(j) = worst {
            self.take_out(j as usize, search);
        }
    }

    /// Whether one column is worth less than another by its cost; the one in place longer where they are equal.
    fn is_worth_less(&self, a: u32, b: u32) -> bool {
        let (a, b) = (a as usize, b as usize);
        let left = i128::from(self.worth[a]) * i128::from(self.part.matrix.costs[b]);
        let right = i128::from(self.worth[b]) * i128::from(self.part.matrix.costs[a]);
        left < right || (left == right && (self.changed_at[a], a) < (self.changed_at[b], b))
    }

    /// Covers open rows at random while the cost stays below the best.
    fn refill_rows(&mut self, search: &mut CoverSearch) {
        while !self.open.is_empty() {
            let row = self.open[search.below(self.open.len())] as usize;
            let Some(j) = self.best_column(row, search) else { break };
            if self.cost + self.part.matrix.costs[j] >= self.cost_limit(search) {
                break;
            }
            self.put_in(j, search);
            self.last_in = j as u32;
            self.harden_rows(search);
        }
        if !self.open.is_empty() {
            self.harden_rows(search);
        }
    }

    /// The column of a row that is worth most by its cost among those that may enter.
    fn best_column(&self, row: usize, search: &mut CoverSearch) -> Option<usize> {
        let columns = self.part.matrix.rows.get(row);
        search.spend_visits(columns.len());
        let may =
            columns.iter().copied().filter(|j| self.may_enter[*j as usize] && !self.inside[*j as usize]);
        may.reduce(|best, j| {
            let (b, a) = (best as usize, j as usize);
            let left = i128::from(self.worth[a]) * i128::from(self.part.matrix.costs[b]);
            let right = i128::from(self.worth[b]) * i128::from(self.part.matrix.costs[a]);
            let older = self.changed_at[a] < self.changed_at[b];
            if left > right || (left == right && older) { j } else { best }
        })
        .map(|j| j as usize)
    }

    /// Adds 1 to the weight of every open row.
    fn harden_rows(&mut self, search: &mut CoverSearch) {
        for at in 0..self.open.len() {
            let row = self.open[at] as usize;
            self.weights[row] += 1;
            search.spend_visits(self.part.matrix.rows.get(row).len());
            self.part.matrix.rows.get(row).iter().for_each(|j| self.worth[*j as usize] += 1);
        }
    }

    fn put_in(&mut self, j: usize, search: &mut CoverSearch) {
        self.inside[j] = true;
        self.place[j] = self.members.len() as u32;
        self.members.push(j as u32);
        self.cost += self.part.matrix.costs[j];
        self.changed_at[j] = self.now;
        let mut own = 0;
        for i in self.part.matrix.columns.get(j) {
            let row = *i as usize;
            let columns = self.part.matrix.rows.get(row);
            self.covered[row] += 1;
            let weight = self.weights[row];
            match self.covered[row] {
                1 => {
                    own += weight;
                    columns.iter().for_each(|k| self.worth[*k as usize] -= weight);
                    close_row(&mut self.open, &mut self.place_of_open, row);
                }
                2 => {
                    let other = columns.iter().find(|k| **k as usize != j && self.inside[**k as usize]);
                    if let Some(k) = other {
                        self.worth[*k as usize] -= weight;
                    }
                }
                _ => continue,
            }
            columns.iter().for_each(|k| self.may_enter[*k as usize] = true);
            search.spend_visits(2 * columns.len());
        }
        self.worth[j] = own;
    }

    fn take_out(&mut self, j: usize, search: &mut CoverSearch) {
        self.inside[j] = false;
        let at = self.place[j] as usize;
        self.members.swap_remove(at);
        if let Some(moved) = self.members.get(at) {
            self.place[*moved as usize] = at as u32;
        }
        self.cost -= self.part.matrix.costs[j];
        self.changed_at[j] = self.now;
        let mut would = 0;
        for i in self.part.matrix.columns.get(j) {
            let row = *i as usize;
            let columns = self.part.matrix.rows.get(row);
            self.covered[row] -= 1;
            let weight = self.weights[row];
            match self.covered[row] {
                0 => {
                    would += weight;
                    columns.iter().for_each(|k| self.worth[*k as usize] += weight);
                    self.place_of_open[row] = self.open.len() as u32;
                    self.open.push(row as u32);
                }
                1 => {
                    if let Some(k) = columns.iter().find(|k| self.inside[**k as usize]) {
                        self.worth[*k as usize] += weight;
                    }
                }
                _ => continue,
            }
            columns.iter().for_each(|k| self.may_enter[*k as usize] = true);
            search.spend_visits(2 * columns.len());
        }
        self.worth[j] = would;
        self.may_enter[j] = false;
    }
}

impl tree::LocalImprover for SetLocalSearch {
    fn improve_answer(&mut self, search: &mut CoverSearch, steps: u64) {
        for _ in 0..steps {
            if search.is_over() {
                return;
            }
            self.shrink_cover(search);
            self.now += 1;
            if self.members.is_empty() {
                return;
            }
            self.remove_worst(search);
            self.refill_rows(search);
        }
    }
}

/// Takes a row off the list of open ones.
fn close_row(open: &mut Vec<u32>, place_of_open: &mut [u32], row: usize) {
    let at = place_of_open[row] as usize;
    open.swap_remove(at);
    if let Some(moved) = open.get(at) {
        place_of_open[*moved as usize] = at as u32;
    }
}
