//! What is away from its value at the end goes back as soon as it may where the mechanic stands, if nothing is lost by it: a tap that was
//! opened is closed in the same stay. No way is taken once more for it, and what a wait has to go by for stays as it is until then.

use std::collections::BTreeSet;

use super::problem::{CourseProblem, CourseStart};
use super::tour::CourseTour;

/// Less than this is rounding.
const SAME_S: f64 = 1.0e-6;

/// The course with every way written out, and ways back to values of the end taken as early as they cost nothing.
#[must_use]
pub fn return_settings_early(problem: &CourseProblem, start: &CourseStart, course: Vec<u16>) -> Vec<u16> {
    let mut tour = CourseTour::new(problem, start);
    let Some(mut course) = write_out_ways(problem, &mut tour, &course) else { return course };
    let held_by_waits = things_held_by_waits(problem);
    for way in 0..problem.machine.ways.len() {
        let own = &problem.machine.ways[way];
        let (thing, to) = own.event.sets[0];
        let leads_back =
            problem.machine.goal.get(usize::from(thing)).is_some_and(|goal| goal.values >> to & 1 == 1);
        let target = (problem.unit_count() + way) as u16;
        if leads_back && !own.is_lift && !held_by_waits.contains(&thing) && course.contains(&target) {
            take_way_early(problem, &mut tour, &mut course, target);
        }
    }
    course
}

/// The settings that a unit changes after which something waits: a tap that coolant runs out of.
fn things_held_by_waits(problem: &CourseProblem) -> BTreeSet<u8> {
    let begins = problem.waits.iter().flat_map(|wait| &wait.from);
    let events = begins.flat_map(|unit| &problem.events[*unit]);
    events.flat_map(|event| &event.sets).map(|(thing, _)| *thing).collect()
}

/// The course with the ways of its passages as targets of their own.
fn write_out_ways(problem: &CourseProblem, tour: &mut CourseTour<'_>, course: &[u16]) -> Option<Vec<u16>> {
    let points = tour.walk_course(course)?;
    let mut all = Vec::new();
    let targets = course.iter().copied().chain([problem.goal_target() as u16]);
    for (at, target) in targets.enumerate() {
        let is_unit = usize::from(target) < problem.unit_count();
        if is_unit || points[at] != points[at + 1] {
            let passage = tour.walker().passage(points[at].at, usize::from(target))?;
            all.extend(passage.ways.iter().map(|way| problem.unit_count() as u16 + way));
        }
        if is_unit {
            all.push(target);
        }
    }
    Some(all)
}

/// Takes a way at the first point where it can be taken on the spot and the course comes to no more for it.
fn take_way_early(problem: &CourseProblem, tour: &mut CourseTour<'_>, course: &mut Vec<u16>, target: u16) {
    let way = &problem.machine.ways[usize::from(target) - problem.unit_count()];
    let Some(points) = tour.walk_course(course) else { return };
    let value_s = points.last().map_or(0.0, super::tour::CoursePoint::value_s);
    for (at, point) in points.iter().enumerate().take(course.len()) {
        let (world, station) = tour.walker().state(point.at);
        let is_here = way.station.is_none_or(|place| place == station);
        if !is_here || problem.machine.after_way(world, way).is_none() || course[at] == target {
            continue;
        }
        let mut tried = course.clone();
        tried.insert(at, target);
        // Where it is already so when its old turn comes, that turn is passed over.
        let Some(written) = write_out_ways(problem, tour, &tried) else { continue };
        let end = tour.walk_course(&written).and_then(|points| points.last().copied());
        let is_as_short = written.len() <= course.len();
        if is_as_short && end.is_some_and(|end| end.value_s() <= value_s + SAME_S) {
            *course = written;
            return;
        }
    }
}
