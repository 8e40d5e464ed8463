//! How good a course is: its value and its moves, each with a bound on any order.

use effort::SolverWatch;
use model::plan::{CourseMoves, CourseOutcome, MoveCount, Step, StepKind};
use model::{Book, OutcomeUnit, SettingKind, SolverOutcome, SolverStanding};

use super::SolvedCourse;
use super::exact::{ExactEnd, MovePrices, find_fewest_moves};
use crate::node_order::{least_place_changes, node_order_bound_s};

/// Less than this is rounding.
const SAME_S: f64 = 1.0e-6;

/// Changes of working position and moves of the lift of some steps in order.
#[must_use]
pub fn count_moves(book: &Book, steps: &[&Step], start: &str) -> (u32, u32) {
    let (mut place, mut lift) = (0, 0);
    let mut here = start;
    for step in steps.iter().filter(|s| s.kind != StepKind::Wait) {
        place += u32::from(step.station != here);
        here = &step.station;
        let is_lift =
            |key: &str| book.setting_by_key(key).is_some_and(|id| book.setting(id).kind == SettingKind::Lift);
        let own = step.sets.first().filter(|_| step.kind == StepKind::Set);
        lift += u32::from(own.is_some_and(|set| is_lift(&set.setting)));
    }
    (place, lift)
}

/// The outcome of the written steps of a course; `tools` are the pieces taken up and put down.
#[must_use]
pub fn course_outcome(
    book: &Book,
    solved: &SolvedCourse,
    steps: &[&Step],
    tools: u32,
    watch: &dyn SolverWatch,
) -> CourseOutcome {
    let start = &book.stations[usize::from(solved.start.station)].key;
    let (place, lift) = count_moves(book, steps, start);
    let seconds: f64 = steps.iter().map(|s| s.total_s()).sum();
    let value = seconds + times::MOVE_PRICE_S * f64::from(place + lift);
    let forced = least_place_changes(&solved.problem.order, solved.start.station).min(place);
    let least = |prices: MovePrices| {
        // Only where all states could be gone through before can they be again.
        solved.fewest_moves?;
        match find_fewest_moves(&solved.problem, &solved.start, prices, watch) {
            ExactEnd::Least(moves, _) => Some(moves),
            ExactEnd::Impossible(_) | ExactEnd::GivenUp => None,
        }
    };
    let place_bound = least(MovePrices { place: 1, lift: 0 }).unwrap_or(forced).max(forced);
    let lift_bound = least(MovePrices { place: 0, lift: 1 }).unwrap_or(0);
    let least_moves = solved.fewest_moves.unwrap_or(0).max(place_bound + lift_bound);
    let bound = node_order_bound_s(&solved.problem.order) + times::MOVE_PRICE_S * f64::from(least_moves);
    let is_proven = value - bound <= SAME_S;
    let standing = if is_proven { SolverStanding::Proven } else { solved.standing };
    CourseOutcome {
        outcome: SolverOutcome {
            standing,
            value,
            bound: bound.min(value),
            unit: OutcomeUnit::Seconds,
            effort: solved.tries,
        },
        moves: CourseMoves {
            place: MoveCount { count: place, bound: place_bound.min(place) },
            lift: MoveCount { count: lift, bound: lift_bound.min(lift) },
            tools: MoveCount { count: tools, bound: 0 },
        },
        least_moves: least_moves.min(place + lift),
    }
}
