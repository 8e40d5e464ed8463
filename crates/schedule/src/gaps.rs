//! Longest allowed gaps: checked, repaired, and reported when they cannot be kept.
//!
//! A gap says that a job starts no later than `g` after another has ended. A list decoded as early as possible may leave a gap
//! too long; then one of two things helps:
//!
//! * **hold back** the early end: it does not start before the late one's start less `g` less its own duration;
//! * **bring forward** the late end: it and all that it waits for go to the front of the list, as far as the early end's place.
//!
//! Holding back is tried first and again, since it may push the late end further (a shared resource), up to `MAX_HOLD_BACKS` times; then
//! the list with the late end brought forward gets the same. The schedule with the least excess, then the earliest end, is given with
//! the gaps that are still too long. A gap shorter than the longest chain of lags between its ends can never be kept ([`hopeless_lags`]).
//!
//! **This is a repair and not a search: a schedule that keeps all gaps may exist where none is found.**

use crate::bound::heads_and_tails;
use crate::decode::{ScheduleDecoder, decode_list};
use crate::problem::ScheduleProblem;

/// Maximum number of times that ends are held back for one list (assumption).
const MAX_HOLD_BACKS: usize = 64;

/// A gap that is too long.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct TimeLagExcess {
    /// Position in `ScheduleProblem::push_gaps`.
    pub gap: usize,
    /// By how much.
    pub by: u32,
}

/// A schedule and the gaps that it leaves too long.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RepairedSchedule {
    /// The list as it was decoded.
    pub list: Vec<usize>,
    /// Starts by job.
    pub starts: Vec<u32>,
    /// Release of each job, ends held back included: decoding the list with these gives the starts again.
    pub releases: Vec<u32>,
    /// Gaps that are too long.
    pub too_long: Vec<TimeLagExcess>,
}

/// The gaps that a schedule leaves too long.
#[must_use]
pub fn find_excesses(problem: &ScheduleProblem, starts: &[u32]) -> Vec<TimeLagExcess> {
    let over = |gap: &crate::MaxTimeLag| {
        let latest = starts[gap.from] + problem.jobs[gap.from].duration + gap.most;
        starts[gap.to].checked_sub(latest).filter(|by| *by > 0)
    };
    let numbered = problem.gaps.iter().enumerate();
    numbered.filter_map(|(at, gap)| Some(TimeLagExcess { gap: at, by: over(gap)? })).collect()
}

/// Gaps that no schedule can keep, with the least excess: the chain of lags between the ends alone is longer.
#[must_use]
pub fn hopeless_lags(problem: &ScheduleProblem) -> Vec<TimeLagExcess> {
    let mut found = Vec::new();
    for (at, gap) in problem.gaps.iter().enumerate() {
        let mut releases = vec![0; problem.jobs.len()];
        releases[gap.from] = 1 + problem.horizon;
        let (heads, _) = heads_and_tails(&problem.with_releases(&releases));
        let latest = releases[gap.from] + problem.jobs[gap.from].duration + gap.most;
        if let Some(by) = heads[gap.to].checked_sub(latest).filter(|by| *by > 0) {
            found.push(TimeLagExcess { gap: at, by });
        }
    }
    found
}

/// A list decoded with its gaps kept as far as the repair can.
#[must_use]
pub fn repair_lags(problem: &ScheduleProblem, list: &[usize]) -> RepairedSchedule {
    let mut best = hold_back(problem, list);
    for at in best.too_long.clone() {
        let other = hold_back(problem, &brought_forward(problem, list, at.gap));
        if repair_rank(problem, &other) < repair_rank(problem, &best) {
            best = other;
        }
    }
    best
}

fn repair_rank(problem: &ScheduleProblem, repaired: &RepairedSchedule) -> (u64, u32) {
    let excess = repaired.too_long.iter().map(|t| u64::from(t.by)).sum();
    (excess, problem.end_of(&repaired.starts))
}

fn hold_back(problem: &ScheduleProblem, list: &[usize]) -> RepairedSchedule {
    let mut releases: Vec<u32> = problem.jobs.iter().map(|j| j.release).collect();
    let starts = decode_list(problem, list);
    let too_long = find_excesses(problem, &starts);
    let mut best = RepairedSchedule { list: list.to_vec(), starts, releases: releases.clone(), too_long };
    let mut now = best.clone();
    for _ in 0..MAX_HOLD_BACKS {
        if now.too_long.is_empty() {
            break;
        }
        for at in &now.too_long {
            let gap = &problem.gaps[at.gap];
            releases[gap.from] = releases[gap.from].max(now.starts[gap.from] + at.by);
        }
        if releases.iter().any(|r| *r > problem.horizon.saturating_mul(2)) {
            break;
        }
        let held = problem.with_releases(&releases);
        // A job held back leaves room for others, so the order of starts is the better list.
        let mut starts = vec![0; list.len()];
        let mut list = now.list.clone();
        ScheduleDecoder::new(&held).decode_forward(&list, &mut starts);
        list.sort_by_key(|j| starts[*j]);
        ScheduleDecoder::new(&held).decode_forward(&list, &mut starts);
        let too_long = find_excesses(problem, &starts);
        now = RepairedSchedule { list, starts, releases: releases.clone(), too_long };
        if repair_rank(problem, &now) < repair_rank(problem, &best) {
            best = now.clone();
        }
    }
    best
}

/// The list with the late end of a gap and all that it waits for at the front, the early end just before it.
fn brought_forward(problem: &ScheduleProblem, list: &[usize], gap: usize) -> Vec<usize> {
    let mut first = vec![false; list.len()];
    let mut open = vec![problem.gaps[gap].to];
    while let Some(job) = open.pop() {
        if !core::mem::replace(&mut first[job], true) {
            open.extend(problem.before(job).iter().map(|n| n.job as usize));
        }
    }
    let (front, back): (Vec<usize>, Vec<usize>) = list.iter().partition(|j| first[**j]);
    [front, back].concat()
}
