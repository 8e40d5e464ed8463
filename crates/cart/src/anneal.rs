//! Annealing over orders: each cooling starts from a random order and ends in a good one; the best of several counts.
//!
//! # Method
//! A try exchanges two jobs, turns a stretch round, or moves up to three neighbours elsewhere; it is weighed from the first
//! changed position on and given up as soon as the loads so far, with one for every tool not yet seen, exceed what the heat
//! allows. Changes that raise the loads by `d` pass with the chance `exp(−d / heat)`; the heat falls geometrically.
//!
//! The coolings do not know of each other: cooling `k` has its own stream of random numbers, drawn from the seed and `k`. They
//! are shared out among the threads and compared in their order, so the number of threads never changes the answer.
//!
//! # Limits
//! Measured on instances of up to 30 jobs, where one cooling of 2,700 tries for each pair of jobs mostly meets the best known
//! value. Heats are from trials (assumption). Under precedence a change that breaks it is refused, which wastes tries where
//! few orders are allowed.
//!
//! # Sources
//! S. Kirkpatrick, C. D. Gelatt, M. P. Vecchi, "Optimization by simulated annealing", Science 220 (1983) 671-680. What it is
//! measured against: J. Mecler, A. Subramanian, T. Vidal, "A simple and effective hybrid genetic search for the job sequencing
//! and tool switching problem", Computers & Operations Research 127 (2021).

// symbol: heat = loads that a change may cost, about; a plain number

use core::sync::atomic::{AtomicBool, AtomicU32, Ordering};

use effort::{RandomSeed, SolverBudget, SolverWatch};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};
use units::math;

use crate::jobs::CartJobs;
use crate::precedence::JobPrecedence;
use crate::tape::{JobNeeds, LoadTape};

/// Heat at the start, in loads.
const HOT: f64 = 0.8;
/// Heat at the end.
const COLD: f64 = 0.18;
/// Tries of one cooling: a number for each pair of jobs, within limits.
const TRIES_PER_PAIR: u64 = 2_700;
const FEWEST_TRIES: u64 = 20_000;
const MAX_COOLING_TRIES: u64 = 20_000_000;
/// Maximum number of coolings at once.
const MAX_THREADS: usize = 64;
/// Coolings where the effort is left to the size.
pub(crate) const COOLINGS: u64 = 4;
/// Tries at one heat.
const COOL_EVERY: u64 = 64;
/// Tries between two looks at the watch.
const WATCH_EVERY: u64 = 512;
/// Longest run of neighbours that is moved elsewhere.
const MAX_MOVED: usize = 3;

/// The best order of some coolings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct CartAnnealed {
    pub order: Vec<u16>,
    pub loads: u32,
    /// Tries made.
    pub tries: u64,
}

/// Coolings that do not depend on each other, done some at a time.
pub(crate) struct CartAnnealer<'a, const W: usize> {
    jobs: &'a CartJobs,
    needs: JobNeeds<W>,
    precedence: JobPrecedence,
    seed: RandomSeed,
    threads: u64,
    /// Loads that cannot be undercut.
    enough: u32,
    /// Tries of one cooling, and of all.
    each: u64,
    all: u64,
    done: u64,
    stop: AtomicBool,
    /// Fewest loads that any cooling has met.
    least: AtomicU32,
}

impl<'a, const W: usize> CartAnnealer<'a, W> {
    /// `enough` is a number of loads that cannot be undercut.
    pub(crate) fn new(
        jobs: &'a CartJobs,
        budget: &'a SolverBudget,
        seed: RandomSeed,
        threads: usize,
        enough: u32,
    ) -> Self {
        let pairs = (jobs.count() * jobs.count()) as u64;
        let each = (pairs * TRIES_PER_PAIR).clamp(FEWEST_TRIES, MAX_COOLING_TRIES);
        Self {
            jobs,
            needs: JobNeeds::new(jobs),
            precedence: JobPrecedence::new(jobs),
            seed,
            threads: threads.clamp(1, MAX_THREADS) as u64,
            enough,
            each,
            all: budget.effort.tries_or_sized(each * COOLINGS).max(1),
            done: 0,
            stop: AtomicBool::new(false),
            least: AtomicU32::new(u32::MAX),
        }
    }

