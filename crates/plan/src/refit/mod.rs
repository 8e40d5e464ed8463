//! Refit: what goes back, planned on its own and not by reading the strip list backwards.
//!
//! * A part goes on after every part off that needed it off is on, run in and tight, and after every condition that
//!   needed it off is undone; its openings are uncapped just before. Where several parts cover one opening, it is
//!   uncapped for the first that goes on.
//! * A fixing is run in, through one access at a time, after its part is in place.
//! * A group (see [`crate::joints`]) is tightened after *all* fixings of the part are run in: stage by stage round the
//!   pattern, then the closing pass at the last torque for the fixings that have one. A change of station within the
//!   pattern starts a new step.
//! * A condition is undone after all work on the parts and the undoing of the conditions that needed it; a drain that came off
//!   for it is tight before. Safety
//!   conditions are undone last, except for what must follow them.
//! * Waits count from setting the part in place (they hold back its tightening) or from the last step on the part
//!   (filling; the parts that it needed off). A fill that has to come before the part is not held back.

use std::collections::BTreeMap;

use model::plan::StepKind;
use model::{
    Act, Book, ConditionId, ConditionKind, FastenerKind, FixingId, HoldsBack, Need, PartId, PartKind,
    StageTarget, StationId,
};

use crate::job::{DutyRun, SequenceJob, SequenceJobLag, StepDraft};
use crate::joints::{ScopeIndex, ScopeJointGroup};
use crate::node_order::NodeLag;
use crate::scope::PlanScope;
use crate::strip::{cap_draft, choose_first_node, part_station, uncovered_openings};
use crate::way_in::needs_of;
use crate::words;

/// The nodes of one part.
#[derive(Default)]
struct PartRefitNodes {
    place: usize,
    run_in: Vec<usize>,
    tighten: Vec<usize>,
}

impl PartRefitNodes {
    fn all_nodes(&self) -> Vec<usize> {
        [&[self.place][..], &self.run_in, &self.tighten].concat()
    }
}

struct RefitNodes {
    parts: BTreeMap<PartId, PartRefitNodes>,
    undone: BTreeMap<ConditionId, usize>,
}

/// The refit job of a scope.
#[must_use]
pub fn refit_job(book: &Book, scope: &PlanScope, index: &ScopeIndex) -> SequenceJob {
    let mut job = SequenceJob::default();
    let mut nodes = RefitNodes { parts: BTreeMap::new(), undone: BTreeMap::new() };
    for (part, way) in &scope.parts {
        nodes.parts.insert(*part, add_part_nodes(book, scope, index, (*part, *way), &mut job));
    }
    for condition in &scope.conditions {
        nodes.undone.insert(*condition, job.add_node(vec![restore_draft(book, *condition)]));
    }
    add_refit_precedence(book, scope, &nodes, &mut job);
    uncap_openings(book, scope, &nodes, &mut job);
    add_refit_waits(book, scope, &nodes, &mut job);
    put_safety_last(book, &nodes, &mut job);
    without_idle(book, &nodes, job)
}

fn add_part_nodes(
    book: &Book,
    scope: &PlanScope,
    index: &ScopeIndex,
    part: (PartId, Option<u16>),
    job: &mut SequenceJob,
) -> PartRefitNodes {
    let (id, way) = part;
    let mut own =
        PartRefitNodes { place: job.add_node(vec![place_draft(book, id, way)]), ..PartRefitNodes::default() };
    for fixing in book.fixings_of(id) {
        for access in index.accesses_in_use(fixing) {
            own.run_in.extend(
                run_in_draft(book, scope, index, (fixing, access), way).map(|d| job.add_node(vec![d])),
            );
        }
    }
    for group in index.groups().iter().filter(|g| g.part == id) {
        let steps = tightening_nodes(book, index, group, way);
        own.tighten.extend(steps.into_iter().map(|s| job.add_node(s)));
    }
    job.add_precedence(&[own.place], &own.run_in);
    job.add_precedence(&[own.place], &own.tighten);
    job.add_precedence(&own.run_in, &own.tighten);
    own
}

fn place_draft(book: &Book, id: PartId, way: Option<u16>) -> StepDraft {
    let part = book.part(id);
    let has_tab_plates = book.fixings_of(id).any(|own| book.fixing(own).kind == FastenerKind::TabPlate);
    let mut draft = StepDraft::new(
        StepKind::Refit,
        part_station(book, id, way),
        words::refit_words(part, has_tab_plates),
    );
    draft.part = Some(id);
    draft.fixed_s = part.place_s();
    draft.helper = part.helper;
    draft.cautions.clone_from(&part.refit_cautions);
    draft
}

