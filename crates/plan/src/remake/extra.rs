//! Extra steps as nodes of the jobs, between the points that they name.
//!
//! A step goes into the strip if it comes before something undone or lifted off; into the refit if it comes after something at refit; into
//! the work if it comes after a part is off and before anything at refit, or concerns a task. One that names no point goes to where the
//! job is: the first sequence in which anything is left. A point already passed imposes no order.

use std::collections::BTreeMap;

use model::plan::StepKind;
use model::progress::{ExtraStep, JobPoint, Progress};
use model::{Book, StationId};

use crate::job::{SequenceJob, SequenceJobLag, StepDraft};
use crate::node_order::NodeLag;
use crate::strip::part_station;

use super::known::KnownProgress;

const STRIP: usize = 0;
const WORK: usize = 1;
const REFIT: usize = 2;

/// Adds the extra steps that are not done; those that name no point before all else, if they are to be first.
pub(super) fn add_extra_steps(
    book: &Book,
    known: &KnownProgress,
    progress: &Progress,
    is_first: bool,
    jobs: &mut [SequenceJob; 3],
) {
    let begun = jobs.iter().position(|j| !j.nodes.is_empty()).unwrap_or(REFIT);
    let open: Vec<&ExtraStep> = progress.extra.iter().filter(|e| !e.done).collect();
    let mut homes: BTreeMap<&str, usize> = BTreeMap::new();
    for extra in &open {
        homes.insert(&extra.key, home_sequence(extra, begun));
    }
    // A step after another extra step cannot be in an earlier sequence; as many rounds as steps settle any chain.
    for _ in 0..open.len() {
        for extra in &open {
            if let JobPoint::Extra(before) = &extra.after {
                let least = homes.get(before.as_str()).copied().unwrap_or(0);
                homes.entry(&extra.key).and_modify(|h| *h = least.max(*h));
            }
        }
    }
    let mut nodes: BTreeMap<&str, usize> = BTreeMap::new();
    for extra in &open {
        let node = jobs[homes[extra.key.as_str()]].add_node(vec![extra_draft(book, known, extra)]);
        nodes.insert(&extra.key, node);
    }
    for extra in &open {
        let home = homes[extra.key.as_str()];
        let node = nodes[extra.key.as_str()];
        let at = |point: &JobPoint, job: &SequenceJob| match point {
            JobPoint::Extra(key) if homes.get(key.as_str()) == Some(&home) => {
                nodes.get(key.as_str()).copied().into_iter().collect()
            }
            _ => nodes_at_point(book, job, point),
        };
        let before = at(&extra.after, &jobs[home]);
        let after = at(&extra.before, &jobs[home]);
        jobs[home].add_precedence(&before, &[node]);
        jobs[home].add_precedence(&[node], &after);
        if let Some(fixing) = extra.fixing.clone().filter(|_| extra.brings_out) {
            let run_in = nodes_at_point(book, &jobs[home], &JobPoint::RunIn(fixing));
            jobs[home].add_precedence(&[node], &run_in);
        }
        if extra.hold_up_s > 0.0 {
            let held = [after, extra_followers(&open, &homes, &nodes, &extra.key, home)].concat();
            add_extra_hold_up(extra, vec![node], held, extra.hold_up_s, &mut jobs[home]);
        }
    }
    for extra in progress.extra.iter().filter(|e| e.done && e.hold_up_s > 0.0) {
        for (home, job) in jobs.iter_mut().enumerate() {
            let after = nodes_at_point(book, job, &extra.before);
            let held = [after, extra_followers(&open, &homes, &nodes, &extra.key, home)].concat();
            add_extra_hold_up(extra, Vec::new(), held, extra.hold_up_s, job);
        }
    }
    put_in_front(&open, &homes, &nodes, (begun, is_first), jobs);
}

/// The nodes of a sequence's extra steps that come after another one.
fn extra_followers(
    open: &[&ExtraStep],
    homes: &BTreeMap<&str, usize>,
    nodes: &BTreeMap<&str, usize>,
    key: &str,
    home: usize,
) -> Vec<usize> {
    let follows = |e: &&&ExtraStep| matches!(&e.after, JobPoint::Extra(k) if k == key);
    let here = open.iter().filter(follows).filter(|e| homes.get(e.key.as_str()) == Some(&home));
    here.filter_map(|e| nodes.get(e.key.as_str()).copied()).collect()
}

