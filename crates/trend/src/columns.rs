//! Readings as any spreadsheet writes them: a table with headings, whose columns are asked for by name.
//!
//! Comma or semicolon between cells; with semicolons a decimal comma is read as well. Lines with `#` are comments. A row in which a wanted cell is
//! empty is left out and counted; anything else that is not a figure is a fault with its line.
//!
//! symbol: values, figure = cells of a column, in its unit

use core::fmt;

use csv::{ReaderBuilder, Trim};

/// Maximum number of rows that are read.
const MAX_TABLE_ROWS: usize = 200_000;
/// Faults of a table that are told at once.
const MAX_FAULTS_TOLD: usize = 8;

/// What is wrong with a table, with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingTableFault {
    words: String,
}

impl ReadingTableFault {
    pub(crate) fn new(words: impl Into<String>) -> Self {
        Self { words: words.into() }
    }
}

impl fmt::Display for ReadingTableFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words)
    }
}

impl core::error::Error for ReadingTableFault {}

/// One row with the line it stands on.
#[derive(Debug, Clone, PartialEq, Eq)]
struct ReadingRow {
    line: u64,
    cells: Vec<String>,
}

/// A table of readings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingTable {
    name: String,
    headings: Vec<String>,
    rows: Vec<ReadingRow>,
    has_decimal_comma: bool,
}

/// Some columns of a table as figures.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingColumns {
    /// A column each, all of one length.
    pub values: Vec<Vec<f64>>,
    /// Rows left out for an empty cell.
    pub left_out: usize,
}

/// Reads the text of a table; `name` stands in faults.
///
/// # Errors
/// [`ReadingTableFault`] with the line and what to do.
pub fn read_reading_table(text: &str, name: &str) -> Result<ReadingTable, ReadingTableFault> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let is_told = |line: &&str| !line.trim().is_empty() && !line.trim_start().starts_with('#');
    let first = text.lines().find(is_told).unwrap_or_default();
    let has_decimal_comma = first.contains(';');
    let separator = if has_decimal_comma { b';' } else { b',' };
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .trim(Trim::All)
        .delimiter(separator)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|e| ReadingTableFault::new(format!("{name}: {e}")))?;
        if record.iter().all(str::is_empty) {
            continue;
        }
        let line = record.position().map_or(0, csv::Position::line);
        rows.push(ReadingRow { line, cells: record.iter().map(str::to_owned).collect() });
        if rows.len() > MAX_TABLE_ROWS {
            let words = format!("{name}: more than {MAX_TABLE_ROWS} rows; split the file");
            return Err(ReadingTableFault::new(words));
        }
    }
    if rows.is_empty() {
        return Err(ReadingTableFault::new(format!(
            "{name} holds no readings; write a line of headings and then one line per reading"
        )));
    }
    let headings = rows.remove(0).cells;
    if headings.iter().all(|h| h.parse::<f64>().is_ok()) {
        return Err(ReadingTableFault::new(format!(
            "{name}:1: the first line must name the columns, for example: distance,wear"
        )));
    }
    Ok(ReadingTable { name: name.to_owned(), headings, rows, has_decimal_comma })
}

/// A heading without case, blanks and dashes.
fn fold_heading(heading: &str) -> String {
    heading.to_lowercase().replace([' ', '-'], "_")
}

/// Reads a figure; what is infinite or no number is none.
#[must_use]
pub fn parse_figure(text: &str, has_decimal_comma: bool) -> Option<f64> {
    let folded: String = text.trim().chars().filter(|c| !matches!(c, ' ' | '\u{a0}' | '\u{202f}')).collect();
    let folded = folded.replace('\u{2212}', "-");
    let folded = if has_decimal_comma { folded.replace(',', ".") } else { folded };
    let is_shaped = folded.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E'));
    folded.parse::<f64>().ok().filter(|v| is_shaped && v.is_finite())
}

