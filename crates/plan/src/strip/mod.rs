//! Strip: what is made, undone, lifted off and capped on the way in, and what goes before what.
//!
//! * A condition is made after what it needs.
//! * A fixing is undone, through one access at a time, after what its part needs (its own needs and its way's).
//! * A part is lifted off after all its fixings; the openings that it uncovers are capped at once. Where several parts
//!   uncover one opening, the one that caps it comes off first.
//! * What needs a condition with a hold-up waits until it holds; other work goes on meanwhile.
//!
//! Holes are freed in the order of release: the tightening pattern backwards.

use std::collections::BTreeMap;

use model::plan::StepKind;
use model::{Act, Book, ConditionId, ConditionKind, FixingId, Need, OpeningId, PartId};

use crate::job::{DutyRun, SequenceJob, SequenceJobLag, StepDraft};
use crate::joints::ScopeIndex;
use crate::node_order::NodeLag;
use crate::scope::PlanScope;
use crate::way_in::needs_of;
use crate::words;

/// The nodes of parts and conditions.
struct StripNodes {
    off: BTreeMap<PartId, usize>,
    undo: BTreeMap<PartId, Vec<usize>>,
    made: BTreeMap<ConditionId, usize>,
}

impl StripNodes {
    /// What has to be done for a need to hold, if it is in the scope.
    fn node_for_need(&self, need: Need) -> Option<usize> {
        match need {
            Need::Off(part) => self.off.get(&part).copied(),
            Need::Condition(condition) => self.made.get(&condition).copied(),
        }
    }
}

/// The strip job of a scope.
#[must_use]
pub fn strip_job(book: &Book, scope: &PlanScope, index: &ScopeIndex) -> SequenceJob {
    let mut job = SequenceJob::default();
    let nodes = add_strip_nodes(book, scope, index, &mut job);
    add_strip_precedence(book, scope, &nodes, &mut job);
    add_hold_up_lags(book, scope, &nodes, &mut job);
    cap_openings(book, scope, &nodes, &mut job);
    job
}

fn add_strip_nodes(book: &Book, scope: &PlanScope, index: &ScopeIndex, job: &mut SequenceJob) -> StripNodes {
    let mut nodes = StripNodes { off: BTreeMap::new(), undo: BTreeMap::new(), made: BTreeMap::new() };
    for condition in &scope.conditions {
        nodes.made.insert(*condition, job.add_node(vec![establish_draft(book, *condition)]));
    }
    for (part, way) in &scope.parts {
        let undo = undo_nodes(book, scope, index, *part, *way, job);
        let off = job.add_node(vec![remove_draft(book, *part, *way)]);
        job.add_precedence(&undo, &[off]);
        nodes.undo.insert(*part, undo);
        nodes.off.insert(*part, off);
    }
    nodes
}

fn establish_draft(book: &Book, id: ConditionId) -> StepDraft {
    let condition = book.condition(id);
    let kind = if condition.kind == ConditionKind::Drained { StepKind::Drain } else { StepKind::Open };
    let mut draft = StepDraft::new(kind, condition.station, condition.establish.clone());
    draft.condition = Some(id);
    draft.fixed_s = condition.establish_time.as_s();
    draft.cautions.clone_from(&condition.cautions);
    draft
}

fn undo_nodes(
    book: &Book,
    scope: &PlanScope,
    index: &ScopeIndex,
    part: PartId,
    way: Option<u16>,
    job: &mut SequenceJob,
) -> Vec<usize> {
    let mut nodes = Vec::new();
    for fixing in book.fixings_of(part) {
        for access in index.accesses_in_use(fixing) {
            let station = index.access_station(book, fixing, access, way);
            let mut draft = StepDraft::new(StepKind::Undo, station, String::new());
            draft.part = Some(part);
            draft.fixings = vec![fixing];
            draft.runs = undo_runs(book, scope, index, fixing, access);
            let count = draft.runs.first().map_or(0, |r| r.holes.len());
            draft.text = words::undo_words(book.fixing(fixing), count);
            nodes.push(job.add_node(vec![draft]));
        }
    }
    nodes
}

fn undo_runs(
    book: &Book,
    scope: &PlanScope,
    index: &ScopeIndex,
    fixing: FixingId,
    access: u16,
) -> Vec<DutyRun> {
    let group = index.group_of_fixing(fixing);
    let here = |hole: &u16| index.access_of_hole(fixing, *hole) == Some(access);
    let holes = group.holes.iter().rev().filter(|(f, _)| *f == fixing).map(|(_, h)| *h);
    let holes: Vec<u16> = holes.filter(here).collect();
    let acts = [Act::Free, Act::RunOut].into_iter();
    let duties = acts.filter_map(|act| index.duty_position(fixing, access, act, None));
    debug_assert!(duties.clone().all(|d| scope.duties[d].holes.len() == holes.len()), "{}", book.key);
    duties.map(|duty| DutyRun { duty, holes: holes.clone(), figure: None }).collect()
}

