//! The use cases, in plain structs, for every front end.
//!
//! Files, the clock and progress come in here and go no further down. A front end gives a [`ask::PlanRequest`], gets an
//! [`ask::JudgedPlan`], and shows it with [`text`], [`page`] or as JSON; it decides nothing about the job.

pub mod ask;
pub mod bench;
pub mod bolting_answers;
pub mod book_lessons;
pub mod book_lists;
pub mod cart_loading;
pub mod draw;
pub mod evidence;
pub mod failure;
pub mod finish;
pub mod first_book;
mod head_heights;
pub mod job_hours;
pub mod lessons;
pub mod load;
pub mod page;
pub mod paper;
pub mod plan_files;
pub mod records;
pub mod scale_card_sheet;
mod size_letters;
pub mod text;
mod titles;
pub mod trend_drawing;
pub mod week;
pub mod workshop;
pub mod worth;
pub mod write;

use book::{book_json_schema, write_book_rows};
pub use faults::FaultRecord;
use judge::judge_plan;
pub use judge::{UnjudgedClaim, Violation};
pub use model;
use model::{Book, Store, plan::Plan};
pub use record;
pub use trend;

/// What the judge finds in a plan; empty when clean.
#[must_use]
pub fn find_plan_violations(book: &Book, store: &Store, plan: &Plan) -> Vec<Violation> {
    judge_plan(book, store, plan)
}

/// What a plan claims and the judge cannot prove.
#[must_use]
pub fn list_unjudged_claims(book: &Book, store: &Store, plan: &Plan) -> Vec<UnjudgedClaim> {
    judge::list_unjudged_claims(book, store, plan)
}

/// JSON Schema of books, for editors.
#[must_use]
pub fn book_schema() -> String {
    book_json_schema()
}

/// A book as a spreadsheet, one row a fixing.
#[must_use]
pub fn book_rows(book: &Book) -> String {
    write_book_rows(book)
}

/// JSON Schema of stores, for editors.
#[must_use]
pub fn store_schema() -> String {
    tools::store_json_schema()
}
