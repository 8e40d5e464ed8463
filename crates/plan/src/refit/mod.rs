//! Refit: what goes back, planned on its own and not by reading the strip list backwards.
//!
//! * A part goes on after every part off that needed it off is on, run in and tight, and after every condition that
//!   needed it off is undone; its openings are uncapped just before. Where several parts cover one opening, it is
//!   uncapped for the first that goes on.
//! * A fixing is run in, through one access at a time, after its part is in place.
//! * A group (see [`crate::joints`]) is tightened after *all* fixings of the part are run in: stage by stage round the
//!   pattern, then the closing pass at the last torque for the fixings that want one. A change of station within the
//!   pattern starts a new step.
//! * A condition is undone after all work on the parts and the undoing of the conditions that needed it. Safety states are
//!   undone last of all, but for what has to follow them.
//! * Waits count from setting the part in place (they hold back its tightening) or from the last step on the part
//!   (filling; the parts that it needed off). A fill that has to come before the part is not held back.

use std::collections::BTreeMap;

use model::plan::StepKind;
use model::{
    Act, Book, ConditionId, ConditionKind, FixingId, HoldsBack, Need, PartId, StageTarget, StationId,
};

use crate::job::{Draft, Job, JobLag, Run};
use crate::joints::{Group, Index};
use crate::order::Lag;
use crate::scope::Scope;
use crate::strip::{cap_draft, goes_first, station_of, uncovered};
use crate::way_in::needs_of;
use crate::words;

/// The nodes of one part.
#[derive(Default)]
struct Own {
    place: usize,
    run_in: Vec<usize>,
    tighten: Vec<usize>,
}

impl Own {
    fn all(&self) -> Vec<usize> {
        [&[self.place][..], &self.run_in, &self.tighten].concat()
    }
}

struct Nodes {
    parts: BTreeMap<PartId, Own>,
    undone: BTreeMap<ConditionId, usize>,
}

/// The refit job of a scope.
#[must_use]
pub fn job(book: &Book, scope: &Scope, index: &Index) -> Job {
    let mut job = Job::default();
    let mut nodes = Nodes { parts: BTreeMap::new(), undone: BTreeMap::new() };
    for (part, way) in &scope.parts {
        nodes.parts.insert(*part, own(book, scope, index, (*part, *way), &mut job));
    }
    for condition in &scope.conditions {
        nodes.undone.insert(*condition, job.add(vec![restore(book, *condition)]));
    }
    precede(book, scope, &nodes, &mut job);
    uncap(book, scope, &nodes, &mut job);
    wait(book, scope, &nodes, &mut job);
    safety_last(book, &nodes, &mut job);
    without_idle(book, &nodes, job)
}

fn own(book: &Book, scope: &Scope, index: &Index, part: (PartId, Option<u16>), job: &mut Job) -> Own {
    let (id, way) = part;
    let mut own = Own { place: job.add(vec![place(book, id, way)]), ..Own::default() };
    for fixing in book.fixings_of(id) {
        for access in index.accesses(fixing) {
            own.run_in.extend(run_in(book, scope, index, (fixing, access), way).map(|d| job.add(vec![d])));
        }
    }
    for group in index.groups().iter().filter(|g| g.part == id) {
        let steps = tighten(book, index, group, way);
        own.tighten.extend(steps.into_iter().map(|s| job.add(s)));
    }
    job.before(&[own.place], &own.run_in);
    job.before(&[own.place], &own.tighten);
    job.before(&own.run_in, &own.tighten);
    own
}

fn place(book: &Book, id: PartId, way: Option<u16>) -> Draft {
    let part = book.part(id);
    let mut draft = Draft::new(StepKind::Refit, station_of(book, id, way), words::refit(part));
    draft.part = Some(id);
    draft.fixed_s = part.place_time.as_s();
    draft.helper = part.helper;
    draft
}

fn run_in(
    book: &Book,
    scope: &Scope,
    index: &Index,
    (fixing, access): (FixingId, u16),
    way: Option<u16>,
) -> Option<Draft> {
    let duty = index.duty(fixing, access, Act::RunIn, None)?;
    let holes = scope.duties[duty].holes.clone();
    let it = book.fixing(fixing);
    let mut draft =
        Draft::new(StepKind::RunIn, index.station(book, fixing, access, way), words::run_in(it, holes.len()));
    draft.part = Some(it.part);
    draft.fixings = vec![fixing];
    draft.runs = vec![Run { duty, holes, figure: None }];
    Some(draft)
}

