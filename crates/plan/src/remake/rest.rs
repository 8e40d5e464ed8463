//! What is left of a job: done steps out, half-done steps with the holes and passes that remain.

use std::collections::BTreeMap;

use model::FastenerState;
use model::plan::StepKind;
use model::progress::{ExtraStep, Progress};
use model::{Act, Book, Fixing, FixingId};

use crate::job::{DutyRun, SequenceJob, SequenceJobLag, StepDraft};
use crate::node_order::NodeLag;
use crate::scope::PlanScope;
use crate::words;

/// The job without what is done.
pub(super) fn rest_of_job(
    book: &Book,
    scope: &PlanScope,
    progress: &Progress,
    job: SequenceJob,
) -> SequenceJob {
    let mut job = job;
    for steps in &mut job.nodes {
        // Passes are counted through all steps of a node: a change of station may part the passes of one hole.
        let mut turns = BTreeMap::new();
        let left = core::mem::take(steps).into_iter().filter_map(|d| match d.kind {
            StepKind::Undo | StepKind::RunIn | StepKind::Tighten => {
                rest_of_step(book, scope, progress, d, &mut turns)
            }
            StepKind::Open
            | StepKind::Drain
            | StepKind::Wait
            | StepKind::Remove
            | StepKind::Cap
            | StepKind::Renew
            | StepKind::Inspect
            | StepKind::Measure
            | StepKind::Reseal
            | StepKind::Uncap
            | StepKind::Refit
            | StepKind::Fill
            | StepKind::Restore
            | StepKind::Set
            | StepKind::Extra => is_to_do(book, progress, &d).then_some(d),
        });
        *steps = left.collect();
    }
    without_done(job)
}

/// Lets what caps an opening that is open already go before all else that does not have to come before it.
pub(super) fn put_caps_first(job: &mut SequenceJob) {
    let is_cap = |steps: &Vec<StepDraft>| steps.first().is_some_and(|d| d.kind == StepKind::Cap);
    let caps: Vec<usize> = (0..job.nodes.len()).filter(|n| is_cap(&job.nodes[*n])).collect();
    let others: Vec<usize> = (0..job.nodes.len()).filter(|n| !is_cap(&job.nodes[*n])).collect();
    for other in others {
        let behind = job.nodes_behind(other);
        job.pairs.extend(caps.iter().filter(|cap| !behind[**cap]).map(|cap| (*cap, other)));
    }
}

/// Takes out nodes with nothing left; what went before them goes before what followed them. Lags keep the ends that remain.
pub(crate) fn without_done(job: SequenceJob) -> SequenceJob {
    let is_done: Vec<bool> = job.nodes.iter().map(Vec::is_empty).collect();
    let mut after = vec![Vec::new(); job.nodes.len()];
    job.pairs.iter().for_each(|(a, b)| after[*a].push(*b));
    let kept: Vec<usize> = (0..job.nodes.len()).filter(|n| !is_done[*n]).collect();
    let renumbered = |n: &usize| kept.binary_search(n).ok();
    let mut pairs = Vec::new();
    for (at, node) in kept.iter().enumerate() {
        // From here through done nodes to the next ones that are not.
        let mut seen = vec![false; is_done.len()];
        let mut open = after[*node].clone();
        while let Some(next) = open.pop() {
            if core::mem::replace(&mut seen[next], true) {
                continue;
            }
            match renumbered(&next) {
                Some(to) => pairs.push((at, to)),
                None => open.extend(&after[next]),
            }
        }
    }
    let all = |list: &[usize]| list.iter().filter_map(renumbered).collect::<Vec<_>>();
    let lag = |l: SequenceJobLag| SequenceJobLag {
        lag: NodeLag { from: all(&l.lag.from), to: all(&l.lag.to), ..l.lag },
        ..l
    };
    let lags = job.lags.into_iter().map(lag).collect();
    SequenceJob { nodes: job.nodes.into_iter().filter(|n| !n.is_empty()).collect(), pairs, lags }
}

/// Whether a step without fasteners is still to be done.
fn is_to_do(book: &Book, progress: &Progress, draft: &StepDraft) -> bool {
    let part = draft.part.map(|p| book.part(p).key.as_str()).unwrap_or_default();
    let condition = draft.condition.map(|c| book.condition(c).key.as_str()).unwrap_or_default();
    let opening = draft.opening.map(|o| book.opening(o).key.as_str()).unwrap_or_default();
    let was_off = progress.parts_off.contains(part) || progress.parts_back.contains(part);
    let undone = progress.conditions_undone.contains(condition);
    match draft.kind {
        StepKind::Open | StepKind::Drain => !undone && !progress.conditions.contains(condition),
        StepKind::Fill | StepKind::Restore => !undone,
        StepKind::Remove => !was_off,
        StepKind::Refit => !progress.parts_back.contains(part),
        StepKind::Cap => {
            let was_capped = progress.capped.contains(opening) || progress.uncapped.contains(opening);
            !was_capped && !progress.parts_back.contains(part)
        }
        StepKind::Uncap => !progress.uncapped.contains(opening),
        StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
            draft.task.is_none_or(|t| !progress.tasks_done.contains(&book.task(t).key))
        }
        StepKind::Undo
        | StepKind::RunIn
        | StepKind::Tighten
        | StepKind::Wait
        | StepKind::Set
        | StepKind::Extra => true,
    }
}

