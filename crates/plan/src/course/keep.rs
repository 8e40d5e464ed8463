//! Keeping an order: what a happening does not touch stays as it was, unless a change saves much.

use std::collections::BTreeMap;

use model::plan::{Step, StepKind};
use model::{Book, FixingId};

use super::problem::{CourseProblem, CourseStart};
use super::tour::CourseTour;
use super::work_units::CourseJob;
use crate::job::StepDraft;

/// What one change of an order has to save before it is made, with the price of moves (assumption: five minutes).
pub const KEEP_ORDER_S: f64 = 300.0;

/// The units as the old plan had them; new ones go as early as they may, just before what follows them. Nothing where there is no old
/// plan, or its order cannot be walked from here.
#[must_use]
pub fn kept_course(
    book: &Book,
    problem: &CourseProblem,
    start: &CourseStart,
    job: &CourseJob,
    old: &[&Step],
) -> Option<Vec<u16>> {
    if old.is_empty() {
        return None;
    }
    let wanted = wanted_places(book, problem, job, old);
    let order: Vec<u16> =
        problem.order.order_by_places(&wanted).into_iter().map(|unit| unit as u16).collect();
    let mut tour = CourseTour::new(problem, start);
    let with_ways = with_old_ways(book, problem, old, &wanted, &order);
    [with_ways, order].into_iter().find(|course| tour.walk_course(course).is_some())
}

/// The old place of each unit, or that of the first that follows it.
fn wanted_places(book: &Book, problem: &CourseProblem, job: &CourseJob, old: &[&Step]) -> Vec<usize> {
    let mut places: BTreeMap<StepIdentity, usize> = BTreeMap::new();
    for (at, step) in old.iter().enumerate() {
        places.entry(identity_of_step(step)).or_insert(at);
    }
    let place =
        |steps: &Vec<StepDraft>| steps.iter().find_map(|d| places.get(&identity_of_draft(book, d))).copied();
    let told: Vec<Option<usize>> = job.job.nodes.iter().map(place).collect();
    let later = |unit: usize| {
        let behind = (0..told.len()).filter(move |n| problem.order.precedes(unit, *n));
        behind.filter_map(|n| told[n]).min().unwrap_or(0)
    };
    (0..told.len()).map(|unit| told[unit].unwrap_or_else(|| later(unit))).collect()
}

/// The order with the ways that the old plan took between its units, as far as they are still ahead.
fn with_old_ways(
    book: &Book,
    problem: &CourseProblem,
    old: &[&Step],
    wanted: &[usize],
    order: &[u16],
) -> Vec<u16> {
    let first = wanted.iter().copied().min().unwrap_or(old.len());
    let way_of = |step: &Step| {
        let (id, at) = *super::write::ways_taken(book, &[step]).first()?;
        problem.machine.ways.iter().position(|way| (way.setting, way.way) == (id, at))
    };
    let ways = old.iter().enumerate().skip(first).filter_map(|(at, step)| Some((at, way_of(step)?)));
    let mut ways = ways.peekable();
    let mut course = Vec::new();
    for unit in order {
        while let Some((_, way)) = ways.next_if(|(at, _)| *at < wanted[usize::from(*unit)]) {
            course.push((problem.unit_count() + way) as u16);
        }
        course.push(*unit);
    }
    course.extend(ways.map(|(_, way)| (problem.unit_count() + way) as u16));
    course
}

/// What identifies a step of the old plan: kind, part, fixings, condition, task, extra step, station, first duty.
pub(crate) type StepIdentity<'a> = (
    StepKind,
    Option<&'a str>,
    Vec<&'a str>,
    Option<&'a str>,
    Option<&'a str>,
    Option<&'a str>,
    &'a str,
    Option<usize>,
);

/// Steps with their names and numbers, in order.
pub(crate) fn named_steps<'a>(steps: &[&'a Step]) -> Vec<(StepIdentity<'a>, u32)> {
    steps.iter().map(|s| (identity_of_step(s), s.number)).collect()
}

fn identity_of_step(step: &Step) -> StepIdentity<'_> {
    (
        step.kind,
        step.part.as_deref(),
        step.fixings.iter().map(String::as_str).collect(),
        step.condition.as_deref(),
        step.task.as_deref(),
        step.extra.as_deref(),
        &step.station,
        step.actions.first().map(|a| a.duty),
    )
}

pub(crate) fn identity_of_draft<'a>(book: &'a Book, draft: &'a StepDraft) -> StepIdentity<'a> {
    let key = |f: &FixingId| book.fixing(*f).key.as_str();
    let mut fixings: Vec<&str> = draft.fixings.iter().map(key).collect();
    fixings.sort_unstable();
    (
        draft.kind,
        draft.part.map(|p| book.part(p).key.as_str()),
        fixings,
        draft.condition.map(|c| book.condition(c).key.as_str()),
        draft.task.map(|t| book.task(t).key.as_str()),
        draft.extra.as_deref(),
        &book.station(draft.station).key,
        draft.runs.first().map(|r| r.duty),
    )
}
