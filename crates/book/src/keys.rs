//! Keys written back: what reading made from titles stands in the files from then on, and stays when a title changes.

use model::{Book, PartId};
use toml_edit::{ArrayOfTables, DocumentMut, Table, value};

/// The files of a book with every key that reading made from a title written in, comments and order kept.
///
/// Files that cannot be parsed come back as they are; spreadsheets hold no keys. `None` stands for a file in which nothing
/// changes.
#[must_use]
pub fn write_made_keys(files: &[(String, String)], book: &Book) -> Vec<Option<String>> {
    let mut counters = KeyCounters::default();
    files.iter().map(|(name, text)| fill_file(name, text, book, &mut counters)).collect()
}

/// How many rows of each list have been met in the files so far.
#[derive(Debug, Default)]
struct KeyCounters {
    stations: usize,
    settings: usize,
    conditions: usize,
    openings: usize,
    tools: usize,
    parts: usize,
    tasks: usize,
    measures: usize,
    head_done: bool,
}

fn fill_file(name: &str, text: &str, book: &Book, counters: &mut KeyCounters) -> Option<String> {
    if !name.to_lowercase().ends_with(".toml") {
        return None;
    }
    let mut document: DocumentMut = text.parse().ok()?;
    let before = document.to_string();
    if document.contains_key("title") && !counters.head_done {
        counters.head_done = true;
        insert_key(document.as_table_mut(), &book.key);
    }
    let keys = |list: Vec<&str>| list.into_iter().map(str::to_owned).collect::<Vec<String>>();
    let lists: [(&str, Vec<String>, &mut usize); 7] = [
        ("station", keys(book.stations.iter().map(|row| row.key.as_str()).collect()), &mut counters.stations),
        ("setting", keys(book.settings.iter().map(|row| row.key.as_str()).collect()), &mut counters.settings),
        (
            "condition",
            keys(book.conditions.iter().map(|row| row.key.as_str()).collect()),
            &mut counters.conditions,
        ),
        ("opening", keys(book.openings.iter().map(|row| row.key.as_str()).collect()), &mut counters.openings),
        (
            "special_tool",
            keys(book.special_tools.iter().map(|row| row.key.as_str()).collect()),
            &mut counters.tools,
        ),
        ("measure", keys(book.measures.iter().map(|row| row.key.as_str()).collect()), &mut counters.measures),
        ("task", keys(book.tasks.iter().map(|row| row.key.as_str()).collect()), &mut counters.tasks),
    ];
    for (list, keys, counter) in lists {
        for table in tables_of(document.as_table_mut(), list) {
            if let Some(key) = keys.get(*counter) {
                insert_key(table, key);
            }
            *counter += 1;
        }
    }
    for table in tables_of(document.as_table_mut(), "part") {
        match table.get("repeat").and_then(toml_edit::Item::as_array).map(toml_edit::Array::len) {
            // Each of the parts that it stands for has a key of its own, made from this one's and its label.
            Some(copies) if copies > 0 => counters.parts += copies,
            Some(_) | None => {
                fill_part(table, book, counters.parts);
                counters.parts += 1;
            }
        }
    }
    let after = document.to_string();
    (after != before).then_some(after)
}

fn fill_part(table: &mut Table, book: &Book, position: usize) {
    let Some(part) = book.parts.get(position) else { return };
    insert_key(table, &part.key);
    for (way, at) in part.ways.iter().zip(tables_of(table, "way")) {
        insert_key(at, &way.key);
    }
    let fixings: Vec<_> = book.fixings_of(PartId::new(position)).collect();
    for (id, at) in fixings.into_iter().zip(tables_of(table, "fixing")) {
        insert_key(at, &book.fixing(id).key);
    }
}

/// The tables of a list under headings.
fn tables_of<'t>(table: &'t mut Table, list: &str) -> impl Iterator<Item = &'t mut Table> + use<'t> {
    let tables = table.get_mut(list).and_then(toml_edit::Item::as_array_of_tables_mut);
    tables.into_iter().flat_map(ArrayOfTables::iter_mut)
}

/// Writes a key where there is none, behind the title.
fn insert_key(table: &mut Table, key: &str) {
    if !table.contains_key("key") && !key.is_empty() {
        table.insert("key", value(key));
    }
}
