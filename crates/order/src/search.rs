//! The rounds of the search: each worker goes on from its own best order, the first also on the proving side.

use core::sync::atomic::{AtomicBool, Ordering};
use core::time::Duration;

use effort::{Seed, Watch};

use crate::anneal::{Cooling, anneal};
use crate::assign::{Assigned, of_net};
use crate::chain::Passages;
use crate::dice::Dice;
use crate::followers::Near;
use crate::front::Front;
use crate::greedy::greedy;
use crate::guide::Guide;
use crate::hop::{Ground, hop};
use crate::iterate::iterate;
use crate::loosen::loosen;
use crate::merge::{Pool, breed};
use crate::net::Net;
use crate::recreate::recreate;
use crate::tour::Tour;
use crate::work::Work;

/// Near nodes kept on either side of each node.
pub(crate) const NEAR: usize = 12;
/// Near nodes that chains go to, on either side of each node.
const NEAREST: usize = 6;
/// Longest rounds in tries for each pair of nodes, and where all that is done is hopping.
const LONGEST: u64 = 20_000;
const LONGEST_HOP: u64 = 10_000;
/// Longest rounds where the precedence is tight, so that the ways to search on take turns (assumption, from trials).
const LONGEST_TIGHT: u64 = 1 << 26;
/// Between two looks at the watch while others work.
const LISTEN_EVERY: Duration = Duration::from_millis(1);
/// Of the tries of a loosening that starts afresh one in so many makes the order.
const AFRESH_ONE_IN: u64 = 8;
/// The end of a hopping, as a share of its start.
const HOP_COLD_SHARE: f64 = 0.6;
/// What a worker does in four rounds, and from how hot, as a share of the scale of the costs.
type Schedule = [(Kind, f64); 4];

/// Where the precedence orders most pairs.
const TIGHT: Schedule =
    [(Kind::Anneal, 1.0), (Kind::Loosen, 0.5), (Kind::Recreate, 0.5), (Kind::Loosen, 0.5)];
/// Where the precedence is loose and the way back costs something else.
const LOOSE: Schedule = [(Kind::Anneal, 1.0), (Kind::Breed, 1.0), (Kind::Hop(7), 0.7), (Kind::Breed, 1.0)];
/// Where the precedence is loose and the way back costs the same.
const LOOSE_EVEN: Schedule = [(Kind::Hop(4), 0.7); 4];

/// Ways to search on from an order.
#[derive(Debug, Clone, Copy)]
enum Kind {
    Anneal,
    Recreate,
    Loosen,
    Breed,
    /// Hopping by chains that take away so many passages at most.
    Hop(usize),
}

/// An order and what it costs.
#[derive(Debug, Clone)]
pub(crate) struct Found {
    pub(crate) order: Vec<u32>,
    pub(crate) value: i64,
}

/// What a worker brings from a round.
#[derive(Debug)]
struct Report {
    found: Found,
    pool: Pool,
    spent: u64,
}

/// The state of a search between two rounds.
#[derive(Debug)]
pub(crate) struct Search<'n> {
    net: &'n Net,
    prices: Assigned,
    near: Near,
    /// The prices of the best bound so far.
    guide: Guide,
    /// What chains go by, where hopping is one of the ways to search on.
    passages: Option<Passages<'n>>,
    /// The bound of the prices by which they are near.
    near_bound: i64,
    /// A cost that tells near from far.
    hot_cost: f64,
    seed: u64,
    rounds: u64,
    front: Front,
    /// The best order of each worker.
    own: Vec<Found>,
    /// Good orders of each worker.
    pools: Vec<Pool>,
    pub(crate) best: Found,
    pub(crate) effort: u64,
}

impl<'n> Search<'n> {
    pub(crate) fn new(net: &'n Net, start: Option<Vec<u32>>, seed: Seed, threads: usize) -> Self {
        let prices = of_net(net);
        let order = start.unwrap_or_else(|| greedy(net, &prices));
        let best = Found { value: net.value(&order), order };
        let front = Front::new(net, &prices);
        let near = Near::new(net, front.best_guide(), NEAR);
        Self {
            net,
            hot_cost: scale_cost(net, front.best_guide(), &near),
            near,
            guide: front.best_guide().clone(),
            passages: net.is_loose.then(|| Passages::new(net, &prices, NEAREST)),
            near_bound: front.bound,
            seed: seed.0,
            rounds: 0,
            front,
            prices,
            own: vec![best.clone(); threads.max(1)],
            pools: vec![Pool::default(); threads.max(1)],
            best,
            effort: 0,
        }
    }

