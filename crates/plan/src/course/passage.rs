//! Passages: from a world and a place to where a unit can be done, by the cheapest ways between settings.
//!
//! From one state every unit has one cheapest passage, found by Dijkstra's algorithm over the ways of the settings that can matter
//! to it, and kept: the search of an order asks for the same few thousand again and again.
//!
//! # Sources
//! Dijkstra, Numerische Mathematik 1 (1959) 269-271 (from memory).

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use rustc_hash::FxHashMap;

use super::machine::{CompiledNeed, PackedWorld, WorldEvent};
use super::problem::CourseProblem;

/// Worlds looked at for one passage before it is given up.
const MAX_PASSAGE_STATES: usize = 20_000;
/// Thousandths of a second, in which the search counts.
const MILLIS: f64 = 1000.0;

/// A world and a place, by number.
pub type PlaceState = u32;

/// A world and a place.
type PlacedWorld = (PackedWorld, u16);
/// The cost to be in a world, and the world and the way before it.
type ReachedWorld = (u64, Option<(PlacedWorld, u16)>);

/// How a unit, a way or the end is reached from a state, done included.
#[derive(Debug, Clone, PartialEq)]
pub struct Passage {
    /// Ways taken before it, by position in the machine.
    pub ways: Vec<u16>,
    /// Seconds of these ways, places entered for them included.
    pub ways_s: f64,
    /// Seconds to enter the unit's own place.
    pub enter_s: f64,
    /// Changes of place and moves of the lift, those inside the unit included.
    pub moves: u32,
    /// The state afterwards.
    pub then: PlaceState,
}

/// Finds and keeps passages.
pub struct CourseWalker<'p> {
    problem: &'p CourseProblem,
    states: Vec<PlacedWorld>,
    numbers: FxHashMap<PlacedWorld, PlaceState>,
    /// For each state and target, once asked.
    passages: Vec<Vec<Option<Option<Box<Passage>>>>>,
    /// For each target the ways that can matter to it.
    relevant: Vec<Vec<u16>>,
}

impl<'p> CourseWalker<'p> {
    /// A walker that knows nothing yet.
    #[must_use]
    pub fn new(problem: &'p CourseProblem) -> Self {
        let relevant = (0..=problem.goal_target()).map(|target| relevant_ways(problem, target)).collect();
        Self { problem, states: Vec::new(), numbers: FxHashMap::default(), passages: Vec::new(), relevant }
    }

    /// The number of a world and a place.
    pub fn number_state(&mut self, world: PackedWorld, station: u16) -> PlaceState {
        let next = self.states.len() as PlaceState;
        let number = *self.numbers.entry((world, station)).or_insert(next);
        if number == next {
            self.states.push((world, station));
            self.passages.push(vec![None; self.problem.goal_target() + 1]);
        }
        number
    }

    /// The world and the place of a number.
    #[must_use]
    pub fn state(&self, number: PlaceState) -> PlacedWorld {
        self.states[number as usize]
    }

    /// The passage from a state to a target; nothing where there is none.
    pub fn passage(&mut self, from: PlaceState, target: usize) -> Option<&Passage> {
        if self.passages[from as usize][target].is_none() {
            let found = self.find_passage(from, target);
            self.passages[from as usize][target] = Some(found.map(Box::new));
        }
        self.passages[from as usize][target].as_ref().and_then(|found| found.as_deref())
    }

    fn find_passage(&mut self, from: PlaceState, target: usize) -> Option<Passage> {
        let start = self.states[from as usize];
        let path = self.search_ways(start, target)?;
        let mut passage = Passage { ways: path, ways_s: 0.0, enter_s: 0.0, moves: 0, then: from };
        let (mut world, mut station) = start;
        for way in &passage.ways {
            let way = &self.problem.machine.ways[usize::from(*way)];
            world = self.problem.machine.after_way(world, way)?;
            passage.ways_s += way.time_s;
            passage.moves += u32::from(way.is_lift);
            if let Some(at) = way.station.filter(|at| *at != station) {
                passage.ways_s += self.problem.order.enter_s[usize::from(at)];
                passage.moves += 1;
                station = at;
            }
        }
        let units = self.problem.unit_count();
        if target < units {
            let unit = &self.problem.order.nodes[target];
            world = self.problem.after_unit(world, target)?;
            if unit.station != station {
                passage.enter_s = self.problem.order.enter_s[usize::from(unit.station)];
                passage.moves += 1;
            }
            passage.moves += u32::from(unit.leaves != unit.station);
            station = unit.leaves;
        }
        passage.then = self.number_state(world, station);
        Some(passage)
    }

