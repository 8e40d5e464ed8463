//! What a step measures: each place with its limits, what was read and how it stands.

use model::Book;
use model::plan::{Step, StepKind};
use record::Visit;

use crate::evidence::readings::{ReadingBoard, board_of_words, boards_of_task};

/// The boards of what a step measures; one without limits where it measures and the book tells of none.
#[must_use]
pub(super) fn step_measures(book: &Book, step: &Step, visit: &Visit) -> Vec<ReadingBoard> {
    let task = step.task.as_deref().unwrap_or_default();
    let Some(id) = book.task_by_key(task) else { return Vec::new() };
    let boards = boards_of_task(book, id, visit);
    if boards.is_empty() && step.kind == StepKind::Measure {
        return vec![board_of_words(&book.task(id).title, visit)];
    }
    boards
}
