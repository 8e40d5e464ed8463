//! Extra steps: each once, after and before what it names.

use super::ReplayState;
use crate::case::PlanCase;
use crate::replay::CLOCK_S;
use crate::{FoundViolations, same_figure};
use model::FastenerState;
use model::FixingId;
use model::plan::{Step, StepKind};
use model::progress::{ExtraStep, FastenerProgress, JobPoint, Progress};

/// Whether a step is the point, or the first of several that are.
fn is_point(case: &PlanCase, step: &Step, point: &JobPoint) -> bool {
    let fixing = |kind: StepKind, key: &String| step.kind == kind && step.fixings.contains(key);
    let part = |kind: StepKind, key: &String| step.kind == kind && step.part.as_ref() == Some(key);
    match point {
        JobPoint::Undo(key) => fixing(StepKind::Undo, key),
        JobPoint::PartOff(key) => part(StepKind::Remove, key),
        JobPoint::PartOn(key) => part(StepKind::Refit, key),
        JobPoint::RunIn(key) => fixing(StepKind::RunIn, key),
        JobPoint::Tighten(key) => fixing(StepKind::Tighten, key),
        JobPoint::Task(key) => step.task.as_ref() == Some(key) && case.book.task_by_key(key).is_some(),
        JobPoint::Extra(key) => step.extra.as_ref() == Some(key),
        JobPoint::Any | JobPoint::Refit => false,
    }
}

/// R501: no step goes before an extra step that has to come before it; R603: nor before its wait is over.
pub(super) fn judge_before_extra(
    case: &PlanCase,
    now: &ReplayState,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    for extra in now.progress.extra.iter().filter(|e| is_point(case, step, &e.before)) {
        if !now.extras.contains(extra.key.as_str()) {
            found.add("R501", at, format!("comes before extra step `{}`", extra.key));
        }
        let ready_s = now.extra_ready_s.get(extra.key.as_str()).copied().unwrap_or(0.0);
        if now.clock_s + CLOCK_S < ready_s {
            found.add("R603", at, format!("starts before the wait after `{}` is over", extra.key));
        }
    }
}

/// R502: an extra step is known, not done yet, and comes after what it names.
pub(super) fn replay_extra_step<'a>(
    case: &PlanCase,
    now: &mut ReplayState<'a>,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    let progress: &'a Progress = now.progress;
    let extra = progress.extra.iter().find(|e| Some(&e.key) == step.extra.as_ref());
    let Some(extra) = extra else {
        found.add("R502", at, "there is no such extra step");
        return;
    };
    if !now.extras.insert(&extra.key) {
        found.add("R502", at, format!("extra step `{}` is done already", extra.key));
    }
    if !is_passed(case, now, &extra.after) {
        let words = format!("extra step `{}` comes before {}", extra.key, point_words(&extra.after));
        found.add("R502", at, words);
    }
    if let JobPoint::Extra(key) = &extra.after
        && now.extra_ready_s.get(key.as_str()).is_some_and(|ready_s| now.clock_s + CLOCK_S < *ready_s)
    {
        found.add("R603", at, format!("starts before the wait after `{key}` is over"));
    }
    now.extra_ready_s.insert(&extra.key, now.end_s + extra.hold_up_s);
    bring_out_fasteners(case, now, extra);
}

fn bring_out_fasteners(case: &PlanCase, now: &mut ReplayState, extra: &ExtraStep) {
    let fixing = extra.fixing.as_ref().and_then(|f| case.book.fixing_by_key(f));
    let Some(id) = fixing.filter(|_| extra.brings_out) else { return };
    for label in &extra.holes {
        let hole = case.book.fixing(id).holes.iter().position(|h| h.label == *label);
        if let Some(hole) = hole {
            let missing = FastenerProgress { state: FastenerState::Missing, passes: 0 };
            now.fasteners.insert((id, hole as u16), missing);
        }
    }
}

/// Whether a point of the job has been passed.
fn is_passed(case: &PlanCase, now: &ReplayState, point: &JobPoint) -> bool {
    let part = |key: &String| case.book.part_by_key(key);
    let fasteners = |key: &String, is: fn(FastenerState) -> bool| {
        let id = case.book.fixing_by_key(key);
        let states = |id: FixingId| {
            let holes = 0..case.book.fixing(id).holes.len() as u16;
            holes.map(move |h| (id, h))
        };
        id.is_none_or(|id| states(id).any(|k| is(now.fastener(k).state)))
    };
    match point {
        JobPoint::Any | JobPoint::Refit => true,
        JobPoint::Undo(key) => fasteners(key, |s| s != FastenerState::InPlace),
        JobPoint::PartOff(key) => part(key).is_none_or(|p| now.off.contains(&p) || now.back.contains(&p)),
        JobPoint::PartOn(key) => part(key).is_none_or(|p| now.back.contains(&p)),
        JobPoint::RunIn(key) => fasteners(key, super::is_run_in),
        JobPoint::Tighten(key) => fasteners(key, FastenerState::is_done),
        JobPoint::Task(key) => case.book.task_by_key(key).is_none_or(|t| now.tasks.contains(&t)),
        JobPoint::Extra(key) => now.extras.contains(key.as_str()),
    }
}

/// A point of the job as a message gives it.
fn point_words(point: &JobPoint) -> String {
    match point {
        JobPoint::Any => String::from("the job begins"),
        JobPoint::Undo(key) => format!("fixing `{key}` is undone"),
        JobPoint::PartOff(key) => format!("part `{key}` is off"),
        JobPoint::PartOn(key) => format!("part `{key}` is back in place"),
        JobPoint::RunIn(key) => format!("fixing `{key}` is run in"),
        JobPoint::Tighten(key) => format!("fixing `{key}` is tightened"),
        JobPoint::Task(key) => format!("task `{key}` is done"),
        JobPoint::Extra(key) => format!("extra step `{key}` is done"),
        JobPoint::Refit => String::from("the refit begins"),
    }
}

/// R703: an extra step takes its stated time.
pub(super) fn judge_extra_seconds(progress: &Progress, step: &Step, at: &str, found: &mut FoundViolations) {
    let extra = progress.extra.iter().find(|e| Some(&e.key) == step.extra.as_ref());
    if extra.is_some_and(|e| !same_figure(e.work_s, step.work_s)) {
        found.add("R703", at, "the extra step's time differs from the one stated");
    }
}
