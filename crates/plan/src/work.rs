//! Work: the tasks' own work between strip and refit.
//!
//! The way is open, so only stations matter: the order problem without precedence, stacks or parts.

use model::plan::StepKind;
use model::{Book, Need, TaskId, TaskKind};

use crate::job::{SequenceJob, StepDraft};

/// The job of some tasks.
#[must_use]
pub fn work_job(book: &Book, tasks: &[TaskId]) -> SequenceJob {
    let mut job = SequenceJob::default();
    for task in tasks {
        job.add_node(vec![task_draft(book, *task)]);
    }
    job
}

fn task_draft(book: &Book, id: TaskId) -> StepDraft {
    let task = book.task(id);
    let kind = match task.kind {
        TaskKind::Renew => StepKind::Renew,
        TaskKind::Inspect => StepKind::Inspect,
        TaskKind::Measure => StepKind::Measure,
        TaskKind::Reseal => StepKind::Reseal,
    };
    let mut letters = task.title.chars();
    let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    let note = task.note.as_ref().map_or_else(String::new, |n| format!(" {n}"));
    let mut draft = StepDraft::new(kind, task.station, format!("{first}{}.{note}", letters.as_str()));
    draft.task = Some(id);
    draft.fixed_s = task.work_s();
    draft.cautions.clone_from(&task.cautions);
    draft
}

/// The conditions that a task needs to hold.
pub(crate) fn task_conditions(book: &Book, id: TaskId) -> impl Iterator<Item = model::ConditionId> + '_ {
    let needs = book.task(id).needs.iter();
    needs.filter_map(|n| if let Need::Condition(c) = n { Some(*c) } else { None })
}
