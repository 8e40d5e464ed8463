//! One cooling run: exchanges are accepted by the annealing rule, and the best order seen is weighed exactly.

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;
use units::math;

use super::chain::evaluate_node_order;
use super::moves::{CheapestFollowers, NodeOrderDice, StretchChange, draw_cuts};
use super::problem::NodeOrderProblem;
use super::tour::NodeOrderTour;

/// Up to this many nodes orders near to the best are weighed exactly too, where waits make the search's own measure rough.
const MAX_ROUGH_NODES: usize = 60;
/// How near (assumption).
const NEAR_FRACTION: f64 = 0.15;
/// Tries at one temperature.
const COOL_EVERY: u64 = 64;
/// Tries between two looks at the watch.
const LOOK_EVERY: u64 = 1024;

/// From how hot to how cold, in how many tries, how many times over.
#[derive(Debug, Clone, Copy)]
pub(super) struct NodeOrderCooling {
    pub(super) hot_s: f64,
    pub(super) cold_s: f64,
    pub(super) tries: u64,
    pub(super) times: u32,
}

impl NodeOrderCooling {
    fn heat_s(&self, tries: u64) -> f64 {
        let done = tries as f64 / self.tries as f64 * f64::from(self.times);
        self.hot_s * math::pow(self.cold_s / self.hot_s, done - math::floor(done))
    }
}

/// The best order of a cooling.
#[derive(Debug, Clone)]
pub(super) struct CooledNodeOrder {
    pub(super) order: Vec<usize>,
    pub(super) exact_s: f64,
    pub(super) tries: u64,
}

/// The best order seen; evaluated only when the search is about to leave it.
///
/// The search weighs waits by a path that need not be the one taken in the end. So orders as good as the best by its
/// measure, and for few nodes also those nearly as good, are weighed exactly before one is kept.
struct BestNodeOrder<'p> {
    problem: &'p NodeOrderProblem,
    order: Vec<usize>,
    exact_s: f64,
    cost_s: f64,
    near_fraction: f64,
    here: bool,
}

impl<'p> BestNodeOrder<'p> {
    fn new(problem: &'p NodeOrderProblem, tour: &NodeOrderTour) -> Self {
        let order = tour.order.clone();
        let exact_s = evaluate_node_order(problem, &order).total_s();
        let is_rough = !problem.lags.is_empty() && problem.nodes.len() <= MAX_ROUGH_NODES;
        let near_fraction = if is_rough { NEAR_FRACTION } else { 0.0 };
        Self { problem, order, exact_s, cost_s: tour.cost_s(), near_fraction, here: false }
    }

    fn before_change(&mut self, tour: &NodeOrderTour, change_s: f64) {
        if self.here && (change_s > 0.0 || self.near_fraction > 0.0) {
            self.weigh_exactly(tour);
        }
    }

    fn weigh_exactly(&mut self, tour: &NodeOrderTour) {
        let exact_s = evaluate_node_order(self.problem, &tour.order).total_s();
        if exact_s < self.exact_s - 1.0e-9 {
            self.exact_s = exact_s;
            self.order.clone_from(&tour.order);
        }
        self.here = false;
    }

    fn after_change(&mut self, tour: &NodeOrderTour) {
        let cost_s = tour.cost_s();
        self.here |= cost_s < self.cost_s - 1.0e-9 || cost_s < self.cost_s * (1.0 + self.near_fraction);
        self.cost_s = self.cost_s.min(cost_s);
    }
}

/// Cools an order; `look` receives the share done and returns whether to stop.
pub(super) fn anneal_node_order(
    problem: &NodeOrderProblem,
    followers: &CheapestFollowers,
    order: Vec<usize>,
    cooling: &NodeOrderCooling,
    seed: u64,
    look: &dyn Fn(f64) -> bool,
) -> CooledNodeOrder {
    let mut tour = NodeOrderTour::new(problem, order);
    let mut best = BestNodeOrder::new(problem, &tour);
    let mut dice = NodeOrderDice(Pcg64Mcg::seed_from_u64(seed));
    let mut change = StretchChange::default();
    let mut heat_s = cooling.hot_s;
    let mut tries = 0;
    while tries < cooling.tries {
        if tries.is_multiple_of(COOL_EVERY) {
            heat_s = cooling.heat_s(tries);
        }
        if tries.is_multiple_of(LOOK_EVERY) && look(tries as f64 / cooling.tries as f64) {
            break;
        }
        tries += 1;
        let limit_s = -heat_s * math::ln(dice.draw_share());
        let Some(cuts) = draw_cuts(&tour, followers, &mut dice) else { continue };
        if !change.set_exchange(problem, &tour, cuts, &mut dice) {
            continue;
        }
        if let Some(change_s) = tour.weigh_change(change.left, &change.pieces, limit_s) {
            best.before_change(&tour, change_s);
            tour.take_change();
            best.after_change(&tour);
        }
    }
    if best.here {
        best.weigh_exactly(&tour);
    }
    CooledNodeOrder { order: best.order, exact_s: best.exact_s, tries }
}
