//! Files of a store to one checked store: the head, the trays, all pieces with keys of their own.

use std::collections::BTreeMap;

use faults::{Fault, FaultCollector, Faults, FileId, SourceSpan, SourceTexts, TomlDocument, parse_toml};
use fields::{KeyNeed, ListRules, PlacedValue, ReadingDesk, SheetRules, ValueSpot, read_sheet};
use model::{Store, Tray};

use crate::item::{self, ParsedPiece, WrittenPiece};
use crate::rules::find_store_rule;
use crate::tables::{self, PIECE, SET, STORE};

/// What the head of a store says.
pub const FORMAT: &str = "traywright-store/1";

/// Maximum number of pieces that a store holds; a well-stocked workshop owns a few thousand.
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
    /// Whether a text lost a broken statement: what is missing may be in it.
    is_damaged: bool,
}

/// Reads the files of a store, each a name and its bytes; `.toml` files are merged, the rows of `.csv` files added.
#[must_use]
pub fn read_store(files: &[(String, Vec<u8>)]) -> ParsedStore {
    let (mut sources, bag) = (SourceTexts::new(), FaultCollector::new());
    let ids: Vec<FileId> =
        files.iter().map(|(name, bytes)| add_file(&mut sources, &bag, name, bytes)).collect();
    let mut gathered = GatheredStore::default();
    let rule = find_store_rule("S107");
    let lists = ListRules { too_many: rule, named_twice: rule };
    let desk = ReadingDesk::new(&bag, lists, false);
    for file in ids {
        let name = sources.name(file).to_lowercase();
        match name.rsplit('.').next() {
            Some("toml") => {
                let document = parse_toml(&sources, file, &bag);
                gathered.is_damaged |= document.is_damaged();
                gather_toml(&document, &desk, &mut gathered);
            }
            Some("csv") => gather_csv(&sources, file, &desk, &mut gathered),
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
        .help("a store is made of .toml and .csv files; keep other files elsewhere")
}

/// One file of TOML.
fn gather_toml(document: &TomlDocument<'_>, desk: &ReadingDesk<'_>, gathered: &mut GatheredStore) {
    let root = document.root_table();
    let is_head = root.has("format") || root.has("title");
    let need = if is_head { |need| need } else { |_| KeyNeed::Optional };
    let PlacedValue { value: draft, mut spot } = STORE.read_table_needing(root, desk, need);
    if is_head {
        note_head(&spot, desk.bag, gathered);
    }
    gathered.title = draft.title.or(gathered.title.take());
    gathered.cart_places = draft.cart_places.or(gathered.cart_places);
    let trays = draft.trays.into_iter().zip(spot.take_items("tray")).filter(|(_, at)| !at.bad);
    gathered.trays.extend(trays.map(|(tray, at)| (tray, at.key("key").span)));
    let sets = draft.sets.into_iter().zip(spot.take_items("set"));
    for (draft, spot) in sets.filter(|(draft, _)| draft.set.is_some()) {
        gather_entry(&WrittenPiece { draft, spot, bag: desk.bag }, gathered);
    }
    for (draft, spot) in draft.pieces.into_iter().zip(spot.take_items("piece")) {
        gather_entry(&WrittenPiece { draft, spot, bag: desk.bag }, gathered);
    }
}

/// S120: a second head.
fn note_head(spot: &ValueSpot, bag: &FaultCollector, gathered: &mut GatheredStore) {
    let at = spot.key(if spot.has("format") { "format" } else { "title" }).span;
    if let Some(first) = gathered.head.replace(at) {
        let fault = Fault::error("S120", "two files have a head").at(at, "the second one");
        bag.push(fault.note(first, "the first one").help("keep `format` and `title` in one file"));
    }
}

/// One spreadsheet: a row with something in its `set` column is a set.
fn gather_csv(sources: &SourceTexts, file: FileId, desk: &ReadingDesk<'_>, gathered: &mut GatheredStore) {
    let rules = SheetRules { unknown_column: find_store_rule("S116"), bad_form: find_store_rule("S117") };
    if !sources.is_readable(file) {
        return;
    }
    for row in read_sheet(sources, file, desk.bag, &tables::sheet_columns(), rules) {
        let table = if row.cells.contains_key("set") { &SET } else { &PIECE };
        let PlacedValue { value: draft, spot } = table.read_row(&row, desk);
        gather_entry(&WrittenPiece { draft, spot, bag: desk.bag }, gathered);
    }
}

/// Adds the pieces of one entry, as long as there is room.
fn gather_entry(entry: &WrittenPiece<'_>, gathered: &mut GatheredStore) {
    // Of a piece that lost a broken statement nothing is said: what it lacks may be in there.
    if gathered.full || (gathered.is_damaged && entry.spot.bad) {
        return;
    }
    let span = entry.spot.span;
    let crowded = |gathered: &mut GatheredStore, bag: &FaultCollector| {
        gathered.full = true;
        let fault = Fault::error("S107", format!("the store has more than {MAX_STORE_PIECES} pieces"));
        bag.push(
            fault.at(span, "from here on nothing is read").help("use `count` for pieces that are alike"),
        );
    };
    if gathered.items.len() >= MAX_STORE_PIECES {
        crowded(gathered, entry.bag);
        return;
    }
    let items = item::make_pieces(entry);
    gathered.items.extend(items);
}

/// The store of everything gathered.
fn assemble_store(gathered: GatheredStore, bag: &FaultCollector) -> Option<Store> {
    if gathered.head.is_none() && !gathered.is_damaged {
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
        .help("keys are unique across all files; enter identical pieces once, with `count`")
}

/// Gives every piece its own key: stated ones are kept, made ones get `-2`, `-3` where they are taken.
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
