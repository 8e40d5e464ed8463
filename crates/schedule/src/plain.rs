//! The plain way: every order of a few jobs, each decoded; the yardstick for the search.
//!
//! Some list decodes to a schedule that is over soonest (Kolisch 1996: serial generation makes the active schedules, one of which is
//! optimal), so trying every list that respects the lags proves it. Gaps are left aside.

use crate::decode::decode;
use crate::problem::Problem;

/// Up to this many jobs every order is tried (10! decoded lists would take minutes).
pub const MOST_JOBS: usize = 8;

/// A schedule that is over soonest with its list; `None` for more than [`MOST_JOBS`].
#[must_use]
pub fn solve(problem: &Problem) -> Option<(Vec<usize>, Vec<u32>)> {
    if problem.jobs.len() > MOST_JOBS {
        return None;
    }
    let mut best: Option<(u32, Vec<usize>, Vec<u32>)> = None;
    let mut list = Vec::new();
    let mut done = vec![false; problem.jobs.len()];
    every(problem, &mut list, &mut done, &mut best);
    best.map(|(_, list, starts)| (list, starts))
}

fn every(
    problem: &Problem,
    list: &mut Vec<usize>,
    done: &mut [bool],
    best: &mut Option<(u32, Vec<usize>, Vec<u32>)>,
) {
    if list.len() == done.len() {
        let starts = decode(problem, list);
        let end = problem.end(&starts);
        if best.as_ref().is_none_or(|b| end < b.0) {
            *best = Some((end, list.clone(), starts));
        }
        return;
    }
    for job in 0..done.len() {
        if !done[job] && problem.before(job).iter().all(|n| done[n.job as usize]) {
            done[job] = true;
            list.push(job);
            every(problem, list, done, best);
            list.pop();
            done[job] = false;
        }
    }
}
