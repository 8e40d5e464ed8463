//! The steps of strip, work and refit as the nodes of one course: a part is one unit of work.
//!
//! * A fixing that tells what its loosening asks is broken loose in a node of its own; the rest of its undoing belongs to the part.
//! * Plugs come off before anything else of their part, then what locks others; washers last. They go on the other way round.
//! * What is worked at one place for one part is one node: undone and lifted off; set in place, run in and, where nothing else has to
//!   come between, tightened. So nothing hangs half undone while the mechanic is elsewhere.
//! * Joints are tightened in the order that the book tells across fixings and parts.
//! * A task is done where its needs hold: after the strip, before any part goes on that it needs off; so also in the middle of the refit.
//! * All of the strip comes before the work and the refit.

use std::collections::BTreeSet;

use model::plan::{JobPhase, StepKind};
use model::{Act, Book, ConditionId, Need, PartId, PartStanding, WorldThing};

use super::fastener_order::{self, KindDepth, depth_of_draft};
use super::problem::sets_of_step;
use super::{tension, tighten_order, world_order};
use crate::job::{SequenceJob, SequenceJobLag, StepDraft};
use crate::joints::ScopeIndex;
use crate::node_order::NodeLag;
use crate::scope::PlanScope;
use crate::{refit, strip, work};

/// The nodes of a whole course, each with the stretch that it belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseJob {
    /// Nodes, precedence and waits; a wait without a node that it begins with counts from the start.
    pub job: SequenceJob,
    /// The stretch of each node.
    pub stretches: Vec<JobPhase>,
}

/// The jobs of strip, work and refit of a scope.
#[must_use]
pub fn jobs_of_scope(book: &Book, scope: &PlanScope, index: &ScopeIndex) -> [SequenceJob; 3] {
    let work = work::work_job(book, &scope.tasks);
    [strip::strip_job(book, scope, index), work, refit::refit_job(book, scope, index)]
}

/// The jobs of strip, work and refit as one; `holds_in_s` are conditions that were made and hold only after some seconds.
#[must_use]
pub fn course_job(
    book: &Book,
    scope: &PlanScope,
    jobs: [SequenceJob; 3],
    holds_in_s: &[(ConditionId, f64)],
) -> CourseJob {
    let mut course = join_jobs(jobs);
    split_loosening(book, scope, &mut course);
    fastener_order::order_kinds(book, &mut course.job);
    add_task_waits(book, holds_in_s, &mut course);
    tighten_order::order_tightening(book, &mut course.job);
    add_refit_order(book, &mut course);
    put_parts_before_tightening(book, scope, &mut course);
    let forced = world_order::pairs_of_needs(book, scope, &course);
    course.job.pairs.extend(forced);
    order_stretches(&mut course);
    let mut units = merge_units(book, scope, &course);
    for draft in units.job.nodes.iter_mut().flatten() {
        draft.sets = sets_of_step(book, scope, draft);
    }
    units
}

/// One after the other, nothing between them yet.
fn join_jobs(jobs: [SequenceJob; 3]) -> CourseJob {
    let mut course = CourseJob { job: SequenceJob::default(), stretches: Vec::new() };
    let phases = [JobPhase::Strip, JobPhase::Work, JobPhase::Refit];
    for (phase, part) in phases.into_iter().zip(jobs) {
        let offset = course.job.nodes.len();
        let moved = |list: Vec<usize>| list.into_iter().map(|n| n + offset).collect::<Vec<_>>();
        for steps in part.nodes {
            course.stretches.push(phase);
            course.job.nodes.push(steps);
        }
        course.job.pairs.extend(part.pairs.into_iter().map(|(a, b)| (a + offset, b + offset)));
        course.job.lags.extend(part.lags.into_iter().map(|l| SequenceJobLag {
            lag: NodeLag { from: moved(l.lag.from), to: moved(l.lag.to), wait_s: l.lag.wait_s },
            title: l.title,
            condition: l.condition,
        }));
    }
    course
}

