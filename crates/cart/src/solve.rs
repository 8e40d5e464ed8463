//! The order of the jobs: annealing first, then the proof where there are few of them.

use effort::{OutcomeUnit, RandomSeed, SolverBudget, SolverOutcome, SolverStanding};

use crate::anneal::{COOLINGS, CartAnnealed, CartAnnealer};
use crate::bound::switch_bound;
use crate::contained::ReducedJobs;
use crate::exact::{self, ProofEnd};
use crate::jobs::CartJobs;
use crate::soonest;

/// An order with what lies on the cart at each job.
#[derive(Debug, Clone, PartialEq)]
pub struct CartSequence {
    /// Jobs in order.
    pub order: Vec<usize>,
    /// Tools on the cart at each job of the order, rising.
    pub loadings: Vec<Vec<u16>>,
    /// Tools put on after the first loading, and the bound on any order; effort counts tries and beginnings.
    pub outcome: SolverOutcome,
}

/// The best order found with the budget, the same for the same problem, effort and seed, whatever the number of threads.
#[must_use]
pub fn solve_cart_order(
    jobs: &CartJobs,
    budget: &SolverBudget,
    seed: RandomSeed,
    threads: usize,
) -> CartSequence {
    match jobs.tool_range().div_ceil(64) {
        0 | 1 => solve_with_width::<1>(jobs, budget, seed, threads),
        2 => solve_with_width::<2>(jobs, budget, seed, threads),
        3 | 4 => solve_with_width::<4>(jobs, budget, seed, threads),
        _ => solve_with_width::<16>(jobs, budget, seed, threads),
    }
}

fn solve_with_width<const W: usize>(
    jobs: &CartJobs,
    budget: &SolverBudget,
    seed: RandomSeed,
    threads: usize,
) -> CartSequence {
    let reduced = ReducedJobs::new(jobs);
    let least = switch_bound(&reduced.jobs);
    let enough = (jobs.places().min(jobs.used()) + least) as u32;
    let mut coolings = CartAnnealer::<W>::new(&reduced.jobs, budget, seed, threads, enough);
    // Where the proof comes soon, one cooling gives it an order to better.
    let first = if reduced.jobs.count() <= exact::MAX_JOBS_PROVEN { 1 } else { COOLINGS };
    let Some(mut found) = coolings.run_coolings(budget.watch, None, Some(first)) else {
        return empty_sequence(jobs);
    };
    let mut is_proven = found.loads <= enough;
    if !is_proven && !coolings.is_stopped() {
        is_proven = prove_order::<W>(&reduced.jobs, budget, &mut found);
    }
    if !is_proven {
        found = coolings.run_coolings(budget.watch, Some(found.clone()), None).unwrap_or(found);
        is_proven = found.loads <= enough;
    }
    let standing = match (is_proven, coolings.is_stopped()) {
        (true, _) => SolverStanding::Proven,
        (false, true) => SolverStanding::Stopped,
        (false, false) => SolverStanding::Found,
    };
    sequence_of_order(jobs, &reduced.whole_order(&found.order), found.tries, least, standing)
}

/// Proves the order best, or improves it to the best; false where that would take too long.
fn prove_order<const W: usize>(jobs: &CartJobs, budget: &SolverBudget, found: &mut CartAnnealed) -> bool {
    let ended = exact::search_levels::<W>(jobs, found.loads, budget.watch, &mut found.tries);
    let is_proven = ended != ProofEnd::GaveUp;
    if let ProofEnd::Better(order) = ended {
        found.order = order;
    }
    is_proven
}

fn sequence_of_order(
    jobs: &CartJobs,
    order: &[usize],
    effort: u64,
    least: usize,
    standing: SolverStanding,
) -> CartSequence {
    let loadings = soonest::soonest_loadings(jobs, order);
    let value = soonest::count_switches(&loadings) as f64;
    let bound = if standing == SolverStanding::Proven { value } else { least as f64 };
    let outcome = SolverOutcome { standing, value, bound, unit: OutcomeUnit::Switches, effort };
    CartSequence { order: order.to_vec(), loadings, outcome }
}

/// Without jobs there is nothing to order.
fn empty_sequence(jobs: &CartJobs) -> CartSequence {
    sequence_of_order(jobs, &[], 0, 0, SolverStanding::Proven)
}