    /// The ways of the cheapest passage. A way that is itself the target is the last of them.
    fn search_ways(&self, start: PlacedWorld, target: usize) -> Option<Vec<u16>> {
        let mut dist: FxHashMap<PlacedWorld, ReachedWorld> = FxHashMap::default();
        let mut open: BinaryHeap<Reverse<(u64, u64, PackedWorld, u16)>> = BinaryHeap::new();
        let mut best: Option<(u64, PlacedWorld)> = None;
        dist.insert(start, (0, None));
        open.push(Reverse((0, 0, start.0, start.1)));
        let (mut pushed, mut popped) = (0, 0);
        while let Some(Reverse((cost, _, world, station))) = open.pop() {
            let here = (world, station);
            if best.is_some_and(|(least, _)| least <= cost) || popped > MAX_PASSAGE_STATES {
                break;
            }
            if dist[&here].0 < cost {
                continue;
            }
            popped += 1;
            if let Some(end) = self.end_cost(here, start, target) {
                let least = best.map_or(u64::MAX, |(least, _)| least);
                if cost + end < least {
                    best = Some((cost + end, here));
                }
            }
            for at in &self.relevant[target] {
                let way = &self.problem.machine.ways[usize::from(*at)];
                let Some(next) = self.problem.machine.after_way(world, way) else { continue };
                let to = (next, way.station.unwrap_or(station));
                let sum = cost + self.way_cost(*at, station);
                if dist.get(&to).is_none_or(|(known, _)| sum < *known) {
                    pushed += 1;
                    dist.insert(to, (sum, Some((here, *at))));
                    open.push(Reverse((sum, pushed, to.0, to.1)));
                }
            }
        }
        let mut at = best?.1;
        let mut path = Vec::new();
        while let Some((before, way)) = dist.get(&at).and_then(|(_, before)| *before) {
            path.push(way);
            at = before;
        }
        path.reverse();
        let units = self.problem.unit_count();
        if target >= units && target < self.problem.goal_target() {
            path.push((target - units) as u16);
        }
        Some(path)
    }

    /// Thousandths of a second of a way, the price of its moves included.
    fn way_cost(&self, at: u16, station: u16) -> u64 {
        let way = &self.problem.machine.ways[usize::from(at)];
        let mut cost_s = way.time_s + if way.is_lift { times::MOVE_PRICE_S } else { 0.0 };
        if let Some(place) = way.station.filter(|place| *place != station) {
            cost_s += self.problem.order.enter_s[usize::from(place)] + times::MOVE_PRICE_S;
        }
        (cost_s * MILLIS) as u64
    }

    /// What is still to pay where a target can be done from a world and a place; nothing where it cannot.
    fn end_cost(&self, here: PlacedWorld, start: PlacedWorld, target: usize) -> Option<u64> {
        let (world, station) = here;
        let units = self.problem.unit_count();
        let enter = |place: u16| {
            let enter_s = self.problem.order.enter_s[usize::from(place)] + times::MOVE_PRICE_S;
            if place == station { 0 } else { (enter_s * MILLIS) as u64 }
        };
        if target < units {
            self.problem.after_unit(world, target)?;
            return Some(enter(self.problem.order.nodes[target].station));
        }
        if target == self.problem.goal_target() {
            return world.has_all(&self.problem.machine.goal).then_some(0);
        }
        let way = &self.problem.machine.ways[target - units];
        if here != start && world.value(way.from.thing) == way.event.sets[0].1 {
            return None;
        }
        self.problem.machine.after_way(world, way)?;
        Some(way.station.map_or(0, enter))
    }
}

/// The ways of the settings that can matter to a target: those that it needs, those that these need, and those that stand with them
/// in a rule.
fn relevant_ways(problem: &CourseProblem, target: usize) -> Vec<u16> {
    let machine = &problem.machine;
    let units = problem.unit_count();
    let mut things: BTreeSet<u8> = BTreeSet::new();
    let add_event = |things: &mut BTreeSet<u8>, event: &WorldEvent| {
        things.extend(event.needs.iter().map(|need| need.thing));
        things.extend(event.sets.iter().map(|(thing, _)| *thing));
        things.extend(event.loosens);
    };
    if target < units {
        problem.events[target].iter().for_each(|event| add_event(&mut things, event));
    } else if target == problem.goal_target() {
        things.extend(machine.goal.iter().map(|need: &CompiledNeed| need.thing));
    } else {
        let way = &machine.ways[target - units];
        things.insert(way.from.thing);
        add_event(&mut things, &way.event);
    }
    let mut by_thing: BTreeMap<u8, Vec<u16>> = BTreeMap::new();
    for (at, way) in machine.ways.iter().enumerate() {
        for (thing, _) in &way.event.sets {
            by_thing.entry(*thing).or_default().push(at as u16);
        }
    }
    let mut ways: BTreeSet<u16> = BTreeSet::new();
    let mut open: Vec<u8> = things.iter().copied().collect();
    while let Some(thing) = open.pop() {
        let mut found: BTreeSet<u8> = machine.things_ruled_with(thing).collect();
        for at in by_thing.get(&thing).into_iter().flatten() {
            if ways.insert(*at) {
                add_event(&mut found, &machine.ways[usize::from(*at)].event);
            }
        }
        for next in found {
            if things.insert(next) {
                open.push(next);
            }
        }
    }
    ways.into_iter().collect()
}
