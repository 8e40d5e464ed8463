//! The order of the jobs: annealing first, then the proof where there are few of them.

use effort::{Budget, Outcome, Seed, Standing};

use crate::anneal::{Annealed, anneal};
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
    let first = jobs.places().min(jobs.used()) as u32;
    let least = bound(&reduced.jobs);
    let mut found = anneal::<W>(&reduced.jobs, budget, seed, threads, first + least as u32);
    let mut is_proven = found.loads <= first + least as u32;
    if !is_proven && !found.stopped {
        let mut effort = 0;
        let ended = exact::search::<W>(&reduced.jobs, found.loads, budget.watch, &mut effort);
        found.tries += effort;
        is_proven = ended != Ended::GaveUp;
        if let Ended::Better(order) = ended {
            found.order = order;
        }
    }
    answer(jobs, &reduced, &found, least, is_proven)
}

fn answer(jobs: &Jobs, reduced: &Reduced, found: &Annealed, least: usize, is_proven: bool) -> Sequenced {
    let order = reduced.whole(&found.order);
    let loadings = soonest::loadings(jobs, &order);
    let value = soonest::switches(&loadings) as f64;
    let standing = match (is_proven, found.stopped) {
        (true, _) => Standing::Proven,
        (false, true) => Standing::Stopped,
        (false, false) => Standing::Found,
    };
    let bound = if is_proven { value } else { least as f64 };
    let outcome = Outcome { standing, value, bound, unit: "switches".into(), effort: found.tries };
    Sequenced { order, loadings, outcome }
}