    /// Whether the watch has ended it.
    pub(crate) fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// Goes on for a few coolings, or to the end of the effort.
    pub(crate) fn run_coolings(
        &mut self,
        watch: &dyn SolverWatch,
        best: Option<CartAnnealed>,
        most: Option<u64>,
    ) -> Option<CartAnnealed> {
        let coolings = self.all.div_ceil(self.each);
        let end = most.map_or(coolings, |m| coolings.min(self.done + m));
        let mut best = best;
        while self.done < end && !self.is_stopped() && best.as_ref().is_none_or(|b| b.loads > self.enough) {
            let first = self.done;
            self.done = end.min(first + self.threads);
            for found in self.cool_side_by_side(watch, first, self.done) {
                best = Some(better_of_two(best, found));
            }
        }
        best
    }

    /// Runs some coolings at once, the first of them on this thread, the only one that uses the watch.
    fn cool_side_by_side(&self, watch: &dyn SolverWatch, first: u64, end: u64) -> Vec<CartAnnealed> {
        std::thread::scope(|scope| {
            let run = |k| scope.spawn(move || self.cool_once(k, || self.is_stopped()));
            let others: Vec<_> = (first + 1..end).map(run).collect();
            let mut told = u32::MAX;
            let asked = || {
                self.report_least(watch, &mut told);
                if watch.should_stop() {
                    self.stop.store(true, Ordering::Relaxed);
                }
                self.is_stopped()
            };
            let mut all = vec![self.cool_once(first, asked)];
            all.extend(others.into_iter().filter_map(|o| o.join().ok()));
            self.report_least(watch, &mut told);
            all
        })
    }

    /// Reports the fewest switches found so far to the watch, if they improved.
    fn report_least(&self, watch: &dyn SolverWatch, told: &mut u32) {
        let least = self.least.load(Ordering::Relaxed);
        if least < *told {
            *told = least;
            let done_fraction = self.done as f64 / self.all.div_ceil(self.each) as f64;
            watch.report_progress(
                &format!("best {}", self.jobs.switches_of_loads(least as usize)),
                done_fraction,
            );
        }
    }

    /// One cooling.
    fn cool_once(&self, k: u64, mut stop: impl FnMut() -> bool) -> CartAnnealed {
        let tries = self.each.min(self.all - k * self.each);
        let mut dice = CartDice::new(self.seed, k);
        let order = self.precedence.random_order(|count| dice.below(count));
        let mut walk = JobOrderTrial::new(&self.needs, &self.precedence, order);
        let mut best = CartAnnealed { order: walk.order.clone(), loads: walk.loads, tries: 0 };
        let mut heat = HOT;
        while best.tries < tries && best.loads > self.enough {
            if best.tries.is_multiple_of(COOL_EVERY) {
                heat = HOT * math::pow(COLD / HOT, best.tries as f64 / tries as f64);
            }
            if best.tries.is_multiple_of(WATCH_EVERY) && stop() {
                break;
            }
            best.tries += 1;
            let limit = f64::from(walk.loads) - heat * math::ln(dice.next_share());
            if walk.attempt_change(&mut dice, limit as u32) && walk.loads < best.loads {
                best.loads = walk.loads;
                best.order.clone_from(&walk.order);
                self.least.fetch_min(best.loads, Ordering::Relaxed);
            }
        }
        self.least.fetch_min(best.loads, Ordering::Relaxed);
        best
    }
}

