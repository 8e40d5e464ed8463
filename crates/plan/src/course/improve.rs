//! Bettering a course by cooling: stretches change places, ways are taken earlier or when they are needed.
//!
//! A try is walked from the first change on, until it is back where the course was before with nothing different behind it. Four walks,
//! each by its own dice, whatever the number of threads; so the threads change the wait and never the answer.
//!
//! # Sources
//! Kirkpatrick, Gelatt and Vecchi, Optimization by simulated annealing, Science 220 (1983) 671-680 (from memory).

use effort::SolverWatch;
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};
use units::math;

use super::operators::{CourseOperator, CourseOperators};
use super::problem::{CourseProblem, CourseStart};
use super::tour::{CoursePoint, CourseTour};
use crate::node_order::CheapestFollowers;

/// Walks, whatever the threads.
pub const WALKS: usize = 4;
/// Temperature at the end, below the cheapest swap (assumption, from trials).
const COLD_S: f64 = 0.5;
/// Tries at one temperature.
const COOL_EVERY: u64 = 64;
/// Tries between two looks at the watch.
const LOOK_EVERY: u64 = 512;
/// The longest stretch that changes places at once.
const MAX_STRETCH: usize = 40;
/// Less than this is rounding.
const SAME_S: f64 = 1.0e-7;

/// From how hot, and in how many tries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CourseCooling {
    /// Temperature at the start, s; nothing where only a change is made that saves [`CourseCooling::least_gain_s`].
    pub hot_s: Option<f64>,
    /// What a change has to save at least where nothing is hot, s.
    pub least_gain_s: f64,
    /// Tries.
    pub tries: u64,
    /// Start of the dice.
    pub seed: u64,
    /// The changes that are tried.
    pub operators: CourseOperators,
}

/// The best course of a walk.
#[derive(Debug, Clone, PartialEq)]
pub struct CooledCourse {
    /// Targets in order.
    pub course: Vec<u16>,
    /// Its value, s.
    pub value_s: f64,
    /// Tries made.
    pub tries: u64,
}

/// The dice of a walk.
struct CourseDice(Pcg64Mcg);

impl CourseDice {
    fn draw_below(&mut self, count: usize) -> usize {
        (self.0.next_u64() % count.max(1) as u64) as usize
    }
    fn draw_share(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }
    /// One more often than two, two more often than three.
    fn draw_length(&mut self, most: usize) -> usize {
        let mut length = 1;
        while length < most && self.draw_below(3) != 0 {
            length += 1;
        }
        length
    }
}

/// A changed course: the first position that differs, and the one from which it goes on as before.
struct CourseChange {
    from: usize,
    same_from: usize,
    course: Vec<u16>,
}

/// A course that is being bettered, with the points between its targets.
struct CourseWalk<'p> {
    problem: &'p CourseProblem,
    tour: CourseTour<'p>,
    course: Vec<u16>,
    points: Vec<CoursePoint>,
    ends_s: Vec<f64>,
    followers: &'p CheapestFollowers,
    operators: CourseOperators,
    /// Points of the try that is being walked.
    fresh: Vec<CoursePoint>,
    /// Former ends of the units that it walked.
    former_ends_s: Vec<(usize, f64)>,
}

/// Betters a course that can be walked; never gives a worse one back.
#[must_use]
pub(super) fn improve_course(
    problem: &CourseProblem,
    start: &CourseStart,
    followers: &CheapestFollowers,
    course: Vec<u16>,
    cooling: CourseCooling,
    watch: &dyn SolverWatch,
) -> Option<CooledCourse> {
    let mut tour = CourseTour::new(problem, start);
    let points = tour.walk_course(&course)?;
    let ends_s = vec![0.0; problem.unit_count()];
    let mut walk = CourseWalk {
        problem,
        tour,
        course,
        points,
        ends_s,
        followers,
        operators: cooling.operators,
        fresh: Vec::new(),
        former_ends_s: Vec::new(),
    };
    walk.note_ends();
    let mut dice = CourseDice(Pcg64Mcg::seed_from_u64(cooling.seed));
    let mut best = CooledCourse { course: walk.course.clone(), value_s: walk.value_s(), tries: 0 };
    let mut heat_s = cooling.hot_s.unwrap_or(0.0);
    for tried in 0..cooling.tries {
        if let Some(hot_s) = cooling.hot_s.filter(|_| tried % COOL_EVERY == 0) {
            let done = tried as f64 / cooling.tries as f64;
            heat_s = hot_s * math::pow(COLD_S / hot_s.max(COLD_S), done);
        }
        if tried % LOOK_EVERY == 0 && watch.should_stop() {
            break;
        }
        best.tries = tried + 1;
        let Some(change) = walk.draw_change(&mut dice) else { continue };
        // The threshold is drawn first, so that a try can be given up as soon as it is above it.
        let over_s = match cooling.hot_s {
            Some(_) => -heat_s * math::ln(dice.draw_share().max(1.0e-12)),
            None => -cooling.least_gain_s,
        };
        let most_s = walk.value_s() + over_s;
        if walk.try_change(change, most_s) && walk.value_s() < best.value_s - SAME_S {
            best = CooledCourse { course: walk.course.clone(), value_s: walk.value_s(), tries: best.tries };
        }
    }
    Some(best)
}

