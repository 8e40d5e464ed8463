//! From the tables of all files to the model: names first, then each kind of table in its own module.

mod access;
mod basics;
mod fixing;
mod head;
mod part;
mod shared;
mod tighten;

use crate::limits;
use crate::names::Index;
use crate::row::{Desk, Row};
use crate::rules::names as rule;
use crate::spot::Spots;
use faults::{Document, Rule, Span, Tab};
use model::Book;

/// A table with its key.
struct Keyed<'d> {
    row: Row<'d>,
    key: String,
}

impl<'d> Keyed<'d> {
    /// The table and its key; faults from here on are the table's own.
    fn open(self) -> (Row<'d>, String) {
        (self.row.starting_here(), self.key)
    }
}

/// The names that tables refer to each other by.
pub(crate) struct Names {
    stations: Index,
    conditions: Index,
    openings: Index,
    special_tools: Index,
    parts: Index,
}

/// All tables of one kind, each with its key, and the index of the keys.
fn keyed<'d>(
    roots: &[Row<'d>],
    list: &'static str,
    what: &'static str,
    desk: &'d Desk<'d>,
) -> (Vec<Keyed<'d>>, Index) {
    let tabs: Vec<Tab<'d>> = roots.iter().flat_map(|root| root.maybe(list).list()).collect();
    let tabs = match roots.first() {
        Some(root) => root.at_most(list, tabs, limits::ITEMS_MAX),
        None => tabs,
    };
    let mut index = Index::new(what);
    let mut places: Vec<Span> = Vec::new();
    let mut found = Vec::new();
    for tab in tabs {
        let row = Row::new(tab, list, desk);
        let (key, span) = own_key(&row, what, &mut index, &places);
        places.push(span);
        found.push(Keyed { row, key });
    }
    (found, index)
}

/// A table's own key, looked at for form and for being the only one; `places` are those of the tables before.
fn own_key(row: &Row<'_>, what: &str, index: &mut Index, places: &[Span]) -> (String, Span) {
    let Some(key) = row.need("key").str() else { return (String::new(), row.span()) };
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
pub(crate) struct Draft {
    pub(crate) book: Book,
    pub(crate) spots: Spots,
}

/// Reads all documents into one book; faults go to the desk's bag.
pub(crate) fn read<'d>(documents: &'d [Document<'d>], desk: &'d Desk<'d>) -> Draft {
    let roots: Vec<Row<'d>> = documents.iter().map(|d| Row::new(d.root(), "book", desk)).collect();
    let mut book = head::read(&roots);
    let (station_rows, stations) = keyed(&roots, "station", "station", desk);
    let (condition_rows, conditions) = keyed(&roots, "condition", "condition", desk);
    let (opening_rows, openings) = keyed(&roots, "opening", "opening", desk);
    let (tool_rows, special_tools) = keyed(&roots, "special_tool", "special tool", desk);
    let (part_rows, parts) = keyed(&roots, "part", "part", desk);
    let (task_rows, _) = keyed(&roots, "task", "task", desk);
    let names = Names { stations, conditions, openings, special_tools, parts };
    let mut spots = Spots::default();
    (book.stations, spots.stations) = station_rows.into_iter().map(basics::station).unzip();
    (book.conditions, spots.conditions) =
        condition_rows.into_iter().map(|row| basics::condition(row, &names)).unzip();
    (book.openings, spots.openings) = opening_rows.into_iter().map(basics::opening).unzip();
    (book.special_tools, spots.special_tools) = tool_rows.into_iter().map(basics::special_tool).unzip();
    part::all(part_rows, &names, &mut book, &mut spots);
    (book.tasks, spots.tasks) = task_rows.into_iter().map(|row| basics::task(row, &names)).unzip();
    roots.into_iter().for_each(|root| drop(root.finish()));
    head::currencies(&book.currency, desk);
    Draft { book, spots }
}

/// Which rule speaks of an unknown name of each kind.
struct Unknown;

impl Unknown {
    const STATION: &'static Rule = &rule::B105;
    const CONDITION: &'static Rule = &rule::B106;
    const PART: &'static Rule = &rule::B107;
    const OPENING: &'static Rule = &rule::B108;
    const TOOL: &'static Rule = &rule::B114;
}
