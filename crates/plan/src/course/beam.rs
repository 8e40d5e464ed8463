//! A first course: a beam over units done, keeping the cheapest few at each count.
//!
//! # Sources
//! Lowerre, The Harpy speech recognition system, Carnegie Mellon (1976), for the method (from memory).

use std::collections::BTreeSet;

use effort::SolverWatch;

use super::problem::CourseProblem;
use super::tour::{CoursePoint, CourseTour};

/// Courses kept at each count of units done.
const BEAM_WIDTH: usize = 48;
/// Courses kept where fewer led nowhere.
const WIDE_BEAM_WIDTH: usize = 400;

/// One course so far.
#[derive(Clone)]
struct BeamCourse {
    point: CoursePoint,
    done: Vec<u64>,
    ends_s: Vec<f64>,
    course: Vec<u16>,
}

impl BeamCourse {
    fn is_done(&self, unit: usize) -> bool {
        self.done[unit / 64] >> (unit % 64) & 1 == 1
    }
}

/// A course from the start to the end, or the units done where most could be.
///
/// # Errors
/// The units of the longest course that leads nowhere.
pub fn find_first_course(
    problem: &CourseProblem,
    tour: &mut CourseTour<'_>,
    watch: &dyn SolverWatch,
) -> Result<Vec<u16>, Vec<usize>> {
    let narrow = find_course_by_beam(problem, tour, BEAM_WIDTH, watch);
    narrow.or_else(|_| find_course_by_beam(problem, tour, WIDE_BEAM_WIDTH, watch))
}

fn find_course_by_beam(
    problem: &CourseProblem,
    tour: &mut CourseTour<'_>,
    width: usize,
    watch: &dyn SolverWatch,
) -> Result<Vec<u16>, Vec<usize>> {
    let count = problem.unit_count();
    let first = BeamCourse {
        point: tour.start(),
        done: vec![0; count.div_ceil(64)],
        ends_s: vec![0.0; count],
        course: Vec::new(),
    };
    let mut beam = vec![first];
    for layer in 0..count {
        watch.report_progress("looking for a safe order", layer as f64 / count.max(1) as f64);
        let next = next_beam(problem, tour, &beam, width);
        if next.is_empty() {
            let longest = beam.first().map(|c| c.course.clone()).unwrap_or_default();
            return Err(longest.into_iter().map(usize::from).collect());
        }
        beam = next;
    }
    let mut whole: Vec<(f64, Vec<u16>)> = Vec::new();
    for course in &beam {
        if let Some(end) = tour.after_target(course.point, problem.goal_target(), &course.ends_s) {
            whole.push((end.value_s(), course.course.clone()));
        }
    }
    let best = whole.into_iter().min_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
    best.map(|(_, course)| course).ok_or_else(|| (0..count).collect())
}

fn next_beam(
    problem: &CourseProblem,
    tour: &mut CourseTour<'_>,
    beam: &[BeamCourse],
    width: usize,
) -> Vec<BeamCourse> {
    let mut found: Vec<(f64, usize, usize, CoursePoint)> = Vec::new();
    for (at, course) in beam.iter().enumerate() {
        for unit in 0..problem.unit_count() {
            let is_ready = problem.order.before[unit].iter().all(|b| course.is_done(*b));
            if course.is_done(unit) || !is_ready {
                continue;
            }
            if let Some(point) = tour.after_target(course.point, unit, &course.ends_s) {
                found.push((point.value_s(), at, unit, point));
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut seen: BTreeSet<(Vec<u64>, u32, u16)> = BTreeSet::new();
    let mut next = Vec::new();
    for (_, at, unit, point) in found {
        let mut done = beam[at].done.clone();
        done[unit / 64] |= 1 << (unit % 64);
        if !seen.insert((done.clone(), point.at, point.hand)) {
            continue;
        }
        let mut ends_s = beam[at].ends_s.clone();
        ends_s[unit] = point.clock_s;
        let course = [&beam[at].course[..], &[unit as u16]].concat();
        next.push(BeamCourse { point, done, ends_s, course });
        if next.len() == width {
            break;
        }
    }
    next
}
