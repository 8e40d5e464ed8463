//! What a step of the refit needs and leaves.

use super::{ReplayState, is_run_in};
use crate::FoundViolations;
use crate::case::PlanCase;
use crate::replay::{CLOCK_S, FastenerTouch, opening_of_step, touches_of_action, wanted_stages};
use model::FastenerState;
use model::plan::{Step, StepKind};
use model::progress::FastenerProgress;
use model::{Act, ConditionId, ConditionKind, Fixing, FixingId, HoldsBack, Need, PartId, PatternRule};

/// The parts that needed something, with whether each is whole again.
fn parts_that_needed(case: &PlanCase, now: &ReplayState, need: Need) -> Vec<(PartId, bool)> {
    let wanted = case.off.iter().filter(|(part, way)| case.needs_of_part(**part, **way).any(|n| n == need));
    wanted.map(|(part, _)| (*part, now.is_part_whole(case, *part))).collect()
}

/// A plan to a state puts back only some parts, and goes round the others: they are put back after it.
fn is_put_back_here(case: &PlanCase, part: PartId) -> bool {
    let key = &case.book.part(part).key;
    let is_it = |step: &Step| step.kind == StepKind::Refit && step.part.as_ref() == Some(key);
    case.plan.asked.goal.is_none() || case.plan.all_steps().any(is_it)
}

pub(super) fn replay_rest_placing(
    case: &PlanCase,
    now: &mut ReplayState,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    let Some(id) = case.part_of_step(step).filter(|id| case.off.contains_key(id)) else {
        found.add("R204", at, "the step refits no part of the way in");
        return;
    };
    let key = &case.book.part(id).key;
    if !now.off.remove(&id) || !now.back.insert(id) {
        found.add("R204", at, format!("part `{key}` is not off"));
    }
    for (user, whole) in parts_that_needed(case, now, Need::Off(id)) {
        if !whole && is_put_back_here(case, user) && !case.has_joint_after(user, id) {
            let words = format!("part `{key}` goes on before `{}` is done", case.book.part(user).key);
            found.add("R205", at, words);
        }
        judge_wait_over(case, now, user, HoldsBack::NextPart, at, found);
    }
    for condition in &case.conditions {
        let it = case.book.condition(*condition);
        let open = it.restore.is_some() && !now.undone.contains(condition);
        let is_whole = case.plan.asked.goal.is_none();
        if is_whole && open && it.needs.contains(&Need::Off(id)) && !crate::kinds::closes_drain(case, it, id)
        {
            found.add("R303", at, format!("part `{key}` goes on before condition `{}` is undone", it.key));
        }
    }
    for covered in &case.book.part(id).uncovers {
        if now.capped.contains(covered) {
            let words = format!("opening `{}` is covered with its cap on", case.book.opening(*covered).key);
            found.add("R404", at, words);
        }
    }
    now.placed_s.insert(id, now.end_s);
    now.last_s.insert(id, now.end_s);
}

/// R602: whether a part's waits of a kind are over.
fn judge_wait_over(
    case: &PlanCase,
    now: &ReplayState,
    part: PartId,
    holds: HoldsBack,
    at: &str,
    found: &mut FoundViolations,
) {
    let it = case.book.part(part);
    for (index, wait) in it.refit_waits.iter().enumerate().filter(|(_, w)| w.holds_back == holds) {
        let from = if holds == HoldsBack::Tightening { &now.placed_s } else { &now.last_s };
        let running = |r: &&model::progress::BegunWait| {
            r.part.as_ref() == Some(&it.key) && usize::from(r.wait) == index
        };
        let ready_s = match from.get(&part) {
            Some(end_s) => end_s + wait.time.as_s(),
            None => now.progress.running.iter().find(running).map_or(0.0, |r| r.left_s),
        };
        if now.clock_s + CLOCK_S < ready_s {
            found.add("R602", at, format!("starts before this wait is over: {}", wait.title));
        }
    }
}

pub(super) fn replay_rest_uncap(
    case: &PlanCase,
    now: &mut ReplayState,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    let Some(id) = opening_of_step(case, step) else {
        found.add("R401", at, "the step uncaps no opening");
        return;
    };
    if !now.capped.remove(&id) || !now.uncapped.insert(id) {
        found.add("R401", at, format!("opening `{}` is not capped", case.book.opening(id).key));
    }
}

pub(super) fn replay_rest_fastening(
    case: &PlanCase,
    now: &mut ReplayState,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    for touch in step.actions.iter().flat_map(|a| touches_of_action(case, a)) {
        let fixing = case.book.fixing(touch.fixing);
        if !now.back.contains(&fixing.part) {
            found.add("R102", at, format!("`{}` is fastened before its part is in place", fixing.key));
        }
        if step.kind == StepKind::RunIn {
            replay_rest_run_in(case, now, touch, at, found);
        } else {
            replay_rest_tightening(case, now, touch, at, found);
        }
        now.last_s.insert(fixing.part, now.end_s);
    }
}

fn replay_rest_run_in(
    case: &PlanCase,
    now: &mut ReplayState,
    touch: FastenerTouch,
    at: &str,
    found: &mut FoundViolations,
) {
    let fixing = case.book.fixing(touch.fixing);
    let key = (touch.fixing, touch.hole);
    let state = now.fastener(key).state;
    if touch.act != Act::RunIn || is_run_in(state) || state == FastenerState::Broken {
        let words =
            format!("{} of `{}` meets a fastener that is {}", touch.act, fixing.key, state.spoken_word());
        found.add("R103", at, words);
    }
    let through = wanted_stages(fixing).is_empty();
    let state = if through { FastenerState::Tight } else { FastenerState::FingerTight };
    now.fasteners.insert(key, FastenerProgress { state, passes: 0 });
}

