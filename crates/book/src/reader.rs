//! From the tables of all files to the model: names first, then every row by its field table, then what needs several keys.

use faults::{FaultCollector, SourceSpan, Spanned, TomlDocument};
use fields::{ListRules, NameIndex, NameKind, PlacedValue, ReadingDesk, ValueSpot};
use model::{Book, PartId};

use crate::drafts::{BookDraft, PartDraft};
use crate::fixing::{FixingOwner, finish_fixing};
use crate::limits;
use crate::rules::names as rule;
use crate::tables::{self, BOOK, HEAD_KEYS};

/// The places of a book, each list beside that of [`model::Book`].
///
/// A part keeps its ways as items of `way`, a fixing its accesses as items of `access`; `needs` holds a place for
/// each need that the model kept.
#[derive(Debug, Clone, Default)]
pub(crate) struct BookSpots {
    pub(crate) stations: Vec<ValueSpot>,
    pub(crate) conditions: Vec<ValueSpot>,
    pub(crate) openings: Vec<ValueSpot>,
    pub(crate) special_tools: Vec<ValueSpot>,
    pub(crate) parts: Vec<ValueSpot>,
    pub(crate) fixings: Vec<ValueSpot>,
    pub(crate) tasks: Vec<ValueSpot>,
    /// The count that each fixing was written with, which its holes must match.
    pub(crate) fixing_counts: Vec<Option<u16>>,
}

/// What was read: the book as far as it could be, and where everything was written.
pub(crate) struct ReadBook {
    pub(crate) book: Book,
    pub(crate) spots: BookSpots,
}

const LIST_RULES: ListRules = ListRules { too_many: &rule::B110, named_twice: &rule::B109 };

