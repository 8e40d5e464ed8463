//! Figures: does every action carry the book's own figure and the stack of its duty?

use crate::case::{PlanCase, step_place};
use crate::{FoundViolations, text_or_none};
use model::plan::{Step, StepKind};
use model::{Act, StationId};

/// J701 figures, J612 stacks, J617 parts and fixings of a step, J618 stations.
pub(crate) fn judge_action_figures(case: &PlanCase, found: &mut FoundViolations) {
    for (name, sequence) in case.sequences() {
        for step in &sequence.steps {
            let at = step_place(name, step);
            judge_own_station(case, step, &at, found);
            judge_named_fixings(case, step, &at, found);
            for action in &step.actions {
                let Some(duty) = case.duty_of_action(action) else { continue };
                let stage = duty.line.stage.filter(|_| duty.line.act == Act::Tighten);
                let stage = stage.and_then(|s| duty.fixing.tightening.stages.get(usize::from(s)));
                let figure = stage.map(|s| &s.as_written);
                if figure != action.figure.as_ref() {
                    found.add(
                        "J701",
                        at.clone(),
                        format!(
                            "figure is {}, the book gives {}",
                            text_or_none(action.figure.as_ref()),
                            text_or_none(figure)
                        ),
                    );
                }
                if action.stack != duty.line.stack {
                    found.add("J612", at.clone(), format!("stack differs from that of duty {}", action.duty));
                }
                let part = &case.book.part(duty.fixing.part).key;
                if step.part.as_ref() != Some(part) || !step.fixings.contains(&duty.fixing.key) {
                    found.add(
                        "J617",
                        at.clone(),
                        format!("the step does not name `{part}` and `{}`", duty.fixing.key),
                    );
                }
                let station = &case.book.station(case.station_of_duty(&duty)).key;
                if *station != step.station {
                    found.add(
                        "J618",
                        at.clone(),
                        format!("`{}` is worked from `{station}`", duty.fixing.key),
                    );
                }
            }
        }
    }
}

/// J617: a fixing that a step names is one that it works.
fn judge_named_fixings(case: &PlanCase, step: &Step, at: &str, found: &mut FoundViolations) {
    if matches!(step.kind, StepKind::Extra | StepKind::Set) {
        return;
    }
    let worked = |key: &&String| {
        step.actions.iter().filter_map(|a| case.duty_of_action(a)).any(|duty| duty.fixing.key == **key)
    };
    for key in step.fixings.iter().filter(|key| !worked(key)) {
        found.add("J617", at, format!("the step names `{key}` and does nothing to it"));
    }
}

/// J618: a part is lifted off and set in place, a condition made and undone, a task done where the book has them.
fn judge_own_station(case: &PlanCase, step: &Step, at: &str, found: &mut FoundViolations) {
    let own: Option<StationId> = match step.kind {
        StepKind::Remove | StepKind::Refit => case.part_of_step(step).map(|id| case.station_of_part(id)),
        StepKind::Open | StepKind::Drain => {
            case.condition_of_step(step).map(|id| case.book.condition(id).station)
        }
        StepKind::Fill | StepKind::Restore => {
            let condition = case.condition_of_step(step).map(|id| case.book.condition(id));
            condition.map(|c| c.restore_station.unwrap_or(c.station))
        }
        StepKind::Renew | StepKind::Inspect | StepKind::Measure | StepKind::Reseal => {
            let task = step.task.as_ref().and_then(|key| case.book.task_by_key(key));
            task.map(|id| case.book.task(id).station)
        }
        StepKind::Undo
        | StepKind::RunIn
        | StepKind::Tighten
        | StepKind::Cap
        | StepKind::Uncap
        | StepKind::Wait
        | StepKind::Extra
        | StepKind::Set => None,
    };
    let own = own.map(|id| &case.book.station(id).key);
    if let Some(own) = own.filter(|own| **own != step.station) {
        found.add("J618", at, format!("the step is done from `{own}`"));
    }
}
