//! A spreadsheet as rows of named cells, each with its place in the text.

use std::collections::BTreeMap;

use csv::{ByteRecord, ReaderBuilder};
use faults::{Fault, FaultCollector, FaultRule, FileId, SourceSpan, SourceTexts, Spanned, nearest_name};

/// The rules of a format about its spreadsheets.
#[derive(Debug, Clone, Copy)]
pub struct SheetRules {
    /// Broken by a column that no table has.
    pub unknown_column: &'static FaultRule,
    /// Broken by rows that do not fit their header, and by a column that is there twice.
    pub bad_form: &'static FaultRule,
}

/// One row: its cells by column name, blank ones left out.
#[derive(Debug)]
pub struct SheetRow {
    /// The whole row.
    pub span: SourceSpan,
    /// Cells by column.
    pub cells: BTreeMap<String, Spanned<String>>,
}

/// What separates the fields: the commonest of comma, semicolon and tab in the first line that counts.
fn find_delimiter(text: &str) -> u8 {
    let head = text.lines().find(|l| !l.trim().is_empty() && !l.starts_with('#')).unwrap_or_default();
    let count = |sign: u8| head.bytes().filter(|b| *b == sign).count();
    [b',', b';', b'\t'].into_iter().rev().max_by_key(|sign| count(*sign)).unwrap_or(b',')
}

/// All rows of a spreadsheet whose columns are keys of some tables; faults of its form go to the bag.
#[must_use]
pub fn read_sheet(
    sources: &SourceTexts,
    file: FileId,
    bag: &FaultCollector,
    columns: &[&'static str],
    rules: SheetRules,
) -> Vec<SheetRow> {
    let known = columns;
    let text = sources.text(file);
    let sign = find_delimiter(text);
    let mut reader = ReaderBuilder::new()
        .delimiter(sign)
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let mut record = ByteRecord::new();
    let mut columns: Option<Vec<Spanned<String>>> = None;
    let mut rows = Vec::new();
    while let Ok(true) = reader.read_byte_record(&mut record) {
        let start = record.position().map_or(0, |p| p.byte() as usize);
        let end = reader.position().byte() as usize;
        let cells = record_cells(text, file, (start, end), sign, &record);
        if cells.iter().all(|cell| cell.value.is_empty()) {
            continue;
        }
        match &columns {
            None => columns = Some(read_header(cells, bag, known, rules)),
            Some(columns) => rows.extend(name_row_cells(columns, cells, bag, rules)),
        }
    }
    rows
}

/// The fields of a record with their places.
fn record_cells(
    text: &str,
    file: FileId,
    (start, end): (usize, usize),
    sign: u8,
    record: &ByteRecord,
) -> Vec<Spanned<String>> {
    let places = field_places(text, start, end, sign);
    let whole = trim_range(text, start, end);
    record
        .iter()
        .enumerate()
        .map(|(i, bytes)| {
            let (from, to) = places.get(i).copied().unwrap_or(whole);
            let value = String::from_utf8_lossy(bytes).trim().to_owned();
            Spanned::new(value, SourceSpan::new(file, from, to))
        })
        .collect()
}

/// The place of each field of a record: cut at the signs that lie outside quotes.
fn field_places(text: &str, start: usize, end: usize, sign: u8) -> Vec<(usize, usize)> {
    let end = end.min(text.len());
    let mut found = Vec::new();
    let (mut from, mut quoted) = (start, false);
    for at in start..end {
        match text.as_bytes()[at] {
            b'"' => quoted = !quoted,
            byte if byte == sign && !quoted => {
                found.push(trim_range(text, from, at));
                from = at + 1;
            }
            _ => {}
        }
    }
    found.push(trim_range(text, from, end));
    found
}

/// A stretch without the blanks and line ends round it.
fn trim_range(text: &str, start: usize, end: usize) -> (usize, usize) {
    let Some(piece) = text.get(start..end.min(text.len())) else { return (start, end) };
    let lead = piece.len() - piece.trim_start().len();
    let from = start + lead;
    (from, from + piece.trim().len())
}

/// The columns; unknown and repeated ones are reported.
fn read_header(
    cells: Vec<Spanned<String>>,
    bag: &FaultCollector,
    known: &[&'static str],
    rules: SheetRules,
) -> Vec<Spanned<String>> {
    let columns: Vec<Spanned<String>> =
        cells.into_iter().map(|cell| cell.map(|name| name.to_lowercase().replace(' ', "_"))).collect();
    let mut seen: BTreeMap<&str, SourceSpan> = BTreeMap::new();
    for column in &columns {
        if let Some(first) = seen.insert(&column.value, column.span).filter(|_| !column.value.is_empty()) {
            let fault =
                Fault::error(rules.bad_form.code, format!("column `{}` is there twice", column.value))
                    .at(column.span, "for the second time here");
            bag.push(fault.note(first, "first here").help("remove one of them"));
        } else if !column.value.is_empty() && !known.contains(&column.value.as_str()) {
            bag.push(unknown_column_fault(column, known, rules.unknown_column));
        }
    }
    columns
}

/// A column that no table has.
fn unknown_column_fault(column: &Spanned<String>, known: &[&'static str], rule: &FaultRule) -> Fault {
    let near = nearest_name(&column.value, known.iter().copied());
    let hint = near.map(|n| format!("; did you mean `{n}`?")).unwrap_or_default();
    Fault::error(rule.code, format!("unknown column `{}`{hint}", column.value))
        .at(column.span, "not a column here")
        .help(rule.help)
}

/// One row by column names; too many and too few fields are reported.
fn name_row_cells(
    columns: &[Spanned<String>],
    cells: Vec<Spanned<String>>,
    bag: &FaultCollector,
    rules: SheetRules,
) -> Option<SheetRow> {
    let (first, last) = (cells.first()?.span, cells.last()?.span);
    let span = SourceSpan::new(first.file, first.start, last.end.max(first.end));
    if cells.len() != columns.len() {
        let message = format!("this row has {} fields, the first row names {}", cells.len(), columns.len());
        bag.push(Fault::error(rules.bad_form.code, message).at(span, "in this row").help(
            "leave empty fields between the separators; put a field with a comma in it in double quotes",
        ));
        return None;
    }
    let named = columns.iter().zip(cells).filter(|(_, cell)| !cell.value.is_empty());
    Some(SheetRow { span, cells: named.map(|(column, cell)| (column.value.clone(), cell)).collect() })
}