/// The better of two, the first of equals, with the tries of both.
fn better_of_two(old: Option<CartAnnealed>, new: CartAnnealed) -> CartAnnealed {
    let Some(old) = old else { return new };
    let tries = old.tries + new.tries;
    let kept = if new.loads < old.loads { new } else { old };
    CartAnnealed { tries, ..kept }
}

/// An order on its way, with what each of its beginnings costs.
struct JobOrderTrial<'a, const W: usize> {
    needs: &'a JobNeeds<W>,
    precedence: &'a JobPrecedence,
    order: Vec<u16>,
    loads: u32,
    trial: Vec<u16>,
    tape: LoadTape<W>,
    begun: Vec<LoadTape<W>>,
}

impl<'a, const W: usize> JobOrderTrial<'a, W> {
    fn new(needs: &'a JobNeeds<W>, precedence: &'a JobPrecedence, order: Vec<u16>) -> Self {
        let count = order.len();
        let mut walk = Self {
            needs,
            precedence,
            trial: order.clone(),
            order,
            loads: 0,
            tape: LoadTape::new(count),
            begun: vec![LoadTape::new(count); count + 1],
        };
        walk.begin_from(0);
        walk
    }

    /// Weighs every beginning that is longer than `first`.
    fn begin_from(&mut self, first: usize) {
        for at in first..self.order.len() {
            let (done, rest) = self.begun.split_at_mut(at + 1);
            rest[0].copy_beginning(&done[at]);
            rest[0].push(self.needs, self.order[at]);
        }
        self.loads = self.begun[self.order.len()].loads();
    }

    /// Tries one change; true where it was taken.
    fn attempt_change(&mut self, dice: &mut CartDice, limit: u32) -> bool {
        let (a, b) = (dice.below(self.order.len()), dice.below(self.order.len()));
        let (first, last) = (a.min(b), a.max(b));
        if first == last {
            return false;
        }
        self.trial[first..=last].copy_from_slice(&self.order[first..=last]);
        change_stretch(&mut self.trial[first..=last], dice);
        let taken = self.precedence.allows(&self.trial, first, last) && self.is_within_limit(first, limit);
        let (from, to) = if taken { (&self.trial, &mut self.order) } else { (&self.order, &mut self.trial) };
        to[first..=last].copy_from_slice(&from[first..=last]);
        if taken {
            self.begin_from(first);
        }
        taken
    }

    /// Whether the trial, unchanged before `first`, has at most this many loads.
    fn is_within_limit(&mut self, first: usize, limit: u32) -> bool {
        self.tape.copy_beginning(&self.begun[first]);
        for job in &self.trial[first..] {
            self.tape.push(self.needs, *job);
            if self.tape.least_loads(self.needs) > limit {
                return false;
            }
        }
        true
    }
}

/// Exchanges the ends, turns the stretch round, or moves a few jobs from one end to the other.
fn change_stretch(stretch: &mut [u16], dice: &mut CartDice) {
    let last = stretch.len() - 1;
    let some = 1 + dice.below(MAX_MOVED.min(last));
    match dice.below(4) {
        0 => stretch.swap(0, last),
        1 => stretch.reverse(),
        2 => stretch.rotate_left(some),
        _ => stretch.rotate_right(some),
    }
}

/// Random numbers by seed and cooling alone.
struct CartDice(Pcg64Mcg);

impl CartDice {
    fn new(seed: RandomSeed, k: u64) -> Self {
        // The golden ratio's odd neighbour spreads the coolings' seeds; any odd number would do.
        Self(Pcg64Mcg::seed_from_u64(seed.0 ^ k.wrapping_mul(0x9E37_79B9_7F4A_7C15)))
    }

    /// A number below `count`, which is at least 1.
    fn below(&mut self, count: usize) -> usize {
        ((u128::from(self.0.next_u64()) * count as u128) >> 64) as usize
    }

    /// A number above 0 and at most 1.
    fn next_share(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) + 1) as f64 / (1_u64 << 53) as f64
    }
}
