//! A part whose fasteners are worked at two places does not hang half undone while the mechanic turns to something else.
//!
//! From the first unit that undoes it to the one that lifts it off, and from the one that sets it in place to the last that runs its
//! fasteners in, no other unit comes between: only ways of settings, so that the lift may be moved. A plug and a lock hold nothing, and breaking
//! loose is not undoing. Each stretch is a mark of its own in the world, made by its first unit and wiped by its last.

use model::plan::StepKind;
use model::{Book, FastenerKind, PartId};

use super::machine::{CompiledNeed, WorldEvent, WorldMachine};
use super::work_units::{CourseJob, is_loosening_step};
use crate::job::StepDraft;
use crate::scope::PlanScope;

/// The values of a mark.
const CLEAR: u8 = 0;
const HANGING: u8 = 1;

/// Adds marks for the parts of a course that units of two places undo or run in.
pub(super) fn leave_nothing_hanging(
    book: &Book,
    scope: &PlanScope,
    course: &CourseJob,
    machine: &mut WorldMachine,
    events: &mut [Vec<WorldEvent>],
) {
    let undoes = |draft: &StepDraft| {
        draft.kind == StepKind::Undo && carries(book, draft) && !is_loosening_step(book, scope, draft)
    };
    let runs_in = |draft: &StepDraft| {
        draft.kind == StepKind::RunIn && carries(book, draft) && !waits_for_more(book, draft)
    };
    for (part, _) in &scope.parts {
        if let Some(off) = unit_of(course, *part, &|d| d.kind == StepKind::Remove) {
            let elsewhere = units_of(course, *part, &undoes, off);
            if !elsewhere.is_empty()
                && let Some(mark) = machine.add_mark()
            {
                elsewhere.iter().for_each(|unit| set_mark(&mut events[*unit], mark, HANGING));
                set_mark(&mut events[off], mark, CLEAR);
                keep_others_out(course, *part, mark, events);
            }
        }
        if let Some(on) = unit_of(course, *part, &|d| d.kind == StepKind::Refit) {
            for unit in units_of(course, *part, &runs_in, on) {
                let Some(mark) = machine.add_mark() else { return };
                set_mark(&mut events[on], mark, HANGING);
                set_mark(&mut events[unit], mark, CLEAR);
                keep_others_out(course, *part, mark, events);
            }
        }
    }
}

/// Whether a step is about fasteners that hold the part: a plug and a lock do not, and what is only slackened is not undone.
fn carries(book: &Book, draft: &StepDraft) -> bool {
    let holds = |fixing: &model::Fixing| {
        fixing.kind != FastenerKind::Connector && !fixing.kind.is_lock() && !fixing.slackened
    };
    draft.fixings.iter().any(|fixing| holds(book.fixing(*fixing)))
}

/// Whether running in asks for something of its own, which may have to come between.
fn waits_for_more(book: &Book, draft: &StepDraft) -> bool {
    draft.fixings.iter().any(|fixing| !book.fixing(*fixing).world.tightening.is_untold())
}

fn unit_of(course: &CourseJob, part: PartId, is_it: &dyn Fn(&StepDraft) -> bool) -> Option<usize> {
    let has = |steps: &Vec<StepDraft>| steps.iter().any(|d| d.part == Some(part) && is_it(d));
    course.job.nodes.iter().position(has)
}

fn units_of(course: &CourseJob, part: PartId, is_it: &dyn Fn(&StepDraft) -> bool, but: usize) -> Vec<usize> {
    let has = |unit: &usize| course.job.nodes[*unit].iter().any(|d| d.part == Some(part) && is_it(d));
    (0..course.job.nodes.len()).filter(|unit| *unit != but && has(unit)).collect()
}

fn set_mark(events: &mut [WorldEvent], mark: u8, value: u8) {
    if let Some(last) = events.last_mut() {
        last.sets.push((mark, value));
    }
}

/// Units of other parts, and those of nothing, wait until the mark is wiped.
fn keep_others_out(course: &CourseJob, part: PartId, mark: u8, events: &mut [Vec<WorldEvent>]) {
    for (steps, own) in course.job.nodes.iter().zip(events) {
        let is_other = steps.iter().all(|d| d.part != Some(part) && d.kind != StepKind::Extra);
        if let Some(first) = own.first_mut().filter(|_| is_other) {
            first.needs.push(CompiledNeed { thing: mark, values: 1 << CLEAR });
        }
    }
}
