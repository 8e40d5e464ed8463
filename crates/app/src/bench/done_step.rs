//! A step that is done: how it is taken back, and the second look that its dangerous fasteners are owed.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{Plan, Step, StepKind};
use model::{Book, FastenerState};
use record::visit::VisitFastener;
use record::{EventId, Visit, VisitBody, VisitCommand, decide};
use serde::Serialize;

/// What a tap on a hole that has its mark goes back to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HoleMarkBack {
    /// Its state before the step.
    pub from: FastenerState,
    /// Its state by the step.
    pub to: FastenerState,
    /// Passes that it had had before.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stage: Option<u8>,
}

/// Fixing and hole of each fastener of a step, each once, in the order of the work.
pub(super) fn fasteners_of_step<'p>(plan: &'p Plan, step: &'p Step) -> Vec<(&'p str, &'p str)> {
    let mut all: Vec<(&str, &str)> = Vec::new();
    for action in &step.actions {
        let Some(duty) = plan.duties.get(action.duty) else { continue };
        for hole in &action.holes {
            if !all.contains(&(duty.fixing.as_str(), hole.as_str())) {
                all.push((&duty.fixing, hole));
            }
        }
    }
    all
}

/// The holes of a step that have their mark while others have not, with the mark that a tap goes back to; keyed "fixing hole".
pub(super) fn marks_back(
    plan: &Plan,
    step: &Step,
    visit: &Visit,
    tick: &[VisitBody],
) -> BTreeMap<String, HoleMarkBack> {
    let left = |fixing: &str, hole: &str| {
        tick.iter().any(|body| matches!(body, VisitBody::Marked { fixing: f, holes, .. } if f == fixing && holes.iter().any(|was| was.hole == hole)))
    };
    let aim = tick.iter().find_map(|body| match body {
        VisitBody::Marked { to, stage, .. } => Some((*to, *stage)),
        _ => None,
    });
    let Some((aim, stage)) = aim else { return BTreeMap::new() };
    let back = |(fixing, hole): (&str, &str)| {
        let to = visit.fastener_state(fixing, hole);
        let has_mark = !left(fixing, hole) && to == aim;
        let (from, stage) = match step.kind {
            StepKind::Undo => (FastenerState::InPlace, None),
            StepKind::RunIn => (FastenerState::Off, None),
            _ => (FastenerState::FingerTight, stage.map(|done| done.saturating_sub(1))),
        };
        has_mark.then(|| (format!("{fixing} {hole}"), HoleMarkBack { from, to, stage }))
    };
    fasteners_of_step(plan, step).into_iter().filter_map(back).collect()
}

/// Passes that the fasteners of a step have had while they are not tight yet; keyed "fixing hole".
pub(super) fn passes_done(plan: &Plan, step: &Step, visit: &Visit) -> BTreeMap<String, u8> {
    let passes = |(fixing, hole): (&str, &str)| {
        let fastener = visit.fasteners.get(fixing, hole)?;
        let is_between = fastener.state == FastenerState::FingerTight;
        let count = fastener.stage.filter(|count| is_between && *count > 0)?;
        Some((format!("{fixing} {hole}"), count))
    };
    fasteners_of_step(plan, step).into_iter().filter_map(passes).collect()
}

/// The second look that a tightening step owes: its dangerous fasteners that are tight and that nobody has looked at again.
pub(super) fn second_look_bodies(book: &Book, plan: &Plan, step: &Step, visit: &Visit) -> Vec<VisitBody> {
    if step.kind != StepKind::Tighten {
        return Vec::new();
    }
    let mut owed: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for (fixing, hole) in fasteners_of_step(plan, step) {
        let is_critical = book.fixing_by_key(fixing).is_some_and(|id| book.fixing(id).critical);
        if is_critical && visit.fastener_state(fixing, hole) == FastenerState::Tight {
            owed.entry(fixing).or_default().insert(hole.to_owned());
        }
    }
    let look = |(fixing, holes): (&str, BTreeSet<String>)| {
        let (fixing, to) = (fixing.to_owned(), FastenerState::Checked);
        decide(visit, book, plan, VisitCommand::Mark { fixing, holes, to, slot: None })
    };
    owed.into_iter().filter_map(|owed| look(owed).ok()).flatten().collect()
}

