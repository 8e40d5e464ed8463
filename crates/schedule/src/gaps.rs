//! Longest allowed gaps: checked, repaired, and told when they cannot be.
//!
//! A gap says that a job starts no later than `g` after another has ended. A list decoded as early as possible may leave a gap
//! too long; then one of two things helps:
//!
//! * **hold back** the early end: it does not start before the late one's start less `g` less its own duration;
//! * **bring forward** the late end: it and all that it waits for go to the front of the list, as far as the early end's place.
//!
//! Holding back is tried first and again, since it may push the late end further (a shared resource), up to `MOST_ROUNDS` times; then
//! the list with the late end brought forward gets the same. The schedule with the least excess, then the earliest end, is given with
//! the gaps that are still too long. A gap shorter than the longest chain of lags between its ends can never be kept ([`hopeless`]).
//!
//! **This is a repair and not a search: a schedule that keeps all gaps may exist where none is found.**

use crate::bound::chains;
use crate::decode::{Decoder, decode};
use crate::problem::Problem;

/// Most times that ends are held back for one list (assumption).
const MOST_ROUNDS: usize = 64;

/// A gap that is too long.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct TooLong {
    /// Position in [`Problem::gaps`].
    pub gap: usize,
    /// By how much.
    pub by: u32,
}

/// A schedule and the gaps that it leaves too long.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Repaired {
    /// The list as it was decoded.
    pub list: Vec<usize>,
    /// Starts by job.
    pub starts: Vec<u32>,
    /// Release of each job, ends held back included: decoding the list with these gives the starts again.
    pub releases: Vec<u32>,
    /// Gaps that are too long.
    pub too_long: Vec<TooLong>,
}

/// The gaps that a schedule leaves too long.
#[must_use]
pub fn check(problem: &Problem, starts: &[u32]) -> Vec<TooLong> {
    let over = |gap: &crate::Gap| {
        let latest = starts[gap.from] + problem.jobs[gap.from].duration + gap.most;
        starts[gap.to].checked_sub(latest).filter(|by| *by > 0)
    };
    let numbered = problem.gaps.iter().enumerate();
    numbered.filter_map(|(at, gap)| Some(TooLong { gap: at, by: over(gap)? })).collect()
}

/// Gaps that no schedule can keep, with the least excess: the chain of lags between the ends alone is longer.
#[must_use]
pub fn hopeless(problem: &Problem) -> Vec<TooLong> {
    let mut found = Vec::new();
    for (at, gap) in problem.gaps.iter().enumerate() {
        let mut releases = vec![0; problem.jobs.len()];
        releases[gap.from] = 1 + problem.horizon;
        let (heads, _) = chains(&problem.with_releases(&releases));
        let latest = releases[gap.from] + problem.jobs[gap.from].duration + gap.most;
        if let Some(by) = heads[gap.to].checked_sub(latest).filter(|by| *by > 0) {
            found.push(TooLong { gap: at, by });
        }
    }
    found
}

/// A list decoded with its gaps kept as far as the repair can.
#[must_use]
pub fn repair(problem: &Problem, list: &[usize]) -> Repaired {
    let mut best = hold_back(problem, list);
    for at in best.too_long.clone() {
        let other = hold_back(problem, &brought_forward(problem, list, at.gap));
        if rank(problem, &other) < rank(problem, &best) {
            best = other;
        }
    }
    best
}

fn rank(problem: &Problem, repaired: &Repaired) -> (u64, u32) {
    let excess = repaired.too_long.iter().map(|t| u64::from(t.by)).sum();
    (excess, problem.end(&repaired.starts))
}

fn hold_back(problem: &Problem, list: &[usize]) -> Repaired {
    let mut releases: Vec<u32> = problem.jobs.iter().map(|j| j.release).collect();
    let starts = decode(problem, list);
    let too_long = check(problem, &starts);
    let mut best = Repaired { list: list.to_vec(), starts, releases: releases.clone(), too_long };
    let mut now = best.clone();
    for _ in 0..MOST_ROUNDS {
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
        // Who is held back leaves room for others, so the order of starts is the better list.
        let mut starts = vec![0; list.len()];
        let mut list = now.list.clone();
        Decoder::new(&held).forward(&list, &mut starts);
        list.sort_by_key(|j| starts[*j]);
        Decoder::new(&held).forward(&list, &mut starts);
        let too_long = check(problem, &starts);
        now = Repaired { list, starts, releases: releases.clone(), too_long };
        if rank(problem, &now) < rank(problem, &best) {
            best = now.clone();
        }
    }
    best
}

/// The list with the late end of a gap and all that it waits for at the front, the early end just before it.
fn brought_forward(problem: &Problem, list: &[usize], gap: usize) -> Vec<usize> {
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
