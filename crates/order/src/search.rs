//! The rounds of the search: each worker goes on from its own best order, the first also on the proving side.

use core::sync::atomic::{AtomicBool, Ordering};
use core::time::Duration;

use effort::{RandomSeed, SolverWatch};

use crate::anneal::{CoolingRange, anneal_tour};
use crate::assign::{AssignmentBound, assignment_of_net};
use crate::chain::WeightedPassages;
use crate::dice::OrderDice;
use crate::followers::NearNodes;
use crate::front::ProofFront;
use crate::greedy::build_greedy_order;
use crate::guide::PriceGuide;
use crate::hop::{HopInputs, hop_tour};
use crate::iterate::iterate_descent;
use crate::loosen::loosen_tour;
use crate::merge::{OrderPool, breed_orders};
use crate::net::SequencingNet;
use crate::recreate::recreate_tour;
use crate::tour::NodeTour;
use crate::work::TryCounter;

/// Near nodes kept on either side of each node.
pub(crate) const NEAR: usize = 12;
/// Near nodes that chains go to, on either side of each node.
const NEAREST: usize = 6;
/// Longest rounds in tries for each pair of nodes, and where all that is done is hopping.
const MAX_ROUND_TRIES_PER_PAIR: u64 = 20_000;
const MAX_HOP_TRIES_PER_PAIR: u64 = 10_000;
/// Longest rounds where the precedence is tight, so that the ways to search on take turns (assumption, from trials).
const MAX_TIGHT_ROUND_TRIES: u64 = 1 << 26;
/// Between two looks at the watch while others work.
const LISTEN_EVERY: Duration = Duration::from_millis(1);
/// When loosening starts from a fresh order, one in this many of its tries goes into making that order.
const AFRESH_ONE_IN: u64 = 8;
/// The end of a hopping, as a share of its start.
const HOP_COLD_SHARE: f64 = 0.6;
/// What a worker does in four rounds, and from how hot, as a share of the scale of the costs.
type MethodRotation = [(OrderSearchMethod, f64); 4];

/// Where the precedence orders most pairs.
const TIGHT: MethodRotation = [
    (OrderSearchMethod::Anneal, 1.0),
    (OrderSearchMethod::Loosen, 0.5),
    (OrderSearchMethod::Recreate, 0.5),
    (OrderSearchMethod::Loosen, 0.5),
];
/// Where the precedence is loose and the way back costs something else.
const LOOSE: MethodRotation = [
    (OrderSearchMethod::Anneal, 1.0),
    (OrderSearchMethod::Breed, 1.0),
    (OrderSearchMethod::Hop(7), 0.7),
    (OrderSearchMethod::Breed, 1.0),
];
/// Where the precedence is loose and the way back costs the same.
const LOOSE_EVEN: MethodRotation = [(OrderSearchMethod::Hop(4), 0.7); 4];

/// Ways to search on from an order.
#[derive(Debug, Clone, Copy)]
enum OrderSearchMethod {
    Anneal,
    Recreate,
    Loosen,
    Breed,
    /// Hopping by chains that remove at most this many passages.
    Hop(usize),
}

/// An order and what it costs.
#[derive(Debug, Clone)]
pub(crate) struct FoundOrder {
    pub(crate) order: Vec<u32>,
    pub(crate) value: i64,
}

/// What a worker brings from a round.
#[derive(Debug)]
struct WorkerReport {
    found: FoundOrder,
    pool: OrderPool,
    spent: u64,
}

/// The state of a search between two rounds.
#[derive(Debug)]
pub(crate) struct SequencingSearch<'n> {
    net: &'n SequencingNet,
    prices: AssignmentBound,
    near: NearNodes,
    /// The prices of the best bound so far.
    guide: PriceGuide,
    /// What chains go by, where hopping is one of the ways to search on.
    passages: Option<WeightedPassages<'n>>,
    /// The bound of the prices by which they are near.
    near_bound: i64,
    /// The cost scale: the median reduced cost among near nodes.
    hot_cost: f64,
    seed: u64,
    rounds: u64,
    front: ProofFront,
    /// The best order of each worker.
    own: Vec<FoundOrder>,
    /// Good orders of each worker.
    pools: Vec<OrderPool>,
    pub(crate) best: FoundOrder,
    pub(crate) effort: u64,
}

