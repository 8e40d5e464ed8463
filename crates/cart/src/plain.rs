//! Every order tried, each loaded by the textbook rule: slow, obvious, the yardstick of the fast methods.

use crate::jobs::Jobs;
use crate::soonest;

/// The fewest switches over all orders that precedence allows; for a handful of jobs.
#[must_use]
pub fn fewest(jobs: &Jobs) -> usize {
    let mut best = usize::MAX;
    let mut order = Vec::new();
    each(jobs, &mut order, &mut best);
    best
}

fn each(jobs: &Jobs, order: &mut Vec<usize>, best: &mut usize) {
    if order.len() == jobs.count() {
        *best = (*best).min(soonest::switches(&soonest::loadings(jobs, order)));
        return;
    }
    for job in 0..jobs.count() {
        let is_ready = jobs.before(job).iter().all(|b| order.contains(&usize::from(*b)));
        if is_ready && !order.contains(&job) {
            order.push(job);
            each(jobs, order, best);
            order.pop();
        }
    }
}
