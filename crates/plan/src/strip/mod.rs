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
use model::{Act, Book, ConditionId, ConditionKind, FixingId, Need, OpeningId, PartId, rules};

use crate::job::{Draft, Job, JobLag, Run};
use crate::joints::Index;
use crate::order::Lag;
use crate::scope::Scope;
use crate::way_in::needs_of;
use crate::words;

/// The nodes of parts and conditions.
struct Nodes {
    off: BTreeMap<PartId, usize>,
    undo: BTreeMap<PartId, Vec<usize>>,
    made: BTreeMap<ConditionId, usize>,
}

impl Nodes {
    /// What has to be done for a need to hold, if it is in the scope.
    fn of(&self, need: Need) -> Option<usize> {
        match need {
            Need::Off(part) => self.off.get(&part).copied(),
            Need::Condition(condition) => self.made.get(&condition).copied(),
        }
    }
}

/// The strip job of a scope.
#[must_use]
pub fn job(book: &Book, scope: &Scope, index: &Index) -> Job {
    let mut job = Job::default();
    let nodes = nodes(book, scope, index, &mut job);
    precede(book, scope, &nodes, &mut job);
    hold_up(book, scope, &nodes, &mut job);
    cap(book, scope, &nodes, &mut job);
    job
}

fn nodes(book: &Book, scope: &Scope, index: &Index, job: &mut Job) -> Nodes {
    let mut nodes = Nodes { off: BTreeMap::new(), undo: BTreeMap::new(), made: BTreeMap::new() };
    for condition in &scope.conditions {
        nodes.made.insert(*condition, job.add(vec![establish(book, *condition)]));
    }
    for (part, way) in &scope.parts {
        let undo = undo_nodes(book, scope, index, *part, *way, job);
        let off = job.add(vec![remove(book, *part, *way)]);
        job.before(&undo, &[off]);
        nodes.undo.insert(*part, undo);
        nodes.off.insert(*part, off);
    }
    nodes
}

fn establish(book: &Book, id: ConditionId) -> Draft {
    let condition = book.condition(id);
    let kind = if condition.kind == ConditionKind::Drained { StepKind::Drain } else { StepKind::Open };
    let mut draft = Draft::new(kind, condition.station, condition.establish.clone());
    draft.condition = Some(id);
    draft.fixed_s = condition.establish_time.as_s();
    draft.cautions.clone_from(&condition.cautions);
    draft
}

fn undo_nodes(
    book: &Book,
    scope: &Scope,
    index: &Index,
    part: PartId,
    way: Option<u16>,
    job: &mut Job,
) -> Vec<usize> {
    let mut nodes = Vec::new();
    for fixing in book.fixings_of(part) {
        for access in index.accesses(fixing) {
            let station = index.station(book, fixing, access, way);
            let mut draft = Draft::new(StepKind::Undo, station, String::new());
            draft.part = Some(part);
            draft.fixings = vec![fixing];
            draft.runs = undo_runs(book, scope, index, fixing, access);
            let count = draft.runs.first().map_or(0, |r| r.holes.len());
            draft.text = words::undo(book.fixing(fixing), count);
            nodes.push(job.add(vec![draft]));
        }
    }
    nodes
}

fn undo_runs(book: &Book, scope: &Scope, index: &Index, fixing: FixingId, access: u16) -> Vec<Run> {
    let group = index.group(fixing);
    let here = |hole: &u16| index.access(fixing, *hole) == Some(access);
    let holes = group.holes.iter().rev().filter(|(f, _)| *f == fixing).map(|(_, h)| *h);
    let holes: Vec<u16> = holes.filter(here).collect();
    let acts = [Act::Free, Act::RunOut].into_iter();
    let duties = acts.filter_map(|act| index.duty(fixing, access, act, None));
    debug_assert!(duties.clone().all(|d| scope.duties[d].holes.len() == holes.len()), "{}", book.key);
    duties.map(|duty| Run { duty, holes: holes.clone(), figure: None }).collect()
}

fn remove(book: &Book, id: PartId, way: Option<u16>) -> Draft {
    let part = book.part(id);
    let mut draft = Draft::new(StepKind::Remove, station_of(book, id, way), words::remove(part));
    draft.part = Some(id);
    draft.fixed_s = part.lift_time.as_s();
    draft.helper = part.helper;
    draft
}

/// Working position of a part on the way taken.
pub(crate) fn station_of(book: &Book, id: PartId, way: Option<u16>) -> model::StationId {
    let part = book.part(id);
    let of_way = way.and_then(|w| part.ways.get(usize::from(w))).and_then(|w| w.station);
    of_way.unwrap_or(part.station)
}

fn precede(book: &Book, scope: &Scope, nodes: &Nodes, job: &mut Job) {
    for (part, way) in &scope.parts {
        for need in needs_of(book, *part, *way).filter_map(|n| nodes.of(n)) {
            job.before(&[need], &nodes.undo[part]);
            job.before(&[need], &[nodes.off[part]]);
        }
    }
    for condition in &scope.conditions {
        for need in book.condition(*condition).needs.iter().filter_map(|n| nodes.of(*n)) {
            job.before(&[need], &[nodes.made[condition]]);
        }
    }
}

fn hold_up(book: &Book, scope: &Scope, nodes: &Nodes, job: &mut Job) {
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
        let lag = Lag { from: vec![nodes.made[id]], to, wait_s: condition.hold_up.as_s() };
        job.lags.push(JobLag { lag, title: condition.title.clone(), condition: Some(*id) });
    }
}

/// Caps each opening right behind the part that is the first to uncover it.
fn cap(book: &Book, scope: &Scope, nodes: &Nodes, job: &mut Job) {
    for (opening, parts) in uncovered(book, scope) {
        let off: Vec<usize> = parts.iter().map(|p| nodes.off[p]).collect();
        let first = goes_first(job, &off);
        let part = parts[first];
        let (Some(draft), node) = (cap_draft(book, opening, StepKind::Cap), off[first]) else { continue };
        let station = job.nodes[node][0].station;
        job.nodes[node].push(Draft { part: Some(part), station, ..draft });
    }
}

/// The position of a node that no other of them has to precede, which from now on goes first.
pub(crate) fn goes_first(job: &mut Job, nodes: &[usize]) -> usize {
    if nodes.len() < 2 {
        return 0;
    }
    let late = nodes.iter().map(|n| job.behind(*n));
    let late: Vec<Vec<bool>> = late.collect();
    let is_first = |n: &usize| !late.iter().any(|behind| behind[*n]);
    let first = nodes.iter().position(is_first).unwrap_or(0);
    let others: Vec<usize> = nodes.iter().copied().filter(|n| *n != nodes[first]).collect();
    job.before(&[nodes[first]], &others);
    first
}

/// Openings that can be capped, each with the parts of the scope that uncover it.
pub(crate) fn uncovered(book: &Book, scope: &Scope) -> BTreeMap<OpeningId, Vec<PartId>> {
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
pub(crate) fn cap_draft(book: &Book, id: OpeningId, kind: StepKind) -> Option<Draft> {
    let opening = book.opening(id);
    let text = words::cap(opening, kind)?;
    let mut draft = Draft::new(kind, model::StationId::new(0), text);
    draft.opening = Some(id);
    draft.fixed_s = rules::CAP_S * f64::from(opening.count);
    Some(draft)
}