/// Parts breaking loose from the rest of the undoing where the fixing tells what loosening asks.
fn split_loosening(book: &Book, scope: &PlanScope, course: &mut CourseJob) {
    for node in 0..course.job.nodes.len() {
        let [draft] = &course.job.nodes[node][..] else { continue };
        let told = draft.fixings.iter().any(|f| !book.fixing(*f).world.loosening.is_untold());
        if draft.kind != StepKind::Undo || !told {
            continue;
        }
        let is_free = |duty: usize| scope.duties[duty].duty.act == Act::Free;
        let (free, rest): (Vec<_>, Vec<_>) = draft.runs.iter().cloned().partition(|run| is_free(run.duty));
        if free.is_empty() || rest.is_empty() {
            continue;
        }
        let fixing = draft.fixings.first().map(|f| book.fixing(*f));
        let count = free.first().map_or(0, |run| run.holes.len());
        let text = fixing.map_or_else(String::new, |f| crate::words::break_loose_words(f, count));
        let first = StepDraft { runs: free, text, ..draft.clone() };
        let rest = StepDraft { runs: rest, ..draft.clone() };
        course.job.nodes[node] = vec![rest];
        let before = course.job.add_node(vec![first]);
        course.stretches.push(course.stretches[node]);
        let earlier: Vec<usize> =
            course.job.pairs.iter().filter(|(_, b)| *b == node).map(|(a, _)| *a).collect();
        course.job.add_precedence(&earlier, &[before]);
        course.job.add_precedence(&[before], &[node]);
    }
}

/// Whether a step breaks a fixing loose that tells what loosening asks.
pub(super) fn is_loosening_step(book: &Book, scope: &PlanScope, draft: &StepDraft) -> bool {
    draft.kind == StepKind::Undo
        && draft.fixings.iter().any(|f| !book.fixing(*f).world.loosening.is_untold())
        && draft.runs.iter().any(|run| scope.duties[run.duty].duty.act == Act::Free)
}

/// The nodes after the last of which a part is held; the last of them comes after the others.
pub(super) fn last_closing_node(job: &SequenceJob, part: PartId) -> Option<usize> {
    closing_nodes(job, part).pop()
}

/// A task waits until the conditions that it needs hold.
fn add_task_waits(book: &Book, holds_in_s: &[(ConditionId, f64)], course: &mut CourseJob) {
    let made = |course: &CourseJob, condition: ConditionId| -> Vec<usize> {
        let makes = |d: &StepDraft| {
            d.condition == Some(condition) && matches!(d.kind, StepKind::Open | StepKind::Drain)
        };
        (0..course.job.nodes.len()).filter(|n| course.job.nodes[*n].iter().any(makes)).collect()
    };
    for node in 0..course.job.nodes.len() {
        let Some(task) = course.job.nodes[node].first().and_then(|d| d.task) else { continue };
        for id in work::task_conditions(book, task) {
            let condition = book.condition(id);
            let from = made(course, id);
            let left_s = holds_in_s.iter().find(|(c, _)| *c == id).map_or(0.0, |(_, left_s)| *left_s);
            let wait_s = if from.is_empty() { left_s } else { condition.hold_up.as_s() };
            if wait_s > 0.0 {
                let lag = NodeLag { from, to: vec![node], wait_s };
                let title = condition.title.clone();
                course.job.lags.push(SequenceJobLag { lag, title, condition: Some(id) });
            }
        }
    }
}

/// What a part goes on after, and tasks that are done between the steps of the refit.
fn add_refit_order(book: &Book, course: &mut CourseJob) {
    let job = &course.job;
    let places = |part: PartId| nodes_about(job, part, &[StepKind::Refit]);
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    let mut add = |first: &[usize], then: &[usize]| {
        pairs.extend(first.iter().flat_map(|a| then.iter().map(move |b| (*a, *b))));
    };
    for part in book.part_ids() {
        for earlier in &book.part(part).world.on_after {
            add(&places(*earlier), &places(part));
        }
        let closing = closing_nodes(job, part);
        if let Some((last, others)) = closing.split_last() {
            add(others, &[*last]);
        }
    }
    for (node, steps) in job.nodes.iter().enumerate() {
        let Some(task) = steps.first().and_then(|d| d.task).map(|t| book.task(t)) else { continue };
        for need in &task.needs {
            match need {
                Need::Off(part) => add(&[node], &places(*part)),
                Need::Condition(condition) => {
                    let undoes = |d: &StepDraft| {
                        d.condition == Some(*condition)
                            && matches!(d.kind, StepKind::Fill | StepKind::Restore)
                    };
                    let undo: Vec<usize> =
                        (0..job.nodes.len()).filter(|n| job.nodes[*n].iter().any(undoes)).collect();
                    add(&[node], &undo);
                }
            }
        }
        for need in &task.world.needs {
            let WorldThing::Part(part) = need.thing else { continue };
            if need.values & PartStanding::Off.bit() == 0 {
                add(&places(part), &[node]);
            }
            if need.values == PartStanding::Held.bit() {
                add(&closing_nodes(job, part), &[node]);
            }
        }
    }
    course.job.pairs.extend(pairs);
}

