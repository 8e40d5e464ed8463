//! Strip: replayed step by step, does each act find what it needs, and is everything off at the end?

use crate::FoundViolations;
use crate::case::{PlanCase, step_place};
use crate::replay::{CLOCK_S, TimedStep, opening_of_step, steps_on_clock, touches_of_action};
use model::plan::{Step, StepKind};
use model::{Act, ConditionId, Fixing, FixingId, Need, OpeningId, PartId};
use std::collections::{BTreeMap, BTreeSet};

/// What needs are asked of: what is off, and which conditions were made.
#[derive(Clone, Default)]
pub(crate) struct NeedsNow {
    pub off: BTreeSet<PartId>,
    /// When each condition that was made holds, s from the start.
    pub holds_at_s: BTreeMap<ConditionId, f64>,
}

/// State of the job while the strip is replayed.
#[derive(Default)]
struct StripState {
    needs: NeedsNow,
    freed: BTreeSet<(FixingId, u16)>,
    out: BTreeSet<(FixingId, u16)>,
    capped: BTreeSet<OpeningId>,
    /// Openings that have to be capped before anything else is done.
    open: BTreeSet<OpeningId>,
}

impl StripState {
    /// The fasteners that are through the last act that a fixing goes through: what is slackened is not run out.
    fn last_of(&self, fixing: &Fixing) -> &BTreeSet<(FixingId, u16)> {
        if fixing.drive.is_turned() && !fixing.slackened { &self.out } else { &self.freed }
    }
}

/// J601 removal, J602 undone first, J603 needs, J604 caps, J605 holes, J606 conditions, J614 clock, J615 kinds; returns how the strip ends.
pub(crate) fn judge_strip(case: &PlanCase, found: &mut FoundViolations) -> NeedsNow {
    let mut state = StripState::default();
    let strip = steps_on_clock(&case.plan.strip, 0.0);
    for timed in &strip {
        replay_strip_step(case, &mut state, timed, &step_place("strip", timed.step), found);
    }
    judge_end_of_strip(case, &state, found);
    state.needs
}

fn replay_strip_step(
    case: &PlanCase,
    state: &mut StripState,
    timed: &TimedStep,
    at: &str,
    found: &mut FoundViolations,
) {
    let step = timed.step;
    if step.kind != StepKind::Cap && !state.open.is_empty() {
        for opening in core::mem::take(&mut state.open) {
            let words = format!("opening `{}` is left open", case.book.opening(opening).key);
            found.add("J604", at, words);
        }
    }
    match step.kind {
        StepKind::Open | StepKind::Drain => replay_condition_made(case, state, timed, at, found),
        StepKind::Undo => replay_undo(case, state, timed, at, found),
        StepKind::Remove => replay_removal(case, state, timed, at, found),
        StepKind::Cap => replay_cap(case, state, step, at, found),
        StepKind::Set if case.is_course() => {}
        StepKind::Wait => {}
        StepKind::Renew
        | StepKind::Inspect
        | StepKind::Measure
        | StepKind::Reseal
        | StepKind::Uncap
        | StepKind::Refit
        | StepKind::RunIn
        | StepKind::Tighten
        | StepKind::Fill
        | StepKind::Restore
        | StepKind::Extra
        | StepKind::Set => {
            found.add("J615", at, "a step of this kind does not belong in the strip");
        }
    }
}

fn replay_condition_made(
    case: &PlanCase,
    state: &mut StripState,
    timed: &TimedStep,
    at: &str,
    found: &mut FoundViolations,
) {
    let Some(id) = case.condition_of_step(timed.step) else {
        found.add("J606", at, "the step makes no condition");
        return;
    };
    let condition = case.book.condition(id);
    judge_needs_at(
        case,
        &state.needs,
        condition.needs.iter().copied(),
        timed.start_s,
        (at, &condition.key),
        found,
    );
    if !case.conditions.contains(&id) {
        found.add("J606", at, format!("condition `{}` is not in the way in", condition.key));
    }
    if state.needs.holds_at_s.insert(id, timed.end_s + condition.hold_up.as_s()).is_some() {
        found.add("J606", at, format!("condition `{}` is made twice", condition.key));
    }
}

