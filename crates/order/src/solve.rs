//! Bound, beam and descent in rounds that grow, shared out among workers; the best of all goes on.

use core::sync::atomic::{AtomicBool, Ordering};

use effort::{RandomSeed, SolverBudget, SolverStanding};

use crate::net::SequencingNet;
use crate::problem::SequencingProblem;
use crate::search::SequencingSearch;

/// Tries of a worker in the first round; each round has twice as many, up to a limit.
const FIRST_ROUND: u64 = 1_000_000;
/// Tries that suit a problem, for each node.
const TRIES_PER_NODE: u64 = 200_000;

/// How to search.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SequencingSettings {
    /// Seed of the random choices.
    pub seed: RandomSeed,
    /// Workers that share the search; the answer is the same for the same number.
    pub threads: usize,
    /// An order to start from; one that the problem does not allow is passed over.
    pub start: Option<Vec<usize>>,
}

/// An order, what it costs, and how far from the best it can be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SequencingSolution {
    /// Every node once, in order.
    pub order: Vec<usize>,
    /// What the order costs.
    pub value: i64,
    /// No order costs less.
    pub bound: i64,
    /// How sure the answer is.
    pub standing: SolverStanding,
    /// Tries made by all workers together.
    pub effort: u64,
}

/// The best order found with the budget; the same for the same problem, settings and effort when nobody stops it.
#[must_use]
pub fn solve_sequencing(
    problem: &SequencingProblem,
    settings: &SequencingSettings,
    budget: SolverBudget<'_>,
) -> SequencingSolution {
    solve_sequencing_reporting(problem, settings, budget, &mut |_| ())
}

/// As [`solve_sequencing`]; reports each improved order at the end of the round that found it.
#[must_use]
pub fn solve_sequencing_reporting(
    problem: &SequencingProblem,
    settings: &SequencingSettings,
    budget: SolverBudget<'_>,
    tell: &mut dyn FnMut(&SequencingSolution),
) -> SequencingSolution {
    let net = SequencingNet::new(problem);
    let start = settings.start.as_ref().filter(|order| problem.allows(order));
    let start = start.map(|order| net.to_net_order(order));
    let mut search = SequencingSearch::new(&net, start, settings.seed, settings.threads);
    tell(&solution_so_far(&net, &search, SolverStanding::Found));
    let most = budget.effort.tries_or_sized(TRIES_PER_NODE * net.n as u64);
    let halt = AtomicBool::new(false);
    let longest = search.longest_round().max(FIRST_ROUND);
    let mut round = FIRST_ROUND;
    while search.effort < most && !search.is_proven() && !halt.load(Ordering::Relaxed) {
        let share = round.min((most - search.effort).div_ceil(search.worker_count() as u64));
        if search.run_round(share, &halt, budget.watch) {
            tell(&solution_so_far(&net, &search, SolverStanding::Found));
            budget
                .watch
                .report_progress(&format!("best {}", search.best.value), search.effort as f64 / most as f64);
        }
        budget.watch.report_progress("order", search.effort as f64 / most as f64);
        round = (2 * round).min(longest);
    }
    let stopped = halt.load(Ordering::Relaxed);
    solution_so_far(&net, &search, if stopped { SolverStanding::Stopped } else { SolverStanding::Found })
}

/// What the search has come to.
fn solution_so_far(
    net: &SequencingNet,
    search: &SequencingSearch,
    otherwise: SolverStanding,
) -> SequencingSolution {
    SequencingSolution {
        order: net.to_problem_order(&search.best.order),
        value: search.best.value,
        bound: search.bound(),
        standing: if search.is_proven() { SolverStanding::Proven } else { otherwise },
        effort: search.effort,
    }
}
