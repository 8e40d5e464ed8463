//! A greedy order first, then annealing on all cores; exact where the problem is small.

use core::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use effort::{RandomSeed, SolverBudget};
use model::{OutcomeUnit, SolverOutcome, SolverStanding};

use super::anneal::{CooledNodeOrder, NodeOrderCooling, anneal_node_order};
use super::bound::node_order_bound_s;
use super::chain::evaluate_node_order;
use super::moves::CheapestFollowers;
use super::problem::NodeOrderProblem;
use super::{greedy, plain};

/// Up to this many nodes without waits the exact method is used.
const MAX_EXACT_NODES: usize = 10;
/// Up to this many nodes with waits every order is looked at.
const MAX_EVERY_ORDER_NODES: usize = 7;
/// Small problems freeze early: up to this many nodes the tries are divided among several coolings.
const MAX_FEW_NODES: usize = 60;
const COOLINGS_OF_FEW: u32 = 6;
/// Temperature at the start: this share of the longest entering time of a station, but at least [`LEAST_HOT_S`]
/// (assumption, from trials on generated books).
const HOT_FRACTION: f64 = 0.5;
/// A change of tool (assumption, from trials).
const MIN_HOT_S: f64 = 8.0;
/// Temperature at the end, well below the cheapest swap (assumption, from trials).
const COLD_S: f64 = 0.25;
/// Temperature from which an order that is already good is improved: about a tool picked up (assumption).
const WARM_S: f64 = 4.0;
/// Tries of a worker that suit a problem: a number for each node, within limits.
const TRIES_PER_NODE: u64 = 18_000;
const MIN_TRIES: u64 = 50_000;
const MAX_TRIES: u64 = 8_000_000;
/// Of its tries a worker keeps one part in this many for the best order of all workers (assumption, from trials).
const TOGETHER_ONE_IN: u64 = 4;
/// Temperature from which they better it, as a share of the first one (assumption, from trials).
const TOGETHER_HOT_FRACTION: f64 = 0.3;
/// Separates the random streams of workers and rounds (the golden ratio's fraction in 64 bits).
const APART: u64 = 0x9e37_79b9_7f4a_7c15;

/// The random seed and the number of workers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NodeOrderSettings {
    /// Start of the dice.
    pub seed: RandomSeed,
    /// Workers; at least one works.
    pub threads: usize,
}

/// An order, the choice of each node, and how good it is.
#[derive(Debug, Clone, PartialEq)]
pub struct NodeOrderAnswer {
    /// Nodes in order.
    pub order: Vec<usize>,
    /// Choice of each node; `None` for nodes without choices.
    pub choices: Vec<Option<usize>>,
    /// Set-ups, work and waits in seconds, and the bound on any order.
    pub outcome: SolverOutcome,
}

/// The best order found with the budget by all workers; the same for the same problem, effort and settings.
#[must_use]
pub fn solve_node_order(
    problem: &NodeOrderProblem,
    doing: &str,
    budget: &SolverBudget,
    settings: NodeOrderSettings,
) -> NodeOrderAnswer {
    if problem.nodes.len() <= MAX_EXACT_NODES && problem.lags.is_empty() {
        return plain::solve_by_sets(problem);
    }
    if problem.nodes.len() <= MAX_EVERY_ORDER_NODES {
        return plain::try_every_order(problem);
    }
    let sized = (problem.nodes.len() as u64 * TRIES_PER_NODE).clamp(MIN_TRIES, MAX_TRIES);
    let most = budget.effort.tries_or_sized(sized);
    let seed = settings.seed;
    let crew = NodeOrderCrew::new(problem, settings.threads);
    let times = if problem.nodes.len() <= MAX_FEW_NODES { COOLINGS_OF_FEW } else { 1 };
    let together = most / TOGETHER_ONE_IN;
    let first = NodeOrderCooling { hot_s: hot_s(problem), cold_s: COLD_S, tries: most - together, times };
    let then =
        NodeOrderCooling { hot_s: first.hot_s * TOGETHER_HOT_FRACTION, tries: together, times: 1, ..first };
    let start = greedy::greedy_order(problem);
    let tell = |done: f64| {
        budget.watch.report_progress(doing, done);
        budget.watch.should_stop()
    };
    let alone = first.tries as f64 / most.max(1) as f64;
    let found = crew.cool_order(start, &first, &|done| tell(done * alone), seed.0);
    let found = crew.cool_order(found, &then, &|done| tell(alone + done * (1.0 - alone)), !seed.0);
    crew.answer_for(found)
}

