//! Exact reductions of a set cover: each makes it smaller and leaves at least one best answer in it.
//!
//! A row with one column takes it; a row goes whose columns include all of another's, as it is covered whenever the other
//! is; a column goes whose rows another column, no more expensive, covers as well, or which costs as much as the cheapest
//! columns of its rows together.

use crate::lists::{NumberLists, fingerprint_of, is_rising_subset};
use crate::search::CoverSearch;

/// A set cover in both directions.
#[derive(Debug, Clone)]
pub struct SetCoverMatrix {
    /// Cost of each column.
    pub costs: Vec<u64>,
    /// Rows of each column, rising.
    pub columns: NumberLists,
    /// Columns of each row, rising.
    pub rows: NumberLists,
}

impl SetCoverMatrix {
    /// From costs and rows.
    #[must_use]
    pub fn new(costs: Vec<u64>, rows: NumberLists) -> Self {
        Self { columns: rows.transposed(costs.len()), costs, rows }
    }
}

/// What stays of a matrix, and which columns are taken.
#[derive(Debug, Clone)]
pub struct KeptMatrix {
    /// Whether each row is still to be covered.
    pub rows: Vec<bool>,
    /// Whether each column may still be chosen.
    pub columns: Vec<bool>,
    /// Columns that have to be chosen.
    pub taken: Vec<u32>,
    /// Whether anything changed since the last look.
    pub changed: bool,
}

impl KeptMatrix {
    /// All of it.
    #[must_use]
    pub fn whole_matrix(matrix: &SetCoverMatrix) -> Self {
        Self {
            rows: vec![true; matrix.rows.len()],
            columns: vec![true; matrix.costs.len()],
            taken: Vec::new(),
            changed: false,
        }
    }

    /// Chooses a column: its rows are covered.
    pub fn take_column(&mut self, matrix: &SetCoverMatrix, column: u32) {
        self.taken.push(column);
        self.columns[column as usize] = false;
        matrix.columns.get(column as usize).iter().for_each(|i| self.rows[*i as usize] = false);
        self.changed = true;
    }

    /// The columns of a row that may still be chosen.
    fn open_columns<'a>(&'a self, matrix: &'a SetCoverMatrix, row: usize) -> impl Iterator<Item = u32> + 'a {
        matrix.rows.get(row).iter().copied().filter(|j| self.columns[*j as usize])
    }
}

/// Takes what the rows force until nothing more is forced; false where a row has no column left.
#[must_use]
pub fn take_forced_columns(matrix: &SetCoverMatrix, kept: &mut KeptMatrix) -> bool {
    loop {
        let before = kept.taken.len();
        for row in 0..matrix.rows.len() {
            if !kept.rows[row] {
                continue;
            }
            let mut open = kept.open_columns(matrix, row);
            match (open.next(), open.next()) {
                (None, _) => return false,
                (Some(column), None) => {
                    drop(open);
                    kept.take_column(matrix, column);
                }
                _ => {}
            }
        }
        if kept.taken.len() == before {
            return true;
        }
    }
}

/// Drops rows that are covered whenever another one is.
pub fn drop_implied_rows(matrix: &SetCoverMatrix, kept: &mut KeptMatrix, search: &mut CoverSearch) {
    let prints: Vec<u64> = matrix.rows.iter().map(fingerprint_of).collect();
    let mut by_length: Vec<usize> = (0..matrix.rows.len()).filter(|i| kept.rows[*i]).collect();
    by_length.sort_by_key(|i| (matrix.rows.get(*i).len(), *i));
    for (at, small) in by_length.iter().enumerate() {
        if !kept.rows[*small] {
            continue;
        }
        for large in &by_length[at + 1..] {
            let may = kept.rows[*large] && prints[*small] & !prints[*large] == 0;
            if may && is_rising_subset(matrix.rows.get(*small), matrix.rows.get(*large)) {
                kept.rows[*large] = false;
                kept.changed = true;
            }
        }
        search.spend_visits(by_length.len());
    }
}

/// Drops columns that another column, no more expensive, or the cheapest of its rows' columns together can replace.
pub fn drop_dominated_columns(matrix: &SetCoverMatrix, kept: &mut KeptMatrix, search: &mut CoverSearch) {
    let prints: Vec<u64> = matrix.columns.iter().map(fingerprint_of).collect();
    let cheapest: Vec<u64> = matrix.rows.iter().map(|row| least_column_cost(matrix, row)).collect();
    for j in 0..matrix.costs.len() {
        let rows = matrix.columns.get(j);
        let Some(rare) = rows.iter().min_by_key(|i| matrix.rows.get(**i as usize).len()) else {
            kept.columns[j] = false;
            continue;
        };
        let cost = matrix.costs[j];
        let apart: u64 = rows.iter().map(|i| cheapest[*i as usize]).sum();
        let candidates = matrix.rows.get(*rare as usize);
        search.spend_visits(rows.len() + candidates.len());
        let beats = |other: &u32| {
            let k = *other as usize;
            k != j
                && kept.columns[k]
                && matrix.costs[k] <= cost
                && prints[j] & !prints[k] == 0
                && is_rising_subset(rows, matrix.columns.get(k))
        };
        if (apart < cost && rows.len() > 1) || candidates.iter().any(beats) {
            kept.columns[j] = false;
            kept.changed = true;
        }
    }
}

fn least_column_cost(matrix: &SetCoverMatrix, row: &[u32]) -> u64 {
    row.iter().map(|j| matrix.costs[*j as usize]).min().unwrap_or(0)
}
