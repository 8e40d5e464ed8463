//! Jobs whose tools all lie within another job's ride along with it and need not be ordered.
//!
//! Placed right behind the job that holds all its tools, a job finds the cart as it needs it and changes nothing; and leaving
//! a job out never costs more. So the best order of the rest, with these put back, is best for all. Under precedence a job
//! may be bound elsewhere, and nothing is left out.

use crate::jobs::CartJobs;

/// The jobs that have to be ordered, and those that ride along.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ReducedJobs {
    /// The problem of the jobs that stay.
    pub jobs: CartJobs,
    /// Number, in the whole problem, of each job that stays.
    stays: Vec<usize>,
    /// For each job that stays, those that ride along.
    along: Vec<Vec<usize>>,
}

impl ReducedJobs {
    pub(crate) fn new(jobs: &CartJobs) -> Self {
        let host = |job: usize| if jobs.is_free() { find_host(jobs, job) } else { None };
        let hosts: Vec<Option<usize>> = (0..jobs.count()).map(host).collect();
        let stays: Vec<usize> = (0..jobs.count()).filter(|j| hosts[*j].is_none()).collect();
        let mut along = vec![Vec::new(); stays.len()];
        for job in 0..jobs.count() {
            let last = core::iter::successors(hosts[job], |h| hosts[*h]).last();
            if let Some(at) = last.and_then(|h| stays.binary_search(&h).ok()) {
                along[at].push(job);
            }
        }
        let kept = if stays.len() == jobs.count() { jobs.clone() } else { jobs.only_jobs(&stays) };
        Self { jobs: kept, stays, along }
    }

    /// The order of all jobs from that of the jobs that stay.
    pub(crate) fn whole_order(&self, order: &[u16]) -> Vec<usize> {
        let each = order.iter().map(|j| usize::from(*j));
        each.flat_map(|j| core::iter::once(self.stays[j]).chain(self.along[j].iter().copied())).collect()
    }
}

/// A job that holds all tools of this one; of equal jobs the first is host to the others.
fn find_host(jobs: &CartJobs, job: usize) -> Option<usize> {
    let holds = |other: usize| jobs.needs(job).iter().all(|t| jobs.needs(other).binary_search(t).is_ok());
    let is_more = |other: usize| jobs.needs(other).len() > jobs.needs(job).len() || other < job;
    (0..jobs.count()).find(|other| *other != job && is_more(*other) && holds(*other))
}