/// The best order found from a given one on, which has to respect the precedence; never a worse one.
///
/// The annealing begins cool, so that what is good stays.
#[must_use]
pub fn improve_node_order(
    problem: &NodeOrderProblem,
    order: &[usize],
    tries: u64,
    budget: &SolverBudget,
    seed: RandomSeed,
) -> NodeOrderAnswer {
    let crew = NodeOrderCrew::new(problem, 1);
    let cooling = NodeOrderCooling { hot_s: WARM_S, cold_s: COLD_S, tries, times: 1 };
    let found = crew.cool_order(order.to_vec(), &cooling, &|_| budget.watch.should_stop(), seed.0);
    crew.answer_for(found)
}

fn hot_s(problem: &NodeOrderProblem) -> f64 {
    let used = problem.nodes.iter().map(|n| problem.enter_s[usize::from(n.station)]);
    (used.fold(0.0, f64::max) * HOT_FRACTION).max(MIN_HOT_S)
}

/// Workers on one problem.
struct NodeOrderCrew<'a> {
    problem: &'a NodeOrderProblem,
    followers: CheapestFollowers,
    threads: usize,
    stopped: AtomicBool,
    tries: AtomicU64,
}

impl<'a> NodeOrderCrew<'a> {
    fn new(problem: &'a NodeOrderProblem, threads: usize) -> Self {
        let (stopped, tries) = (AtomicBool::new(false), AtomicU64::new(0));
        Self { problem, followers: CheapestFollowers::new(problem), threads: threads.max(1), stopped, tries }
    }

    /// Every worker cools the order by its own dice; the best of what they find. Only the first reports
    /// progress and learns when to stop.
    fn cool_order(
        &self,
        order: Vec<usize>,
        cooling: &NodeOrderCooling,
        tell: &dyn Fn(f64) -> bool,
        seed: u64,
    ) -> Vec<usize> {
        if order.len() < 2 || cooling.tries == 0 {
            return order;
        }
        let ask = |done: f64| {
            if tell(done) {
                self.stopped.store(true, Ordering::Relaxed);
            }
            self.stopped.load(Ordering::Relaxed)
        };
        let hear = |_: f64| self.stopped.load(Ordering::Relaxed);
        let run = |worker: usize, look: &dyn Fn(f64) -> bool| {
            let seed = seed ^ APART.wrapping_mul(worker as u64);
            let found = anneal_node_order(self.problem, &self.followers, order.clone(), cooling, seed, look);
            self.tries.fetch_add(found.tries, Ordering::Relaxed);
            found
        };
        let run = &run;
        let all: Vec<CooledNodeOrder> = std::thread::scope(|scope| {
            let others: Vec<_> = (1..self.threads).map(|w| scope.spawn(move || run(w, &hear))).collect();
            let first = run(0, &ask);
            core::iter::once(first).chain(others.into_iter().filter_map(|o| o.join().ok())).collect()
        });
        let best = all.into_iter().min_by(|a, b| a.exact_s.total_cmp(&b.exact_s));
        best.map_or(order, |found| found.order)
    }

    fn answer_for(&self, order: Vec<usize>) -> NodeOrderAnswer {
        let best = evaluate_node_order(self.problem, &order);
        let value = best.total_s();
        let bound = node_order_bound_s(self.problem).min(value);
        let standing = match (value - bound <= 1.0e-6, self.stopped.load(Ordering::Relaxed)) {
            (true, _) => SolverStanding::Proven,
            (false, false) => SolverStanding::Found,
            (false, true) => SolverStanding::Stopped,
        };
        let effort = self.tries.load(Ordering::Relaxed);
        let outcome = SolverOutcome { standing, value, bound, unit: OutcomeUnit::Seconds, effort };
        NodeOrderAnswer { order, choices: best.choices, outcome }
    }
}
