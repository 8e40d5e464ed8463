//! Reads engine books: text to checked model, every fault with its place.
//!
//! Bytes in, [`ParsedBook`] out: the files of one book are read together, names are resolved across them, and the rules
//! of [`RULES`] look at the whole. A [`model::Book`] is handed out only when no error was found; warnings do not
//! stop it. [`write_book`] is the way back. Files are read elsewhere; nothing here knows of a disk.
//!
//! ```
//! let text = book::write_book(&book::read_book(&[("small.toml".into(), book::SMALLEST.into())]).book.expect("a good book"));
//! assert!(text.starts_with("format = \"traywright-book/2\""));
//! ```

mod drafts;
mod first;
mod fixing;
mod grow;
mod keys;
mod limits;
mod missing;
mod origins;
mod reader;
mod repeat;
mod rows;
mod rules;
mod tables;
mod tightening_orders;
mod words;
mod world;
mod write;

pub use first::first_book_text;
pub use grow::{
    BookAddition, BookDifference, FixingAddition, GrownBook, PartAddition, TaskAddition, UnitedBook,
    grow_book, takes_fixing_word, takes_part_word, unite_books,
};
pub use keys::write_made_keys;
pub use missing::{MissingFigures, list_missing_figures};
pub use rows::write_book_rows;
pub use rules::RULES;
pub use write::write_book;

use faults::{FaultCollector, Faults, FileId, SourceTexts, TomlDocument, parse_toml};
use fields::SheetRow;
use model::Book;

/// The smallest book that has a part, a fixing and a task; the start for samples of faults.
pub const SMALLEST: &str = include_str!("smallest.toml");

/// What came of reading a book.
#[derive(Debug)]
pub struct ParsedBook {
    /// The book, if no error was found.
    pub book: Option<Book>,
    /// All faults, warnings included.
    pub faults: Faults,
    /// The texts that the faults point into.
    pub sources: SourceTexts,
}

/// Reads the files of one book, each with the name that messages call it by.
#[must_use]
pub fn read_book(files: &[(String, Vec<u8>)]) -> ParsedBook {
    let mut sources = SourceTexts::new();
    let bag = FaultCollector::new();
    for (name, bytes) in files {
        let (_, fault) = sources.add_bytes(name.as_str(), bytes);
        fault.into_iter().for_each(|fault| bag.push(fault));
    }
    let book = read_book_sources(&sources, &bag);
    let found = bag.into_faults();
    ParsedBook { book: book.filter(|_| !found.has_errors()), faults: found, sources }
}

/// Reads and checks; nothing where there is no file.
fn read_book_sources(sources: &SourceTexts, bag: &FaultCollector) -> Option<Book> {
    let is_sheet = |file: &FileId| sources.name(*file).to_lowercase().ends_with(".csv");
    let (sheets, texts): (Vec<FileId>, Vec<FileId>) = sources.files().partition(is_sheet);
    let documents: Vec<TomlDocument<'_>> =
        texts.into_iter().map(|file| parse_toml(sources, file, bag)).collect();
    let rows: Vec<SheetRow> =
        sheets.into_iter().flat_map(|file| rows::read_rows(sources, file, bag)).collect();
    let read = reader::read_book_documents(&documents, &rows, bag);
    // Where a statement is broken, what a rule misses may well be in it.
    if !documents.iter().any(TomlDocument::is_damaged) {
        rules::run_book_rules(&read.book, &read.spots, bag);
    }
    Some(read.book)
}

/// The JSON Schema of a book's files, as `docs/book.schema.json` has it.
#[must_use]
pub fn book_json_schema() -> String {
    fields::json_schema("A file of an engine book, version 2", &*tables::BOOK)
}

/// The key tables of the book format, as `docs/book-format.md` has them.
#[must_use]
pub fn book_key_tables() -> String {
    format!("{}\n{}", fields::reference_page(&*tables::BOOK), fields::reference_page(&*rows::ROW))
}

/// The page of all rules of books, as `docs/errors-book.md` has it.
#[must_use]
pub fn book_errors_page() -> String {
    let opening = "What is wrong with a book, by code: why the rule exists, a bad sample, and what to do. \
                   Faults of the text itself (T) and of stores (S) have [pages of their own](errors.md). \
                   All faults are reported in one run; warnings do not prevent planning.";
    faults::rules_page("Faults of books", opening, RULES)
}