    pub(crate) fn workers(&self) -> usize {
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
    pub(crate) fn longest(&self) -> u64 {
        let pairs = (self.net.n * self.net.n) as u64;
        match (self.is_all_hopping(), self.net.is_loose) {
            (true, _) => LONGEST_HOP * pairs,
            (false, true) => LONGEST * pairs,
            (false, false) => LONGEST_TIGHT.min(LONGEST * pairs),
        }
    }

    /// Whether hopping is all that is done; its kicks go by the prices of the assignment throughout.
    fn is_all_hopping(&self) -> bool {
        self.net.is_loose && self.net.is_even
    }

    /// One round of all workers; true when the best became better.
    pub(crate) fn round(&mut self, share: u64, halt: &AtomicBool, watch: &dyn Watch) -> bool {
        let mut front = std::mem::replace(&mut self.front, Front::new(self.net, &self.prices));
        let this = &*self;
        let reports: Vec<Report> = std::thread::scope(|scope| {
            let others: Vec<_> = (1..this.workers())
                .map(|w| scope.spawn(move || this.run(w, None, Work::new(share, halt, None))))
                .collect();
            let first = this.run(0, Some(&mut front), Work::new(share, halt, Some(watch)));
            // The others may take longer; somebody has to hear when to stop.
            while others.iter().any(|o| !o.is_finished()) {
                if watch.stop() {
                    halt.store(true, Ordering::Relaxed);
                }
                std::thread::sleep(LISTEN_EVERY);
            }
            core::iter::once(first).chain(others.into_iter().filter_map(|o| o.join().ok())).collect()
        });
        if front.bound > self.near_bound && !self.is_all_hopping() {
            self.near_bound = front.bound;
            self.guide = front.best_guide().clone();
            self.near = Near::new(self.net, &self.guide, NEAR);
        }
        self.front = front;
        self.rounds += 1;
        let before = self.best.value;
        for (worker, Report { found, pool, spent }) in reports.into_iter().enumerate() {
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
    fn run(&self, worker: usize, front: Option<&mut Front>, mut work: Work) -> Report {
        let mut found = self.own[worker].clone();
        if let Some(front) = front {
            let limit = self.best.value.min(found.value);
            if let Some(order) = front.advance(self.net, limit, &mut work) {
                found = Found { value: self.net.value(&order), order };
            }
            if front.bound >= found.value.min(limit) {
                return Report { found, pool: self.pools[worker].clone(), spent: work.spent() };
            }
        }
        let mut dice = Dice::new(self.seed, worker as u64, self.rounds);
        let (kind, share) = schedule(self.net)[(self.rounds as usize + worker) % TIGHT.len()];
        let mut pool = self.pools[worker].clone();
        let cooling = Cooling::from_hot(self.hot_cost * share, work.left());
        let mut tour = Tour::new(self.net, self.start_of(worker, &found));
        let (net, near) = (self.net, &self.near);
        match kind {
            Kind::Anneal => anneal(&mut tour, net, near, &mut dice, cooling, &mut work),
            Kind::Recreate => recreate(&mut tour, net, near, &mut dice, cooling, &mut work),
            Kind::Hop(most_cuts) => self.hop(&mut tour, most_cuts, &mut dice, cooling, &mut work),
            Kind::Loosen => self.loosen(&mut tour, worker, &mut dice, cooling, &mut work),
            Kind::Breed => self.breed(&mut tour, &mut pool, &mut dice, cooling, &mut work),
        }
        pool.add(&Found { value: tour.value, order: tour.order.clone() });
        if tour.value < found.value {
            found = Found { value: tour.value, order: tour.order };
        }
        Report { found, pool, spent: work.spent() }
    }

    /// Loosens the best so far, or by turns an order made afresh: from a good order that is not yet at rest the best is often nearer.
    fn loosen(&self, tour: &mut Tour, worker: usize, dice: &mut Dice, cooling: Cooling, work: &mut Work) {
        if !(self.rounds as usize / TIGHT.len() + worker).is_multiple_of(2) {
            let order = greedy(self.net, &self.prices);
            tour.set(&order, self.net.value(&order));
            let brief = Cooling { tries: cooling.tries / AFRESH_ONE_IN, ..cooling };
            iterate(tour, self.net, &self.near, dice, brief, work);
        }
        loosen(tour, self.net, &self.near, &self.guide, dice, work);
    }

    /// Hops where it is one of the ways to search on.
    fn hop(&self, tour: &mut Tour, most_cuts: usize, dice: &mut Dice, cooling: Cooling, work: &mut Work) {
        let Some(passages) = &self.passages else { return };
        let (net, near, scale_cost) = (self.net, &self.near, self.hot_cost);
        let cooling = Cooling { cold_cost: cooling.hot_cost * HOP_COLD_SHARE, ..cooling };
        hop(tour, Ground { net, near, passages, most_cuts, scale_cost }, dice, cooling, work);
    }

    /// The order that a round starts from: the best so far, or mostly the first again where that is soon left behind.
    fn start_of(&self, worker: usize, found: &Found) -> Vec<u32> {
        let is_fresh = self.is_all_hopping() && !(self.rounds as usize + worker).is_multiple_of(4);
        if is_fresh { greedy(self.net, &self.prices) } else { found.order.clone() }
    }

    /// Merges what a worker and the others have found; the tour ends as the best of it.
    fn breed(&self, tour: &mut Tour, pool: &mut Pool, dice: &mut Dice, cooling: Cooling, work: &mut Work) {
        pool.add(&self.best);
        let first = greedy(self.net, &self.prices);
        let mut fresh = |tries: u64, dice: &mut Dice, work: &mut Work| {
            let mut tour = Tour::new(self.net, first.clone());
            anneal(&mut tour, self.net, &self.near, dice, Cooling { tries, ..cooling }, work);
            Found { value: tour.value, order: tour.order }
        };
        if let Some(found) = breed(pool, &mut fresh, self.net, dice, work).filter(|f| f.value < tour.value) {
            tour.set(&found.order, found.value);
        }
    }
}

fn schedule(net: &Net) -> Schedule {
    match (net.is_loose, net.is_even) {
        (false, _) => TIGHT,
        (true, false) => LOOSE,
        (true, true) => LOOSE_EVEN,
    }
}

/// The middle reduced cost among the near nodes.
pub(crate) fn scale_cost(net: &Net, guide: &Guide, near: &Near) -> f64 {
    let over = |a: usize| near.onward[a].iter().map(move |b| guide.over(net, a as u32, *b));
    let mut all: Vec<i64> = (0..net.n).flat_map(over).collect();
    all.sort_unstable();
    (all.get(all.len() / 2).copied().unwrap_or(0) as f64).max(0.5)
}
