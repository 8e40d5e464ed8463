//! Refit: does each part go on after all that needed it off and after its openings are uncapped, is it run in afterwards, and are
//! conditions undone in order?
//!
//! Where part A needed part B off, A has to be on, run in and tight before B is set in place. A condition is undone after
//! all work on what needed it. Waits at refit hold back what the book says.

use crate::FoundViolations;
use crate::case::{PlanCase, step_place};
use crate::kinds;
use crate::replay::{CLOCK_S, TimedStep, opening_of_step, refit_start_s, steps_on_clock, touches_of_action};
use model::plan::{Step, StepKind};
use model::{Act, ConditionId, ConditionKind, FixingId, HoldsBack, Need, OpeningId, PartId};
use std::collections::BTreeMap;

/// Positions of steps in the refit.
#[derive(Default)]
struct RefitPositions {
    placed: BTreeMap<PartId, usize>,
    /// All positions of run-in and tightening, by part.
    acts: BTreeMap<PartId, Vec<usize>>,
    tight: BTreeMap<PartId, Vec<usize>>,
    restored: BTreeMap<ConditionId, usize>,
    uncapped: BTreeMap<OpeningId, usize>,
    run_in: BTreeMap<(FixingId, u16), usize>,
}

impl RefitPositions {
    /// The last step on a part.
    fn last_position(&self, part: PartId) -> Option<usize> {
        let acts = self.acts.get(&part).into_iter().flatten();
        acts.chain(self.placed.get(&part)).copied().max()
    }
}

/// J607 parts, J608 caps, J609 run-in, J611 conditions, J614 waits, J615 kinds.
pub(crate) fn judge_refit(case: &PlanCase, found: &mut FoundViolations) {
    let steps = steps_on_clock(&case.plan.refit, refit_start_s(case));
    let seen = read_refit_steps(case, &steps, found);
    judge_placed_parts(case, &seen, &steps, found);
    judge_refit_caps(case, &seen, found);
    judge_run_in(case, &seen, found);
    judge_restored_conditions(case, &seen, found);
    judge_refit_waits(case, &seen, &steps, found);
}

fn read_refit_steps(case: &PlanCase, steps: &[TimedStep], found: &mut FoundViolations) -> RefitPositions {
    let mut seen = RefitPositions::default();
    for (at, timed) in steps.iter().enumerate() {
        let step = timed.step;
        let here = step_place("refit", step);
        let twice = match step.kind {
            StepKind::Refit => case.part_of_step(step).map(|p| seen.placed.insert(p, at).map(|_| "J607")),
            StepKind::Fill | StepKind::Restore => {
                case.condition_of_step(step).map(|c| seen.restored.insert(c, at).map(|_| "J611"))
            }
            StepKind::Uncap => {
                opening_of_step(case, step).map(|o| seen.uncapped.insert(o, at).map(|_| "J608"))
            }
            StepKind::RunIn | StepKind::Tighten => {
                read_refit_acts(case, (at, timed), &here, &mut seen, found);
                Some(None)
            }
            StepKind::Wait => Some(None),
            // With a world, work stands where its needs hold.
            StepKind::Set | StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal
                if case.is_course() =>
            {
                Some(None)
            }
            StepKind::Open
            | StepKind::Drain
            | StepKind::Undo
            | StepKind::Remove
            | StepKind::Cap
            | StepKind::Renew
            | StepKind::Inspect
            | StepKind::Measure
            | StepKind::Reseal
            | StepKind::Set
            | StepKind::Extra => {
                found.add("J615", here.clone(), "a step of this kind does not belong in the refit");
                Some(None)
            }
        };
        match twice {
            None => found.add("J615", here, "the step does not name what it works on"),
            Some(Some(code)) => found.add(code, here, "this is already done in an earlier step"),
            Some(None) => {}
        }
    }
    seen
}

fn read_refit_acts(
    case: &PlanCase,
    (at, timed): (usize, &TimedStep),
    here: &str,
    seen: &mut RefitPositions,
    found: &mut FoundViolations,
) {
    let wanted = if timed.step.kind == StepKind::RunIn { Act::RunIn } else { Act::Tighten };
    for touch in timed.step.actions.iter().flat_map(|a| touches_of_action(case, a)) {
        let fixing = case.book.fixing(touch.fixing);
        if touch.act != wanted {
            found.add(
                "J615",
                here,
                format!("{} of `{}` is in a step of another kind", touch.act, fixing.key),
            );
        }
        seen.acts.entry(fixing.part).or_default().push(at);
        if touch.act == Act::Tighten {
            seen.tight.entry(fixing.part).or_default().push(at);
        }
        if touch.act == Act::RunIn && seen.run_in.insert((touch.fixing, touch.hole), at).is_some() {
            found.add("J609", here, format!("`{}` is run in twice", fixing.key));
        }
    }
}

fn judge_placed_parts(
    case: &PlanCase,
    seen: &RefitPositions,
    steps: &[TimedStep],
    found: &mut FoundViolations,
) {
    for (part, way) in &case.off {
        let key = &case.book.part(*part).key;
        let Some(placed) = seen.placed.get(part) else {
            found.add("J607", "refit", format!("part `{key}` is never refitted"));
            continue;
        };
        let early = seen.acts.get(part).into_iter().flatten().any(|at| at < placed);
        if early {
            found.add("J609", "refit", format!("part `{key}` is fastened before it is in place"));
        }
        for need in case.needs_of_part(*part, *way) {
            // A joint that is tightened only with the other part in place comes after it.
            let waits = |at: &&usize| match need {
                Need::Off(other) => tightening_waits_for(case, steps[**at].step, other),
                Need::Condition(_) => false,
            };
            let acts = seen.acts.get(part).into_iter().flatten();
            let Some(last) = acts.filter(|at| !waits(at)).chain([placed]).copied().max() else { continue };
            let (end, code) = match need {
                Need::Off(other) => (seen.placed.get(&other), "J607"),
                Need::Condition(condition) => (seen.restored.get(&condition), "J611"),
            };
            if end.is_some_and(|end| *end < last) {
                let words = format!("{} ends before part `{key}` is finished", case.need_words(need));
                found.add(code, end.map_or_else(String::new, |e| step_place("refit", steps[*e].step)), words);
            }
        }
    }
    for part in seen.placed.keys().filter(|p| !case.off.contains_key(p)) {
        found.add(
            "J607",
            "refit",
            format!("part `{}` is refitted but was never removed", case.book.part(*part).key),
        );
    }
}