/// What is left of a step on fasteners.
fn rest_of_step(
    book: &Book,
    scope: &PlanScope,
    progress: &Progress,
    mut draft: StepDraft,
    turns: &mut BTreeMap<(FixingId, u16), u8>,
) -> Option<StepDraft> {
    let mut runs = Vec::new();
    for run in core::mem::take(&mut draft.runs) {
        let duty = scope.duties[run.duty].duty;
        let left = |hole: &u16| {
            let passes = turns.entry((duty.fixing, *hole)).or_default();
            let turn = *passes;
            *passes += u8::from(duty.act == Act::Tighten);
            is_left(book, progress, (duty.fixing, *hole), duty.act, turn)
        };
        let holes: Vec<u16> = run.holes.iter().copied().filter(left).collect();
        if !holes.is_empty() {
            runs.push(DutyRun { holes, ..run });
        }
    }
    draft.runs = runs;
    reword_step(book, scope, draft)
}

/// Whether an act on a fastener is still to be done; `turn` counts the passes of tightening before it.
fn is_left(book: &Book, progress: &Progress, (id, hole): (FixingId, u16), act: Act, turn: u8) -> bool {
    let fixing = book.fixing(id);
    let label = &fixing.holes[usize::from(hole)].label;
    let state = progress.fastener(&fixing.key, label).state;
    let is_back = progress.parts_back.contains(&book.part(fixing.part).key);
    let comes_out = is_brought_out(progress, &fixing.key, label);
    let is_run_in = is_back && !comes_out && (state == FastenerState::FingerTight || state.is_done());
    let was_off = is_back || progress.parts_off.contains(&book.part(fixing.part).key);
    match act {
        Act::Free | Act::RunOut if was_off => false,
        // One that was put in again while its part is still on has to come out like any other.
        // What is not turned comes out by the act that frees it.
        Act::Free => {
            let sits_loose = state == FastenerState::Freed && !fixing.stays_when_freed();
            (is_in(state) || sits_loose) && !is_brought_out(progress, &fixing.key, label)
        }
        Act::RunOut => {
            (is_in(state) || state == FastenerState::Freed) && !is_brought_out(progress, &fixing.key, label)
        }
        Act::RunIn => !is_run_in,
        Act::Tighten => !is_run_in || turn >= progress.passes_done(fixing, label),
    }
}

/// Whether a fastener sits in its hole and was not broken loose.
const fn is_in(state: FastenerState) -> bool {
    matches!(state, FastenerState::InPlace | FastenerState::FingerTight) || state.is_done()
}

/// Whether an extra step that is not done yet brings a fastener out.
fn is_brought_out(progress: &Progress, fixing: &str, label: &str) -> bool {
    let out = |e: &&ExtraStep| e.brings_out && !e.done && e.fixing.as_deref() == Some(fixing);
    progress.extra.iter().filter(out).any(|e| e.holes.iter().any(|h| h == label))
}

/// A step with words for the fasteners that are left to it; none without any.
fn reword_step(book: &Book, scope: &PlanScope, mut draft: StepDraft) -> Option<StepDraft> {
    let duty = |run: &DutyRun| scope.duties[run.duty].duty.fixing;
    let mut holes: Vec<(FixingId, u16)> =
        draft.runs.iter().flat_map(|r| r.holes.iter().map(move |h| (duty(r), *h))).collect();
    holes.sort_unstable();
    holes.dedup();
    let mut fixings: Vec<FixingId> = holes.iter().map(|(f, _)| *f).collect();
    fixings.dedup();
    let first = book.fixing(*fixings.first()?);
    draft.text = match draft.kind {
        StepKind::Undo => words::undo_words(first, holes.len()),
        StepKind::RunIn => words::run_in_words(book.part(first.part), first, holes.len()),
        _ => {
            let all: Vec<&Fixing> = fixings.iter().map(|f| book.fixing(*f)).collect();
            words::tighten_step_words(book, &all, holes.len())
        }
    };
    draft.fixings = fixings;
    Some(draft)
}