fn run_in_draft(
    book: &Book,
    scope: &PlanScope,
    index: &ScopeIndex,
    (fixing, access): (FixingId, u16),
    way: Option<u16>,
) -> Option<StepDraft> {
    let duty = index.duty_position(fixing, access, Act::RunIn, None)?;
    let holes = scope.duties[duty].holes.clone();
    let it = book.fixing(fixing);
    let mut draft = StepDraft::new(
        StepKind::RunIn,
        index.access_station(book, fixing, access, way),
        words::run_in_words(book.part(it.part), it, holes.len()),
    );
    draft.part = Some(it.part);
    draft.fixings = vec![fixing];
    draft.runs = vec![DutyRun { duty, holes, figure: None }];
    Some(draft)
}

/// One hole's turn in the tightening of a group.
struct HoleTurn {
    station: StationId,
    fixing: FixingId,
    hole: u16,
    duty: usize,
    figure: String,
}

/// The nodes of a group's tightening, each a list of steps.
fn tightening_nodes(
    book: &Book,
    index: &ScopeIndex,
    group: &ScopeJointGroup,
    way: Option<u16>,
) -> Vec<Vec<StepDraft>> {
    let turns = hole_turns(book, index, group, way);
    let mut stations: Vec<StationId> = turns.iter().map(|t| t.station).collect();
    stations.sort_unstable();
    stations.dedup();
    if !group.by_station {
        stations.truncate(1);
        return stations
            .iter()
            .map(|_| tightening_steps(book, group.part, &turns.iter().collect::<Vec<_>>()))
            .collect();
    }
    let at = |s: &StationId| turns.iter().filter(|t| t.station == *s).collect::<Vec<_>>();
    stations.iter().map(|s| tightening_steps(book, group.part, &at(s))).collect()
}

