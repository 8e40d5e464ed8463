//! Reads the published tables under `tests/data`: a passport behind `#`, a line of column names, then rows.

/// One row of a table, its fields found by column name.
pub struct Row {
    columns: Vec<&'static str>,
    fields: Vec<&'static str>,
}

impl Row {
    pub fn text(&self, column: &str) -> &'static str {
        let at =
            self.columns.iter().position(|c| *c == column).unwrap_or_else(|| panic!("no column {column}"));
        self.fields[at]
    }
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|e| panic!("{text}: {e}"))
    }
    /// Half a unit of the last digit that a column prints.
    pub fn half_digit(&self, column: &str) -> f64 {
        let decimals = self.text(column).split_once('.').map_or(0, |(_, tail)| tail.len());
        0.5 * 10_f64.powi(-i32::try_from(decimals).expect("few decimals"))
    }
}

/// The rows of a table.
pub fn rows(table: &'static str) -> Vec<Row> {
    assert!(table.starts_with("# "), "a table opens with its passport");
    let mut lines = table.lines().filter(|l| !l.starts_with("# "));
    let columns: Vec<&str> = lines.next().expect("column names").split(',').collect();
    let rows: Vec<Row> =
        lines.map(|l| Row { columns: columns.clone(), fields: l.split(',').collect() }).collect();
    assert!(rows.iter().all(|r| r.fields.len() == columns.len()), "every row has every column");
    rows
}

/// Fails when a value is further from the published one than the tolerance allows.
pub fn check(what: &str, value: f64, published: f64, tolerance: f64) {
    assert!((value - published).abs() <= tolerance, "{what}: {value}, published {published} ± {tolerance}");
}

/// As [`check`], with the tolerance as a fraction of the published value.
pub fn check_ratio(what: &str, value: f64, published: f64, fraction: f64) {
    check(what, value, published, fraction * published.abs());
}