impl CourseWalk<'_> {
    fn value_s(&self) -> f64 {
        self.points.last().map_or(f64::INFINITY, CoursePoint::value_s)
    }

    fn note_ends(&mut self) {
        for (at, target) in self.course.iter().enumerate() {
            if let Some(end_s) = self.ends_s.get_mut(usize::from(*target)) {
                *end_s = self.points[at + 1].clock_s;
            }
        }
    }

    fn is_way(&self, target: u16) -> bool {
        usize::from(target) >= self.problem.unit_count()
    }

    fn draw_change(&self, dice: &mut CourseDice) -> Option<CourseChange> {
        let has_ways = !self.problem.machine.ways.is_empty();
        if !self.operators.has_any_drawn() {
            return None;
        }
        loop {
            let operator = CourseOperator::of_face(dice.draw_below(8), has_ways);
            if self.operators.has(operator) {
                return match operator {
                    CourseOperator::EarlyWay => self.draw_early_way(dice),
                    CourseOperator::LateWay => self.draw_late_way(dice),
                    CourseOperator::Joining => self.draw_joining(dice),
                    CourseOperator::Exchange | CourseOperator::Forerunners => self.draw_exchange(dice),
                };
            }
        }
    }

    /// Takes a way that is taken somewhere at an earlier point.
    fn draw_early_way(&self, dice: &mut CourseDice) -> Option<CourseChange> {
        let way = self.problem.unit_count() + dice.draw_below(self.problem.machine.ways.len());
        let at = dice.draw_below(self.course.len() + 1);
        let mut course = self.course.clone();
        course.insert(at, way as u16);
        Some(CourseChange { from: at, same_from: at + 1, course })
    }

    /// Leaves a way to the moment when it is needed.
    fn draw_late_way(&self, dice: &mut CourseDice) -> Option<CourseChange> {
        let ways: Vec<usize> = (0..self.course.len()).filter(|at| self.is_way(self.course[*at])).collect();
        let at = *ways.get(dice.draw_below(ways.len()))?;
        let mut course = self.course.clone();
        course.remove(at);
        Some(CourseChange { from: at, same_from: at + 1, course })
    }

    /// Brings a unit right behind one after which it is cheap.
    fn draw_joining(&self, dice: &mut CourseDice) -> Option<CourseChange> {
        let at = dice.draw_below(self.course.len());
        let target = *self.course.get(at)?;
        if self.is_way(target) {
            return None;
        }
        let near = self.followers.followers_of(usize::from(target));
        let next = *near.get(dice.draw_below(near.len()))? as u16;
        let to = self.course.iter().position(|target| *target == next)?;
        if to > at + 1 {
            let most = dice.draw_length(MAX_STRETCH);
            return self.exchange_stretches(at + 1, to, most);
        }
        if to < at {
            // The stretch that begins with the follower goes behind the node, as one or alone.
            let middle = at + 1 - dice.draw_length(at - to);
            return self.exchange_stretches(to, middle, at + 1 - middle);
        }
        None
    }

    /// Two stretches side by side change places, where the precedence allows.
    fn draw_exchange(&self, dice: &mut CourseDice) -> Option<CourseChange> {
        let count = self.course.len();
        if count < 2 {
            return None;
        }
        let left = dice.draw_below(count - 1);
        let first = dice.draw_length(MAX_STRETCH).min(count - 1 - left);
        self.exchange_stretches(left, left + first, dice.draw_length(MAX_STRETCH))
    }

    /// What stands from `middle` on, at most so many, goes before what stands from `left` on, as far as the precedence allows.
    fn exchange_stretches(&self, left: usize, middle: usize, most: usize) -> Option<CourseChange> {
        let count = self.course.len();
        let first = middle - left;
        let mut right = middle;
        let most = most.min(count - middle);
        while right < middle + most && self.may_precede(right, left, middle) {
            right += 1;
        }
        if right == middle {
            if !self.operators.has(CourseOperator::Forerunners) {
                return None;
            }
            return self.bring_with_forerunners(left, middle);
        }
        let mut course = self.course.clone();
        course[left..right].rotate_left(first);
        Some(CourseChange { from: left, same_from: right, course })
    }

    /// What stands at `middle` comes forward to `left`, behind those in between that have to come before it.
    fn bring_with_forerunners(&self, left: usize, middle: usize) -> Option<CourseChange> {
        let target = *self.course.get(middle)?;
        let is_before = |earlier: &u16| {
            !self.is_way(*earlier) && self.problem.order.precedes(usize::from(*earlier), usize::from(target))
        };
        let (before, rest): (Vec<u16>, Vec<u16>) =
            self.course[left..middle].iter().partition(|t| is_before(t));
        if rest.is_empty() {
            return None;
        }
        let from = left + self.course[left..middle].iter().take_while(|t| is_before(t)).count();
        let mut course = self.course.clone();
        let moved = before.into_iter().chain([target]).chain(rest);
        course[left..=middle].iter_mut().zip(moved).for_each(|(slot, target)| *slot = target);
        Some(CourseChange { from, same_from: middle + 1, course })
    }

    /// Whether the target at a position may come before all from `left` to `middle`.
    fn may_precede(&self, at: usize, left: usize, middle: usize) -> bool {
        let target = self.course[at];
        self.is_way(target)
            || self.course[left..middle].iter().all(|earlier| {
                self.is_way(*earlier)
                    || !self.problem.order.precedes(usize::from(*earlier), usize::from(target))
            })
    }

    /// Walks a changed course and keeps it if it can be walked and comes to no more than a value.
    fn try_change(&mut self, change: CourseChange, most_s: f64) -> bool {
        self.fresh.clear();
        self.former_ends_s.clear();
        let is_kept = self.walk_change(&change, most_s);
        if !is_kept {
            for (unit, end_s) in self.former_ends_s.drain(..).rev() {
                self.ends_s[unit] = end_s;
            }
        }
        is_kept
    }

    fn walk_change(&mut self, change: &CourseChange, most_s: f64) -> bool {
        let CourseChange { from, same_from, course } = change;
        let grown = course.len() as isize - self.course.len() as isize;
        let mut point = self.points[*from];
        for (at, target) in course.iter().enumerate().skip(*from) {
            let target = usize::from(*target);
            let Some(next) = self.tour.after_target(point, target, &self.ends_s) else { return false };
            point = next;
            if point.value_s() > most_s {
                return false;
            }
            if let Some(end_s) = self.ends_s.get_mut(target) {
                self.former_ends_s.push((target, *end_s));
                *end_s = point.clock_s;
            }
            self.fresh.push(point);
            let old = (at as isize + 1 - grown) as usize;
            let is_same = at + 1 >= *same_from && self.points[old].is_like(&point);
            if is_same && !self.waits_behind(&course[at + 1..]) {
                return self.keep_rest(change, old, most_s);
            }
        }
        let goal = self.problem.goal_target();
        let Some(end) = self.tour.after_target(point, goal, &self.ends_s) else { return false };
        if end.value_s() > most_s {
            return false;
        }
        self.fresh.push(end);
        self.points.truncate(from + 1);
        self.points.append(&mut self.fresh);
        self.course.clone_from(course);
        true
    }

    fn waits_behind(&self, rest: &[u16]) -> bool {
        let waits =
            |target: &u16| self.problem.waits_of.get(usize::from(*target)).is_some_and(|w| !w.is_empty());
        !self.problem.waits.is_empty() && rest.iter().any(waits)
    }

    /// The rest goes on as before from a position of the old course, only earlier or later.
    fn keep_rest(&mut self, change: &CourseChange, old: usize, most_s: f64) -> bool {
        let Some(now) = self.fresh.last().copied() else { return false };
        let was = self.points[old];
        let later_s = now.clock_s - was.clock_s;
        let moved = i64::from(now.moves) - i64::from(was.moves);
        let shifted = |point: &CoursePoint| CoursePoint {
            clock_s: point.clock_s + later_s,
            moves: (i64::from(point.moves) + moved).max(0) as u32,
            ..*point
        };
        if self.points.last().is_none_or(|end| shifted(end).value_s() > most_s) {
            return false;
        }
        for target in &self.course[old..] {
            if let Some(end_s) = self.ends_s.get_mut(usize::from(*target)) {
                *end_s += later_s;
            }
        }
        let rest: Vec<CoursePoint> = self.points[old + 1..].iter().map(shifted).collect();
        self.points.truncate(change.from + 1);
        self.points.append(&mut self.fresh);
        self.points.extend(rest);
        self.course.clone_from(&change.course);
        true
    }
}

/// Stops where another walk was told to.
pub struct StopFlag<'a>(pub &'a core::sync::atomic::AtomicBool);

impl SolverWatch for StopFlag<'_> {
    fn should_stop(&self) -> bool {
        self.0.load(core::sync::atomic::Ordering::Relaxed)
    }
}

/// Asks the outside whether to stop, and tells the other walks.
pub struct TellingWatch<'a> {
    /// Who is asked.
    pub watch: &'a dyn SolverWatch,
    /// Where the others look.
    pub stopped: &'a core::sync::atomic::AtomicBool,
}

impl SolverWatch for TellingWatch<'_> {
    fn should_stop(&self) -> bool {
        let stop = self.watch.should_stop();
        if stop {
            self.stopped.store(true, core::sync::atomic::Ordering::Relaxed);
        }
        stop
    }
}
