//! Why a schedule ends when it does: the chain of jobs, waits and hand-overs that fixes the end, and the room of all others.
//!
//! Besides its lags a schedule has hand-overs: a job starts on units of a resource that another has just laid down. Units are
//! handed on one by one, those laid down last first, so that a job that had to wait for a resource is linked to the one it waited for.
//! Lags and hand-overs together make a network without circles in which the starts are feasible; the *slack* of a job is how much later
//! it can start in this network with the end where it is, all later jobs moved along as needed but none taken out of turn.
//!
//! (Policella, Cesta, Oddi and Smith, From precedence constraint posting to partial order schedules, AI Communications 20 (2007)
//! 163-180, for handing units on; from memory.)

use crate::problem::ScheduleProblem;

/// Why a job starts when it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum StartReason {
    /// Nothing keeps it from starting at time 0.
    Start,
    /// Its release.
    Release,
    /// The end of a job and the wait after it.
    After {
        /// The job that ends.
        job: usize,
        /// The wait.
        wait: u32,
    },
    /// A job lays down what it needs.
    HandOver {
        /// The job that ends.
        job: usize,
        /// The resource.
        resource: usize,
    },
    /// It is held back so that a gap behind it does not get too long.
    HeldBack,
}

/// What fixes the end, and how much room each job has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScheduleExplanation {
    /// The jobs that fix the end, first to last, each with why it starts when it does.
    pub critical: Vec<(usize, StartReason)>,
    /// By how much each job can start later without a later end.
    pub slack: Vec<u32>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct ResourceHandOver {
    from: usize,
    to: usize,
    resource: usize,
}

/// Explains a schedule that keeps lags, releases and resources.
#[must_use]
pub fn explain_schedule(problem: &ScheduleProblem, starts: &[u32]) -> ScheduleExplanation {
    let handed: Vec<ResourceHandOver> =
        (0..problem.capacity.len()).flat_map(|k| hand_overs(problem, starts, k)).collect();
    ScheduleExplanation {
        critical: critical_chain(problem, starts, &handed),
        slack: job_slacks(problem, starts, &handed),
    }
}

/// The hand-overs of one resource.
fn hand_overs(problem: &ScheduleProblem, starts: &[u32], resource: usize) -> Vec<ResourceHandOver> {
    let demand = |j: &usize| problem.jobs[*j].demand.get(resource).copied().unwrap_or(0);
    let users = |j: &usize| demand(j) > 0 && problem.jobs[*j].duration > 0;
    let mut jobs: Vec<usize> = (0..starts.len()).filter(users).collect();
    jobs.sort_by_key(|j| (starts[*j], *j));
    // Units laid down: when, by whom, how many.
    let mut idle: Vec<(u32, Option<usize>, u32)> = vec![(0, None, problem.capacity[resource])];
    let mut found = Vec::new();
    for job in jobs {
        let mut wanted = demand(&job);
        idle.sort_by_key(|(time, by, _)| (*time, *by));
        for (time, by, units) in idle.iter_mut().rev().filter(|(time, ..)| *time <= starts[job]) {
            let taken = wanted.min(*units);
            debug_assert!(*time <= starts[job], "only what lies idle is taken");
            (*units, wanted) = (*units - taken, wanted - taken);
            if let (Some(from), true) = (*by, taken > 0) {
                found.push(ResourceHandOver { from, to: job, resource });
            }
        }
        idle.retain(|(.., units)| *units > 0);
        idle.push((starts[job] + problem.jobs[job].duration, Some(job), demand(&job) - wanted));
    }
    found
}

fn critical_chain(
    problem: &ScheduleProblem,
    starts: &[u32],
    handed: &[ResourceHandOver],
) -> Vec<(usize, StartReason)> {
    let end = |j: usize| starts[j] + problem.jobs[j].duration;
    let Some(mut job) = (0..starts.len()).max_by_key(|j| (end(*j), core::cmp::Reverse(*j))) else {
        return Vec::new();
    };
    let mut chain = Vec::new();
    while chain.len() < starts.len() {
        let why = start_reason(problem, starts, handed, job);
        chain.push((job, why));
        match why {
            StartReason::After { job: before, .. } | StartReason::HandOver { job: before, .. } => {
                job = before
            }
            StartReason::Start | StartReason::Release | StartReason::HeldBack => break,
        }
    }
    chain.reverse();
    chain
}

fn start_reason(
    problem: &ScheduleProblem,
    starts: &[u32],
    handed: &[ResourceHandOver],
    job: usize,
) -> StartReason {
    let now = starts[job];
    let end = |j: usize| starts[j] + problem.jobs[j].duration;
    // Of several reasons the longest wait is the most informative.
    let lags = problem.before(job).iter().filter(|n| end(n.job as usize) + n.wait == now);
    if let Some(near) = lags.max_by_key(|n| (n.wait, n.job)) {
        return StartReason::After { job: near.job as usize, wait: near.wait };
    }
    if let Some(hand) = handed.iter().find(|h| h.to == job && end(h.from) == now) {
        return StartReason::HandOver { job: hand.from, resource: hand.resource };
    }
    match now {
        0 => StartReason::Start,
        _ if problem.jobs[job].release == now => StartReason::Release,
        _ => StartReason::HeldBack,
    }
}

fn job_slacks(problem: &ScheduleProblem, starts: &[u32], handed: &[ResourceHandOver]) -> Vec<u32> {
    let end = problem.end_of(starts);
    let mut latest: Vec<u32> = problem.jobs.iter().map(|j| end - j.duration).collect();
    let mut by_start: Vec<usize> = problem.sorted_jobs().to_vec();
    by_start
        .sort_by_key(|j| core::cmp::Reverse((starts[*j], problem.sorted_jobs().iter().position(|s| s == j))));
    for job in by_start {
        let duration = problem.jobs[job].duration;
        for near in problem.after(job) {
            latest[job] = latest[job].min(latest[near.job as usize].saturating_sub(near.wait + duration));
        }
        for hand in handed.iter().filter(|h| h.from == job) {
            latest[job] = latest[job].min(latest[hand.to].saturating_sub(duration));
        }
    }
    latest.iter().zip(starts).map(|(l, s)| l.saturating_sub(*s)).collect()
}