/// J603 needs that hold at a time, J614 the hold-ups of conditions.
pub(crate) fn judge_needs_at(
    case: &PlanCase,
    now: &NeedsNow,
    needs: impl Iterator<Item = Need>,
    now_s: f64,
    (at, what): (&str, &str),
    found: &mut FoundViolations,
) {
    for need in needs {
        match need {
            Need::Off(part) if now.off.contains(&part) => {}
            Need::Condition(condition) if now.holds_at_s.contains_key(&condition) => {
                if now.holds_at_s[&condition] > now_s + CLOCK_S {
                    let words = format!("`{what}` starts before {} holds", case.need_words(need));
                    found.add("J614", at, words);
                }
            }
            Need::Off(_) | Need::Condition(_) => {
                found.add("J603", at, format!("`{what}` needs {} first", case.need_words(need)));
            }
        }
    }
}

fn replay_undo(
    case: &PlanCase,
    state: &mut StripState,
    timed: &TimedStep,
    at: &str,
    found: &mut FoundViolations,
) {
    for action in &timed.step.actions {
        for touch in touches_of_action(case, action) {
            let fixing = case.book.fixing(touch.fixing);
            let key = (touch.fixing, touch.hole);
            let label = fixing.holes.get(usize::from(touch.hole)).map_or("?", |h| h.label.as_str());
            let fresh = match touch.act {
                Act::Free => state.freed.insert(key),
                Act::RunOut => state.freed.contains(&key) && state.out.insert(key),
                Act::RunIn | Act::Tighten => false,
            };
            if !fresh {
                let words =
                    format!("{} of `{}` hole {label} is out of order or done twice", touch.act, fixing.key);
                found.add("J605", at, words);
            }
        }
    }
    let fixings = timed.step.actions.iter().filter_map(|a| case.duty_of_action(a)).map(|d| d.fixing.part);
    let parts: BTreeSet<PartId> = fixings.collect();
    for part in parts {
        let key = &case.book.part(part).key;
        let way = case.off.get(&part).copied().flatten();
        judge_needs_at(case, &state.needs, case.needs_of_part(part, way), timed.start_s, (at, key), found);
        if state.needs.off.contains(&part) {
            found.add("J605", at, format!("part `{key}` is already off"));
        }
    }
}

fn replay_removal(
    case: &PlanCase,
    state: &mut StripState,
    timed: &TimedStep,
    at: &str,
    found: &mut FoundViolations,
) {
    let Some(id) = case.part_of_step(timed.step) else {
        found.add("J601", at, "the step removes no part");
        return;
    };
    let part = case.book.part(id);
    let Some(way) = case.off.get(&id) else {
        found.add("J601", at, format!("part `{}` is not in the way in", part.key));
        return;
    };
    judge_needs_at(case, &state.needs, case.needs_of_part(id, *way), timed.start_s, (at, &part.key), found);
    for fixing in case.book.fixings_of(id) {
        let it = case.book.fixing(fixing);
        if (0..it.holes.len() as u16).any(|h| !state.last_of(it).contains(&(fixing, h))) {
            found.add("J602", at, format!("fixing `{}` still holds part `{}`", it.key, part.key));
        }
    }
    if !state.needs.off.insert(id) {
        found.add("J601", at, format!("part `{}` is removed twice", part.key));
    }
    let cappable = part.uncovers.iter().filter(|o| case.book.opening(**o).cap.is_some());
    state.open.extend(cappable.filter(|o| !state.capped.contains(o)));
}

fn replay_cap(case: &PlanCase, state: &mut StripState, step: &Step, at: &str, found: &mut FoundViolations) {
    let Some(id) = opening_of_step(case, step) else {
        found.add("J604", at, "the step caps no opening");
        return;
    };
    if !state.open.remove(&id) || !state.capped.insert(id) {
        let words = format!("opening `{}` was not uncovered by the step before", case.book.opening(id).key);
        found.add("J604", at, words);
    }
}

fn judge_end_of_strip(case: &PlanCase, state: &StripState, found: &mut FoundViolations) {
    for part in case.off.keys().filter(|p| !state.needs.off.contains(p)) {
        found.add("J601", "strip", format!("part `{}` is never removed", case.book.part(*part).key));
    }
    for condition in case.conditions.iter().filter(|c| !state.needs.holds_at_s.contains_key(c)) {
        let words = format!("condition `{}` is never made", case.book.condition(*condition).key);
        found.add("J606", "strip", words);
    }
    for opening in &state.open {
        found.add("J604", "strip", format!("opening `{}` is left open", case.book.opening(*opening).key));
    }
    for fixing in case.fixings_off() {
        let it = case.book.fixing(fixing);
        for hole in (0..it.holes.len()).filter(|h| !state.last_of(it).contains(&(fixing, *h as u16))) {
            let words = format!("hole {} of `{}` is never undone", it.holes[hole].label, it.key);
            found.add("J605", "strip", words);
        }
    }
}
