//! Files of a store to one checked store: the head, the trays, all pieces with keys of their own.

use std::collections::BTreeMap;

use faults::{Collector, Fault, Faults, FileId, Sources, Span, Spanned, Tab, nearest, parse};
use model::{Store, Tray};
use units::Length;

use crate::entry::Entry;
use crate::item::{self, Item};
use crate::row;

/// What the head of a store says.
pub const FORMAT: &str = "traywright-store/1";

/// Most pieces that a store holds; a well-stocked workshop owns a few thousand.
pub const PIECES_MAX: usize = 10_000;

/// What came of reading a store.
#[derive(Debug)]
pub struct Reading {
    /// The store; nothing if there are errors.
    pub store: Option<Store>,
    /// Everything that was found wrong.
    pub faults: Faults,
    /// The texts that the faults point into.
    pub sources: Sources,
}

/// What is gathered from all files.
#[derive(Debug, Default)]
struct Gathered {
    title: Option<String>,
    head: Option<Span>,
    cart_places: Option<u16>,
    trays: Vec<(Tray, Span)>,
    items: Vec<Item>,
    full: bool,
}

/// Reads the files of a store, each a name and its bytes; `.toml` files are merged, the rows of `.csv` files added.
#[must_use]
pub fn read(files: &[(String, Vec<u8>)]) -> Reading {
    let (mut sources, bag) = (Sources::new(), Collector::new());
    let ids: Vec<FileId> = files.iter().map(|(name, bytes)| add(&mut sources, &bag, name, bytes)).collect();
    let mut gathered = Gathered::default();
    for file in ids {
        let name = sources.name(file).to_lowercase();
        match name.rsplit('.').next() {
            Some("toml") => tables(&sources, file, &bag, &mut gathered),
            Some("csv") => rows(&sources, file, &bag, &mut gathered),
            _ => bag.push(strange(file, &name)),
        }
    }
    let store = assemble(gathered, &bag);
    let faults = bag.into_faults();
    Reading { store: if faults.has_errors() { None } else { store }, faults, sources }
}

/// Keeps one file's text.
fn add(sources: &mut Sources, bag: &Collector, name: &str, bytes: &[u8]) -> FileId {
    let (file, fault) = sources.add_bytes(name, bytes);
    if let Some(fault) = fault {
        bag.push(fault);
    }
    file
}

/// S118: a file of another kind.
fn strange(file: FileId, name: &str) -> Fault {
    Fault::error("S118", format!("`{name}` is neither .toml nor .csv"))
        .at(Span::new(file, 0, 0), "not read")
        .help("a store is made of .toml and .csv files; keep others elsewhere")
}

/// One file of TOML.
fn tables(sources: &Sources, file: FileId, bag: &Collector, gathered: &mut Gathered) {
    let document = parse(sources, file, bag);
    let root = document.root();
    if root.has("format") || root.has("title") {
        head(&root, bag, gathered);
    }
    let _ = root.maybe("origin").str();
    if let Some(places) = root.maybe("cart_places").int(1..=9999) {
        gathered.cart_places = Some(places.value as u16);
    }
    gathered.trays.extend(root.maybe("tray").list().into_iter().filter_map(tray));
    for set in root.maybe("set").list() {
        if set.need("set").is_given() {
            keep(Entry::Table(set, bag), gathered);
        }
    }
    for piece in root.maybe("piece").list() {
        keep(Entry::Table(piece, bag), gathered);
    }
    root.finish();
}

/// Format and title.
fn head(root: &Tab<'_>, bag: &Collector, gathered: &mut Gathered) {
    let format = root.need("format").str();
    if let Some(bad) = format.filter(|f| f.value != FORMAT) {
        let near =
            nearest(&bad.value, [FORMAT]).map_or("not known here", |_| "misspelt, or of another version");
        let fault = Fault::error("S121", format!("the format is {near}"));
        bag.push(fault.at(bad.span, "this format").help(format!("write `format = \"{FORMAT}\"`")));
    }
    let at = root.key_span(if root.has("format") { "format" } else { "title" });
    if let Some(first) = gathered.head.replace(at) {
        let fault = Fault::error("S120", "two files have a head").at(at, "the second one");
        bag.push(fault.note(first, "the first one").help("keep `format` and `title` in one file"));
    }
    gathered.title = root.need("title").str().map(|t| t.value).or(gathered.title.take());
}