/// What takes a done step back, where nothing has been built on it since: the events that brought it about are undone.
pub(super) fn take_back_bodies(book: &Book, plan: &Plan, step: &Step, visit: &Visit) -> Vec<VisitBody> {
    let mut bodies: Vec<VisitBody> = Vec::new();
    for event in events_of_step(plan, step, visit) {
        let undone = decide(visit, book, plan, VisitCommand::Say(VisitBody::Undone { event }));
        bodies.extend(undone.unwrap_or_default());
    }
    bodies
}

/// The events by which a step came to be done, the latest first.
fn events_of_step(plan: &Plan, step: &Step, visit: &Visit) -> Vec<EventId> {
    let key = |key: &Option<String>| key.clone().unwrap_or_default();
    let toggled = |state: Option<&record::visit::ToggleState>, now: bool| {
        state.filter(|state| state.now == now).map(|state| state.since.event.clone())
    };
    match step.kind {
        StepKind::Undo | StepKind::RunIn | StepKind::Tighten => fastener_events(plan, step, visit),
        StepKind::Remove => toggled(visit.parts.get(&key(&step.part)), true).into_iter().collect(),
        StepKind::Refit => toggled(visit.parts.get(&key(&step.part)), false).into_iter().collect(),
        StepKind::Open | StepKind::Drain => {
            toggled(visit.conditions.get(&key(&step.condition)), true).into_iter().collect()
        }
        StepKind::Fill | StepKind::Restore => {
            toggled(visit.conditions.get(&key(&step.condition)), false).into_iter().collect()
        }
        StepKind::Cap | StepKind::Uncap => {
            let caps = visit.openings.get(&key(&step.opening));
            let is_so = caps.filter(|caps| (caps.inside > 0) == (step.kind == StepKind::Cap));
            is_so.and_then(|caps| caps.since.as_ref()).map(|since| since.event.clone()).into_iter().collect()
        }
        StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
            visit.tasks.get(&key(&step.task)).map(|task| task.stamp.event.clone()).into_iter().collect()
        }
        StepKind::Extra => {
            visit.extras.get(&key(&step.extra)).map(|extra| extra.stamp.event.clone()).into_iter().collect()
        }
        // A setting is moved again rather than not moved; a wait that is over is over.
        StepKind::Set | StepKind::Wait => Vec::new(),
    }
}

/// The events that brought the fasteners of a step to the mark that it makes; none where any has gone on since.
fn fastener_events(plan: &Plan, step: &Step, visit: &Visit) -> Vec<EventId> {
    let made = |state: FastenerState| match step.kind {
        StepKind::Undo => state == FastenerState::Off,
        StepKind::RunIn => matches!(state, FastenerState::FingerTight | FastenerState::Tight),
        _ => matches!(state, FastenerState::Tight | FastenerState::Checked),
    };
    if step.kind == StepKind::Undo && step.part.as_deref().is_some_and(|part| visit.is_part_off(part)) {
        return Vec::new();
    }
    let mut stamps = Vec::new();
    for (fixing, hole) in fasteners_of_step(plan, step) {
        let Some(fastener) = visit.fasteners.get(fixing, hole).filter(|f| made(f.state)) else {
            return Vec::new();
        };
        if step.kind == StepKind::RunIn && fastener.stage.is_some_and(|passes| passes > 0) {
            return Vec::new();
        }
        if !stamps.contains(&fastener.since) {
            stamps.push(fastener.since.clone());
        }
    }
    stamps.sort_by(|a, b| b.order.cmp(&a.order));
    stamps.into_iter().map(|stamp| stamp.event).collect()
}

/// Whether an old fastener is out, so that a new one may take its place.
#[must_use]
pub fn is_old_and_out(fastener: &VisitFastener) -> bool {
    let is_fresh = fastener.is_renewed() && !fastener.spent && fastener.state == FastenerState::Off;
    !fastener.is_in() && !is_fresh
}
