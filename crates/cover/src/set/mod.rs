//! Set cover: the cheapest columns that together cover every row.
//!
//! **Question.** Given columns with costs `c_j` and for each row the columns that cover it, choose `x_j ∈ {0, 1}` with
//! `Σ_j a_ij x_j ≥ 1` for every row `i` at the least `Σ_j c_j x_j`.
//!
//! **Method.** Exact reductions (`reduce`); then the Lagrangian relaxation of the rows (`relaxed`) raised by the volume
//! method, with a greedy choice at its prices (`greedy`) and fixing by reduced costs; a local search with row weights
//! on what is left (`local`); and branch and bound whose parts repeat reduction, ascent and fixing (`part`). Local
//! search and tree take turns until the proof or the end of the effort.
//!
//! **Range.** Costs up to 10¹² each; beyond that the rounding of the bound gives away more than a unit.
//!
//! **Worked example.** Rows {a, b}, {b, c}, {a, c}, each column at 1. With `u = ½` each, no reduced cost is below 0 and
//! `L = 1½`; no cover costs less than 2, and {a, b} does.
//!
//! **Sources.** J. E. Beasley, "An algorithm for set covering problem", European Journal of Operational Research 31
//! (1987), 85-93 (reductions, fixing, tree); A. Caprara, M. Fischetti, P. Toth, "A heuristic method for the set covering
//! problem", Operations Research 47 (1999), 730-743 (greedy at Lagrangian prices). DIFFERENCE: no pricing over a core of
//! columns, as all columns of the sizes at hand are looked at in under a millisecond.

mod greedy;
mod local;
mod part;
mod reduce;
mod relaxed;

use effort::{RandomSeed, SolverBudget};

use crate::lists::NumberLists;
use crate::search::{CoverAnswer, CoverSearch};
use crate::tree::{LocalImprover as _, take_turns};
use local::SetLocalSearch;

/// The effort where none is given, in millions of entries visited: some tens of seconds on a small machine of 2026.
const SIZED_EFFORT: u64 = 10_000;
/// Share of the work that goes to local search while the tree is open.
const LOCAL_FRACTION: f64 = 0.4;
/// Steps of the local search before the first turn of the tree.
const FIRST_STEPS: u64 = 20_000;
const FIRST_STEPS_A_ROW: u64 = 50;

/// Why a problem cannot be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SetCoverError {
    /// A row that no column covers, by its position.
    Uncovered(usize),
    /// A row names a column that there is not: position of the row, and the column.
    NoColumn(usize, u32),
}

impl core::fmt::Display for SetCoverError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Uncovered(row) => write!(f, "no column covers row {}", row + 1),
            Self::NoColumn(row, column) => {
                write!(f, "row {} names column {}, which does not exist", row + 1, column + 1)
            }
        }
    }
}

impl core::error::Error for SetCoverError {}

/// Columns with costs, and the columns that cover each row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetCoverProblem {
    costs: Vec<u64>,
    rows: NumberLists,
}

impl SetCoverProblem {
    /// Checks and keeps a problem; the columns of a row may come in any order and more than once.
    ///
    /// # Errors
    ///
    /// The first row that has no column, or one that there is not.
    pub fn new(costs: Vec<u64>, rows: &[Vec<u32>]) -> Result<Self, SetCoverError> {
        let mut lists = NumberLists::default();
        for (at, row) in rows.iter().enumerate() {
            if row.is_empty() {
                return Err(SetCoverError::Uncovered(at));
            }
            if let Some(column) = row.iter().find(|j| **j as usize >= costs.len()) {
                return Err(SetCoverError::NoColumn(at, *column));
            }
            let mut row = row.clone();
            row.sort_unstable();
            row.dedup();
            lists.push(row);
        }
        Ok(Self { costs, rows: lists })
    }

    /// Cost of each column.
    #[must_use]
    pub fn costs(&self) -> &[u64] {
        &self.costs
    }

    /// Columns of each row, rising.
    #[must_use]
    pub const fn rows(&self) -> &NumberLists {
        &self.rows
    }
}

/// The cheapest cover found with the budget; the same for the same problem, effort and seed.
#[must_use]
pub fn solve_set_cover(problem: &SetCoverProblem, budget: &SolverBudget, seed: RandomSeed) -> CoverAnswer {
    let mut search = CoverSearch::new(budget, SIZED_EFFORT, seed);
    let every: Vec<u32> = (0..problem.costs.len() as u32).collect();
    search.offer_answer(&every, problem.costs.iter().sum());
    let bound = search_set_cover(problem, &mut search);
    search.into_answer(bound)
}

/// Searches below the best value that a search has, which must be finite; returns the bound on anything better.
pub(crate) fn search_set_cover(problem: &SetCoverProblem, search: &mut CoverSearch) -> u64 {
    let Some(root) = part::set_root(problem, search) else { return search.upper };
    let mut local = SetLocalSearch::new(&root, search);
    local.improve_answer(search, FIRST_STEPS.min(FIRST_STEPS_A_ROW * root.matrix.rows.len() as u64));
    take_turns(root, &mut local, LOCAL_FRACTION, search)
}