/// One tray.
fn tray(tab: Tab<'_>) -> Option<(Tray, Span)> {
    let span = tab.value_span("key");
    let count = |key: &str| tab.need(key).int(1..=100).map(|n| n.value as u16);
    let mm = |key: &str| {
        tab.need(key)
            .quantity_in(Length::from_mm(1.0)..=Length::from_mm(2000.0))
            .map(|l: Spanned<Length>| l.value)
    };
    let (rows, columns) = (count("rows"), count("columns"));
    let (width, depth, height) = (mm("width"), mm("depth"), mm("height"));
    let key = tab.need("key").str();
    tab.finish();
    let (width, depth, height) = (width?, depth?, height?);
    Some((Tray { key: key?.value, rows: rows?, columns: columns?, width, depth, height }, span))
}

/// One spreadsheet.
fn rows(sources: &Sources, file: FileId, bag: &Collector, gathered: &mut Gathered) {
    if sources.is_readable(file) {
        for row in row::rows(sources, file, bag) {
            keep(Entry::Row(row, bag), gathered);
        }
    }
}

/// Adds the pieces of one entry, as long as there is room.
fn keep(entry: Entry<'_>, gathered: &mut Gathered) {
    if gathered.full {
        return;
    }
    let span = entry.span();
    let crowded = |gathered: &mut Gathered, bag: &Collector| {
        gathered.full = true;
        let fault = Fault::error("S107", format!("the store has more than {PIECES_MAX} entries"));
        bag.push(
            fault.at(span, "from here on nothing is read").help("use `count` for pieces that are alike"),
        );
    };
    if gathered.items.len() >= PIECES_MAX {
        crowded(gathered, entry.bag());
        return;
    }
    let items = item::read(entry);
    gathered.items.extend(items);
}

/// The store of everything gathered.
fn assemble(gathered: Gathered, bag: &Collector) -> Option<Store> {
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
    let mut trays: BTreeMap<&str, Span> = BTreeMap::new();
    for (tray, span) in &gathered.trays {
        if let Some(first) = trays.insert(&tray.key, *span) {
            bag.push(twice(&tray.key, *span, first));
        }
    }
    let trays = gathered.trays.iter().map(|(tray, _)| tray.clone()).collect();
    let pieces = unique(gathered.items, bag);
    Some(Store { title: gathered.title?, pieces, cart_places: gathered.cart_places, trays })
}

/// S101: a key for the second time.
fn twice(key: &str, span: Span, first: Span) -> Fault {
    Fault::error("S101", format!("key `{key}` is given twice"))
        .at(span, "for the second time here")
        .note(first, "first here")
        .help("keys are unique over all files; several alike are one piece with `count`")
}

/// Gives every piece its own key: stated ones stand, made ones get `-2`, `-3` where they are taken.
fn unique(items: Vec<Item>, bag: &Collector) -> Vec<model::Piece> {
    let mut taken: BTreeMap<String, Option<Span>> = BTreeMap::new();
    for key in items.iter().filter_map(|i| i.stated_key.as_ref()) {
        if let Some(Some(first)) = taken.insert(key.value.clone(), Some(key.span)) {
            bag.push(twice(&key.value, key.span, first));
        }
    }
    let mut next: BTreeMap<String, usize> = BTreeMap::new();
    let mut pieces = Vec::with_capacity(items.len());
    for Item { mut piece, stated_key } in items {
        if stated_key.is_none() && taken.contains_key(&piece.key) {
            piece.key = free(&piece.key, &taken, &mut next);
        }
        taken.entry(piece.key.clone()).or_insert(None);
        pieces.push(piece);
    }
    pieces
}

/// The key with the next number behind it that is not taken.
fn free(key: &str, taken: &BTreeMap<String, Option<Span>>, next: &mut BTreeMap<String, usize>) -> String {
    let number = next.entry(key.to_owned()).or_insert(1);
    loop {
        *number += 1;
        let numbered = format!("{key}-{number}");
        if !taken.contains_key(&numbered) {
            return numbered;
        }
    }
}
