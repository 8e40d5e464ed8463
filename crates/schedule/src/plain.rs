//! The plain way: every order of a few jobs, each decoded; the yardstick for the search.
//!
//! Some list decodes to a schedule that is over soonest (Kolisch 1996: serial generation makes the active schedules, one of which is
//! optimal), so trying every list that respects the lags proves it. Gaps are left aside.

use crate::decode::decode_list;
use crate::problem::ScheduleProblem;

/// Up to this many jobs every order is tried (10! decoded lists would take minutes).
pub const MAX_JOBS_ENUMERATED: usize = 8;

/// A schedule that is over soonest with its list; `None` for more than [`MAX_JOBS_ENUMERATED`].
#[must_use]
pub fn solve_by_all_lists(problem: &ScheduleProblem) -> Option<(Vec<usize>, Vec<u32>)> {
    if problem.jobs.len() > MAX_JOBS_ENUMERATED {
        return None;
    }
    let mut best: Option<(u32, Vec<usize>, Vec<u32>)> = None;
    visit_every_list(problem, &mut |list| {
        let starts = decode_list(problem, list);
        let end = problem.end_of(&starts);
        if best.as_ref().is_none_or(|b| end < b.0) {
            best = Some((end, list.to_vec(), starts));
        }
    });
    best.map(|(_, list, starts)| (list, starts))
}

/// Shows every list that respects the lags.
pub(crate) fn visit_every_list(problem: &ScheduleProblem, look: &mut dyn FnMut(&[usize])) {
    extend_every_list(problem, &mut Vec::new(), &mut vec![false; problem.jobs.len()], look);
}

fn extend_every_list(
    problem: &ScheduleProblem,
    list: &mut Vec<usize>,
    done: &mut [bool],
    look: &mut dyn FnMut(&[usize]),
) {
    if list.len() == done.len() {
        look(list);
        return;
    }
    for job in 0..done.len() {
        if !done[job] && problem.before(job).iter().all(|n| done[n.job as usize]) {
            done[job] = true;
            list.push(job);
            extend_every_list(problem, list, done, look);
            list.pop();
            done[job] = false;
        }
    }
}
