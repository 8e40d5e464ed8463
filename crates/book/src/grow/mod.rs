//! A book grows by what was seen at the engine: parts, fixings, words about them and tasks are written into its text.
//!
//! # Model
//! The text of the base (or of an empty book) is kept as a document; what is seen is added to it or changes single keys in it, and the
//! whole is read again. So a grown book keeps every promise of a read one. A word that the format does not know is left out and named:
//! the rest stands. Where an order that was told runs in a circle, what was told of order is left out before what was observed.

mod document;
mod unite;

use model::Book;

use crate::{ParsedBook, read_book, write_book};
pub use unite::{BookDifference, UnitedBook, unite_books};

use document::{BookDocument, is_fixing_word, is_part_word};

/// Fasteners of one kind, as they are added to a book; every word as books write it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FixingAddition {
    /// Key.
    pub key: String,
    /// Title.
    pub title: Option<String>,
    /// How many; not changed where the base has the fixing.
    pub count: u16,
    /// Label of the first hole where it is not the one after the holes of the part's fixings before; the others count on.
    pub first: Option<u16>,
    /// Optional keys of the fixing with their words: `drive`, `room`, `thread`, `tighten` with `source`.
    pub words: Vec<(&'static str, String)>,
    /// Place of each hole on the part's face, to the right and upward, µm; empty where they are not known.
    pub places_um: Vec<(i32, i32)>,
    /// Passages that go into the tip of its part, each behind the fixing's title: length class, stacks that worked or did not.
    pub notes: Vec<String>,
}

/// A part, as it is added to a book.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PartAddition {
    /// Key.
    pub key: String,
    /// Title.
    pub title: Option<String>,
    /// Word for its kind.
    pub part_kind: Option<String>,
    /// Keys of parts that were off when it came off, in the order that was observed.
    pub off_before: Vec<String>,
    /// Keys of parts that a person said have to be off before.
    pub told_before: Vec<String>,
    /// Keys of parts that a person said need not be off before.
    pub freed: Vec<String>,
    /// How long it takes to lift off once its fasteners are out, as visits taught it, s.
    pub learned_lift_s: Option<u32>,
    /// Passages that go into its tip.
    pub notes: Vec<String>,
    /// What holds it.
    pub fixings: Vec<FixingAddition>,
}

/// A task, as it is added to a book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TaskAddition {
    /// Key.
    pub key: String,
    /// Title.
    pub title: String,
    /// Keys of the parts that come off for it.
    pub off_first: Vec<String>,
}

/// What is added to a book.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BookAddition {
    /// Title of the book, where there is no base.
    pub title: String,
    /// Where the book comes from, where there is no base.
    pub origin: String,
    /// Parts, new and known.
    pub parts: Vec<PartAddition>,
    /// Tasks; one whose key is there takes its place.
    pub tasks: Vec<TaskAddition>,
}

/// A grown book.
#[derive(Debug)]
pub struct GrownBook {
    /// The book; `None` only where the base cannot be read back, which [`write_book`] rules out.
    pub book: Option<Book>,
    /// Its text, one file.
    pub text: String,
    /// What was told and could not be taken in, in words.
    pub left_out: Vec<String>,
}

/// How much of what is known of the order goes in; the first that does not run in a circle is taken.
const ORDERS: [(bool, bool); 3] = [(true, true), (true, false), (false, false)];

/// Grows a book by what was seen; from nothing where there is no base.
#[must_use]
pub fn grow_book(base: Option<&Book>, addition: &BookAddition) -> GrownBook {
    let base_text = base.map_or_else(|| empty_book_text(&addition.title, &addition.origin), write_book);
    let mut last = None;
    for (observed, told) in ORDERS {
        let mut document = BookDocument::read(&base_text);
        document.add_parts(&addition.parts, (observed, told));
        document.add_tasks(&addition.tasks);
        let (text, mut left_out) = document.finish();
        let read = read_text(&text);
        if !told && addition.parts.iter().any(|part| !part.told_before.is_empty()) {
            left_out
                .push(String::from("an order of parts that was told runs in a circle with what was seen"));
        }
        let is_read = read.book.is_some();
        last = Some(GrownBook { book: read.book, text, left_out });
        if is_read {
            break;
        }
    }
    last.expect("there is more than one order")
}

/// Whether a word is one that a fixing's key takes: `drive`, `room`, `thread`.
#[must_use]
pub fn takes_fixing_word(key: &str, word: &str) -> bool {
    is_fixing_word(key, word)
}

/// Whether a word is one that a part's key takes: `kind`.
#[must_use]
pub fn takes_part_word(key: &str, word: &str) -> bool {
    is_part_word(key, word)
}

fn read_text(text: &str) -> ParsedBook {
    read_book(&[(String::from("grown.toml"), text.as_bytes().to_vec())])
}

fn empty_book_text(title: &str, origin: &str) -> String {
    let quoted = |text: &str| toml_edit::Value::from(text).to_string().trim().to_owned();
    format!(
        "format = \"{}\"\ntitle = {}\norigin = {}\n",
        crate::tables::FORMAT,
        quoted(title),
        quoted(origin)
    )
}
