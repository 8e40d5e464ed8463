//! Work: the tasks' own work between strip and refit.
//!
//! The way is open, so only stations matter: the order problem without precedence, stacks or parts.

use model::plan::StepKind;
use model::{Book, Need, TaskId, TaskKind};

use crate::job::{Draft, Job};

/// The job of some tasks.
#[must_use]
pub fn job(book: &Book, tasks: &[TaskId]) -> Job {
    let mut job = Job::default();
    for task in tasks {
        job.add(vec![draft(book, *task)]);
    }
    job
}

fn draft(book: &Book, id: TaskId) -> Draft {
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
    let mut draft = Draft::new(kind, task.station, format!("{first}{}.{note}", letters.as_str()));
    draft.task = Some(id);
    draft.fixed_s = task.work.as_s();
    draft.cautions.clone_from(&task.cautions);
    draft
}

/// The conditions that a task needs to hold.
pub(crate) fn conditions(book: &Book, id: TaskId) -> impl Iterator<Item = model::ConditionId> + '_ {
    let needs = book.task(id).needs.iter();
    needs.filter_map(|n| if let Need::Condition(c) = n { Some(*c) } else { None })
}