/// Reads all documents into one book; faults go to the bag.
pub(crate) fn read_book_documents(documents: &[TomlDocument<'_>], bag: &FaultCollector) -> ReadBook {
    let is_damaged = documents.iter().any(TomlDocument::is_damaged);
    let mut desk = ReadingDesk::new(bag, LIST_RULES, is_damaged);
    index_names(documents, &mut desk);
    let files = documents.iter().zip(needs_of_heads(documents, bag)).map(|(document, is_head)| {
        let need = if is_head { |need| need } else { |_| fields::KeyNeed::Optional };
        BOOK.read_table_needing(document.root_table(), &desk, need)
    });
    let read = join_files(files.collect(), &desk);
    check_price_currencies(&read.book.currency, &desk);
    read
}

/// Which of the files is the one with the head; a second head is reported.
fn needs_of_heads(documents: &[TomlDocument<'_>], bag: &FaultCollector) -> Vec<bool> {
    let key_of = |document: &TomlDocument<'_>| {
        let root = document.root_table();
        HEAD_KEYS.into_iter().find(|key| root.has(key)).map(|key| (key, root.value_span(key)))
    };
    let heads: Vec<Option<(&str, SourceSpan)>> = documents.iter().map(key_of).collect();
    let first = heads.iter().position(Option::is_some).unwrap_or(0);
    for (key, span) in heads.iter().skip(first + 1).flatten() {
        bag.push(rule::b102_second_head(key, *span));
    }
    (0..documents.len()).map(|index| index == first).collect()
}

/// Puts the names of all files on the desk, before any row refers to them; a key used twice is reported.
fn index_names(documents: &[TomlDocument<'_>], desk: &mut ReadingDesk<'_>) {
    let kinds: [(&str, &NameKind); 5] = [
        ("station", &tables::STATIONS),
        ("condition", &tables::CONDITIONS),
        ("opening", &tables::OPENINGS),
        ("special_tool", &tables::TOOLS),
        ("part", &tables::PARTS),
    ];
    for (list, kind) in kinds {
        let index = index_keys(documents, list, kind.what, desk);
        desk.names.set(kind, index);
    }
    drop(index_keys(documents, "task", "task", desk));
}

/// The keys of one list of all files.
fn index_keys(documents: &[TomlDocument<'_>], list: &str, what: &str, desk: &ReadingDesk<'_>) -> NameIndex {
    let mut keys = KeyIndex::default();
    for document in documents {
        let root = document.root_table();
        for row in root.optional_field(list).read_tables().into_iter().take(limits::MAX_ITEMS) {
            let span = row.key_span(list);
            keys.add(what, row.optional_field("key").read_text(), row.span(), desk.bag);
            if keys.places.len() == limits::MAX_ITEMS + 1 {
                let mut items = vec![(); keys.places.len()];
                desk.cut_to_limit(list, &mut items, limits::MAX_ITEMS, span);
            }
        }
    }
    keys.names
}

/// Keys of one kind with their places, to find those used twice.
#[derive(Debug, Default)]
struct KeyIndex {
    names: NameIndex,
    places: Vec<SourceSpan>,
}

impl KeyIndex {
    /// Adds the key of the next row; one used before is reported (B103).
    fn add(&mut self, what: &str, key: Option<Spanned<String>>, row: SourceSpan, bag: &FaultCollector) {
        let Some(key) = key else {
            self.names.insert_unnamed();
            self.places.push(row);
            return;
        };
        if let Some(first) = self.names.insert(&key.value) {
            bag.push(rule::b103_key_twice(what, &key, self.places.get(first).copied()));
        }
        self.places.push(key.span);
    }

    /// Adds the key of a row that was read.
    fn add_read(&mut self, what: &str, key: &str, spot: &ValueSpot, bag: &FaultCollector) {
        let key = (!key.is_empty()).then(|| Spanned::new(key.to_owned(), spot.key("key").span));
        self.add(what, key, spot.span, bag);
    }
}

/// One book of all files.
fn join_files(files: Vec<PlacedValue<BookDraft>>, desk: &ReadingDesk<'_>) -> ReadBook {
    let mut read = ReadBook { book: empty_book(), spots: BookSpots::default() };
    let mut parts = Vec::new();
    for PlacedValue { value: draft, mut spot } in files {
        let (book, spots) = (&mut read.book, &mut read.spots);
        for (text, of_file) in [
            (&mut book.key, draft.key),
            (&mut book.title, draft.title),
            (&mut book.origin, draft.origin),
            (&mut book.currency, draft.currency),
        ] {
            if text.is_empty() {
                *text = of_file;
            }
        }
        book.stations.extend(draft.stations);
        book.conditions.extend(draft.conditions);
        book.openings.extend(draft.openings);
        book.special_tools.extend(draft.special_tools);
        book.tasks.extend(draft.tasks);
        spots.stations.extend(spot.take_items("station"));
        spots.conditions.extend(spot.take_items("condition").into_iter().map(with_needs));
        spots.openings.extend(spot.take_items("opening"));
        spots.special_tools.extend(spot.take_items("special_tool"));
        spots.tasks.extend(spot.take_items("task").into_iter().map(with_needs));
        parts.extend(draft.parts.into_iter().zip(spot.take_items("part")));
    }
    let mut keys = KeyIndex::default();
    for (part, spot) in parts {
        add_part(&mut read, part, spot, &mut keys, desk);
    }
    read
}

fn empty_book() -> Book {
    Book {
        key: String::new(),
        title: String::new(),
        origin: String::new(),
        currency: String::new(),
        stations: Vec::new(),
        conditions: Vec::new(),
        openings: Vec::new(),
        parts: Vec::new(),
        fixings: Vec::new(),
        tasks: Vec::new(),
        special_tools: Vec::new(),
    }
}

/// Adds a part with its fixings to the book.
fn add_part(
    read: &mut ReadBook,
    draft: PartDraft,
    spot: ValueSpot,
    keys: &mut KeyIndex,
    desk: &ReadingDesk<'_>,
) {
    let mut spot = with_needs(spot);
    if let Some(ways) = spot.keys.get_mut("way") {
        ways.items = core::mem::take(&mut ways.items).into_iter().map(with_needs).collect();
    }
    let mut ways = KeyIndex::default();
    for (way, at) in draft.part.ways.iter().zip(&spot.key("way").items) {
        ways.add_read("way", &way.key, at, desk.bag);
    }
    let part = PartId::new(read.book.parts.len());
    let mut holes_before = 0;
    for (fixing, at) in draft.fixings.into_iter().zip(spot.take_items("fixing")) {
        keys.add_read("fixing", &fixing.fixing.key, &at, desk.bag);
        read.spots.fixing_counts.push(fixing.count);
        let owner = FixingOwner { part, ways: &ways.names, holes_before };
        let (fixing, at) = finish_fixing(fixing, at, &owner, desk);
        holes_before += fixing.holes.len();
        read.book.fixings.push(fixing);
        read.spots.fixings.push(at);
    }
    read.book.parts.push(draft.part);
    read.spots.parts.push(spot);
}

/// The places of a row with those of its needs, parts first, as the model has them.
fn with_needs(mut spot: ValueSpot) -> ValueSpot {
    let lists = ["off_first", "conditions"].into_iter().filter_map(|key| spot.keys.get(key));
    let items = lists.flat_map(|list| list.items.iter().cloned()).collect();
    let span = spot.span;
    spot.keys.insert("needs", ValueSpot::of_list(span, items));
    spot
}

/// Looks at the currencies behind prices, once the book's is known.
fn check_price_currencies(currency: &str, desk: &ReadingDesk<'_>) {
    let others = desk.currencies.take();
    for other in others.iter().filter(|other| other.value != currency && !currency.is_empty()) {
        desk.bag.push(rule::b113_other_currency(other, currency));
    }
}
