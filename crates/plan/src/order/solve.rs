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
use effort::{Budget, Seed};

/// Up to this many nodes without waits the exact method is used.
const SMALL: usize = 10;
/// Temperature at the start: this share of the longest entering time of a station, but at least [`LEAST_HOT_S`]
/// (assumption, from trials on generated books).
const HOT_FRACTION: f64 = 0.5;
/// A change of tool (assumption, from trials).
const LEAST_HOT_S: f64 = 8.0;
/// Temperature at the end, well below the cheapest swap (assumption, from trials).
const COLD_S: f64 = 0.25;
/// Up to this many nodes with waits every order is looked at.
const TINY: usize = 7;
/// Small problems freeze early: up to so many nodes the tries are shared out among several coolings.
const FEW_NODES: usize = 60;
const COOLINGS_OF_FEW: f64 = 6.0;
/// Orders this near to the best are weighed exactly where waits make the search's own measure rough (assumption).
const NEAR_FRACTION: f64 = 0.15;
/// Tries at one temperature.
const COOL_EVERY: u64 = 64;
/// Tries between two looks at the watch.
const WATCH_EVERY: u64 = 1024;
/// Tries that suit a problem: so many for each node, within limits.
const TRIES_PER_NODE: u64 = 5_000;
const FEWEST_TRIES: u64 = 50_000;
const MOST_TRIES: u64 = 4_000_000;

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
    if problem.nodes.len() <= TINY {
        return plain::every_order(problem);
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

/// The best order seen; looked at only when the search is about to leave it.
///
/// The search weighs waits by a path that need not be the one taken in the end. So orders as good as the best by its
/// measure, and for few nodes also those nearly as good, are weighed exactly before one is kept.
struct Best<'p> {
    problem: &'p Problem,
    order: Vec<usize>,
    exact_s: f64,
    cost_s: f64,
    near_fraction: f64,
    here: bool,
}

impl<'p> Best<'p> {
    fn new(problem: &'p Problem, tour: &Tour) -> Self {
        let order = tour.order.clone();
        let exact_s = evaluate(problem, &order).total_s();
        let is_rough = !problem.lags.is_empty() && problem.nodes.len() <= FEW_NODES;
        let near_fraction = if is_rough { NEAR_FRACTION } else { 0.0 };
        Self { problem, order, exact_s, cost_s: tour.cost_s(), near_fraction, here: false }
    }

    fn before_change(&mut self, tour: &Tour, change_s: f64) {
        if self.here && (change_s > 0.0 || self.near_fraction > 0.0) {
            self.weigh(tour);
        }
    }

    fn weigh(&mut self, tour: &Tour) {
        let exact_s = evaluate(self.problem, &tour.order).total_s();
        if exact_s < self.exact_s - 1.0e-9 {
            self.exact_s = exact_s;
            self.order.clone_from(&tour.order);
        }
        self.here = false;
    }

    fn after_change(&mut self, tour: &Tour) {
        let cost_s = tour.cost_s();
        self.here |= cost_s < self.cost_s - 1.0e-9 || cost_s < self.cost_s * (1.0 + self.near_fraction);
        self.cost_s = self.cost_s.min(cost_s);
    }
}

fn anneal(problem: &Problem, doing: &str, most: u64, budget: &Budget, seed: Seed) -> Annealed {
    let start = greedy::order(problem);
    if start.len() < 2 {
        return Annealed { order: start, tries: 0, stopped: false };
    }
    let mut tour = Tour::new(problem, start);
    let mut best = Best::new(problem, &tour);
    let followers = Followers::new(problem);
    let mut dice = Dice(Pcg64Mcg::seed_from_u64(seed.0));
    let hot_s = hot_s(problem);
    let mut heat_s = hot_s;
    let coolings = if problem.nodes.len() <= FEW_NODES { COOLINGS_OF_FEW } else { 1.0 };
    let mut tries = 0;
    let mut stopped = false;
    while tries < most {
        let done_fraction = tries as f64 / most as f64;
        if tries.is_multiple_of(COOL_EVERY) {
            let cooled_fraction = done_fraction * coolings - math::floor(done_fraction * coolings);
            heat_s = hot_s * math::pow(COLD_S / hot_s, cooled_fraction);
        }
        if tries.is_multiple_of(WATCH_EVERY) {
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
    if best.here {
        best.weigh(&tour);
    }
    Annealed { order: best.order, tries, stopped }
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
