//! Files of a store to one checked store: the head, the trays, all pieces with keys of their own.

use std::collections::BTreeMap;

use faults::{
    Fault, FaultCollector, Faults, FileId, SourceSpan, SourceTexts, Spanned, TomlTable, nearest_name,
    parse_toml,
};
use model::{Store, Tray};
use units::Length;

use crate::csv_rows;
use crate::entry::StoreEntry;
use crate::item::{self, ParsedPiece};

/// What the head of a store says.
pub const FORMAT: &str = "traywright-store/1";

/// Most pieces that a store holds; a well-stocked workshop owns a few thousand.
pub const MAX_STORE_PIECES: usize = 10_000;

/// What came of reading a store.
#[derive(Debug)]
pub struct ParsedStore {
    /// The store; nothing if there are errors.
    pub store: Option<Store>,
    /// Everything that was found wrong.
    pub faults: Faults,
    /// The texts that the faults point into.
    pub sources: SourceTexts,
}

/// What is gathered from all files.
#[derive(Debug, Default)]
struct GatheredStore {
    title: Option<String>,
    head: Option<SourceSpan>,
    cart_places: Option<u16>,
    trays: Vec<(Tray, SourceSpan)>,
    items: Vec<ParsedPiece>,
    full: bool,
}

/// Reads the files of a store, each a name and its bytes; `.toml` files are merged, the rows of `.csv` files added.
#[must_use]
pub fn read_store(files: &[(String, Vec<u8>)]) -> ParsedStore {
    let (mut sources, bag) = (SourceTexts::new(), FaultCollector::new());
    let ids: Vec<FileId> =
        files.iter().map(|(name, bytes)| add_file(&mut sources, &bag, name, bytes)).collect();
    let mut gathered = GatheredStore::default();
    for file in ids {
        let name = sources.name(file).to_lowercase();
        match name.rsplit('.').next() {
            Some("toml") => gather_toml(&sources, file, &bag, &mut gathered),
            Some("csv") => gather_csv(&sources, file, &bag, &mut gathered),
            _ => bag.push(other_file_fault(file, &name)),
        }
    }
    let store = assemble_store(gathered, &bag);
    let faults = bag.into_faults();
    ParsedStore { store: if faults.has_errors() { None } else { store }, faults, sources }
}

/// Keeps one file's text.
fn add_file(sources: &mut SourceTexts, bag: &FaultCollector, name: &str, bytes: &[u8]) -> FileId {
    let (file, fault) = sources.add_bytes(name, bytes);
    if let Some(fault) = fault {
        bag.push(fault);
    }
    file
}

/// S118: a file of another kind.
fn other_file_fault(file: FileId, name: &str) -> Fault {
    Fault::error("S118", format!("`{name}` is neither .toml nor .csv"))
        .at(SourceSpan::new(file, 0, 0), "not read")
        .help("a store is made of .toml and .csv files; keep others elsewhere")
}

/// One file of TOML.
fn gather_toml(sources: &SourceTexts, file: FileId, bag: &FaultCollector, gathered: &mut GatheredStore) {
    let document = parse_toml(sources, file, bag);
    let root = document.root_table();
    if root.has("format") || root.has("title") {
        read_store_head(&root, bag, gathered);
    }
    let _ = root.optional_field("origin").read_text();
    if let Some(places) = root.optional_field("cart_places").read_int(1..=9999) {
        gathered.cart_places = Some(places.value as u16);
    }
    gathered.trays.extend(root.optional_field("tray").read_tables().into_iter().filter_map(read_tray));
    for set in root.optional_field("set").read_tables() {
        if set.required_field("set").is_given() {
            gather_entry(StoreEntry::Table(set, bag), gathered);
        }
    }
    for piece in root.optional_field("piece").read_tables() {
        gather_entry(StoreEntry::Table(piece, bag), gathered);
    }
    root.report_unknown_keys();
}

/// Format and title.
fn read_store_head(root: &TomlTable<'_>, bag: &FaultCollector, gathered: &mut GatheredStore) {
    let format = root.required_field("format").read_text();
    if let Some(bad) = format.filter(|f| f.value != FORMAT) {
        let near = nearest_name(&bad.value, [FORMAT])
            .map_or("not known here", |_| "misspelt, or of another version");
        let fault = Fault::error("S121", format!("the format is {near}"));
        bag.push(fault.at(bad.span, "this format").help(format!("write `format = \"{FORMAT}\"`")));
    }
    let at = root.key_span(if root.has("format") { "format" } else { "title" });
    if let Some(first) = gathered.head.replace(at) {
        let fault = Fault::error("S120", "two files have a head").at(at, "the second one");
        bag.push(fault.note(first, "the first one").help("keep `format` and `title` in one file"));
    }
    gathered.title = root.required_field("title").read_text().map(|t| t.value).or(gathered.title.take());
}

