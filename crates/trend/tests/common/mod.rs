//! Reading the tests' own data, and comparing figures.

use trend::columns::{ReadingTable, read_reading_table};

/// A table of `tests/data`.
fn table(text: &str) -> ReadingTable {
    read_reading_table(text, "data").unwrap()
}

/// Columns of a table.
pub fn columns(text: &str, names: &[&str]) -> Vec<Vec<f64>> {
    table(text).read_figures(names).unwrap().values
}

/// Compares within an absolute tolerance.
#[track_caller]
pub fn check(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{what}: {found} instead of {expected} ± {tolerance}");
}
