//! The sheets to come, as they will look when those before them are done: for a device that loses its connection.

use record::{PlanStepsView, apply_pretended_events};

use super::sheet::is_step_owed;
use super::{DrawingRoom, StepSheet, step_sheet};
use crate::workshop::LiveVisit;

/// Which sheets to make.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AheadRange {
    /// Number of the first step.
    pub step: u32,
    /// How many sheets.
    pub count: usize,
    /// The room that their drawings have.
    pub room: DrawingRoom,
}

/// The sheet of a step and of those that are not done after it, each as it looks when those before it are done.
#[must_use]
pub fn sheets_ahead(live: &LiveVisit, after: AheadRange) -> Vec<StepSheet> {
    let Some((book, store, plan)) = live.planned_texts() else { return Vec::new() };
    let mut then = live.state().clone();
    let open: Vec<u32> = PlanStepsView::of_plan(&then, book, plan)
        .steps
        .iter()
        .filter(|s| s.number >= after.step && is_step_owed(&then, book, plan, s))
        .map(|s| s.number)
        .take(after.count)
        .collect();
    let mut sheets = Vec::new();
    for number in open {
        let mut written = Vec::new();
        // A joint's passes are ticked one by one; no plan has more than a dozen.
        for _ in 0..12 {
            let views = PlanStepsView::of_plan(&then, book, plan);
            // A step that is done in the tap of the one before it has no sheet of its own.
            if views.step_numbered(number).is_none_or(|view| !is_step_owed(&then, book, plan, view)) {
                break;
            }
            let Some(next) = step_sheet(book, store, plan, &then, number, after.room) else { break };
            let bodies = next.tick.as_ref().map(|says| says.bodies.clone());
            sheets.push(next);
            // A step that is looked at out of turn may leave everything as it was.
            let Some(bodies) = bodies.filter(|bodies| *bodies != written) else { break };
            apply_pretended_events(&mut then, &bodies);
            written = bodies;
        }
    }
    sheets
}