/// One hole's turn in the tightening of a group.
struct Turn {
    station: StationId,
    fixing: FixingId,
    hole: u16,
    duty: usize,
    figure: String,
}

/// The nodes of a group's tightening, each a list of steps.
fn tighten(book: &Book, index: &Index, group: &Group, way: Option<u16>) -> Vec<Vec<Draft>> {
    let turns = turns(book, index, group, way);
    let mut stations: Vec<StationId> = turns.iter().map(|t| t.station).collect();
    stations.sort_unstable();
    stations.dedup();
    if !group.by_station {
        stations.truncate(1);
        return stations.iter().map(|_| steps(book, group.part, &turns.iter().collect::<Vec<_>>())).collect();
    }
    let at = |s: &StationId| turns.iter().filter(|t| t.station == *s).collect::<Vec<_>>();
    stations.iter().map(|s| steps(book, group.part, &at(s))).collect()
}

fn turns(book: &Book, index: &Index, group: &Group, way: Option<u16>) -> Vec<Turn> {
    let stages = |f: FixingId| &book.fixing(f).tightening.stages;
    let passes = group.fixings.iter().map(|f| stages(*f).len()).max().unwrap_or(0);
    let mut turns = Vec::new();
    let mut turn = |(fixing, hole): (FixingId, u16), stage: usize| {
        let access = index.access(fixing, hole)?;
        let duty = index.duty(fixing, access, Act::Tighten, Some(stage as u8))?;
        let station = index.station(book, fixing, access, way);
        let figure = stages(fixing).get(stage)?.as_written.clone();
        turns.push(Turn { station, fixing, hole, duty, figure });
        Some(())
    };
    for stage in 0..passes {
        group.holes.iter().for_each(|hole| _ = turn(*hole, stage));
    }
    for hole in group.holes.iter().filter(|(f, _)| book.fixing(*f).tightening.closing_pass) {
        let is_torque = |s: &model::Stage| matches!(s.target, StageTarget::Torque(_));
        if let Some(last) = stages(hole.0).iter().rposition(is_torque) {
            turn(*hole, last);
        }
    }
    turns
}

/// Steps of turns in order: a new step at each change of station.
fn steps(book: &Book, part: PartId, turns: &[&Turn]) -> Vec<Draft> {
    turns.chunk_by(|a, b| a.station == b.station).map(|turns| step(book, part, turns)).collect()
}

fn step(book: &Book, part: PartId, turns: &[&Turn]) -> Draft {
    let mut fixings: Vec<FixingId> = turns.iter().map(|t| t.fixing).collect();
    fixings.sort_unstable();
    fixings.dedup();
    let mut holes: Vec<(FixingId, u16)> = turns.iter().map(|t| (t.fixing, t.hole)).collect();
    holes.sort_unstable();
    holes.dedup();
    let named: Vec<&model::Fixing> = fixings.iter().map(|f| book.fixing(*f)).collect();
    let mut draft = Draft::new(StepKind::Tighten, turns[0].station, words::tighten(&named, holes.len()));
    draft.part = Some(part);
    draft.fixings = fixings;
    let runs = turns.chunk_by(|a, b| a.duty == b.duty);
    let run = |turns: &[&Turn]| Run {
        duty: turns[0].duty,
        holes: turns.iter().map(|t| t.hole).collect(),
        figure: Some(turns[0].figure.clone()),
    };
    draft.runs = runs.map(run).collect();
    draft
}

/// The undoing of a condition; without words where there is nothing to undo.
fn restore(book: &Book, id: ConditionId) -> Draft {
    let condition = book.condition(id);
    let kind = if condition.kind == ConditionKind::Drained { StepKind::Fill } else { StepKind::Restore };
    let mut draft = Draft::new(kind, condition.station, condition.restore.clone().unwrap_or_default());
    draft.condition = Some(id);
    draft.fixed_s = condition.restore_time.as_s();
    draft
}

fn precede(book: &Book, scope: &Scope, nodes: &Nodes, job: &mut Job) {
    for (part, way) in &scope.parts {
        let own = nodes.parts[part].all();
        for need in needs_of(book, *part, *way) {
            job.before(&own, node_of(nodes, need).as_slice());
        }
    }
    for condition in &scope.conditions {
        for need in &book.condition(*condition).needs {
            job.before(&[nodes.undone[condition]], node_of(nodes, *need).as_slice());
        }
    }
}