/// A joint that is tightened only with another part in place waits for that part, although in the strip that part came off before.
fn put_parts_before_tightening(book: &Book, scope: &PlanScope, course: &mut CourseJob) {
    let job = &course.job;
    let mut turned: Vec<(usize, usize)> = Vec::new();
    let mut before: Vec<(usize, usize)> = Vec::new();
    for node in 0..job.nodes.len() {
        let tightens = |d: &&StepDraft| d.kind == StepKind::Tighten;
        let fixings = job.nodes[node].iter().filter(tightens).flat_map(|d| &d.fixings);
        let needs = fixings.clone().flat_map(|f| &book.fixing(*f).world.tightening.needs);
        let told = needs.filter_map(|need| match need.thing {
            WorldThing::Part(part) if need.values & PartStanding::Off.bit() == 0 => Some(part),
            WorldThing::Part(_) | WorldThing::Setting(_) => None,
        });
        let tensioned = fixings.clone().flat_map(|f| tension::belts_of_tensioner(book, scope, *f));
        for part in told.chain(tensioned) {
            let own = nodes_about(job, part, &[StepKind::Refit, StepKind::RunIn, StepKind::Tighten]);
            turned.extend(own.into_iter().map(|other| (node, other)));
            before.extend(nodes_about(job, part, &[StepKind::Refit]).into_iter().map(|on| (on, node)));
        }
    }
    course.job.pairs.retain(|pair| !turned.contains(pair));
    course.job.pairs.extend(before);
}

pub(super) fn nodes_about(job: &SequenceJob, part: PartId, kinds: &[StepKind]) -> Vec<usize> {
    let is_it = |d: &StepDraft| d.part == Some(part) && kinds.contains(&d.kind);
    (0..job.nodes.len()).filter(|n| job.nodes[*n].iter().any(is_it)).collect()
}

/// The nodes after the last of which a part is held, that one last: none of the others comes after it.
fn closing_nodes(job: &SequenceJob, part: PartId) -> Vec<usize> {
    let mut nodes = nodes_about(job, part, &[StepKind::RunIn, StepKind::Tighten]);
    if nodes.is_empty() {
        return nodes_about(job, part, &[StepKind::Refit]);
    }
    let last = nodes.iter().position(|n| {
        let behind = job.nodes_behind(*n);
        !nodes.iter().any(|other| behind[*other])
    });
    if let Some(last) = last {
        let last = nodes.remove(last);
        nodes.push(last);
    }
    nodes
}

/// The last nodes of the strip come before the first ones of all that is not strip.
fn order_stretches(course: &mut CourseJob) {
    let count = course.stretches.len();
    let is_strip = |node: usize| course.stretches[node] == JobPhase::Strip;
    let mut followed = vec![false; count];
    let mut following = vec![false; count];
    for (a, b) in course.job.pairs.iter().copied().filter(|(a, b)| is_strip(*a) == is_strip(*b)) {
        followed[a] = true;
        following[b] = true;
    }
    let last: Vec<usize> = (0..count).filter(|n| is_strip(*n) && !followed[*n]).collect();
    let first: Vec<usize> = (0..count).filter(|n| !is_strip(*n) && !following[*n]).collect();
    course.job.add_precedence(&last, &first);
    // What a happening asks for before the refit comes before all of it.
    let is_refit = |node: usize| course.stretches[node] == JobPhase::Refit;
    let inner: BTreeSet<usize> =
        course.job.pairs.iter().filter(|(a, b)| is_refit(*a) && is_refit(*b)).map(|(_, b)| *b).collect();
    let begins: Vec<usize> = (0..count).filter(|n| is_refit(*n) && !inner.contains(n)).collect();
    let is_extra = |steps: &[StepDraft]| steps.first().is_some_and(|d| d.kind == StepKind::Extra);
    let extra: Vec<usize> = (0..count)
        .filter(|n| course.stretches[*n] == JobPhase::Work && is_extra(&course.job.nodes[*n]))
        .collect();
    course.job.add_precedence(&extra, &begins);
}