/// Whether a fastener may be tightened: run in, or slackened and still in its hole; a new one of those is started by the same act.
fn is_ready(fixing: &Fixing, state: FastenerState) -> bool {
    is_run_in(state) || (fixing.slackened && state != FastenerState::Broken)
}

fn replay_rest_tightening(
    case: &PlanCase,
    now: &mut ReplayState,
    touch: FastenerTouch,
    at: &str,
    found: &mut FoundViolations,
) {
    let fixing = case.book.fixing(touch.fixing);
    let key = (touch.fixing, touch.hole);
    let fastener = now.fastener(key);
    let wanted = wanted_stages(fixing);
    let next = wanted.get(usize::from(fastener.passes)).copied();
    if touch.act != Act::Tighten || !is_ready(fixing, fastener.state) || next.is_none() || touch.stage != next
    {
        let words = format!(
            "{} of `{}` meets a fastener that is {}, passes done: {}",
            touch.act,
            fixing.key,
            fastener.state.spoken_word(),
            fastener.passes
        );
        found.add("R104", at, words);
    }
    let members: Vec<FixingId> = fixings_in_joint(case, touch.fixing);
    for member in &members {
        let holes = 0..case.book.fixing(*member).holes.len() as u16;
        if holes.into_iter().any(|h| !is_ready(case.book.fixing(*member), now.fastener((*member, h)).state)) {
            let words = format!("tightened before `{}` is run in", case.book.fixing(*member).key);
            found.add("R105", at, words);
        }
    }
    judge_pass_order(case, now, touch, usize::from(fastener.passes), (wanted.len(), &members), at, found);
    judge_wait_over(case, now, fixing.part, HoldsBack::Tightening, at, found);
    let passes = fastener.passes.saturating_add(1);
    let through = usize::from(passes) >= wanted.len();
    let state = if through { FastenerState::Tight } else { FastenerState::FingerTight };
    now.fasteners.insert(key, FastenerProgress { state, passes });
}

/// R106: a joint goes through one pass before the next begins; a joint without a stated pattern whose holes are worked
/// from several stations is checked station by station.
fn judge_pass_order(
    case: &PlanCase,
    now: &mut ReplayState,
    touch: FastenerTouch,
    done: usize,
    (wanted, members): (usize, &[FixingId]),
    at: &str,
    found: &mut FoundViolations,
) {
    let fixing = case.book.fixing(touch.fixing);
    let stages = |f: &FixingId| case.book.fixing(*f).tightening.stages.len();
    let is_closing = fixing.tightening.closing_pass && done + 1 == wanted && wanted > stages(&touch.fixing);
    let pass = if is_closing { members.iter().map(stages).max().unwrap_or(done) } else { done };
    let by_station = fixing.joint.is_none() && fixing.tightening.pattern == PatternRule::Auto;
    let of_hole = |d: &&crate::case::DutyFacts| {
        d.id == touch.fixing && d.line.act == Act::Tighten && d.access.holes.contains(&touch.hole)
    };
    let duty = case.duties.iter().flatten().find(of_hole);
    let station = duty.filter(|_| by_station).map(|d| case.station_of_duty(d).index());
    let name =
        fixing.joint.clone().map_or_else(|| format!("fixing {}", fixing.key), |j| format!("joint {j}"));
    let joint = (fixing.part.index(), name, station);
    let last = now.passes.insert(joint, pass);
    if last.is_some_and(|last| pass < last) {
        found.add("R106", at, "a stage starts before the whole joint has been through the previous one");
    }
}

/// The fixings of a fixing's joint.
fn fixings_in_joint(case: &PlanCase, id: FixingId) -> Vec<FixingId> {
    let it = case.book.fixing(id);
    let same = |f: &FixingId| *f == id || (it.joint.is_some() && case.book.fixing(*f).joint == it.joint);
    case.book.fixings_of(it.part).filter(same).collect()
}

pub(super) fn replay_rest_restore(
    case: &PlanCase,
    now: &mut ReplayState,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    let Some(id) = case.condition_of_step(step) else {
        found.add("R302", at, "the step undoes no condition");
        return;
    };
    let it = case.book.condition(id);
    let held = now.holds_at_s.remove(&id).is_some();
    if !held || !now.undone.insert(id) {
        found.add("R302", at, format!("condition `{}` does not hold", it.key));
    }
    for (user, whole) in parts_that_needed(case, now, Need::Condition(id)) {
        if !whole {
            let words =
                format!("condition `{}` ends before part `{}` is done", it.key, case.book.part(user).key);
            found.add("R303", at, words);
        }
    }
    judge_dependent_conditions(case, now, id, at, found);
    if it.kind == ConditionKind::Drained {
        for part in now.back.clone() {
            judge_wait_over(case, now, part, HoldsBack::Filling, at, found);
        }
    }
}

/// Conditions that needed this one have to be undone first.
fn judge_dependent_conditions(
    case: &PlanCase,
    now: &ReplayState,
    id: ConditionId,
    at: &str,
    found: &mut FoundViolations,
) {
    for other in &case.conditions {
        let it = case.book.condition(*other);
        let open = it.restore.is_some() && !now.undone.contains(other);
        if open && it.needs.contains(&Need::Condition(id)) {
            found.add("R303", at, format!("ends before condition `{}` is undone", it.key));
        }
    }
}
