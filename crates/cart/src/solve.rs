//! The order of the jobs: annealing first, then the proof where there are few of them.

use effort::{Budget, Outcome, Seed, Standing};

use crate::anneal::{Annealed, COOLINGS, Coolings};
use crate::bound::bound;
use crate::contained::Reduced;
use crate::exact::{self, Ended};
use crate::jobs::Jobs;
use crate::soonest;

/// An order with what lies on the cart at each job.
#[derive(Debug, Clone, PartialEq)]
pub struct Sequenced {
    /// Jobs in order.
    pub order: Vec<usize>,
    /// Tools on the cart at each job of the order, rising.
    pub loadings: Vec<Vec<u16>>,
    /// Tools put on after the first loading, and the bound on any order; effort counts tries and beginnings.
    pub outcome: Outcome,
}

/// The best order found with the budget, the same for the same problem, effort and seed, whatever the number of threads.
#[must_use]
pub fn solve(jobs: &Jobs, budget: &Budget, seed: Seed, threads: usize) -> Sequenced {
    match jobs.widest().div_ceil(64) {
        0 | 1 => solve_with::<1>(jobs, budget, seed, threads),
        2 => solve_with::<2>(jobs, budget, seed, threads),
        3 | 4 => solve_with::<4>(jobs, budget, seed, threads),
        _ => solve_with::<16>(jobs, budget, seed, threads),
    }
}

fn solve_with<const W: usize>(jobs: &Jobs, budget: &Budget, seed: Seed, threads: usize) -> Sequenced {
    let reduced = Reduced::new(jobs);
    let least = bound(&reduced.jobs);
    let enough = (jobs.places().min(jobs.used()) + least) as u32;
    let mut coolings = Coolings::<W>::new(&reduced.jobs, budget, seed, threads, enough);
    // Where the proof comes soon, one cooling gives it an order to better.
    let first = if reduced.jobs.count() <= exact::MOST_JOBS { 1 } else { COOLINGS };
    let Some(mut found) = coolings.run(budget.watch, None, Some(first)) else { return nothing(jobs) };
    let mut is_proven = found.loads <= enough;
    if !is_proven && !coolings.is_stopped() {
        is_proven = prove::<W>(&reduced.jobs, budget, &mut found);
    }
    if !is_proven {
        found = coolings.run(budget.watch, Some(found.clone()), None).unwrap_or(found);
        is_proven = found.loads <= enough;
    }
    let standing = match (is_proven, coolings.is_stopped()) {
        (true, _) => Standing::Proven,
        (false, true) => Standing::Stopped,
        (false, false) => Standing::Found,
    };
    answer(jobs, &reduced.whole(&found.order), found.tries, least, standing)
}

/// Proves the order best, or betters it to the best; false where that would take too long.
fn prove<const W: usize>(jobs: &Jobs, budget: &Budget, found: &mut Annealed) -> bool {
    let ended = exact::search::<W>(jobs, found.loads, budget.watch, &mut found.tries);
    let is_proven = ended != Ended::GaveUp;
    if let Ended::Better(order) = ended {
        found.order = order;
    }
    is_proven
}

fn answer(jobs: &Jobs, order: &[usize], effort: u64, least: usize, standing: Standing) -> Sequenced {
    let loadings = soonest::loadings(jobs, order);
    let value = soonest::switches(&loadings) as f64;
    let bound = if standing == Standing::Proven { value } else { least as f64 };
    let outcome = Outcome { standing, value, bound, unit: "switches".into(), effort };
    Sequenced { order: order.to_vec(), loadings, outcome }
}

/// Without jobs there is nothing to order.
fn nothing(jobs: &Jobs) -> Sequenced {
    answer(jobs, &[], 0, 0, Standing::Proven)
}
