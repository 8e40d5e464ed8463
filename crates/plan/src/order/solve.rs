//! Greedy first, then simulated annealing; exact where the problem is small.

use model::{Outcome, Standing};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;
use units::math;

use super::bound::bound_s;
use super::chain::evaluate;
use super::moves::{Dice, Followers, draw};
use super::problem::Problem;
use super::tour::Tour;
use super::{greedy, plain};
use crate::budget::{Budget, Seed};

/// Up to this many nodes without waits the exact method is used.
const SMALL: usize = 10;
/// Temperature at the start: this share of the longest entering time of a station, but at least [`LEAST_HOT_S`]
/// (assumption, from trials on generated books).
const HOT_FRACTION: f64 = 0.5;
/// A change of tool (assumption, from trials).
const LEAST_HOT_S: f64 = 8.0;
/// Temperature at the end, well below the cheapest swap (assumption, from trials).
const COLD_S: f64 = 0.25;
/// Tries between two looks at the watch.
const WATCH_EVERY: u64 = 1024;
/// Tries that suit a problem: so many for each node, within limits.
const TRIES_PER_NODE: u64 = 12_000;
const FEWEST_TRIES: u64 = 50_000;
const MOST_TRIES: u64 = 6_000_000;

/// An order, the choice of each node, and how good it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// Nodes in order.
    pub order: Vec<usize>,
    /// Choice of each node; `None` for nodes without choices.
    pub choices: Vec<Option<usize>>,
    /// Set-ups, work and waits in seconds, and the bound on any order.
    pub outcome: Outcome,
}

/// The best order found with the budget; the same for the same problem, effort and seed.
#[must_use]
pub fn solve(problem: &Problem, doing: &str, budget: &Budget, seed: Seed) -> Solved {
    if problem.nodes.len() <= SMALL && problem.lags.is_empty() {
        return plain::solve(problem);
    }
    let sized = (problem.nodes.len() as u64 * TRIES_PER_NODE).clamp(FEWEST_TRIES, MOST_TRIES);
    let most = budget.effort.tries(sized);
    let annealed = anneal(problem, doing, most, budget, seed);
    let best = evaluate(problem, &annealed.order);
    let value = best.total_s();
    let bound = bound_s(problem).min(value);
    let standing = match (value - bound <= 1.0e-6, annealed.stopped) {
        (true, _) => Standing::Proven,
        (false, false) => Standing::Found,
        (false, true) => Standing::Stopped,
    };
    let outcome = Outcome { standing, value, bound, unit: "seconds".into(), effort: annealed.tries };
    Solved { order: annealed.order, choices: best.choices, outcome }
}

struct Annealed {
    order: Vec<usize>,
    tries: u64,
    stopped: bool,
}

/// The best order seen; copied only when the search is about to leave it.
struct Best {
    order: Vec<usize>,
    cost_s: f64,
    here: bool,
}

impl Best {
    fn before_change(&mut self, tour: &Tour, change_s: f64) {
        if self.here && change_s > 0.0 {
            self.order.clone_from(&tour.order);
            self.here = false;
        }
    }

    fn after_change(&mut self, tour: &Tour) {
        if tour.cost_s() < self.cost_s - 1.0e-9 {
            self.cost_s = tour.cost_s();
            self.here = true;
        }
    }
}

fn anneal(problem: &Problem, doing: &str, most: u64, budget: &Budget, seed: Seed) -> Annealed {
    let start = greedy::order(problem);
    if start.len() < 2 {
        return Annealed { order: start, tries: 0, stopped: false };
    }
    let mut tour = Tour::new(problem, start.clone());
    let mut best = Best { order: start, cost_s: tour.cost_s(), here: true };
    let followers = Followers::new(problem);
    let mut dice = Dice(Pcg64Mcg::seed_from_u64(seed.0));
    let hot_s = hot_s(problem);
    let mut heat_s = hot_s;
    let mut tries = 0;
    let mut stopped = false;
    while tries < most {
        if tries.is_multiple_of(WATCH_EVERY) {
            let done_fraction = tries as f64 / most as f64;
            heat_s = hot_s * math::pow(COLD_S / hot_s, done_fraction);
            budget.watch.progress(doing, done_fraction);
            stopped = budget.watch.stop();
            if stopped {
                break;
            }
        }
        tries += 1;
        let limit_s = -heat_s * math::ln(dice.share());
        attempt(&mut tour, &followers, &mut dice, &mut best, limit_s);
    }
    let order = if best.here { tour.order } else { best.order };
    Annealed { order, tries, stopped }
}

fn hot_s(problem: &Problem) -> f64 {
    let used = problem.nodes.iter().map(|n| problem.enter_s[usize::from(n.station)]);
    (used.fold(0.0, f64::max) * HOT_FRACTION).max(LEAST_HOT_S)
}

fn attempt(tour: &mut Tour, followers: &Followers, dice: &mut Dice, best: &mut Best, limit_s: f64) {
    let Some(cuts) = draw(tour, followers, dice) else { return };
    if !tour.may(cuts) {
        return;
    }
    if let Some(change_s) = tour.try_exchange(cuts, limit_s) {
        best.before_change(tour, change_s);
        tour.take();
        best.after_change(tour);
    }
}
