//! Set-ups beside taking always what is nearest: of all units that may come next, the one with the least set-up.

use effort::SolverEffort;
use plan::course::SolvedCourse;
use plan::course::operators::CourseOperators;
use plan::course::problem::{CourseProblem, CourseStart};
use plan::course::tour::CourseTour;

use crate::cases::{BenchCase, generated_book};
use crate::markdown_table;

/// Ways, walking, lifting and changing tools along a course, s: all but work and waits.
fn setups_s(problem: &CourseProblem, start: &CourseStart, course: &[u16]) -> Option<f64> {
    let mut tour = CourseTour::new(problem, start);
    let mut point = tour.start();
    // Every unit has ended long ago, so that nothing is waited for.
    let ends_s = vec![f64::NEG_INFINITY; problem.unit_count()];
    let mut total_s = 0.0;
    for target in course.iter().map(|target| usize::from(*target)).chain([problem.goal_target()]) {
        let next = tour.after_target(point, target, &ends_s)?;
        total_s += next.clock_s - point.clock_s - work_s(problem, target, point.hand);
        point = next;
    }
    Some(total_s)
}

/// The work of a unit itself, with the stacks that are taken after what is in hand.
fn work_s(problem: &CourseProblem, target: usize, hand: u16) -> f64 {
    let Some(unit) = problem.order.nodes.get(target).filter(|_| target < problem.unit_count()) else {
        return 0.0;
    };
    let cost = |choice: &plan::node_order::StackChoice| {
        problem.order.stacks.swap_s(hand, choice.first) + choice.inside_s
    };
    let taken = unit.choices.iter().min_by(|a, b| cost(a).total_cmp(&cost(b)));
    unit.fixed_s + taken.map_or(0.0, |choice| choice.inside_s)
}

/// The course that takes always the nearest; nothing where it runs into a dead end.
fn nearest_course(problem: &CourseProblem, start: &CourseStart) -> Option<Vec<u16>> {
    let mut tour = CourseTour::new(problem, start);
    let mut point = tour.start();
    let ends_s = vec![f64::NEG_INFINITY; problem.unit_count()];
    let mut is_done = vec![false; problem.unit_count()];
    let mut course = Vec::new();
    while course.len() < problem.unit_count() {
        let mut best: Option<(f64, usize, plan::course::tour::CoursePoint)> = None;
        for unit in 0..problem.unit_count() {
            if is_done[unit] || !problem.order.before[unit].iter().all(|before| is_done[*before]) {
                continue;
            }
            let Some(next) = tour.after_target(point, unit, &ends_s) else { continue };
            let setup_s = next.clock_s - point.clock_s - work_s(problem, unit, point.hand);
            if best.is_none_or(|(least_s, ..)| setup_s < least_s) {
                best = Some((setup_s, unit, next));
            }
        }
        let (_, unit, next) = best?;
        is_done[unit] = true;
        course.push(unit as u16);
        point = next;
    }
    Some(course)
}

fn row(name: &str, solved: &SolvedCourse) -> Vec<String> {
    let found_s = setups_s(&solved.problem, &solved.start, &solved.course).unwrap();
    let nearest = nearest_course(&solved.problem, &solved.start);
    let nearest_s = nearest.and_then(|course| setups_s(&solved.problem, &solved.start, &course));
    let less = nearest_s.map_or_else(
        || String::from("-"),
        |nearest_s| format!("{:.1} %", 100.0 * (nearest_s - found_s) / nearest_s),
    );
    vec![
        name.to_owned(),
        nearest_s.map_or_else(|| String::from("dead end"), |s| format!("{:.0} min", s / 60.0)),
        format!("{:.0} min", found_s / 60.0),
        less,
    ]
}

/// Set-ups of the jobs and of five generated books of some 600 steps.
pub fn nearest_section(cases: &[BenchCase]) -> String {
    let all = CourseOperators::default();
    let mut rows: Vec<Vec<String>> =
        cases.iter().map(|case| row(&case.name, &case.solve(SolverEffort::Sized, all, 2))).collect();
    for seed in 1..=5 {
        let (book, store) = generated_book(seed, crate::generated::SIZE);
        let tasks = book.tasks.iter().map(|task| task.key.clone()).collect();
        let case = BenchCase::new(format!("generated, large, {seed}"), book, store, tasks);
        rows.push(row(&case.name, &case.solve(SolverEffort::Sized, all, 2)));
    }
    format!(
        "## Set-ups beside taking always the nearest\n\nWays, walking, lifting and changing tools. *Nearest*: of all that may come next under \
         the same rules, what has the least set-up.\n\n{}",
        markdown_table(&["job", "nearest", "found", "less by"], &rows)
    )
}