impl<'n> SequencingSearch<'n> {
    pub(crate) fn new(
        net: &'n SequencingNet,
        start: Option<Vec<u32>>,
        seed: RandomSeed,
        threads: usize,
    ) -> Self {
        let prices = assignment_of_net(net);
        let order = start.unwrap_or_else(|| build_greedy_order(net, &prices));
        let best = FoundOrder { value: net.order_value(&order), order };
        let front = ProofFront::new(net, &prices);
        let near = NearNodes::new(net, front.best_guide(), NEAR);
        Self {
            net,
            hot_cost: scale_cost(net, front.best_guide(), &near),
            near,
            guide: front.best_guide().clone(),
            passages: net.is_loose.then(|| WeightedPassages::new(net, &prices, NEAREST)),
            near_bound: front.bound,
            seed: seed.0,
            rounds: 0,
            front,
            prices,
            own: vec![best.clone(); threads.max(1)],
            pools: vec![OrderPool::default(); threads.max(1)],
            best,
            effort: 0,
        }
    }

    pub(crate) fn worker_count(&self) -> usize {
        self.own.len()
    }

    /// No order costs less.
    pub(crate) fn bound(&self) -> i64 {
        self.front.bound.min(self.best.value)
    }

    pub(crate) fn is_proven(&self) -> bool {
        self.best.value <= self.front.bound
    }

    /// Tries of a worker in the longest rounds: slower cooling brings no more (assumption, from trials).
    pub(crate) fn longest_round(&self) -> u64 {
        let pairs = (self.net.n * self.net.n) as u64;
        match (self.is_all_hopping(), self.net.is_loose) {
            (true, _) => MAX_HOP_TRIES_PER_PAIR * pairs,
            (false, true) => MAX_ROUND_TRIES_PER_PAIR * pairs,
            (false, false) => MAX_TIGHT_ROUND_TRIES.min(MAX_ROUND_TRIES_PER_PAIR * pairs),
        }
    }

    /// Whether hopping is all that is done; its kicks go by the prices of the assignment throughout.
    fn is_all_hopping(&self) -> bool {
        self.net.is_loose && self.net.is_even
    }

    /// One round of all workers; true if the best improved.
    pub(crate) fn run_round(&mut self, share: u64, halt: &AtomicBool, watch: &dyn SolverWatch) -> bool {
        let mut front = std::mem::replace(&mut self.front, ProofFront::new(self.net, &self.prices));
        let this = &*self;
        let reports: Vec<WorkerReport> = std::thread::scope(|scope| {
            let others: Vec<_> = (1..this.worker_count())
                .map(|w| scope.spawn(move || this.run_worker(w, None, TryCounter::new(share, halt, None))))
                .collect();
            let first = this.run_worker(0, Some(&mut front), TryCounter::new(share, halt, Some(watch)));
            // The others may take longer; this thread polls the watch meanwhile.
            while others.iter().any(|o| !o.is_finished()) {
                if watch.should_stop() {
                    halt.store(true, Ordering::Relaxed);
                }
                std::thread::sleep(LISTEN_EVERY);
            }
            core::iter::once(first).chain(others.into_iter().filter_map(|o| o.join().ok())).collect()
        });
        if front.bound > self.near_bound && !self.is_all_hopping() {
            self.near_bound = front.bound;
            self.guide = front.best_guide().clone();
            self.near = NearNodes::new(self.net, &self.guide, NEAR);
        }
        self.front = front;
        self.rounds += 1;
        let before = self.best.value;
        for (worker, WorkerReport { found, pool, spent }) in reports.into_iter().enumerate() {
            self.effort += spent;
            self.pools[worker] = pool;
            if found.value < self.best.value {
                self.best = found.clone();
            }
            self.own[worker] = found;
        }
        self.best.value < before
    }

