//! The fewest moves, by a search over everything that can be so: units done, world and place.
//!
//! Acts are free, a change of place and a move of the lift cost what is asked; so the states at one cost are gone through before those at
//! the next. It ends with the least number, or with the knowledge that no order leads to the end, or gives up where
//! there is too much to look at.
//!
//! # Sources
//! Dijkstra's algorithm with costs of nought and one, by two queues (from memory).

use std::collections::VecDeque;

use effort::SolverWatch;
use rustc_hash::FxHashMap;

use super::machine::PackedWorld;
use super::problem::{CourseProblem, CourseStart};

/// States gone through before the search is given up.
const MAX_EXACT_STATES: usize = 300_000;
/// Units that a set of done ones can hold.
const MAX_EXACT_UNITS: usize = 64;
/// Units up to which all orders are gone through where no setting holds them together.
const MAX_FREE_UNITS: usize = 16;
/// States between two looks at the watch.
const LOOK_EVERY: usize = 4096;

/// What moves cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MovePrices {
    /// A change of place.
    pub place: u32,
    /// A move of the lift.
    pub lift: u32,
}

/// How the search ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ExactEnd {
    /// The least cost, and targets in an order that has it: units, and ways behind them.
    Least(u32, Vec<u16>),
    /// No order leads to the end; the units that are done where most are.
    Impossible(Vec<usize>),
    /// Too much to look at.
    GivenUp,
}

/// Units done as bits, world, place.
type ExactState = (u64, PackedWorld, u16);

/// What is known of a state: its cost, the number of the state before it and the target between, whether it was gone through.
#[derive(Clone, Copy)]
struct ExactEntry {
    cost: u32,
    before: u32,
    target: u16,
    is_closed: bool,
}

struct ExactSearch<'p> {
    problem: &'p CourseProblem,
    prices: MovePrices,
    before: Vec<u64>,
    states: Vec<ExactState>,
    entries: Vec<ExactEntry>,
    numbers: FxHashMap<ExactState, u32>,
    now: VecDeque<u32>,
    later: Vec<VecDeque<u32>>,
}

/// The fewest moves at some prices, each 0 or 1.
#[must_use]
pub fn find_fewest_moves(
    problem: &CourseProblem,
    start: &CourseStart,
    prices: MovePrices,
    watch: &dyn SolverWatch,
) -> ExactEnd {
    let most = if problem.machine.ways.is_empty() { MAX_FREE_UNITS } else { MAX_EXACT_UNITS };
    if problem.unit_count() > most {
        return ExactEnd::GivenUp;
    }
    let bits = |list: &Vec<usize>| list.iter().fold(0_u64, |bits, unit| bits | 1 << unit);
    let mut search = ExactSearch {
        problem,
        prices,
        before: problem.order.before.iter().map(bits).collect(),
        states: Vec::new(),
        entries: Vec::new(),
        numbers: FxHashMap::default(),
        now: VecDeque::new(),
        later: vec![VecDeque::new(); 5],
    };
    search.reach_state((0, start.world, start.station), 0, u32::MAX, u16::MAX, 0);
    search.run(watch)
}

impl ExactSearch<'_> {
    fn run(&mut self, watch: &dyn SolverWatch) -> ExactEnd {
        let all = (0..self.problem.unit_count()).fold(0_u64, |all, unit| all | 1 << unit);
        let (mut cost, mut seen, mut deepest) = (0, 0, 0_u64);
        loop {
            let Some(number) = self.now.pop_front() else {
                if self.later.iter().all(VecDeque::is_empty) {
                    let done = (0..self.problem.unit_count()).filter(|u| deepest >> u & 1 == 1).collect();
                    return ExactEnd::Impossible(done);
                }
                cost += 1;
                self.later.rotate_left(1);
                let last = self.later.len() - 1;
                self.now = core::mem::take(&mut self.later[last]);
                continue;
            };
            let entry = &mut self.entries[number as usize];
            if entry.is_closed || entry.cost != cost {
                continue;
            }
            entry.is_closed = true;
            let (done, world, _) = self.states[number as usize];
            if done == all && world.has_all(&self.problem.machine.goal) {
                return ExactEnd::Least(cost, self.read_back(number));
            }
            if done.count_ones() > deepest.count_ones() {
                deepest = done;
            }
            seen += 1;
            if self.states.len() > MAX_EXACT_STATES || (seen % LOOK_EVERY == 0 && watch.should_stop()) {
                return ExactEnd::GivenUp;
            }
            self.extend_state(number, cost);
        }
    }

    fn extend_state(&mut self, number: u32, cost: u32) {
        let (done, world, station) = self.states[number as usize];
        for unit in 0..self.problem.unit_count() {
            if done >> unit & 1 == 1 || self.before[unit] & !done != 0 {
                continue;
            }
            let Some(next) = self.problem.after_unit(world, unit) else { continue };
            let node = &self.problem.order.nodes[unit];
            let moves = u32::from(node.station != station) + u32::from(node.leaves != node.station);
            let to = (done | 1 << unit, next, node.leaves);
            self.reach_state(to, cost, number, unit as u16, moves * self.prices.place);
        }
        for at in 0..self.problem.machine.ways.len() {
            let way = &self.problem.machine.ways[at];
            let Some(next) = self.problem.machine.after_way(world, way) else { continue };
            let place = way.station.unwrap_or(station);
            let moves =
                u32::from(place != station) * self.prices.place + u32::from(way.is_lift) * self.prices.lift;
            let target = (self.problem.unit_count() + at) as u16;
            self.reach_state((done, next, place), cost, number, target, moves);
        }
    }

    fn reach_state(&mut self, state: ExactState, cost: u32, before: u32, target: u16, more: u32) {
        let next = self.states.len() as u32;
        let number = *self.numbers.entry(state).or_insert(next);
        let entry = ExactEntry { cost: cost + more, before, target, is_closed: false };
        if number == next {
            self.states.push(state);
            self.entries.push(entry);
        } else if self.entries[number as usize].is_closed || self.entries[number as usize].cost <= cost + more
        {
            return;
        } else {
            self.entries[number as usize] = entry;
        }
        match more {
            0 => self.now.push_back(number),
            more => self.later[more as usize - 1].push_back(number),
        }
    }

    fn read_back(&self, mut number: u32) -> Vec<u16> {
        let mut targets = Vec::new();
        loop {
            let entry = self.entries[number as usize];
            if entry.before == u32::MAX {
                break;
            }
            targets.push(entry.target);
            number = entry.before;
        }
        targets.reverse();
        targets
    }
}
