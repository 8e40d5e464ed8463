//! Bound, beam and descent in rounds that grow, shared out among workers; the best of all goes on.

use core::sync::atomic::{AtomicBool, Ordering};

use effort::{Budget, Seed, Standing};

use crate::net::Net;
use crate::problem::Problem;
use crate::search::Search;

/// Tries of a worker in the first round; each round has twice as many, up to a limit.
const FIRST_ROUND: u64 = 1_000_000;
/// Tries that suit a problem, for each node.
const TRIES_PER_NODE: u64 = 200_000;

/// How to search.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Seed of the random choices.
    pub seed: Seed,
    /// Workers that share the search; the answer is the same for the same number.
    pub threads: usize,
    /// An order to start from; one that the problem does not allow is passed over.
    pub start: Option<Vec<usize>>,
}

/// An order, what it costs, and how far from the best it can be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solved {
    /// Every node once, in order.
    pub order: Vec<usize>,
    /// What the order costs.
    pub value: i64,
    /// No order costs less.
    pub bound: i64,
    /// How sure the answer is.
    pub standing: Standing,
    /// Tries made by all workers together.
    pub effort: u64,
}

/// The best order found with the budget; the same for the same problem, settings and effort when nobody stops it.
#[must_use]
pub fn solve(problem: &Problem, settings: &Settings, budget: Budget<'_>) -> Solved {
    solve_telling(problem, settings, budget, &mut |_| ())
}

/// As [`solve`]; tells of each better order as soon as a round has brought it.
#[must_use]
pub fn solve_telling(
    problem: &Problem,
    settings: &Settings,
    budget: Budget<'_>,
    tell: &mut dyn FnMut(&Solved),
) -> Solved {
    let net = Net::new(problem);
    let start = settings.start.as_ref().filter(|order| problem.allows(order));
    let start = start.map(|order| net.inside(order));
    let mut search = Search::new(&net, start, settings.seed, settings.threads);
    tell(&solved(&net, &search, Standing::Found));
    let most = budget.effort.tries(TRIES_PER_NODE * net.n as u64);
    let halt = AtomicBool::new(false);
    let longest = search.longest().max(FIRST_ROUND);
    let mut round = FIRST_ROUND;
    while search.effort < most && !search.is_proven() && !halt.load(Ordering::Relaxed) {
        let share = round.min((most - search.effort).div_ceil(search.workers() as u64));
        if search.round(share, &halt, budget.watch) {
            tell(&solved(&net, &search, Standing::Found));
            budget.watch.progress(&format!("best {}", search.best.value), search.effort as f64 / most as f64);
        }
        budget.watch.progress("order", search.effort as f64 / most as f64);
        round = (2 * round).min(longest);
    }
    let stopped = halt.load(Ordering::Relaxed);
    solved(&net, &search, if stopped { Standing::Stopped } else { Standing::Found })
}

/// What the search has come to.
fn solved(net: &Net, search: &Search, otherwise: Standing) -> Solved {
    Solved {
        order: net.outside(&search.best.order),
        value: search.best.value,
        bound: search.bound(),
        standing: if search.is_proven() { Standing::Proven } else { otherwise },
        effort: search.effort,
    }
}