impl ReadingTable {
    /// The headings.
    #[must_use]
    pub fn headings(&self) -> &[String] {
        &self.headings
    }

    /// How many rows of readings there are.
    #[must_use]
    pub fn row_count(&self) -> usize {
        self.rows.len()
    }

    /// Whether a column of this name is there.
    #[must_use]
    pub fn has_column(&self, column: &str) -> bool {
        self.headings.iter().any(|h| fold_heading(h) == fold_heading(column))
    }

    fn find_column(&self, column: &str) -> Result<usize, ReadingTableFault> {
        let mut exact = self.headings.iter().position(|h| h == column);
        if exact.is_none() {
            exact = self.headings.iter().position(|h| fold_heading(h) == fold_heading(column));
        }
        exact.ok_or_else(|| {
            ReadingTableFault::new(format!(
                "{}: no column `{column}`; it has: {}",
                self.name,
                self.headings.join(", ")
            ))
        })
    }

    /// The column that is named, else the one at this place of a table that has no more columns than the question needs.
    ///
    /// # Errors
    /// [`ReadingTableFault`] when the column is not there, or must be named.
    pub fn choose_column(
        &self,
        named: Option<&str>,
        usual: &str,
        place: usize,
    ) -> Result<String, ReadingTableFault> {
        if let Some(named) = named {
            return self.find_column(named).map(|at| self.headings[at].clone());
        }
        if self.has_column(usual) {
            return self.find_column(usual).map(|at| self.headings[at].clone());
        }
        match self.headings.get(place) {
            Some(heading) if self.headings.len() == 2 => Ok(heading.clone()),
            _ => Err(ReadingTableFault::new(format!(
                "{}: name the columns with --x and --y; it has: {}",
                self.name,
                self.headings.join(", ")
            ))),
        }
    }

    /// Cells of a column with their lines; a cell that is not there is empty.
    ///
    /// # Errors
    /// [`ReadingTableFault`] when there is no such column.
    pub fn read_texts(&self, column: &str) -> Result<Vec<(u64, &str)>, ReadingTableFault> {
        let at = self.find_column(column)?;
        let cell = |row: &'_ ReadingRow| row.line;
        Ok(self.rows.iter().map(|row| (cell(row), row.cells.get(at).map_or("", String::as_str))).collect())
    }

    /// Columns as figures, rows with an empty cell left out.
    ///
    /// # Errors
    /// [`ReadingTableFault`] with every cell that is no figure.
    pub fn read_figures(&self, columns: &[&str]) -> Result<ReadingColumns, ReadingTableFault> {
        let at: Vec<usize> = columns.iter().map(|c| self.find_column(c)).collect::<Result<_, _>>()?;
        let mut values = vec![Vec::new(); at.len()];
        let (mut left_out, mut faults) = (0, Vec::new());
        for row in &self.rows {
            let cells: Vec<&str> = at.iter().map(|k| row.cells.get(*k).map_or("", String::as_str)).collect();
            if cells.iter().any(|c| c.is_empty()) {
                left_out += 1;
                continue;
            }
            for (k, cell) in cells.iter().enumerate() {
                match parse_figure(cell, self.has_decimal_comma) {
                    Some(figure) => values[k].push(figure),
                    None => faults.push(format!(
                        "{}:{}: `{cell}` in column `{}` is not a figure; write digits such as 11.2",
                        self.name, row.line, columns[k]
                    )),
                }
            }
        }
        self.refuse_faults(faults)?;
        Ok(ReadingColumns { values, left_out })
    }

    fn refuse_faults(&self, mut faults: Vec<String>) -> Result<(), ReadingTableFault> {
        if faults.is_empty() {
            return Ok(());
        }
        let more = faults.len().saturating_sub(MAX_FAULTS_TOLD);
        faults.truncate(MAX_FAULTS_TOLD);
        let tail = if more > 0 { format!("\nand {more} more") } else { String::new() };
        Err(ReadingTableFault::new(format!("{}{tail}", faults.join("\n"))))
    }
}