fn remove_draft(book: &Book, id: PartId, way: Option<u16>) -> StepDraft {
    let part = book.part(id);
    let mut draft = StepDraft::new(StepKind::Remove, part_station(book, id, way), words::remove_words(part));
    draft.part = Some(id);
    draft.fixed_s = part.lift_s();
    draft.helper = part.helper;
    draft
}

/// Working position of a part on the way taken.
pub(crate) fn part_station(book: &Book, id: PartId, way: Option<u16>) -> model::StationId {
    let part = book.part(id);
    let of_way = way.and_then(|w| part.ways.get(usize::from(w))).and_then(|w| w.station);
    of_way.unwrap_or(part.station)
}

fn add_strip_precedence(book: &Book, scope: &PlanScope, nodes: &StripNodes, job: &mut SequenceJob) {
    for (part, way) in &scope.parts {
        for need in needs_of(book, *part, *way).filter_map(|n| nodes.node_for_need(n)) {
            job.add_precedence(&[need], &nodes.undo[part]);
            job.add_precedence(&[need], &[nodes.off[part]]);
        }
    }
    for condition in &scope.conditions {
        for need in book.condition(*condition).needs.iter().filter_map(|n| nodes.node_for_need(*n)) {
            job.add_precedence(&[need], &[nodes.made[condition]]);
        }
    }
}

fn add_hold_up_lags(book: &Book, scope: &PlanScope, nodes: &StripNodes, job: &mut SequenceJob) {
    for id in scope.conditions.iter().filter(|c| book.condition(**c).hold_up.as_s() > 0.0) {
        let need = Need::Condition(*id);
        let mut to: Vec<usize> = Vec::new();
        for (part, way) in scope.parts.iter().filter(|(p, way)| needs_of(book, *p, *way).any(|n| n == need)) {
            debug_assert!(scope.way_of(*part) == Some(*way), "parts of a scope are sorted");
            to.extend(&nodes.undo[part]);
            to.push(nodes.off[part]);
        }
        let others = scope.conditions.iter().filter(|c| book.condition(**c).needs.contains(&need));
        to.extend(others.map(|c| nodes.made[c]));
        let condition = book.condition(*id);
        let lag = NodeLag { from: vec![nodes.made[id]], to, wait_s: condition.hold_up.as_s() };
        job.lags.push(SequenceJobLag { lag, title: condition.title.clone(), condition: Some(*id) });
    }
}

/// Caps each opening right behind the part that is the first to uncover it.
fn cap_openings(book: &Book, scope: &PlanScope, nodes: &StripNodes, job: &mut SequenceJob) {
    for (opening, parts) in uncovered_openings(book, scope) {
        let off: Vec<usize> = parts.iter().map(|p| nodes.off[p]).collect();
        let first = choose_first_node(job, &off);
        let part = parts[first];
        let (Some(draft), node) = (cap_draft(book, opening, StepKind::Cap), off[first]) else { continue };
        let station = job.nodes[node][0].station;
        job.nodes[node].push(StepDraft { part: Some(part), station, ..draft });
    }
}

/// Chooses a node that none of the others must precede, makes it first and returns its position.
pub(crate) fn choose_first_node(job: &mut SequenceJob, nodes: &[usize]) -> usize {
    if nodes.len() < 2 {
        return 0;
    }
    let late = nodes.iter().map(|n| job.nodes_behind(*n));
    let late: Vec<Vec<bool>> = late.collect();
    let is_first = |n: &usize| !late.iter().any(|behind| behind[*n]);
    let first = nodes.iter().position(is_first).unwrap_or(0);
    let others: Vec<usize> = nodes.iter().copied().filter(|n| *n != nodes[first]).collect();
    job.add_precedence(&[nodes[first]], &others);
    first
}

/// Openings that can be capped, each with the parts of the scope that uncover it.
pub(crate) fn uncovered_openings(book: &Book, scope: &PlanScope) -> BTreeMap<OpeningId, Vec<PartId>> {
    let mut found: BTreeMap<OpeningId, Vec<PartId>> = BTreeMap::new();
    for (part, _) in &scope.parts {
        for opening in book.part(*part).uncovers.iter().filter(|o| book.opening(**o).cap.is_some()) {
            let parts = found.entry(*opening).or_default();
            if !parts.contains(part) {
                parts.push(*part);
            }
        }
    }
    found
}

/// Capping or uncapping an opening; `None` if there is no cap for it.
pub(crate) fn cap_draft(book: &Book, id: OpeningId, kind: StepKind) -> Option<StepDraft> {
    let opening = book.opening(id);
    let text = words::cap_words(opening, kind)?;
    let mut draft = StepDraft::new(kind, model::StationId::new(0), text);
    draft.opening = Some(id);
    draft.fixed_s = times::CAP_S * f64::from(opening.count);
    Some(draft)
}
