//! A greedy order first, then annealing on all cores; exact where the problem is small.

use core::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use effort::{Budget, Seed};
use model::{Outcome, Standing};

use super::anneal::{Annealed, Cooling, anneal};
use super::bound::bound_s;
use super::chain::evaluate;
use super::moves::Followers;
use super::problem::Problem;
use super::{greedy, plain};

/// Up to this many nodes without waits the exact method is used.
const SMALL: usize = 10;
/// Up to this many nodes with waits every order is looked at.
const TINY: usize = 7;
/// Small problems freeze early: up to so many nodes the tries are shared out among several coolings.
const FEW_NODES: usize = 60;
const COOLINGS_OF_FEW: u32 = 6;
/// Temperature at the start: this share of the longest entering time of a station, but at least [`LEAST_HOT_S`]
/// (assumption, from trials on generated books).
const HOT_FRACTION: f64 = 0.5;
/// A change of tool (assumption, from trials).
const LEAST_HOT_S: f64 = 8.0;
/// Temperature at the end, well below the cheapest swap (assumption, from trials).
const COLD_S: f64 = 0.25;
/// Temperature from which an order that is good already is bettered: about a tool picked up (assumption).
const WARM_S: f64 = 4.0;
/// Tries of a worker that suit a problem: so many for each node, within limits.
const TRIES_PER_NODE: u64 = 18_000;
const FEWEST_TRIES: u64 = 50_000;
const MOST_TRIES: u64 = 8_000_000;
/// Of its tries a worker keeps one part in this many for the best order of all workers (assumption, from trials).
const TOGETHER_ONE_IN: u64 = 4;
/// Temperature from which they better it, as a share of the first one (assumption, from trials).
const TOGETHER_HOT_FRACTION: f64 = 0.3;
/// Tells the dice of workers and rounds apart (the golden ratio's fraction in 64 bits).
const APART: u64 = 0x9e37_79b9_7f4a_7c15;

/// By what dice, and by how many workers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    /// Start of the dice.
    pub seed: Seed,
    /// Workers; at least one works.
    pub threads: usize,
}

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

/// The best order found with the budget by all workers; the same for the same problem, effort and settings.
#[must_use]
pub fn solve(problem: &Problem, doing: &str, budget: &Budget, settings: Settings) -> Solved {
    if problem.nodes.len() <= SMALL && problem.lags.is_empty() {
        return plain::solve(problem);
    }
    if problem.nodes.len() <= TINY {
        return plain::every_order(problem);
    }
    let sized = (problem.nodes.len() as u64 * TRIES_PER_NODE).clamp(FEWEST_TRIES, MOST_TRIES);
    let most = budget.effort.tries(sized);
    let seed = settings.seed;
    let crew = Crew::new(problem, settings.threads);
    let times = if problem.nodes.len() <= FEW_NODES { COOLINGS_OF_FEW } else { 1 };
    let together = most / TOGETHER_ONE_IN;
    let first = Cooling { hot_s: hot_s(problem), cold_s: COLD_S, tries: most - together, times };
    let then = Cooling { hot_s: first.hot_s * TOGETHER_HOT_FRACTION, tries: together, times: 1, ..first };
    let start = greedy::order(problem);
    let tell = |done: f64| {
        budget.watch.progress(doing, done);
        budget.watch.stop()
    };
    let alone = first.tries as f64 / most.max(1) as f64;
    let found = crew.anneal(start, &first, &|done| tell(done * alone), seed.0);
    let found = crew.anneal(found, &then, &|done| tell(alone + done * (1.0 - alone)), !seed.0);
    crew.solved(found)
}

/// The best order found from a given one on, which has to respect the precedence; never a worse one.
///
/// The annealing begins cool, so that what is good stays.
#[must_use]
pub fn improve(problem: &Problem, order: &[usize], tries: u64, budget: &Budget, seed: Seed) -> Solved {
    let crew = Crew::new(problem, 1);
    let cooling = Cooling { hot_s: WARM_S, cold_s: COLD_S, tries, times: 1 };
    let found = crew.anneal(order.to_vec(), &cooling, &|_| budget.watch.stop(), seed.0);
    crew.solved(found)
}

fn hot_s(problem: &Problem) -> f64 {
    let used = problem.nodes.iter().map(|n| problem.enter_s[usize::from(n.station)]);
    (used.fold(0.0, f64::max) * HOT_FRACTION).max(LEAST_HOT_S)
}

/// Workers on one problem.
struct Crew<'a> {
    problem: &'a Problem,
    followers: Followers,
    threads: usize,
    stopped: AtomicBool,
    tries: AtomicU64,
}

impl<'a> Crew<'a> {
    fn new(problem: &'a Problem, threads: usize) -> Self {
        let (stopped, tries) = (AtomicBool::new(false), AtomicU64::new(0));
        Self { problem, followers: Followers::new(problem), threads: threads.max(1), stopped, tries }
    }

    /// Every worker cools the order by its own dice; the best of what they find. Only the first
    /// tells how far it is and hears when to stop.
    fn anneal(
        &self,
        order: Vec<usize>,
        cooling: &Cooling,
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
            let found = anneal(self.problem, &self.followers, order.clone(), cooling, seed, look);
            self.tries.fetch_add(found.tries, Ordering::Relaxed);
            found
        };
        let run = &run;
        let all: Vec<Annealed> = std::thread::scope(|scope| {
            let others: Vec<_> = (1..self.threads).map(|w| scope.spawn(move || run(w, &hear))).collect();
            let first = run(0, &ask);
            core::iter::once(first).chain(others.into_iter().filter_map(|o| o.join().ok())).collect()
        });
        let best = all.into_iter().min_by(|a, b| a.exact_s.total_cmp(&b.exact_s));
        best.map_or(order, |found| found.order)
    }

    fn solved(&self, order: Vec<usize>) -> Solved {
        let best = evaluate(self.problem, &order);
        let value = best.total_s();
        let bound = bound_s(self.problem).min(value);
        let standing = match (value - bound <= 1.0e-6, self.stopped.load(Ordering::Relaxed)) {
            (true, _) => Standing::Proven,
            (false, false) => Standing::Found,
            (false, true) => Standing::Stopped,
        };
        let effort = self.tries.load(Ordering::Relaxed);
        let outcome = Outcome { standing, value, bound, unit: "seconds".into(), effort };
        Solved { order, choices: best.choices, outcome }
    }
}
