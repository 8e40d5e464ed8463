//! From the tables of all files to the model: names first, then each kind of table in its own module.

mod access;
mod basics;
mod fixing;
mod head;
mod part;
mod shared;
mod tighten;

use crate::limits;
use crate::names::NameIndex;
use crate::rules::names as rule;
use crate::spot::BookSpots;
use crate::table_reader::{ReaderDesk, TableReader};
use faults::{FaultRule, SourceSpan, TomlDocument, TomlTable};
use model::Book;

/// A table with its key.
struct KeyedTable<'d> {
    row: TableReader<'d>,
    key: String,
}

impl<'d> KeyedTable<'d> {
    /// The table and its key; faults from here on are the table's own.
    fn start_reading(self) -> (TableReader<'d>, String) {
        (self.row.forget_earlier_faults(), self.key)
    }
}

/// The names that tables refer to each other by.
pub(crate) struct BookNames {
    stations: NameIndex,
    conditions: NameIndex,
    openings: NameIndex,
    special_tools: NameIndex,
    parts: NameIndex,
}

/// All tables of one kind, each with its key, and the index of the keys.
fn read_keyed_tables<'d>(
    roots: &[TableReader<'d>],
    list: &'static str,
    what: &'static str,
    desk: &'d ReaderDesk<'d>,
) -> (Vec<KeyedTable<'d>>, NameIndex) {
    let tabs: Vec<TomlTable<'d>> =
        roots.iter().flat_map(|root| root.optional_field(list).read_tables()).collect();
    let tabs = match roots.first() {
        Some(root) => root.cut_to_limit(list, tabs, limits::MAX_ITEMS),
        None => tabs,
    };
    let mut index = NameIndex::new(what);
    let mut places: Vec<SourceSpan> = Vec::new();
    let mut found = Vec::new();
    for tab in tabs {
        let row = TableReader::new(tab, list, desk);
        let (key, span) = read_own_key(&row, what, &mut index, &places);
        places.push(span);
        found.push(KeyedTable { row, key });
    }
    (found, index)
}

/// A table's own key, looked at for form and for being the only one; `places` are those of the tables before.
fn read_own_key(
    row: &TableReader<'_>,
    what: &str,
    index: &mut NameIndex,
    places: &[SourceSpan],
) -> (String, SourceSpan) {
    let Some(key) = row.required_field("key").read_text() else { return (String::new(), row.span()) };
    let bag = row.desk.bag;
    if !rule::is_well_formed(&key.value) {
        bag.push(rule::b104_form_of_key(&key));
    }
    if let Some(first) = index.insert(&key.value, places.len()) {
        bag.push(rule::b103_key_twice(what, &key, places.get(first).copied()));
    }
    (key.value, key.span)
}

/// What was read: the book as far as it could be, and where everything stood.
pub(crate) struct BookDraft {
    pub(crate) book: Book,
    pub(crate) spots: BookSpots,
}

/// Reads all documents into one book; faults go to the desk's bag.
pub(crate) fn read_book_tables<'d>(documents: &'d [TomlDocument<'d>], desk: &'d ReaderDesk<'d>) -> BookDraft {
    let roots: Vec<TableReader<'d>> =
        documents.iter().map(|d| TableReader::new(d.root_table(), "book", desk)).collect();
    let mut book = head::read_book_head(&roots);
    let (station_rows, stations) = read_keyed_tables(&roots, "station", "station", desk);
    let (condition_rows, conditions) = read_keyed_tables(&roots, "condition", "condition", desk);
    let (opening_rows, openings) = read_keyed_tables(&roots, "opening", "opening", desk);
    let (tool_rows, special_tools) = read_keyed_tables(&roots, "special_tool", "special tool", desk);
    let (part_rows, parts) = read_keyed_tables(&roots, "part", "part", desk);
    let (task_rows, _) = read_keyed_tables(&roots, "task", "task", desk);
    let names = BookNames { stations, conditions, openings, special_tools, parts };
    let mut spots = BookSpots::default();
    (book.stations, spots.stations) = station_rows.into_iter().map(basics::read_station).unzip();
    (book.conditions, spots.conditions) =
        condition_rows.into_iter().map(|row| basics::read_condition(row, &names)).unzip();
    (book.openings, spots.openings) = opening_rows.into_iter().map(basics::read_opening).unzip();
    (book.special_tools, spots.special_tools) = tool_rows.into_iter().map(basics::read_special_tool).unzip();
    part::read_all_parts(part_rows, &names, &mut book, &mut spots);
    (book.tasks, spots.tasks) = task_rows.into_iter().map(|row| basics::read_task(row, &names)).unzip();
    roots.into_iter().for_each(|root| drop(root.finish()));
    head::check_price_currencies(&book.currency, desk);
    BookDraft { book, spots }
}

/// Which rule speaks of an unknown name of each kind.
struct UnknownNameRules;

impl UnknownNameRules {
    const STATION: &'static FaultRule = &rule::B105;
    const CONDITION: &'static FaultRule = &rule::B106;
    const PART: &'static FaultRule = &rule::B107;
    const OPENING: &'static FaultRule = &rule::B108;
    const TOOL: &'static FaultRule = &rule::B114;
}