fn hole_turns(book: &Book, index: &ScopeIndex, group: &ScopeJointGroup, way: Option<u16>) -> Vec<HoleTurn> {
    let stages = |f: FixingId| &book.fixing(f).tightening.stages;
    let passes = group.fixings.iter().map(|f| stages(*f).len()).max().unwrap_or(0);
    let mut turns = Vec::new();
    let mut turn = |(fixing, hole): (FixingId, u16), stage: usize| {
        let access = index.access_of_hole(fixing, hole)?;
        let duty = index.duty_position(fixing, access, Act::Tighten, Some(stage as u8))?;
        let station = index.access_station(book, fixing, access, way);
        let figure = stages(fixing).get(stage)?.as_written.clone();
        turns.push(HoleTurn { station, fixing, hole, duty, figure });
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
fn tightening_steps(book: &Book, part: PartId, turns: &[&HoleTurn]) -> Vec<StepDraft> {
    turns.chunk_by(|a, b| a.station == b.station).map(|turns| tightening_step(book, part, turns)).collect()
}

fn tightening_step(book: &Book, part: PartId, turns: &[&HoleTurn]) -> StepDraft {
    let mut fixings: Vec<FixingId> = turns.iter().map(|t| t.fixing).collect();
    fixings.sort_unstable();
    fixings.dedup();
    let mut holes: Vec<(FixingId, u16)> = turns.iter().map(|t| (t.fixing, t.hole)).collect();
    holes.sort_unstable();
    holes.dedup();
    let named: Vec<&model::Fixing> = fixings.iter().map(|f| book.fixing(*f)).collect();
    let text = words::tighten_step_words(book, &named, holes.len());
    let mut draft = StepDraft::new(StepKind::Tighten, turns[0].station, text);
    draft.part = Some(part);
    draft.fixings = fixings;
    let runs = turns.chunk_by(|a, b| a.duty == b.duty);
    let run = |turns: &[&HoleTurn]| DutyRun {
        duty: turns[0].duty,
        holes: turns.iter().map(|t| t.hole).collect(),
        figure: Some(turns[0].figure.clone()),
    };
    draft.runs = runs.map(run).collect();
    draft
}

/// The undoing of a condition; without words where there is nothing to undo.
fn restore_draft(book: &Book, id: ConditionId) -> StepDraft {
    let condition = book.condition(id);
    let kind = if condition.kind == ConditionKind::Drained { StepKind::Fill } else { StepKind::Restore };
    let mut draft =
        StepDraft::new(kind, condition.undoing_station(), condition.restore.clone().unwrap_or_default());
    draft.condition = Some(id);
    draft.fixed_s = condition.restore_time.as_s();
    draft
}

fn add_refit_precedence(book: &Book, scope: &PlanScope, nodes: &RefitNodes, job: &mut SequenceJob) {
    for (part, way) in &scope.parts {
        let own = nodes.parts[part].all_nodes();
        for need in needs_of(book, *part, *way) {
            job.add_precedence(&own, node_ending_need(nodes, need).as_slice());
        }
    }
    for condition in &scope.conditions {
        for need in &book.condition(*condition).needs {
            match need {
                Need::Off(part) if closes_drain(book, *condition, *part) => {
                    let closing = nodes.parts.get(part).map_or_else(Vec::new, PartRefitNodes::all_nodes);
                    job.add_precedence(&closing, &[nodes.undone[condition]]);
                }
                Need::Off(_) | Need::Condition(_) => {
                    job.add_precedence(&[nodes.undone[condition]], node_ending_need(nodes, *need).as_slice());
                }
            }
        }
    }
}

/// Whether a part closes what was drained: a drain that came off for it, tight before anything is filled (common practice).
fn closes_drain(book: &Book, condition: ConditionId, part: PartId) -> bool {
    book.condition(condition).kind == ConditionKind::Drained && book.part(part).kind == Some(PartKind::Drain)
}

/// What ends a need at refit: the part goes on, the condition is undone.
fn node_ending_need(nodes: &RefitNodes, need: Need) -> Option<usize> {
    match need {
        Need::Off(part) => nodes.parts.get(&part).map(|own| own.place),
        Need::Condition(condition) => nodes.undone.get(&condition).copied(),
    }
}

fn uncap_openings(book: &Book, scope: &PlanScope, nodes: &RefitNodes, job: &mut SequenceJob) {
    for (opening, parts) in uncovered_openings(book, scope) {
        let on: Vec<usize> = parts.iter().map(|p| nodes.parts[p].place).collect();
        let first = choose_first_node(job, &on);
        let Some(draft) = cap_draft(book, opening, StepKind::Uncap) else { continue };
        let station = job.nodes[on[first]][0].station;
        job.nodes[on[first]].insert(0, StepDraft { part: Some(parts[first]), station, ..draft });
    }
}

fn add_refit_waits(book: &Book, scope: &PlanScope, nodes: &RefitNodes, job: &mut SequenceJob) {
    for (part, way) in &scope.parts {
        let own = &nodes.parts[part];
        for wait in &book.part(*part).refit_waits {
            let (from, to) = match wait.holds_back {
                HoldsBack::Tightening => (vec![own.place], own.tighten.clone()),
                HoldsBack::NextPart => {
                    let needs = needs_of(book, *part, *way).filter(|n| matches!(n, Need::Off(_)));
                    (own.all_nodes(), needs.filter_map(|n| node_ending_need(nodes, n)).collect())
                }
                HoldsBack::Filling => (own.all_nodes(), fills_behind(book, nodes, own.place, job)),
            };
            job.add_precedence(&from, &to);
            let lag = NodeLag { from, to, wait_s: wait.time.as_s() };
            job.lags.push(SequenceJobLag { lag, title: wait.title.clone(), condition: None });
        }
    }
}

/// The fills that do not have to come before a part.
fn fills_behind(book: &Book, nodes: &RefitNodes, place: usize, job: &SequenceJob) -> Vec<usize> {
    let fills = nodes.undone.iter().filter(|(c, _)| book.condition(**c).kind == ConditionKind::Drained);
    let may_wait = |node: &usize| !job.nodes_behind(*node)[place];
    fills.map(|(_, node)| *node).filter(may_wait).collect()
}

/// Puts the undoing of safety states behind all that does not have to follow it.
fn put_safety_last(book: &Book, nodes: &RefitNodes, job: &mut SequenceJob) {
    for (_, node) in nodes.undone.iter().filter(|(c, _)| book.condition(**c).safety) {
        let behind = job.nodes_behind(*node);
        let earlier: Vec<usize> = (0..job.nodes.len()).filter(|n| n != node && !behind[*n]).collect();
        let earlier: Vec<usize> =
            earlier.into_iter().filter(|n| !nodes.undone.values().any(|u| u == n)).collect();
        job.add_precedence(&earlier, &[*node]);
    }
}

/// Takes out the conditions with nothing to undo; what went before them goes before what followed them.
fn without_idle(book: &Book, nodes: &RefitNodes, job: SequenceJob) -> SequenceJob {
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
        let lag = NodeLag { from: all(&l.lag.from), to: all(&l.lag.to), wait_s: l.lag.wait_s };
        SequenceJobLag { lag, ..l }
    });
    let pairs = pairs.into_iter().filter_map(|(a, b)| Some((renumbered(a)?, renumbered(b)?)));
    let (pairs, lags) = (pairs.collect(), lags.collect());
    let mut steps = job.nodes;
    let nodes = kept.iter().map(|n| core::mem::take(&mut steps[*n])).collect();
    SequenceJob { nodes, pairs, lags }
}
