//! From the tables of all files to the model: names first, then every row by its field table, then what needs several keys.

use faults::{FaultCollector, SourceSpan, Spanned, TomlDocument};
use std::collections::BTreeMap;

use fields::{ListRules, NameIndex, NameKind, PlacedValue, ReadingDesk, SheetRow, ValueSpot};
use model::{Book, FigureOrigins, Fixing, PartId, SettingId, Station};

use crate::drafts::{BookDraft, PartDraft, SettingDraft, WorldRuleDraft};
use crate::fixing::{FixingOwner, finish_fixing};
use crate::limits;
use crate::repeat;
use crate::rows;
use crate::rules::names as rule;
use crate::tables::{self, BOOK, HEAD_KEYS};
use crate::tightening_orders::{TighteningOrder, resolve_tightening_orders};
use crate::world;

/// The places of a book, each list beside that of [`model::Book`].
///
/// A part keeps its ways as items of `way`, a fixing its accesses as items of `access`; `needs` holds a place for
/// each need that the model kept.
#[derive(Debug, Clone, Default)]
pub(crate) struct BookSpots {
    pub(crate) stations: Vec<ValueSpot>,
    pub(crate) settings: Vec<ValueSpot>,
    pub(crate) rules: Vec<ValueSpot>,
    pub(crate) conditions: Vec<ValueSpot>,
    pub(crate) openings: Vec<ValueSpot>,
    pub(crate) special_tools: Vec<ValueSpot>,
    pub(crate) parts: Vec<ValueSpot>,
    pub(crate) fixings: Vec<ValueSpot>,
    pub(crate) tasks: Vec<ValueSpot>,
    pub(crate) measures: Vec<ValueSpot>,
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
pub(crate) fn read_book_documents(
    documents: &[TomlDocument<'_>],
    rows: &[SheetRow],
    bag: &FaultCollector,
) -> ReadBook {
    let is_damaged = documents.iter().any(TomlDocument::is_damaged);
    let mut desk = ReadingDesk::new(bag, LIST_RULES, is_damaged);
    let places = index_names(documents, rows, &mut desk);
    let files = documents.iter().zip(needs_of_heads(documents, bag)).map(|(document, is_head)| {
        let need = if is_head { |need| need } else { |_| fields::KeyNeed::Optional };
        BOOK.read_table_needing(document.root_table(), &desk, need)
    });
    let read = join_files(files.collect(), (rows, &places), &desk);
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
///
/// Gives the position of each part that a spreadsheet names, by title.
fn index_names(
    documents: &[TomlDocument<'_>],
    rows: &[SheetRow],
    desk: &mut ReadingDesk<'_>,
) -> BTreeMap<String, usize> {
    let kinds: [(&str, &NameKind); 5] = [
        ("station", &tables::STATIONS),
        ("condition", &tables::CONDITIONS),
        ("opening", &tables::OPENINGS),
        ("special_tool", &tables::TOOLS),
        ("setting", &tables::SETTINGS),
    ];
    for (list, kind) in kinds {
        let index = index_keys(documents, list, kind.what, desk).names;
        desk.names.set(kind, index);
    }
    desk.names.set(&tables::VALUES, world::index_values(documents));
    for (list, kind) in [("task", &tables::TASKS), ("measure", &tables::MEASURES)] {
        let index = index_keys(documents, list, kind.what, desk).names;
        desk.names.set(kind, index);
    }
    let mut parts = index_keys(documents, "part", "part", desk);
    let titles = parts.titles.iter().enumerate().filter(|(_, title)| !title.is_empty());
    let mut places: BTreeMap<String, usize> = titles.rev().map(|(at, title)| (title.clone(), at)).collect();
    for row in rows {
        let Some(title) = rows::part_title(row).filter(|title| !places.contains_key(*title)) else {
            continue;
        };
        places.insert(title.to_owned(), parts.names.len());
        let key = parts.free_key(title);
        parts.add_made(&key, title, row.span);
    }
    let described = parts.names.len();
    let copies = repeat::copy_keys(documents, |row| parts.names.name(row).to_owned(), described);
    for key in copies {
        let span = key.span;
        parts.add("part", Some(key), span, desk.bag);
    }
    desk.names.set(&tables::PARTS, parts.names);
    places
}

/// The keys of one list of all files.
fn index_keys(documents: &[TomlDocument<'_>], list: &str, what: &str, desk: &ReadingDesk<'_>) -> KeyIndex {
    let mut keys = KeyIndex::default();
    for document in documents {
        let root = document.root_table();
        for row in root.optional_field(list).read_tables().into_iter().take(limits::MAX_ITEMS) {
            let span = row.key_span(list);
            let title = || row.optional_field("title").peek_text().map(|title| keys.free_key(title));
            let key = if row.has("key") { row.optional_field("key").read_text() } else { None };
            let made = if row.has("key") { None } else { title() };
            match made {
                Some(made) => keys.add_made(
                    &made,
                    row.optional_field("title").peek_text().unwrap_or_default(),
                    row.span(),
                ),
                None => keys.add(what, key, row.span(), desk.bag),
            }
            if keys.places.len() == limits::MAX_ITEMS + 1 {
                let mut items = vec![(); keys.places.len()];
                desk.cut_to_limit(list, &mut items, limits::MAX_ITEMS, span);
            }
        }
    }
    keys
}

/// Keys of one kind with their places, to find those used twice.
#[derive(Debug, Default)]
struct KeyIndex {
    names: NameIndex,
    /// Titles of rows whose key was made from it; empty for the others.
    titles: Vec<String>,
    places: Vec<SourceSpan>,
}

impl KeyIndex {
    /// Adds the key of the next row; one used before is reported (B103).
    fn add(&mut self, what: &str, key: Option<Spanned<String>>, row: SourceSpan, bag: &FaultCollector) {
        self.titles.push(String::new());
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

    /// Adds a key that was made from a title.
    fn add_made(&mut self, key: &str, title: &str, row: SourceSpan) {
        self.names.insert(key);
        self.titles.push(title.to_owned());
        self.places.push(row);
    }

    /// A key made from a title, with a number behind it where the plain one is taken.
    fn free_key(&self, title: &str) -> String {
        let plain = key_of_title(title);
        let numbered = (2..).map(|number: u32| format!("{plain}-{number}"));
        let mut keys = core::iter::once(plain.clone()).chain(numbered);
        keys.find(|key| self.names.position(key).is_none()).unwrap_or(plain)
    }

    /// Adds the key of a row that was read.
    fn add_read(
        &mut self,
        what: &str,
        key: &mut String,
        title: &str,
        spot: &ValueSpot,
        bag: &FaultCollector,
    ) {
        if key.is_empty() && !spot.has("key") && !title.is_empty() {
            *key = self.free_key(title);
            return self.add_made(key, title, spot.span);
        }
        let key = (!key.is_empty()).then(|| Spanned::new(key.clone(), spot.key("key").span));
        self.add(what, key, spot.span, bag);
    }
}

/// A key made from a title: its letters and figures in lower case, joined by hyphens; `unnamed` where it has none.
pub(crate) fn key_of_title(title: &str) -> String {
    let plain: String =
        title.to_lowercase().chars().map(|c| if c.is_ascii_alphanumeric() { c } else { ' ' }).collect();
    let words: Vec<&str> = plain.split_whitespace().collect();
    if words.is_empty() { String::from("unnamed") } else { words.join("-") }
}

/// Gives rows without a key the one made from their title, as the names on the desk have it.
fn fill_keys<'k>(keys: impl Iterator<Item = &'k mut String>, names: &NameIndex) {
    for (position, key) in keys.enumerate().filter(|(_, key)| key.is_empty()) {
        names.name(position).clone_into(key);
    }
}

/// One book of all files.
fn join_files(
    files: Vec<PlacedValue<BookDraft>>,
    (rows, places): (&[SheetRow], &BTreeMap<String, usize>),
    desk: &ReadingDesk<'_>,
) -> ReadBook {
    let mut read = ReadBook { book: empty_book(), spots: BookSpots::default() };
    let mut parts = Vec::new();
    for PlacedValue { value: draft, mut spot } in files {
        add_world(&mut read, (draft.settings, draft.rules), &mut spot, desk);
        read.book.goals.extend(draft.goals);
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
        book.is_invented |= draft.is_invented;
        book.origins = book.origins.or_else(draft.origins);
        book.stations.extend(draft.stations);
        book.conditions.extend(draft.conditions);
        book.openings.extend(draft.openings);
        book.special_tools.extend(draft.special_tools);
        book.tasks.extend(draft.tasks);
        book.measures.extend(draft.measures);
        spots.stations.extend(spot.take_items("station"));
        spots.conditions.extend(spot.take_items("condition").into_iter().map(with_needs));
        spots.openings.extend(spot.take_items("opening"));
        spots.special_tools.extend(spot.take_items("special_tool"));
        spots.tasks.extend(spot.take_items("task").into_iter().map(with_needs));
        spots.measures.extend(spot.take_items("measure"));
        parts.extend(draft.parts.into_iter().zip(spot.take_items("part")));
    }
    rows::add_rows(&mut parts, rows, places, desk);
    let names = |kind: &NameKind| desk.names.names_of(kind);
    fill_keys(parts.iter_mut().map(|(part, _)| &mut part.part.key), names(&tables::PARTS));
    let parts = parts.into_iter().map(|(part, spot)| (part, with_places_of_needs(spot))).collect();
    let (parts, part_places) = repeat::expand_parts(parts, read.book.origins, desk);
    let (book, spots) = (&mut read.book, &mut read.spots);
    part_places.place_book(book, (&mut spots.conditions, &mut spots.tasks, &spots.rules), desk);
    fill_keys(book.stations.iter_mut().map(|row| &mut row.key), names(&tables::STATIONS));
    fill_keys(book.conditions.iter_mut().map(|row| &mut row.key), names(&tables::CONDITIONS));
    fill_keys(book.openings.iter_mut().map(|row| &mut row.key), names(&tables::OPENINGS));
    fill_keys(book.special_tools.iter_mut().map(|row| &mut row.key), names(&tables::TOOLS));
    fill_keys(book.settings.iter_mut().map(|row| &mut row.key), names(&tables::SETTINGS));
    fill_keys(book.tasks.iter_mut().map(|row| &mut row.key), names(&tables::TASKS));
    fill_keys(book.measures.iter_mut().map(|row| &mut row.key), names(&tables::MEASURES));
    add_what_goes_without_saying(book);
    let mut keys = KeyIndex::default();
    let mut orders = Vec::new();
    for mut row in parts {
        part_places.place_part(&mut row, PartId::new(read.book.parts.len()));
        let told = row.draft.fixings.iter().map(|fixing| fixing.tighten_after.clone());
        orders.extend(told.zip(row.described_keys).map(|(after, described_key)| TighteningOrder {
            row: row.row,
            described_key,
            after,
        }));
        add_part(&mut read, row.draft, row.spot, &mut keys, desk);
    }
    resolve_tightening_orders(&mut read.book, &read.spots, &orders, &keys.names, desk);
    crate::origins::push_origins_down(&mut read.book);
    read
}

/// Adds the settings and rules of a file.
fn add_world(
    read: &mut ReadBook,
    (settings, rules): (Vec<SettingDraft>, Vec<WorldRuleDraft>),
    spot: &mut ValueSpot,
    desk: &ReadingDesk<'_>,
) {
    for (draft, mut at) in settings.into_iter().zip(spot.take_items("setting")) {
        let id = SettingId::new(read.book.settings.len());
        read.book.settings.push(world::finish_setting(draft, id, &mut at, desk));
        read.spots.settings.push(at);
    }
    for (draft, at) in rules.into_iter().zip(spot.take_items("rule")) {
        if let Some(rule) = world::finish_rule(draft, &at, desk) {
            read.book.rules.push(rule);
            read.spots.rules.push(at);
        }
    }
}

/// The currency of a book that names none.
const USUAL_CURRENCY: &str = "EUR";

/// The head's key and currency and the one working position, where nothing is told of them.
fn add_what_goes_without_saying(book: &mut Book) {
    if book.key.is_empty() && !book.title.is_empty() {
        book.key = key_of_title(&book.title);
    }
    if book.currency.is_empty() {
        USUAL_CURRENCY.clone_into(&mut book.currency);
    }
    if book.stations.is_empty() {
        let (key, title) = (String::from("at-the-engine"), String::from("at the engine"));
        book.stations.push(Station { key, title, ..crate::drafts::blank_station() });
    }
}

fn empty_book() -> Book {
    Book {
        key: String::new(),
        title: String::new(),
        origin: String::new(),
        currency: String::new(),
        is_invented: false,
        origins: FigureOrigins::default(),
        stations: Vec::new(),
        conditions: Vec::new(),
        openings: Vec::new(),
        parts: Vec::new(),
        fixings: Vec::new(),
        tasks: Vec::new(),
        special_tools: Vec::new(),
        measures: Vec::new(),
        rules: Vec::new(),
        goals: Vec::new(),
        settings: Vec::new(),
    }
}

/// Adds a part with its fixings to the book.
fn add_part(
    read: &mut ReadBook,
    mut draft: PartDraft,
    mut spot: ValueSpot,
    keys: &mut KeyIndex,
    desk: &ReadingDesk<'_>,
) {
    let mut ways = KeyIndex::default();
    for (way, at) in draft.part.ways.iter_mut().zip(&spot.key("way").items) {
        ways.add_read("way", &mut way.key, &way.title, at, desk.bag);
    }
    let part = PartId::new(read.book.parts.len());
    let mut holes_before = 0;
    for (number, (mut fixing, at)) in draft.fixings.into_iter().zip(spot.take_items("fixing")).enumerate() {
        read.spots.fixing_counts.push(fixing.count);
        let told_title = core::mem::take(&mut fixing.fixing.title);
        let owner = FixingOwner { part, ways: &ways.names, holes_before };
        let (mut fixing, at) = finish_fixing(fixing, at, &owner, desk);
        fixing.title = if told_title.is_empty() {
            title_of_fixing(&draft.part.title, &fixing, number)
        } else {
            told_title
        };
        keys.add_read("fixing", &mut fixing.key, &fixing.title, &at, desk.bag);
        holes_before += fixing.holes.len();
        read.book.fixings.push(fixing);
        read.spots.fixings.push(at);
    }
    read.book.parts.push(draft.part);
    read.spots.parts.push(spot);
}

/// The title of a fixing that has none: its part's, its kind, and its number on the part behind the first.
fn title_of_fixing(part: &str, fixing: &Fixing, number: usize) -> String {
    let plural = if fixing.holes.len() == 1 { "" } else { "s" };
    let behind = if number == 0 { String::new() } else { format!(", {}", number + 1) };
    let kind = fixing.kind.spoken_word();
    // A drain plug that is held by its own thread is no drain plug plug.
    let is_itself = part.ends_with(kind) && number == 0;
    if is_itself { format!("{part}{plural}") } else { format!("{part} {kind}{plural}{behind}") }
}

/// The places of a part with those of its needs and of the needs of its ways.
fn with_places_of_needs(spot: ValueSpot) -> ValueSpot {
    let mut spot = with_needs(spot);
    if let Some(ways) = spot.keys.get_mut("way") {
        ways.items = core::mem::take(&mut ways.items).into_iter().map(with_needs).collect();
    }
    spot
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
