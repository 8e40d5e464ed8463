//! A course: units in order, with ways taken early between them, and what it comes to.
//!
//! A course is a list of targets. Before each the cheapest passage is taken; a way that stands in the list itself is taken there, although
//! nothing asks for it yet, because the place is right. The value of a course is its finish, waits included, plus
//! [`times::MOVE_PRICE_S`] for each change of place and each move of the lift.
//!
//! On the way each unit takes the stacks that are cheapest after what is in hand; the order once settled, the stacks are chosen anew
//! by the exact method of [`crate::node_order`].

use super::passage::{CourseWalker, PlaceState};
use super::problem::{CourseProblem, CourseStart};

/// Where the mechanic is between two targets of a course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoursePoint {
    /// World and place.
    pub at: PlaceState,
    /// Part in mind.
    pub part: Option<u32>,
    /// Stack in hand.
    pub hand: u16,
    /// Seconds since the start.
    pub clock_s: f64,
    /// Changes of place and moves of the lift so far.
    pub moves: u32,
}

impl CoursePoint {
    /// Seconds so far with the price of the moves.
    #[must_use]
    pub fn value_s(&self) -> f64 {
        self.clock_s + times::MOVE_PRICE_S * f64::from(self.moves)
    }

    /// Whether all that comes after costs the same from either, waits left aside.
    #[must_use]
    pub fn is_like(&self, other: &Self) -> bool {
        (self.at, self.part, self.hand) == (other.at, other.part, other.hand)
    }
}

/// Walks from target to target.
pub struct CourseTour<'p> {
    problem: &'p CourseProblem,
    walker: CourseWalker<'p>,
    start: CoursePoint,
}

impl<'p> CourseTour<'p> {
    /// A tour from a start.
    #[must_use]
    pub fn new(problem: &'p CourseProblem, start: &CourseStart) -> Self {
        let mut walker = CourseWalker::new(problem);
        let at = walker.number_state(start.world, start.station);
        let start = CoursePoint { at, part: None, hand: start.hand, clock_s: 0.0, moves: 0 };
        Self { problem, walker, start }
    }

    /// Where every course begins.
    #[must_use]
    pub const fn start(&self) -> CoursePoint {
        self.start
    }

    /// The passages as far as they are known.
    pub fn walker(&mut self) -> &mut CourseWalker<'p> {
        &mut self.walker
    }

    /// The point after a target; nothing where it cannot be reached. `ends_s` holds when each unit ended.
    pub fn after_target(&mut self, point: CoursePoint, target: usize, ends_s: &[f64]) -> Option<CoursePoint> {
        let units = self.problem.unit_count();
        if target >= units && target < self.problem.goal_target() {
            let way = &self.problem.machine.ways[target - units];
            let (world, _) = self.walker.state(point.at);
            if world.value(way.from.thing) == way.event.sets[0].1 {
                return Some(point);
            }
        }
        let passage = self.walker.passage(point.at, target)?;
        let mut next = CoursePoint { at: passage.then, moves: point.moves + passage.moves, ..point };
        if !passage.ways.is_empty() {
            next.part = None;
        }
        next.clock_s += passage.ways_s;
        if target >= units {
            return Some(next);
        }
        for wait in &self.problem.waits_of[target] {
            let wait = &self.problem.waits[*wait];
            let begun_s = wait.from.iter().map(|node| ends_s[*node]).fold(0.0, f64::max);
            next.clock_s = next.clock_s.max(begun_s + wait.wait_s);
        }
        next.clock_s += passage.enter_s;
        let unit = &self.problem.order.nodes[target];
        if unit.part.is_some() && unit.part != next.part {
            next.clock_s += times::ATTENTION_S;
        }
        next.part = unit.part;
        next.clock_s += unit.fixed_s;
        let stacks = &self.problem.order.stacks;
        let cost = |choice: &crate::node_order::StackChoice| {
            stacks.swap_s(point.hand, choice.first) + choice.inside_s
        };
        if let Some(choice) = unit.choices.iter().min_by(|a, b| cost(a).total_cmp(&cost(b))) {
            next.clock_s += cost(choice);
            next.hand = choice.last;
        }
        Some(next)
    }

    /// The points before each target of a course and after the end; nothing where it cannot be walked.
    pub fn walk_course(&mut self, course: &[u16]) -> Option<Vec<CoursePoint>> {
        let mut ends_s = vec![0.0; self.problem.unit_count()];
        let mut point = self.start;
        let mut points = Vec::with_capacity(course.len() + 2);
        for target in course {
            points.push(point);
            point = self.after_target(point, usize::from(*target), &ends_s)?;
            if let Some(end_s) = ends_s.get_mut(usize::from(*target)) {
                *end_s = point.clock_s;
            }
        }
        points.push(point);
        points.push(self.after_target(point, self.problem.goal_target(), &ends_s)?);
        Some(points)
    }
}