/// Extra steps that name no point at all are for now: they go in front of all that was planned.
fn put_in_front(
    open: &[&ExtraStep],
    homes: &BTreeMap<&str, usize>,
    nodes: &BTreeMap<&str, usize>,
    (begun, is_first): (usize, bool),
    jobs: &mut [SequenceJob; 3],
) {
    let first: Vec<usize> = open
        .iter()
        .filter(|e| {
            (&e.after, &e.before) == (&JobPoint::Any, &JobPoint::Any) && homes[e.key.as_str()] == begun
        })
        .map(|e| nodes[e.key.as_str()])
        .collect();
    let job = &mut jobs[begun];
    // An opening that is open is capped before anything else.
    let is_cap = |n: &usize| job.nodes[*n].first().is_some_and(|d| d.kind == StepKind::Cap);
    let caps: Vec<usize> = (0..job.nodes.len()).filter(is_cap).collect();
    let rest: Vec<usize> = (0..job.nodes.len()).filter(|n| !is_cap(n)).collect();
    let planned = |n: &usize| job.nodes[*n].iter().all(|d| d.kind != StepKind::Extra);
    let others: Vec<usize> = rest.iter().copied().filter(planned).collect();
    job.add_precedence(&caps, &rest);
    if is_first {
        job.add_precedence(&first, &others);
    }
}

fn add_extra_hold_up(
    extra: &ExtraStep,
    from: Vec<usize>,
    to: Vec<usize>,
    wait_s: f64,
    job: &mut SequenceJob,
) {
    if !to.is_empty() {
        let lag = NodeLag { from, to, wait_s };
        let title = extra.text.trim_end_matches('.').to_owned();
        job.lags.push(SequenceJobLag { lag, title, condition: None });
    }
}

/// The sequence of an extra step.
fn home_sequence(extra: &ExtraStep, begun: usize) -> usize {
    let side = |point: &JobPoint| match point {
        JobPoint::Undo(_) | JobPoint::PartOff(_) => Some(STRIP),
        JobPoint::Task(_) => Some(WORK),
        JobPoint::PartOn(_) | JobPoint::RunIn(_) | JobPoint::Tighten(_) | JobPoint::Refit => Some(REFIT),
        JobPoint::Any | JobPoint::Extra(_) => None,
    };
    let home = match (side(&extra.after), side(&extra.before)) {
        (_, Some(STRIP)) => STRIP,
        (Some(REFIT), _) => REFIT,
        (Some(_), _) | (None, Some(_)) => WORK,
        (None, None) => begun,
    };
    home.max(begun)
}

fn extra_draft(book: &Book, known: &KnownProgress, extra: &ExtraStep) -> StepDraft {
    let fixing = extra.fixing.as_ref().and_then(|f| book.fixing_by_key(f));
    let named = extra.part.as_ref().and_then(|p| book.part_by_key(p));
    let part = named.or_else(|| fixing.map(|f| book.fixing(f).part));
    let station: Option<StationId> = part.map(|p| part_station(book, p, known.scope.way_of(p).flatten()));
    let mut draft =
        StepDraft::new(StepKind::Extra, station.unwrap_or(known.here.station), extra.text.clone());
    draft.part = part;
    draft.fixings = fixing.into_iter().collect();
    draft.extra = Some(extra.key.clone());
    draft.fixed_s = extra.work_s.max(0.0);
    draft.helper = extra.helper;
    draft
}

/// The nodes of a point in a job; none where the point is passed or in another job.
fn nodes_at_point(book: &Book, job: &SequenceJob, point: &JobPoint) -> Vec<usize> {
    let part = |key: &String| book.part_by_key(key);
    let fixing = |key: &String| book.fixing_by_key(key);
    let is_it = |d: &StepDraft| match point {
        JobPoint::Undo(key) => {
            d.kind == StepKind::Undo && fixing(key).is_some_and(|f| d.fixings.contains(&f))
        }
        JobPoint::PartOff(key) => d.kind == StepKind::Remove && d.part.is_some() && d.part == part(key),
        JobPoint::PartOn(key) => d.kind == StepKind::Refit && d.part.is_some() && d.part == part(key),
        JobPoint::RunIn(key) => {
            d.kind == StepKind::RunIn && fixing(key).is_some_and(|f| d.fixings.contains(&f))
        }
        JobPoint::Tighten(key) => {
            d.kind == StepKind::Tighten && fixing(key).is_some_and(|f| d.fixings.contains(&f))
        }
        JobPoint::Task(key) => d.task.is_some() && d.task == book.task_by_key(key),
        JobPoint::Any | JobPoint::Extra(_) | JobPoint::Refit => false,
    };
    (0..job.nodes.len()).filter(|n| job.nodes[*n].iter().any(is_it)).collect()
}