/// One tray.
fn read_tray(tab: TomlTable<'_>) -> Option<(Tray, SourceSpan)> {
    let span = tab.value_span("key");
    let count = |key: &str| tab.required_field(key).read_int(1..=100).map(|n| n.value as u16);
    let mm = |key: &str| {
        tab.required_field(key)
            .read_quantity_in(Length::from_mm(1.0)..=Length::from_mm(2000.0))
            .map(|l: Spanned<Length>| l.value)
    };
    let (rows, columns) = (count("rows"), count("columns"));
    let (width, depth, height) = (mm("width"), mm("depth"), mm("height"));
    let key = tab.required_field("key").read_text();
    tab.report_unknown_keys();
    let (width, depth, height) = (width?, depth?, height?);
    Some((Tray { key: key?.value, rows: rows?, columns: columns?, width, depth, height }, span))
}

/// One spreadsheet.
fn gather_csv(sources: &SourceTexts, file: FileId, bag: &FaultCollector, gathered: &mut GatheredStore) {
    if sources.is_readable(file) {
        for row in csv_rows::read_csv_rows(sources, file, bag) {
            gather_entry(StoreEntry::Row(row, bag), gathered);
        }
    }
}

/// Adds the pieces of one entry, as long as there is room.
fn gather_entry(entry: StoreEntry<'_>, gathered: &mut GatheredStore) {
    if gathered.full {
        return;
    }
    let span = entry.span();
    let crowded = |gathered: &mut GatheredStore, bag: &FaultCollector| {
        gathered.full = true;
        let fault = Fault::error("S107", format!("the store has more than {MAX_STORE_PIECES} entries"));
        bag.push(
            fault.at(span, "from here on nothing is read").help("use `count` for pieces that are alike"),
        );
    };
    if gathered.items.len() >= MAX_STORE_PIECES {
        crowded(gathered, entry.bag());
        return;
    }
    let items = item::read_entry(entry);
    gathered.items.extend(items);
}

/// The store of everything gathered.
fn assemble_store(gathered: GatheredStore, bag: &FaultCollector) -> Option<Store> {
    if gathered.head.is_none() {
        let fault = Fault::error("S120", "no file has the head of a store");
        bag.push(
            fault.help(format!("write `format = \"{FORMAT}\"` and `title = \"…\"` at the top of one file")),
        );
    }
    if gathered.items.is_empty() && !bag.has_errors() {
        let fault = Fault::warning("S126", "the store has no pieces");
        bag.push(fault.help("write a `[[set]]` such as `set = \"1/4 in sockets 4 to 14 mm\"`"));
    }
    let mut trays: BTreeMap<&str, SourceSpan> = BTreeMap::new();
    for (tray, span) in &gathered.trays {
        if let Some(first) = trays.insert(&tray.key, *span) {
            bag.push(piece_key_twice_fault(&tray.key, *span, first));
        }
    }
    let trays = gathered.trays.iter().map(|(tray, _)| tray.clone()).collect();
    let pieces = make_keys_unique(gathered.items, bag);
    Some(Store { title: gathered.title?, pieces, cart_places: gathered.cart_places, trays })
}

/// S101: a key for the second time.
fn piece_key_twice_fault(key: &str, span: SourceSpan, first: SourceSpan) -> Fault {
    Fault::error("S101", format!("key `{key}` is given twice"))
        .at(span, "for the second time here")
        .note(first, "first here")
        .help("keys are unique over all files; several alike are one piece with `count`")
}

/// Gives every piece its own key: stated ones stand, made ones get `-2`, `-3` where they are taken.
fn make_keys_unique(items: Vec<ParsedPiece>, bag: &FaultCollector) -> Vec<model::Piece> {
    let mut taken: BTreeMap<String, Option<SourceSpan>> = BTreeMap::new();
    for key in items.iter().filter_map(|i| i.stated_key.as_ref()) {
        if let Some(Some(first)) = taken.insert(key.value.clone(), Some(key.span)) {
            bag.push(piece_key_twice_fault(&key.value, key.span, first));
        }
    }
    let mut next: BTreeMap<String, usize> = BTreeMap::new();
    let mut pieces = Vec::with_capacity(items.len());
    for ParsedPiece { mut piece, stated_key } in items {
        if stated_key.is_none() && taken.contains_key(&piece.key) {
            piece.key = next_free_key(&piece.key, &taken, &mut next);
        }
        taken.entry(piece.key.clone()).or_insert(None);
        pieces.push(piece);
    }
    pieces
}

/// The key with the next number behind it that is not taken.
fn next_free_key(
    key: &str,
    taken: &BTreeMap<String, Option<SourceSpan>>,
    next: &mut BTreeMap<String, usize>,
) -> String {
    let number = next.entry(key.to_owned()).or_insert(1);
    loop {
        *number += 1;
        let numbered = format!("{key}-{number}");
        if !taken.contains_key(&numbered) {
            return numbered;
        }
    }
}
