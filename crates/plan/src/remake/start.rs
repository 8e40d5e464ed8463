//! Where the rest begins: the mechanic's place and hand as a node before all others, waits that have begun, the old order.

use std::collections::BTreeMap;

use model::plan::{Step, StepKind, StepSequence};
use model::progress::Progress;
use model::{Book, ConditionId, FixingId};

use crate::job::{SequenceJob, SequenceJobLag, StepDraft};
use crate::node_order::{
    EMPTY_HAND, NodeLag, NodeOrderAnswer, NodeOrderProblem, PrecedenceCircle, StackChoice, WorkNode,
};
use crate::scope::PlanScope;
use crate::steps::MechanicPosition;

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

/// The problem with a node before all others that leaves the mechanic at his place with what he has in hand; waits that have begun
/// count from it, less the time that passes before this sequence.
pub(super) fn with_start_node(
    problem: NodeOrderProblem,
    job: &SequenceJob,
    here: &MechanicPosition,
    gone_s: f64,
) -> Result<NodeOrderProblem, PrecedenceCircle> {
    let NodeOrderProblem { mut nodes, after, enter_s, mut stacks, .. } = problem;
    let count = nodes.len();
    let station = here.station.index() as u16;
    let hand = stacks.intern_pieces(here.hand.clone());
    let choice = StackChoice { first: EMPTY_HAND, last: hand, inside_s: 0.0, workings: Vec::new() };
    nodes.push(WorkNode { station, leaves: station, part: None, fixed_s: 0.0, choices: vec![choice] });
    let mut pairs: Vec<(usize, usize)> = (0..count).map(|n| (count, n)).collect();
    pairs.extend(after.iter().enumerate().flat_map(|(a, list)| list.iter().map(move |b| (a, *b))));
    let lag = |lag: &SequenceJobLag| {
        let lag = lag.lag.clone();
        if lag.from.is_empty() {
            return NodeLag { from: vec![count], wait_s: lag.wait_s - gone_s, ..lag };
        }
        lag
    };
    NodeOrderProblem::new(nodes, &pairs, job.lags.iter().map(lag).collect(), enter_s, stacks)
}

/// Takes the node of [`begin`] out of a solution, and what it cost to reach it.
pub(super) fn remove_start_node(solved: &mut NodeOrderAnswer, node: usize, enter_s: f64) {
    solved.order.retain(|n| *n != node);
    solved.choices.truncate(node);
    solved.outcome.value -= enter_s;
    solved.outcome.bound = (solved.outcome.bound - enter_s).max(0.0);
}

/// What identifies a step of the old plan: kind, part, fixings, condition, task, extra step, station, first duty.
pub(crate) type StepIdentity<'a> = (
    StepKind,
    Option<&'a str>,
    Vec<&'a str>,
    Option<&'a str>,
    Option<&'a str>,
    Option<&'a str>,
    &'a str,
    Option<usize>,
);

/// The nodes as the old plan had them, the node of [`begin`] first; new nodes go as early as they may, just before what follows them.
pub(super) fn old_order(
    book: &Book,
    problem: &NodeOrderProblem,
    job: &SequenceJob,
    old: &StepSequence,
) -> Vec<usize> {
    let mut places: BTreeMap<StepIdentity, usize> = BTreeMap::new();
    for (at, step) in old.steps.iter().enumerate() {
        places.entry(identity_of_step(step)).or_insert(at);
    }
    let count = job.nodes.len();
    let place =
        |steps: &Vec<StepDraft>| steps.iter().find_map(|d| places.get(&identity_of_draft(book, d))).copied();
    let mut wanted: Vec<Option<usize>> = job.nodes.iter().map(place).collect();
    wanted.push(Some(0));
    // A node that the old plan did not have goes where the first that waits for it went.
    for node in 0..count {
        if wanted[node].is_none() {
            let later = (0..count).filter(|n| problem.precedes(node, *n)).filter_map(|n| wanted[n]);
            wanted[node] = Some(later.min().unwrap_or(0));
        }
    }
    let mut waits: Vec<usize> = problem.before.iter().map(Vec::len).collect();
    let mut order = Vec::with_capacity(count + 1);
    let mut ready: Vec<usize> = (0..=count).filter(|n| waits[*n] == 0).collect();
    while let Some(at) = (0..ready.len()).min_by_key(|at| (wanted[ready[*at]], ready[*at])) {
        let node = ready.swap_remove(at);
        order.push(node);
        for next in &problem.after[node] {
            waits[*next] -= 1;
            if waits[*next] == 0 {
                ready.push(*next);
            }
        }
    }
    order
}

/// Steps with their names and numbers, in order.
pub(crate) fn named_steps<'a>(steps: &[&'a Step]) -> Vec<(StepIdentity<'a>, u32)> {
    steps.iter().map(|s| (identity_of_step(s), s.number)).collect()
}

fn identity_of_step(step: &Step) -> StepIdentity<'_> {
    (
        step.kind,
        step.part.as_deref(),
        step.fixings.iter().map(String::as_str).collect(),
        step.condition.as_deref(),
        step.task.as_deref(),
        step.extra.as_deref(),
        &step.station,
        step.actions.first().map(|a| a.duty),
    )
}

pub(crate) fn identity_of_draft<'a>(book: &'a Book, draft: &'a StepDraft) -> StepIdentity<'a> {
    let key = |f: &FixingId| book.fixing(*f).key.as_str();
    let mut fixings: Vec<&str> = draft.fixings.iter().map(key).collect();
    fixings.sort_unstable();
    (
        draft.kind,
        draft.part.map(|p| book.part(p).key.as_str()),
        fixings,
        draft.condition.map(|c| book.condition(c).key.as_str()),
        draft.task.map(|t| book.task(t).key.as_str()),
        draft.extra.as_deref(),
        &book.station(draft.station).key,
        draft.runs.first().map(|r| r.duty),
    )
}
