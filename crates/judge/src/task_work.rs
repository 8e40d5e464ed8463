//! The tasks' own work: each once, of its kind, with its needs holding.
//!
//! It stands between strip and refit; where the book tells a world, also within the refit, while the parts that it needs off
//! are off and the conditions that it needs hold.

use crate::FoundViolations;
use crate::case::{PlanCase, step_place};
use crate::replay::{TimedStep, refit_start_s, steps_on_clock};
use crate::strip::{NeedsNow, judge_needs_at};
use model::plan::{Step, StepKind};
use model::{TaskId, TaskKind};
use std::collections::BTreeSet;

/// J613 tasks, J603 and J614 their needs.
pub(crate) fn judge_task_work(case: &PlanCase, strip: &NeedsNow, found: &mut FoundViolations) {
    let mut done = BTreeSet::new();
    let work_s = steps_on_clock(&case.plan.strip, 0.0).last().map_or(0.0, |timed| timed.end_s);
    for timed in steps_on_clock(&case.plan.work, work_s) {
        let is_set = timed.step.kind == StepKind::Set && case.is_course();
        if timed.step.kind != StepKind::Wait && !is_set {
            judge_task_step(case, strip, &timed, &step_place("work", timed.step), &mut done, found);
        }
    }
    if case.is_course() {
        judge_work_in_refit(case, strip, &mut done, found);
    }
    for task in case.tasks.iter().filter(|t| !done.contains(t)) {
        found.add("J613", "work", format!("task `{}` is never done", case.book.task(*task).key));
    }
}

/// Work among the steps of the refit, which put parts back and undo conditions on the way.
fn judge_work_in_refit(
    case: &PlanCase,
    strip: &NeedsNow,
    done: &mut BTreeSet<TaskId>,
    found: &mut FoundViolations,
) {
    let mut now = strip.clone();
    for timed in steps_on_clock(&case.plan.refit, refit_start_s(case)) {
        if let Some(part) = case.part_of_step(timed.step).filter(|_| timed.step.kind == StepKind::Refit) {
            now.off.remove(&part);
        }
        let is_undone = matches!(timed.step.kind, StepKind::Fill | StepKind::Restore);
        if let Some(condition) = case.condition_of_step(timed.step).filter(|_| is_undone) {
            now.holds_at_s.remove(&condition);
        }
        if is_task_kind(timed.step) {
            judge_task_step(case, &now, &timed, &step_place("refit", timed.step), done, found);
        }
    }
}

const fn is_task_kind(step: &Step) -> bool {
    matches!(step.kind, StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal)
}

fn judge_task_step(
    case: &PlanCase,
    now: &NeedsNow,
    timed: &TimedStep,
    at: &str,
    done: &mut BTreeSet<TaskId>,
    found: &mut FoundViolations,
) {
    let Some(id) = timed.step.task.as_ref().and_then(|key| case.book.task_by_key(key)) else {
        found.add("J613", at, "the step does no task");
        return;
    };
    let task = case.book.task(id);
    if step_kind_of_task(task.kind) != timed.step.kind || !case.tasks.contains(&id) || !done.insert(id) {
        found.add(
            "J613",
            at,
            format!("task `{}` is not requested, is of another kind, or is done twice", task.key),
        );
    }
    judge_needs_at(case, now, task.needs.iter().copied(), timed.start_s, (at, &task.key), found);
}

const fn step_kind_of_task(kind: TaskKind) -> StepKind {
    match kind {
        TaskKind::Renew => StepKind::Renew,
        TaskKind::Inspect => StepKind::Inspect,
        TaskKind::Measure => StepKind::Measure,
        TaskKind::Reseal => StepKind::Reseal,
    }
}
