//! Waits that have begun when the rest is planned.

use model::progress::Progress;
use model::{Book, ConditionId};

use crate::job::SequenceJob;
use crate::scope::PlanScope;

/// A wait of a job: the condition that it is the hold-up of, and what is left of it, s; none where it is over or has not begun.
pub(super) type RunningWait = (Option<ConditionId>, Option<f64>);

/// Hold-ups of conditions, in the order in which the strip's job has them.
pub(super) fn hold_up_waits(book: &Book, progress: &Progress) -> Vec<RunningWait> {
    let left =
        |key: &String| progress.running.iter().find(|r| r.condition.as_ref() == Some(key)).map(|r| r.left_s);
    let ids = (0..book.conditions.len()).map(ConditionId::new);
    ids.map(|id| (Some(id), left(&book.condition(id).key))).collect()
}

/// Waits at refit, in the order in which the refit's job has them: part by part, wait by wait.
pub(super) fn refit_waits(book: &Book, scope: &PlanScope, progress: &Progress) -> Vec<RunningWait> {
    let mut waits = Vec::new();
    for (part, _) in &scope.parts {
        let part = book.part(*part);
        for wait in 0..part.refit_waits.len() {
            let is_it = |r: &&model::progress::BegunWait| {
                r.part.as_ref() == Some(&part.key) && usize::from(r.wait) == wait
            };
            waits.push((None, progress.running.iter().find(is_it).map(|r| r.left_s)));
        }
    }
    waits
}

/// Lets waits that have begun count from now: the job's lags, whose `from` is done, hold until what is left of them is over.
pub(super) fn count_waits_from_now(mut job: SequenceJob, waits: &[RunningWait]) -> SequenceJob {
    let mut unnamed = waits.iter().filter(|(condition, _)| condition.is_none());
    for lag in &mut job.lags {
        let left_s = match lag.condition {
            Some(id) => waits.iter().find(|(c, _)| *c == Some(id)).and_then(|(_, left_s)| *left_s),
            None => unnamed.next().and_then(|(_, left_s)| *left_s),
        };
        if lag.lag.from.is_empty() {
            lag.lag.wait_s = left_s.unwrap_or(0.0);
        }
    }
    job
}