/// Nodes that become one, where no other has to come between.
struct UnitMerger {
    /// For each node the unit that it is in, by that unit's first node.
    unit: Vec<usize>,
    /// The nodes of each unit; empty where it went into another.
    members: Vec<Vec<usize>>,
    after: Vec<BTreeSet<usize>>,
}

impl UnitMerger {
    fn new(job: &SequenceJob) -> Self {
        let count = job.nodes.len();
        let mut after = vec![BTreeSet::new(); count];
        let lags = job
            .lags
            .iter()
            .flat_map(|l| l.lag.from.iter().flat_map(move |a| l.lag.to.iter().map(move |b| (*a, *b))));
        for (a, b) in job.pairs.iter().copied().chain(lags).filter(|(a, b)| a != b) {
            after[a].insert(b);
        }
        Self { unit: (0..count).collect(), members: (0..count).map(|n| vec![n]).collect(), after }
    }

    /// Puts a node into the unit of another; `false` if something else would have to come between.
    fn merge_nodes(&mut self, into: usize, node: usize) -> bool {
        let (a, b) = (self.unit[into], self.unit[node]);
        if a == b || self.leads_through(a, b) || self.leads_through(b, a) {
            return false;
        }
        let moved = core::mem::take(&mut self.members[b]);
        moved.iter().for_each(|n| self.unit[*n] = a);
        self.members[a].extend(moved);
        let behind = core::mem::take(&mut self.after[b]);
        self.after[a].extend(behind);
        for next in &mut self.after {
            if next.remove(&b) {
                next.insert(a);
            }
        }
        self.after[a].remove(&a);
        true
    }

    /// Whether a way leads from one unit to another through a third.
    fn leads_through(&self, from: usize, to: usize) -> bool {
        let mut open: Vec<usize> = self.after[from].iter().copied().filter(|n| *n != to).collect();
        let mut seen: BTreeSet<usize> = open.iter().copied().collect();
        while let Some(node) = open.pop() {
            for next in &self.after[node] {
                if *next == to {
                    return true;
                }
                if *next != from && seen.insert(*next) {
                    open.push(*next);
                }
            }
        }
        false
    }
}

/// The rank of a step within its part's unit.
fn rank_of_draft(book: &Book, draft: &StepDraft) -> u8 {
    let depth = || depth_of_draft(book, draft);
    match draft.kind {
        StepKind::Undo => match depth() {
            KindDepth::Plug => 0,
            KindDepth::Lock => 1,
            KindDepth::Holder => 2,
            KindDepth::Beneath => 3,
        },
        StepKind::Remove | StepKind::Uncap => 4,
        StepKind::Refit => 5,
        StepKind::RunIn => match depth() {
            KindDepth::Beneath => 6,
            KindDepth::Holder => 7,
            KindDepth::Lock => 9,
            KindDepth::Plug => 10,
        },
        StepKind::Tighten => 8,
        _ => 11,
    }
}

fn merge_units(book: &Book, scope: &PlanScope, course: &CourseJob) -> CourseJob {
    let job = &course.job;
    let mut merger = UnitMerger::new(job);
    for part in book.part_ids() {
        if let [off] = nodes_about(job, part, &[StepKind::Remove])[..] {
            merge_strip_unit(book, scope, job, (part, off), &mut merger);
        }
        if let [on] = nodes_about(job, part, &[StepKind::Refit])[..] {
            merge_refit_unit(book, job, part, on, &mut merger);
        }
    }
    build_units(book, course, &merger)
}

