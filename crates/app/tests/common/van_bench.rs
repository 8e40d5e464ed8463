//! Vans (invented) on one bench: a visit of each, planned for all tasks of its book.

use std::path::PathBuf;

use app::ask::{PlanRequest, SilentObserver};
use app::model::plan::KitObjective;
use app::record::VisitId;
use app::workshop::{NewVisit, Workshop, WorkshopError};

/// Begins the visit of a van with a letter, by a book and a store.
pub fn begin_van(
    shop: &mut Workshop,
    letter: &str,
    (book, store): (PathBuf, PathBuf),
) -> Result<VisitId, WorkshopError> {
    let request = PlanRequest {
        vehicle: letter.into(),
        tasks: Vec::new(),
        objective: KitObjective::LeastToCarry,
        seconds: None,
        stop_after_s: None,
        seed: 1,
        threads: 1,
    };
    let new = NewVisit {
        letter: letter.into(),
        name: format!("van {letter}"),
        book: Some(book),
        store: Some(store),
        request: Some(request),
        ..NewVisit::default()
    };
    shop.begin_visit(&new, &SilentObserver)
}
