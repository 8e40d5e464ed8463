//! Figures: does every action carry the book's own figure and the stack of its duty?

use crate::case::{PlanCase, step_place};
use crate::{FoundViolations, text_or_none};
use model::Act;

/// J701 figures, J612 stacks, J617 parts and fixings of a step, J618 stations.
pub(crate) fn judge_action_figures(case: &PlanCase, found: &mut FoundViolations) {
    for (name, sequence) in case.sequences() {
        for step in &sequence.steps {
            let at = step_place(name, step);
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