fn merge_strip_unit(
    book: &Book,
    scope: &PlanScope,
    job: &SequenceJob,
    (part, off): (PartId, usize),
    merger: &mut UnitMerger,
) {
    let station = job.nodes[off][0].station;
    for node in nodes_about(job, part, &[StepKind::Undo]) {
        let draft = &job.nodes[node][0];
        if draft.station == station && !is_loosening_step(book, scope, draft) {
            merger.merge_nodes(off, node);
        }
    }
}

fn merge_refit_unit(book: &Book, job: &SequenceJob, part: PartId, on: usize, merger: &mut UnitMerger) {
    let station = job.nodes[on][0].station;
    let is_here = |node: usize| job.nodes[node].iter().all(|d| d.station == station);
    let run_in = nodes_about(job, part, &[StepKind::RunIn]);
    let depth = |node: usize| depth_of_draft(book, &job.nodes[node][0]);
    let (mut outer, starts): (Vec<usize>, Vec<usize>) =
        run_in.into_iter().partition(|node| depth(*node) < KindDepth::Holder);
    outer.sort_by_key(|node| core::cmp::Reverse(depth(*node)));
    let mut is_whole = true;
    let tells_tightening = |node: usize| {
        let fixings = job.nodes[node].iter().flat_map(|d| &d.fixings);
        fixings.into_iter().any(|f| !book.fixing(*f).world.tightening.is_untold())
    };
    let is_done_by_running_in = |node: usize| {
        let fixings = job.nodes[node].iter().flat_map(|d| &d.fixings);
        fixings.into_iter().all(|f| model::progress::passes_to_tighten(book.fixing(*f)) == 0)
    };
    for node in starts {
        let asks = is_done_by_running_in(node) && tells_tightening(node);
        is_whole &= !asks && is_here(node) && merger.merge_nodes(on, node);
    }
    let tighten = nodes_about(job, part, &[StepKind::Tighten]);
    for node in &tighten {
        let asks = tells_tightening(*node);
        let waits = job.lags.iter().any(|l| {
            l.lag.from.iter().any(|n| merger.unit[*n] == merger.unit[on]) && l.lag.to.contains(node)
        });
        is_whole &= !asks && !waits && is_here(*node) && is_whole && merger.merge_nodes(on, *node);
    }
    for node in outer {
        is_whole = is_whole && is_here(node) && merger.merge_nodes(on, node);
    }
}

/// The course of the units.
fn build_units(book: &Book, course: &CourseJob, merger: &UnitMerger) -> CourseJob {
    let job = &course.job;
    let firsts: Vec<usize> = (0..job.nodes.len()).filter(|n| !merger.members[*n].is_empty()).collect();
    let number = |node: usize| firsts.binary_search(&merger.unit[node]).unwrap_or_default();
    let unit = |first: &usize| {
        let mut steps: Vec<(u8, StepDraft)> = Vec::new();
        for node in &merger.members[*first] {
            let mut rank = 0;
            for draft in &job.nodes[*node] {
                rank = rank.max(rank_of_draft(book, draft));
                let rank = if merger.members[*first].len() == 1 { 0 } else { rank };
                steps.push((rank, draft.clone()));
            }
        }
        steps.sort_by_key(|(rank, _)| *rank);
        steps.into_iter().map(|(_, draft)| draft).collect::<Vec<_>>()
    };
    let all = |list: &[usize]| {
        let mut units: Vec<usize> = list.iter().map(|n| number(*n)).collect();
        units.sort_unstable();
        units.dedup();
        units
    };
    let lag = |l: &SequenceJobLag| {
        let from = all(&l.lag.from);
        let to = all(&l.lag.to).into_iter().filter(|n| !from.contains(n)).collect();
        SequenceJobLag { lag: NodeLag { from, to, wait_s: l.lag.wait_s }, ..l.clone() }
    };
    let mut pairs: Vec<(usize, usize)> =
        job.pairs.iter().map(|(a, b)| (number(*a), number(*b))).filter(|(a, b)| a != b).collect();
    pairs.sort_unstable();
    pairs.dedup();
    CourseJob {
        job: SequenceJob {
            nodes: firsts.iter().map(unit).collect(),
            pairs,
            lags: job.lags.iter().map(lag).collect(),
        },
        stretches: firsts.iter().map(|n| course.stretches[*n]).collect(),
    }
}
