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

use core::sync::atomic::{AtomicBool, Ordering};

use effort::{Budget, Seed};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};
use units::math;

use crate::jobs::Jobs;
use crate::precedence::Precedence;
use crate::tape::{Needs, Tape};

/// Heat at the start, in loads.
const HOT: f64 = 0.8;
/// Heat at the end.
const COLD: f64 = 0.18;
/// Tries of one cooling: so many for each pair of jobs, within limits.
const TRIES_PER_PAIR: u64 = 2_700;
const FEWEST_TRIES: u64 = 20_000;
const MOST_TRIES: u64 = 20_000_000;
/// Coolings where the effort is left to the size.
const COOLINGS: u64 = 4;
/// Tries at one heat.
const COOL_EVERY: u64 = 64;
/// Tries between two looks at the watch.
const WATCH_EVERY: u64 = 512;
/// Longest run of neighbours that is moved elsewhere.
const LONGEST_MOVED: usize = 3;

/// The best order of all coolings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Annealed {
    pub order: Vec<u16>,
    pub loads: u32,
    /// Tries made.
    pub tries: u64,
    /// Whether the watch ended it.
    pub stopped: bool,
}

/// Tries of one cooling.
fn one_cooling(count: usize) -> u64 {
    let pairs = (count * count) as u64;
    (pairs * TRIES_PER_PAIR).clamp(FEWEST_TRIES, MOST_TRIES)
}

/// The best order found; `enough` is a number of loads that cannot be undercut.
pub(crate) fn anneal<const W: usize>(
    jobs: &Jobs,
    budget: &Budget,
    seed: Seed,
    threads: usize,
    enough: u32,
) -> Annealed {
    let needs = Needs::<W>::new(jobs);
    let precedence = Precedence::new(jobs);
    let each = one_cooling(jobs.count());
    let all = budget.effort.tries(each * COOLINGS).max(1);
    let coolings = all.div_ceil(each);
    let setting = Setting { needs: &needs, precedence: &precedence, seed, enough };
    let tries_of = |k: u64| each.min(all - k * each);
    let stop = AtomicBool::new(false);
    let threads = threads.clamp(1, 64) as u64;
    let mut best: Option<Annealed> = None;
    let mut round = 0;
    while round < coolings && !stop.load(Ordering::Relaxed) {
        let here: Vec<u64> = (round..coolings.min(round + threads)).collect();
        budget.watch.progress("ordering the jobs", round as f64 / coolings as f64);
        for found in side_by_side(&setting, &here, &tries_of, budget, &stop) {
            best = Some(better(best, found));
        }
        round += threads;
        if best.as_ref().is_some_and(|b| b.loads <= enough) {
            break;
        }
    }
    let stopped = stop.load(Ordering::Relaxed);
    best.map(|b| Annealed { stopped, ..b }).unwrap_or(Annealed {
        order: Vec::new(),
        loads: 0,
        tries: 0,
        stopped,
    })
}

/// The better of two, the first of equals, with the tries of both.
fn better(old: Option<Annealed>, new: Annealed) -> Annealed {
    let Some(old) = old else { return new };
    let tries = old.tries + new.tries;
    let kept = if new.loads < old.loads { new } else { old };
    Annealed { tries, ..kept }
}

/// Runs some coolings at once, the first of them on this thread, which alone asks the watch.
fn side_by_side<const W: usize>(
    setting: &Setting<W>,
    here: &[u64],
    tries_of: &(impl Fn(u64) -> u64 + Sync),
    budget: &Budget,
    stop: &AtomicBool,
) -> Vec<Annealed> {
    std::thread::scope(|scope| {
        let others: Vec<_> = here[1..]
            .iter()
            .map(|k| scope.spawn(move || cool(setting, *k, tries_of(*k), || stop.load(Ordering::Relaxed))))
            .collect();
        let asked = || {
            if budget.watch.stop() {
                stop.store(true, Ordering::Relaxed);
            }
            stop.load(Ordering::Relaxed)
        };
        let mut all = vec![cool(setting, here[0], tries_of(here[0]), asked)];
        all.extend(others.into_iter().filter_map(|o| o.join().ok()));
        all
    })
}

/// What all coolings share.
struct Setting<'a, const W: usize> {
    needs: &'a Needs<W>,
    precedence: &'a Precedence,
    seed: Seed,
    enough: u32,
}

