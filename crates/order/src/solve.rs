//! Bound, beam and descent in rounds that grow, shared out among workers; the best of all goes on.

use core::sync::atomic::{AtomicBool, Ordering};

use effort::{Budget, Seed, Standing, Watch};

use crate::anneal::{Cooling, anneal};
use crate::assign::{Assigned, of_net};
use crate::beam;
use crate::dice::Dice;
use crate::followers::Near;
use crate::greedy::greedy;
use crate::iterate::iterate;
use crate::net::Net;
use crate::problem::Problem;
use crate::ruin::ruin;
use crate::tour::Tour;
use crate::work::Work;

/// Near nodes kept on either side of each node.
const NEAR: usize = 12;
/// Tries of a worker in the first round; each round has half as many again.
const FIRST_ROUND: u64 = 1_000_000;
/// Tries that suit a problem, for each node.
const TRIES_PER_NODE: u64 = 200_000;
/// Width of the first beam.
const FIRST_WIDTH: usize = 64;
/// Share of the first worker's tries that the beam may take.
const BEAM_PERCENT: u64 = 30;

/// What a worker does in a round, and from how hot, as a share of the scale of the costs.
const SCHEDULE: [(Kind, f64); 4] =
    [(Kind::Anneal, 2.0), (Kind::Anneal, 1.0), (Kind::Iterate, 1.0), (Kind::Ruin, 1.0)];
/// The end of a cooling, as a share of its start.
const COLD_SHARE: f64 = 0.01;

/// Ways to search on from an order.
#[derive(Debug, Clone, Copy)]
enum Kind {
    Anneal,
    Iterate,
    Ruin,
}

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
    let prices = of_net(&net);
    let mut search = Search::new(problem, &net, &prices, settings);
    tell(&search.solved(Standing::Found));
    let most = budget.effort.tries(TRIES_PER_NODE * net.n as u64);
    let halt = AtomicBool::new(false);
    let mut round = FIRST_ROUND;
    while search.effort < most && !search.proven && !halt.load(Ordering::Relaxed) {
        let share = round.min((most - search.effort).div_ceil(search.workers.len() as u64));
        if search.round(share, &halt, budget.watch) {
            tell(&search.solved(Standing::Found));
            budget.watch.progress(&format!("best {}", search.best.value), search.effort as f64 / most as f64);
        }
        budget.watch.progress("order", search.effort as f64 / most as f64);
        round += round / 2;
    }
    let stopped = halt.load(Ordering::Relaxed);
    search.solved(if stopped { Standing::Stopped } else { Standing::Found })
}

/// One worker's own best and where its beam stands.
#[derive(Debug, Clone)]
struct Worker {
    order: Vec<u32>,
    value: i64,
}

struct Search<'p> {
    net: &'p Net,
    prices: &'p Assigned,
    near: Near,
    seed: u64,
    rounds: u64,
    effort: u64,
    best: Worker,
    proven: bool,
    width: usize,
    /// What the next beam will take.
    dear: u64,
    /// What the beam may take.
    credit: u64,
    workers: Vec<Worker>,
}

impl<'p> Search<'p> {
    fn new(problem: &Problem, net: &'p Net, prices: &'p Assigned, settings: &Settings) -> Self {
        let given = settings.start.as_ref().filter(|order| problem.allows(order));
        let order = given.map_or_else(|| greedy(net, prices), |order| net.inside(order));
        let best = Worker { value: net.value(&order), order };
        Self {
            net,
            prices,
            near: Near::new(net, prices, NEAR),
            seed: settings.seed.0,
            rounds: 0,
            effort: 0,
            proven: best.value <= prices.bound,
            workers: vec![best.clone(); settings.threads.max(1)],
            best,
            width: FIRST_WIDTH,
            dear: 0,
            credit: 0,
        }
    }

    fn solved(&self, otherwise: Standing) -> Solved {
        Solved {
            order: self.net.outside(&self.best.order),
            value: self.best.value,
            bound: if self.proven { self.best.value } else { self.prices.bound },
            standing: if self.proven { Standing::Proven } else { otherwise },
            effort: self.effort,
        }
    }

    /// One round of all workers; true when the best became better.
    fn round(&mut self, share: u64, halt: &AtomicBool, watch: &dyn Watch) -> bool {
        let round = self.rounds;
        self.rounds += 1;
        let before = (self.best.value, self.proven);
        let mut reports: Vec<Report> = Vec::new();
        let this = &*self;
        std::thread::scope(|scope| {
            let others: Vec<_> = (1..this.workers.len())
                .map(|w| scope.spawn(move || this.run(w, round, Work::new(share, halt, None))))
                .collect();
            reports.push(this.run(0, round, Work::new(share, halt, Some(watch))));
            reports.extend(others.into_iter().filter_map(|o| o.join().ok()));
        });
        for (worker, report) in reports.into_iter().enumerate() {
            self.effort += report.spent;
            self.proven |= report.proven;
            if worker == 0 {
                (self.width, self.dear, self.credit) = (report.width, report.dear, report.credit);
            }
            if report.found.value < self.best.value {
                self.best = report.found.clone();
            }
            self.workers[worker] = report.found;
        }
        self.proven |= self.best.value <= self.prices.bound;
        before != (self.best.value, self.proven)
    }

    fn run(&self, worker: usize, round: u64, mut work: Work) -> Report {
        let mut found = self.workers[worker].clone();
        let (mut width, mut dear) = (self.width, self.dear);
        let mut credit = if worker == 0 { self.credit + work.left() * BEAM_PERCENT / 100 } else { 0 };
        while worker == 0 && dear <= credit {
            let from = work.spent();
            let got = beam::run(self.net, self.prices, width, self.best.value.min(found.value), &mut work);
            if let Some(order) = got.order {
                found = Worker { value: self.net.value(&order), order };
            }
            if got.complete {
                return Report { found, proven: true, width, dear, credit, spent: work.spent() };
            }
            let used = work.spent() - from;
            credit = credit.saturating_sub(used);
            width *= 2;
            dear = used * 2;
        }
        let mut dice = Dice::new(self.seed, worker as u64, round);
        let mut tour = Tour::new(self.net, found.order.clone());
        let (kind, share) = SCHEDULE[(round as usize + worker) % SCHEDULE.len()];
        let hot_cost = self.scale() * share;
        let cooling = Cooling { hot_cost, cold_cost: hot_cost * COLD_SHARE, tries: work.left() };
        match kind {
            Kind::Anneal => anneal(&mut tour, self.net, &self.near, &mut dice, cooling, &mut work),
            Kind::Ruin => ruin(&mut tour, self.net, &self.near, &mut dice, cooling, &mut work),
            Kind::Iterate => iterate(&mut tour, self.net, &self.near, &mut dice, cooling, &mut work),
        };
        if tour.value < found.value {
            found = Worker { value: tour.value, order: tour.order };
        }
        Report { found, proven: false, width, dear, credit, spent: work.spent() }
    }

    /// A cost that tells near from far: the middle reduced cost among the near nodes.
    fn scale(&self) -> f64 {
        let mut all: Vec<i64> = (0..self.net.n)
            .flat_map(|a| self.near.onward[a].iter().map(move |b| (a, *b)))
            .map(|(a, b)| self.net.cost(a as u32, b) - self.prices.leave[a] - self.prices.enter[b as usize])
            .collect();
        all.sort_unstable();
        (all.get(all.len() / 2).copied().unwrap_or(0) as f64).max(0.5)
    }
}

/// What a worker brings back from a round.
struct Report {
    found: Worker,
    proven: bool,
    width: usize,
    dear: u64,
    credit: u64,
    spent: u64,
}
