//! Where a step is done: the part, the working position, and whether the hand has to go somewhere else for it.

use model::Book;
use model::plan::{Plan, Step};
use record::visit::VisitPicture;
use record::{Visit, steps_of};

use crate::titles;

/// Where a step is done.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StepPlace {
    /// What a person calls the part; empty where the step is about none.
    pub part: String,
    /// The working position.
    pub station: String,
    /// Whether the step before it is done somewhere else.
    pub is_new: bool,
    /// Name of the latest picture of the part in this visit.
    pub picture: Option<String>,
}

/// Where a step is done.
pub(super) fn place_of_step(book: &Book, plan: &Plan, visit: &Visit, step: &Step) -> StepPlace {
    let before = steps_of(plan).take_while(|s| s.number != step.number).last();
    let of_part = |pictured: &&VisitPicture| pictured.at.part == step.part && step.part.is_some();
    StepPlace {
        part: step.part.as_deref().map_or_else(String::new, |key| titles::part_title(book, key)),
        station: titles::station_title(book, &step.station),
        is_new: before.is_some_and(|before| before.station != step.station),
        picture: visit.pictures.iter().rfind(of_part).map(|taken| taken.picture.to_string()),
    }
}