/// One cooling.
fn cool<const W: usize>(setting: &Setting<W>, k: u64, tries: u64, stop: impl Fn() -> bool) -> Annealed {
    let mut dice = Dice::new(setting.seed, k);
    let order = setting.precedence.random_order(|count| dice.below(count));
    let mut walk = Walk::new(setting, order);
    let mut best = Annealed { order: walk.order.clone(), loads: walk.loads, tries: 0, stopped: false };
    let mut heat = HOT;
    while best.tries < tries && best.loads > setting.enough {
        if best.tries.is_multiple_of(COOL_EVERY) {
            heat = HOT * math::pow(COLD / HOT, best.tries as f64 / tries as f64);
        }
        if best.tries.is_multiple_of(WATCH_EVERY) && stop() {
            break;
        }
        best.tries += 1;
        let limit = f64::from(walk.loads) - heat * math::ln(dice.share());
        if walk.attempt(&mut dice, limit as u32) && walk.loads < best.loads {
            best.loads = walk.loads;
            best.order.clone_from(&walk.order);
        }
    }
    best
}

/// An order on its way, with what each of its beginnings costs.
struct Walk<'a, const W: usize> {
    needs: &'a Needs<W>,
    precedence: &'a Precedence,
    order: Vec<u16>,
    loads: u32,
    trial: Vec<u16>,
    tape: Tape<W>,
    begun: Vec<Tape<W>>,
}

impl<'a, const W: usize> Walk<'a, W> {
    fn new(setting: &Setting<'a, W>, order: Vec<u16>) -> Self {
        let count = order.len();
        let mut walk = Self {
            needs: setting.needs,
            precedence: setting.precedence,
            trial: order.clone(),
            order,
            loads: 0,
            tape: Tape::new(count),
            begun: vec![Tape::new(count); count + 1],
        };
        walk.begin_from(0);
        walk
    }

    /// Weighs every beginning that is longer than `first`.
    fn begin_from(&mut self, first: usize) {
        for at in first..self.order.len() {
            let (done, rest) = self.begun.split_at_mut(at + 1);
            rest[0].copy(&done[at]);
            rest[0].push(self.needs, self.order[at]);
        }
        self.loads = self.begun[self.order.len()].loads();
    }

    /// Tries one change; true where it was taken.
    fn attempt(&mut self, dice: &mut Dice, limit: u32) -> bool {
        let (a, b) = (dice.below(self.order.len()), dice.below(self.order.len()));
        let (first, last) = (a.min(b), a.max(b));
        if first == last {
            return false;
        }
        self.trial[first..=last].copy_from_slice(&self.order[first..=last]);
        change(&mut self.trial[first..=last], dice);
        let taken = self.precedence.allows(&self.trial, first, last) && self.is_within(first, limit);
        let (from, to) = if taken { (&self.trial, &mut self.order) } else { (&self.order, &mut self.trial) };
        to[first..=last].copy_from_slice(&from[first..=last]);
        if taken {
            self.begin_from(first);
        }
        taken
    }

    /// Whether the trial, unchanged before `first`, has at most so many loads.
    fn is_within(&mut self, first: usize, limit: u32) -> bool {
        self.tape.copy(&self.begun[first]);
        for job in &self.trial[first..] {
            self.tape.push(self.needs, *job);
            if self.tape.at_least(self.needs) > limit {
                return false;
            }
        }
        true
    }
}

/// Exchanges the ends, turns the stretch round, or moves a few jobs from one end to the other.
fn change(stretch: &mut [u16], dice: &mut Dice) {
    let last = stretch.len() - 1;
    let some = 1 + dice.below(LONGEST_MOVED.min(last));
    match dice.below(4) {
        0 => stretch.swap(0, last),
        1 => stretch.reverse(),
        2 => stretch.rotate_left(some),
        _ => stretch.rotate_right(some),
    }
}

/// Random numbers by seed and cooling alone.
struct Dice(Pcg64Mcg);

impl Dice {
    fn new(seed: Seed, k: u64) -> Self {
        // The golden ratio's odd neighbour spreads the coolings' seeds; any odd number would do.
        Self(Pcg64Mcg::seed_from_u64(seed.0 ^ k.wrapping_mul(0x9E37_79B9_7F4A_7C15)))
    }

    /// A number below `count`, which is at least 1.
    fn below(&mut self, count: usize) -> usize {
        ((u128::from(self.0.next_u64()) * count as u128) >> 64) as usize
    }

    /// A number above 0 and at most 1.
    fn share(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) + 1) as f64 / (1_u64 << 53) as f64
    }
}
