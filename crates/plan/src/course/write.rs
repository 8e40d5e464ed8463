//! A solved course as lines: ways of settings and units of work in the order in which they are done.
//!
//! A way belongs to the stretch of the unit that it leads to, the ways after the last unit to the refit.

use model::plan::{JobPhase, Step, StepKind};
use model::{Book, SettingEffect, SettingId, StationId};

use super::machine::CompiledWay;
use super::work_units::CourseJob;
use super::{SolvedCourse, problem::CourseProblem};
use crate::job::StepDraft;

/// One line of a course.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseLine {
    /// The stretch.
    pub stretch: JobPhase,
    /// Whether it is done wherever the mechanic is.
    pub is_anywhere: bool,
    /// What is done.
    pub what: CourseLineWork,
}

/// What a line of a course does.
#[derive(Debug, Clone, PartialEq)]
pub enum CourseLineWork {
    /// A setting is brought to another value.
    Way(StepDraft),
    /// A unit of the job.
    Unit(usize),
}

/// The lines of a solved course, whose ways are all written out ([`super::settle`]).
#[must_use]
pub fn course_lines(book: &Book, job: &CourseJob, solved: &SolvedCourse) -> Vec<CourseLine> {
    let problem = &solved.problem;
    let mut lines = Vec::new();
    let mut ahead: Vec<CourseLine> = Vec::new();
    let mut has_refit = false;
    for target in solved.course.iter().map(|target| usize::from(*target)) {
        if target >= problem.unit_count() {
            ahead.push(way_line(book, problem, target - problem.unit_count()));
            continue;
        }
        let own = job.stretches[target];
        // Work in the middle of the refit is told there.
        let stretch = if own == JobPhase::Work && has_refit { JobPhase::Refit } else { own };
        has_refit |= own == JobPhase::Refit;
        lines.extend(ahead.drain(..).map(|line| CourseLine { stretch, ..line }));
        let what = CourseLineWork::Unit(target);
        lines.push(CourseLine { stretch, is_anywhere: false, what });
    }
    lines.append(&mut ahead);
    lines
}

/// The ways that the steps of a plan take, rising: the setting and the position of the way in it.
#[must_use]
pub fn ways_taken(book: &Book, steps: &[&Step]) -> Vec<(SettingId, usize)> {
    let way = |step: &&Step| {
        let own = step.sets.first().filter(|_| step.kind == StepKind::Set)?;
        let id = book.setting_by_key(&own.setting)?;
        let setting = book.setting(id);
        let to = setting.value_by_word(&own.value)?;
        let at = setting.ways.iter().position(|way| way.to == to && way.text == step.text)?;
        Some((id, at))
    };
    let mut ways: Vec<(SettingId, usize)> = steps.iter().filter_map(way).collect();
    ways.sort_unstable();
    ways.dedup();
    ways
}

fn way_line(book: &Book, problem: &CourseProblem, at: usize) -> CourseLine {
    let way = &problem.machine.ways[at];
    let draft = way_draft(book, way);
    CourseLine {
        stretch: JobPhase::Refit,
        is_anywhere: way.station.is_none(),
        what: CourseLineWork::Way(draft),
    }
}

fn way_draft(book: &Book, compiled: &CompiledWay) -> StepDraft {
    let way = &book.setting(compiled.setting).ways[compiled.way];
    let station = way.station.unwrap_or(StationId::new(0));
    let mut draft = StepDraft::new(StepKind::Set, station, way.text.clone());
    draft.fixed_s = compiled.time_s;
    draft.cautions.clone_from(&way.cautions);
    draft.sets = vec![SettingEffect { setting: compiled.setting, value: way.to }];
    draft.sets.extend(way.sets.iter().copied());
    draft
}
