//! What a step before the refit needs and leaves.

use super::ReplayState;
use crate::FoundViolations;
use crate::case::PlanCase;
use crate::replay::{CLOCK_S, opening_of_step, touches_of_action};
use model::FastenerState;
use model::plan::{Step, StepKind};
use model::progress::FastenerProgress;
use model::{Act, Need, PartId, TaskKind};
use std::collections::BTreeSet;

/// R203 needs of a part, condition or task; R601 the waits for them.
fn judge_needs_now(
    case: &PlanCase,
    now: &ReplayState,
    needs: impl Iterator<Item = Need>,
    (at, what): (&str, &str),
    found: &mut FoundViolations,
) {
    for need in needs {
        match need {
            Need::Off(part) if now.off.contains(&part) => {}
            Need::Condition(condition) if now.holds_at_s.contains_key(&condition) => {
                if now.holds_at_s[&condition] > now.clock_s + CLOCK_S {
                    found.add("R601", at, format!("`{what}` starts before {} holds", case.need_words(need)));
                }
            }
            Need::Off(_) | Need::Condition(_) => {
                found.add("R203", at, format!("`{what}` needs {} first", case.need_words(need)));
            }
        }
    }
}

pub(super) fn replay_rest_condition(
    case: &PlanCase,
    now: &mut ReplayState,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    let Some(id) = case.condition_of_step(step) else {
        found.add("R301", at, "the step makes no condition");
        return;
    };
    let condition = case.book.condition(id);
    judge_needs_now(case, now, condition.needs.iter().copied(), (at, &condition.key), found);
    let again = now.holds_at_s.insert(id, now.end_s + condition.hold_up.as_s()).is_some();
    if again || now.undone.contains(&id) || !case.conditions.contains(&id) {
        found.add("R301", at, format!("condition `{}` is made again or is not needed", condition.key));
    }
}

pub(super) fn replay_rest_undo(
    case: &PlanCase,
    now: &mut ReplayState,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    let mut parts: BTreeSet<PartId> = BTreeSet::new();
    for touch in step.actions.iter().flat_map(|a| touches_of_action(case, a)) {
        let fixing = case.book.fixing(touch.fixing);
        let key = (touch.fixing, touch.hole);
        let state = now.fastener(key).state;
        // One that was put in again while its part is on is undone like one that was never out.
        let is_in = matches!(state, FastenerState::InPlace | FastenerState::FingerTight) || state.is_done();
        let next = match touch.act {
            Act::Free if fixing.drive.is_turned() || fixing.slackened => {
                is_in.then_some(FastenerState::Freed)
            }
            Act::Free if is_in || state == FastenerState::Freed => Some(FastenerState::Off),
            Act::RunOut if state == FastenerState::Freed => Some(FastenerState::Off),
            Act::Free | Act::RunOut | Act::RunIn | Act::Tighten => None,
        };
        match next {
            Some(state) => _ = now.fasteners.insert(key, FastenerProgress { state, passes: 0 }),
            None => {
                let words = format!(
                    "{} of `{}` meets a fastener that is {}",
                    touch.act,
                    fixing.key,
                    state.spoken_word()
                );
                found.add("R101", at, words);
            }
        }
        parts.insert(fixing.part);
    }
    for part in parts {
        let key = &case.book.part(part).key;
        let way = case.off.get(&part).copied().flatten();
        judge_needs_now(case, now, case.needs_of_part(part, way), (at, key), found);
        if now.off.contains(&part) || now.back.contains(&part) {
            found.add("R101", at, format!("part `{key}` was already off"));
        }
    }
}

pub(super) fn replay_rest_removal(
    case: &PlanCase,
    now: &mut ReplayState,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    let Some((id, way)) = case.part_of_step(step).and_then(|id| Some((id, *case.off.get(&id)?))) else {
        found.add("R201", at, "the step removes no part of the way in");
        return;
    };
    let part = case.book.part(id);
    judge_needs_now(case, now, case.needs_of_part(id, way), (at, &part.key), found);
    for fixing in case.book.fixings_of(id) {
        let it = case.book.fixing(fixing);
        let holding = |h: &u16| {
            let state = now.fastener((fixing, *h)).state;
            let is_slack = it.slackened && state == FastenerState::Freed;
            !state.is_out() && state != FastenerState::Broken && !is_slack
        };
        if (0..it.holes.len() as u16).any(|h| holding(&h)) {
            found.add("R202", at, format!("fixing `{}` still holds part `{}`", it.key, part.key));
        }
    }
    if now.back.contains(&id) || !now.off.insert(id) {
        found.add("R201", at, format!("part `{}` was already off", part.key));
    }
    let cappable = part.uncovers.iter().filter(|o| case.book.opening(**o).cap.is_some());
    let open: Vec<_> = cappable.filter(|o| !now.capped.contains(o) && !now.uncapped.contains(o)).collect();
    now.open.extend(open);
}

pub(super) fn replay_rest_cap(
    case: &PlanCase,
    now: &mut ReplayState,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    let Some(id) = opening_of_step(case, step) else {
        found.add("R401", at, "the step caps no opening");
        return;
    };
    if !now.open.remove(&id) || !now.capped.insert(id) {
        found.add("R401", at, format!("opening `{}` is not open", case.book.opening(id).key));
    }
}

pub(super) fn replay_rest_task(
    case: &PlanCase,
    now: &mut ReplayState,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    let Some(id) = step.task.as_ref().and_then(|key| case.book.task_by_key(key)) else {
        found.add("R403", at, "the step does no task");
        return;
    };
    let task = case.book.task(id);
    let kind = match task.kind {
        TaskKind::Renew => StepKind::Renew,
        TaskKind::Inspect => StepKind::Inspect,
        TaskKind::Measure => StepKind::Measure,
        TaskKind::Reseal => StepKind::Reseal,
    };
    if kind != step.kind || !case.tasks.contains(&id) || !now.tasks.insert(id) {
        found.add(
            "R403",
            at,
            format!("task `{}` is already done, is of another kind, or is not requested", task.key),
        );
    }
    judge_needs_now(case, now, task.needs.iter().copied(), (at, &task.key), found);
}