/// Whether a step tightens what the book wants tightened only with a part on.
fn tightening_waits_for(case: &PlanCase, step: &Step, part: PartId) -> bool {
    let mut fixings = step.fixings.iter().filter_map(|key| case.book.fixing_by_key(key));
    step.kind == StepKind::Tighten && fixings.any(|id| case.is_joint_after(id, part))
}

fn judge_refit_caps(case: &PlanCase, seen: &RefitPositions, found: &mut FoundViolations) {
    let mut first_on: BTreeMap<OpeningId, usize> = BTreeMap::new();
    for part in case.off.keys() {
        for opening in case.book.part(*part).uncovers.iter().filter(|o| case.book.opening(**o).cap.is_some())
        {
            let at = seen.placed.get(part).copied().unwrap_or(usize::MAX);
            first_on.entry(*opening).and_modify(|f| *f = at.min(*f)).or_insert(at);
        }
    }
    for (opening, first) in &first_on {
        let key = &case.book.opening(*opening).key;
        match seen.uncapped.get(opening) {
            None => found.add("J608", "refit", format!("opening `{key}` is never uncapped")),
            Some(at) if at > first => {
                found.add("J608", "refit", format!("opening `{key}` is covered before its cap is off"));
            }
            Some(_) => {}
        }
    }
    for opening in seen.uncapped.keys().filter(|o| !first_on.contains_key(o)) {
        let words = format!("opening `{}` was never capped", case.book.opening(*opening).key);
        found.add("J608", "refit", words);
    }
}

fn judge_run_in(case: &PlanCase, seen: &RefitPositions, found: &mut FoundViolations) {
    for fixing in case.fixings_off() {
        let it = case.book.fixing(fixing);
        if it.slackened && it.drive.is_turned() {
            continue;
        }
        for hole in (0..it.holes.len()).filter(|h| !seen.run_in.contains_key(&(fixing, *h as u16))) {
            found.add(
                "J609",
                "refit",
                format!("hole {} of `{}` is never run in", it.holes[hole].label, it.key),
            );
        }
    }
}

fn judge_restored_conditions(case: &PlanCase, seen: &RefitPositions, found: &mut FoundViolations) {
    for id in &case.conditions {
        let condition = case.book.condition(*id);
        let at = seen.restored.get(id);
        if condition.restore.is_some() != at.is_some() {
            let words = format!("condition `{}` is not undone as the book says", condition.key);
            found.add("J611", "refit", words);
        }
        let Some(at) = at else { continue };
        let closes =
            |need: &&Need| matches!(need, Need::Off(part) if kinds::closes_drain(case, condition, *part));
        for need in condition.needs.iter().filter(|need| !closes(need)) {
            let end = match need {
                Need::Off(part) => seen.placed.get(part),
                Need::Condition(other) => seen.restored.get(other),
            };
            if end.is_some_and(|end| end < at) {
                let words =
                    format!("{} ends before condition `{}` is undone", case.need_words(*need), condition.key);
                found.add("J611", "refit", words);
            }
        }
    }
    for id in seen.restored.keys().filter(|c| !case.conditions.contains(c)) {
        let words = format!("condition `{}` was never made", case.book.condition(*id).key);
        found.add("J611", "refit", words);
    }
}

fn judge_refit_waits(
    case: &PlanCase,
    seen: &RefitPositions,
    steps: &[TimedStep],
    found: &mut FoundViolations,
) {
    for (part, way) in &case.off {
        let (Some(placed), Some(last)) = (seen.placed.get(part), seen.last_position(*part)) else { continue };
        for wait in &case.book.part(*part).refit_waits {
            let (from, to): (usize, Vec<usize>) = match wait.holds_back {
                HoldsBack::Tightening => (*placed, seen.tight.get(part).cloned().unwrap_or_default()),
                HoldsBack::NextPart => {
                    let off = case.needs_of_part(*part, *way).filter_map(|n| match n {
                        Need::Off(other) => seen.placed.get(&other).copied(),
                        Need::Condition(_) => None,
                    });
                    (last, off.collect())
                }
                HoldsBack::Filling => (last, fills_after_placing(case, seen, *placed)),
            };
            let ready_s = steps[from].end_s + wait.time.as_s();
            for early in to.iter().filter(|at| steps[**at].start_s + CLOCK_S < ready_s) {
                found.add(
                    "J614",
                    step_place("refit", steps[*early].step),
                    format!("starts before this wait is over: {}", wait.title),
                );
            }
        }
    }
}

/// Fills after a part is in place; one that must come earlier is not held back.
fn fills_after_placing(case: &PlanCase, seen: &RefitPositions, placed: usize) -> Vec<usize> {
    let filled =
        seen.restored.iter().filter(|(c, _)| case.book.condition(**c).kind == ConditionKind::Drained);
    let mut after: Vec<usize> = filled.map(|(_, at)| *at).filter(|at| *at > placed).collect();
    after.sort_unstable();
    after.dedup();
    after
}