/// What ends a need at refit: the part goes on, the condition is undone.
fn node_of(nodes: &Nodes, need: Need) -> Option<usize> {
    match need {
        Need::Off(part) => nodes.parts.get(&part).map(|own| own.place),
        Need::Condition(condition) => nodes.undone.get(&condition).copied(),
    }
}

fn uncap(book: &Book, scope: &Scope, nodes: &Nodes, job: &mut Job) {
    for (opening, parts) in uncovered(book, scope) {
        let on: Vec<usize> = parts.iter().map(|p| nodes.parts[p].place).collect();
        let first = goes_first(job, &on);
        let Some(draft) = cap_draft(book, opening, StepKind::Uncap) else { continue };
        let station = job.nodes[on[first]][0].station;
        job.nodes[on[first]].insert(0, Draft { part: Some(parts[first]), station, ..draft });
    }
}

fn wait(book: &Book, scope: &Scope, nodes: &Nodes, job: &mut Job) {
    for (part, way) in &scope.parts {
        let own = &nodes.parts[part];
        for wait in &book.part(*part).refit_waits {
            let (from, to) = match wait.holds_back {
                HoldsBack::Tightening => (vec![own.place], own.tighten.clone()),
                HoldsBack::NextPart => {
                    let needs = needs_of(book, *part, *way).filter(|n| matches!(n, Need::Off(_)));
                    (own.all(), needs.filter_map(|n| node_of(nodes, n)).collect())
                }
                HoldsBack::Filling => (own.all(), fills_behind(book, nodes, own.place, job)),
            };
            job.before(&from, &to);
            let lag = Lag { from, to, wait_s: wait.time.as_s() };
            job.lags.push(JobLag { lag, title: wait.title.clone(), condition: None });
        }
    }
}

/// The fills that do not have to come before a part.
fn fills_behind(book: &Book, nodes: &Nodes, place: usize, job: &Job) -> Vec<usize> {
    let fills = nodes.undone.iter().filter(|(c, _)| book.condition(**c).kind == ConditionKind::Drained);
    let may_wait = |node: &usize| !job.behind(*node)[place];
    fills.map(|(_, node)| *node).filter(may_wait).collect()
}

/// Puts the undoing of safety states behind all that does not have to follow it.
fn safety_last(book: &Book, nodes: &Nodes, job: &mut Job) {
    for (_, node) in nodes.undone.iter().filter(|(c, _)| book.condition(**c).safety) {
        let behind = job.behind(*node);
        let earlier: Vec<usize> = (0..job.nodes.len()).filter(|n| n != node && !behind[*n]).collect();
        let earlier: Vec<usize> =
            earlier.into_iter().filter(|n| !nodes.undone.values().any(|u| u == n)).collect();
        job.before(&earlier, &[*node]);
    }
}

/// Takes out the conditions with nothing to undo; what went before them goes before what followed them.
fn without_idle(book: &Book, nodes: &Nodes, job: Job) -> Job {
    let mut pairs = job.pairs;
    let idle: Vec<usize> =
        nodes.undone.iter().filter(|(c, _)| book.condition(**c).restore.is_none()).map(|(_, n)| *n).collect();
    for node in &idle {
        let before: Vec<usize> = pairs.iter().filter(|(_, b)| b == node).map(|(a, _)| *a).collect();
        let after: Vec<usize> = pairs.iter().filter(|(a, _)| a == node).map(|(_, b)| *b).collect();
        pairs.retain(|(a, b)| a != node && b != node);
        pairs.extend(before.iter().flat_map(|a| after.iter().map(move |b| (*a, *b))));
    }
    let kept: Vec<usize> = (0..job.nodes.len()).filter(|n| !idle.contains(n)).collect();
    let renumbered = |n: usize| kept.binary_search(&n).ok();
    let all = |list: &[usize]| list.iter().filter_map(|n| renumbered(*n)).collect::<Vec<_>>();
    let lags = job.lags.into_iter().map(|l| {
        let lag = Lag { from: all(&l.lag.from), to: all(&l.lag.to), wait_s: l.lag.wait_s };
        JobLag { lag, ..l }
    });
    let pairs = pairs.into_iter().filter_map(|(a, b)| Some((renumbered(a)?, renumbered(b)?)));
    let (pairs, lags) = (pairs.collect(), lags.collect());
    let mut steps = job.nodes;
    let nodes = kept.iter().map(|n| core::mem::take(&mut steps[*n])).collect();
    Job { nodes, pairs, lags }
}
