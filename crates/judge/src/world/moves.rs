//! Moves: is the plan one course where the book tells a world, and does it tell its moves as its steps show them?

use crate::case::PlanCase;
use crate::sums::count_swaps;
use crate::{FoundViolations, same_figure, show_figure};
use model::PieceId;
use model::plan::{CourseOutcome, MoveCount, Step, StepKind};
use model::progress::Progress;

/// Key of the station where the mechanic is at the start.
pub(super) fn start_station(case: &PlanCase, progress: &Progress) -> String {
    let first = || case.book.stations.first().map(|s| s.key.clone());
    progress.station.clone().or_else(first).unwrap_or_default()
}

/// J620 no course, J628 counts, J629 bounds.
pub(super) fn judge_moves(
    case: &PlanCase,
    progress: &Progress,
    lift_moves: u32,
    found: &mut FoundViolations,
) {
    let Some(course) = case.plan.course.as_ref() else {
        if case.book.has_world() {
            found.add("J620", "plan", "the book tells of settings or rules, and the plan is not one course");
        }
        return;
    };
    let steps = || case.sequences().into_iter().flat_map(|(_, sequence)| &sequence.steps);
    let place = count_places(steps(), &start_station(case, progress));
    let tools = count_tools(case, steps(), progress);
    let said = course.moves;
    let lines = [
        ("changes of place", place, said.place),
        ("moves of the lift", lift_moves, said.lift),
        ("pieces taken up or put down", tools, said.tools),
    ];
    for (what, count, said) in lines {
        judge_move_count(what, count, said, found);
    }
    judge_course_value(case, course, place + lift_moves, found);
}

fn judge_move_count(what: &str, count: u32, said: MoveCount, found: &mut FoundViolations) {
    if count != said.count {
        let words = format!("the steps show {count} {what}, the plan says {}", said.count);
        found.add("J628", "course", words);
    }
    if said.bound > said.count {
        let words =
            format!("no order is said to have fewer than {} {what}, this has {}", said.bound, said.count);
        found.add("J629", "course", words);
    }
}

/// The finish with its price of moves, and the bounds on both.
fn judge_course_value(case: &PlanCase, course: &CourseOutcome, moves: u32, found: &mut FoundViolations) {
    let value_s = case.plan.total_s() + times::MOVE_PRICE_S * f64::from(moves);
    let (said_s, bound_s) = (course.outcome.value, course.outcome.bound);
    if !same_figure(value_s, said_s) {
        let (right, said) = (show_figure(value_s), show_figure(said_s));
        let words = format!("finish and price of moves are {right} s, the plan says {said} s");
        found.add("J628", "course", words);
    }
    if bound_s > said_s && !same_figure(bound_s, said_s) {
        found.add("J629", "course", "the bound on finish and price of moves is above what the plan has");
    }
    let said = course.moves.place.count.saturating_add(course.moves.lift.count);
    if course.least_moves > said {
        let least = course.least_moves;
        found.add(
            "J629",
            "course",
            format!("{least} moves of place and lift are called least, this has {said}"),
        );
    }
}

/// Changes of station between the steps, waits left out.
fn count_places<'a>(steps: impl Iterator<Item = &'a Step>, start: &str) -> u32 {
    let mut here = start;
    let mut count = 0;
    for step in steps.filter(|s| s.kind != StepKind::Wait) {
        count += u32::from(step.station != here);
        here = &step.station;
    }
    count
}

/// Pieces taken up and put down over all steps.
fn count_tools<'a>(case: &PlanCase, steps: impl Iterator<Item = &'a Step>, progress: &Progress) -> u32 {
    let mut hand: Vec<PieceId> = progress.in_hand.iter().filter_map(|k| case.store.piece_by_key(k)).collect();
    let mut count = 0;
    for stack in steps.flat_map(|s| &s.actions).filter_map(|a| case.stack_by_id(a.stack.as_ref())) {
        let next: Vec<PieceId> = stack.all_pieces().collect();
        let (taken, put) = count_swaps(&hand, &next);
        count += taken + put;
        hand = next;
    }
    count
}