    /// The round of one worker: the proving side first where there is one, then one way to search on.
    fn run_worker(
        &self,
        worker: usize,
        front: Option<&mut ProofFront>,
        mut work: TryCounter,
    ) -> WorkerReport {
        let mut found = self.own[worker].clone();
        if let Some(front) = front {
            let limit = self.best.value.min(found.value);
            if let Some(order) = front.advance_proof(self.net, limit, &mut work) {
                found = FoundOrder { value: self.net.order_value(&order), order };
            }
            if front.bound >= found.value.min(limit) {
                return WorkerReport { found, pool: self.pools[worker].clone(), spent: work.tries_spent() };
            }
        }
        let mut dice = OrderDice::new(self.seed, worker as u64, self.rounds);
        let (kind, share) = rotation_of_net(self.net)[(self.rounds as usize + worker) % TIGHT.len()];
        let mut pool = self.pools[worker].clone();
        let cooling = CoolingRange::from_hot(self.hot_cost * share, work.tries_left());
        let mut tour = NodeTour::new(self.net, self.start_of(worker, &found));
        let (net, near) = (self.net, &self.near);
        match kind {
            OrderSearchMethod::Anneal => anneal_tour(&mut tour, net, near, &mut dice, cooling, &mut work),
            OrderSearchMethod::Recreate => recreate_tour(&mut tour, net, near, &mut dice, cooling, &mut work),
            OrderSearchMethod::Hop(most_cuts) => {
                self.hop_from(&mut tour, most_cuts, &mut dice, cooling, &mut work)
            }
            OrderSearchMethod::Loosen => self.loosen_best(&mut tour, worker, &mut dice, cooling, &mut work),
            OrderSearchMethod::Breed => self.breed_pool(&mut tour, &mut pool, &mut dice, cooling, &mut work),
        }
        pool.add_order(&FoundOrder { value: tour.value, order: tour.order.clone() });
        if tour.value < found.value {
            found = FoundOrder { value: tour.value, order: tour.order };
        }
        WorkerReport { found, pool, spent: work.tries_spent() }
    }

    /// Loosens the best so far, or by turns an order made afresh: from a good order that is not yet at rest the best is often nearer.
    fn loosen_best(
        &self,
        tour: &mut NodeTour,
        worker: usize,
        dice: &mut OrderDice,
        cooling: CoolingRange,
        work: &mut TryCounter,
    ) {
        if !(self.rounds as usize / TIGHT.len() + worker).is_multiple_of(2) {
            let order = build_greedy_order(self.net, &self.prices);
            tour.set_order(&order, self.net.order_value(&order));
            let brief = CoolingRange { tries: cooling.tries / AFRESH_ONE_IN, ..cooling };
            iterate_descent(tour, self.net, &self.near, dice, brief, work);
        }
        loosen_tour(tour, self.net, &self.near, &self.guide, dice, work);
    }

    /// Hops where it is one of the ways to search on.
    fn hop_from(
        &self,
        tour: &mut NodeTour,
        most_cuts: usize,
        dice: &mut OrderDice,
        cooling: CoolingRange,
        work: &mut TryCounter,
    ) {
        let Some(passages) = &self.passages else { return };
        let (net, near, scale_cost) = (self.net, &self.near, self.hot_cost);
        let cooling = CoolingRange { cold_cost: cooling.hot_cost * HOP_COLD_SHARE, ..cooling };
        hop_tour(tour, HopInputs { net, near, passages, most_cuts, scale_cost }, dice, cooling, work);
    }

    /// The order that a round starts from: the best so far, or mostly the first again where that is soon left behind.
    fn start_of(&self, worker: usize, found: &FoundOrder) -> Vec<u32> {
        let is_fresh = self.is_all_hopping() && !(self.rounds as usize + worker).is_multiple_of(4);
        if is_fresh { build_greedy_order(self.net, &self.prices) } else { found.order.clone() }
    }

    /// Merges what a worker and the others have found; the tour ends as the best of it.
    fn breed_pool(
        &self,
        tour: &mut NodeTour,
        pool: &mut OrderPool,
        dice: &mut OrderDice,
        cooling: CoolingRange,
        work: &mut TryCounter,
    ) {
        pool.add_order(&self.best);
        let first = build_greedy_order(self.net, &self.prices);
        let mut fresh = |tries: u64, dice: &mut OrderDice, work: &mut TryCounter| {
            let mut tour = NodeTour::new(self.net, first.clone());
            anneal_tour(&mut tour, self.net, &self.near, dice, CoolingRange { tries, ..cooling }, work);
            FoundOrder { value: tour.value, order: tour.order }
        };
        if let Some(found) =
            breed_orders(pool, &mut fresh, self.net, dice, work).filter(|f| f.value < tour.value)
        {
            tour.set_order(&found.order, found.value);
        }
    }
}

fn rotation_of_net(net: &SequencingNet) -> MethodRotation {
    match (net.is_loose, net.is_even) {
        (false, _) => TIGHT,
        (true, false) => LOOSE,
        (true, true) => LOOSE_EVEN,
    }
}

/// The middle reduced cost among the near nodes.
pub(crate) fn scale_cost(net: &SequencingNet, guide: &PriceGuide, near: &NearNodes) -> f64 {
    let over = |a: usize| near.onward[a].iter().map(move |b| guide.reduced_cost(net, a as u32, *b));
    let mut all: Vec<i64> = (0..net.n).flat_map(over).collect();
    all.sort_unstable();
    (all.get(all.len() / 2).copied().unwrap_or(0) as f64).max(0.5)
}
