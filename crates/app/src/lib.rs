//! The use cases, in plain structs, for every front end.
//!
//! Files, the clock and progress come in here and go no further down. A front end gives a [`ask::Request`], gets an
//! [`ask::Answer`], and shows it with [`text`], [`page`] or as JSON; it decides nothing about the job.

pub mod ask;
pub mod bench;
pub mod bolting;
pub mod cart;
pub mod demo;
pub mod draw;
pub mod finish;
pub mod load;
pub mod page;
pub mod paper;
pub mod text;
mod titles;
pub mod workshop;
pub mod worth;

pub use check::Violation;
pub use faults::Record;
pub use journal;
pub use model;
use model::{Book, Store, plan::Plan};

/// What the judge finds in a plan; empty when clean.
#[must_use]
pub fn judge(book: &Book, store: &Store, plan: &Plan) -> Vec<Violation> {
    check::judge(book, store, plan)
}

/// JSON Schema of books, for editors.
#[must_use]
pub fn book_schema() -> String {
    book::schema()
}

/// JSON Schema of stores, for editors.
#[must_use]
pub fn store_schema() -> String {
    toolstore::schema()
}

/// A generated book and store as text, for trying the program on something large.
#[must_use]
pub fn generated(seed: u64, parts: usize, fasteners: usize, pieces: usize) -> (String, String) {
    (generate::book(seed, generate::Size { parts, fasteners }), generate::store(seed, pieces))
}
