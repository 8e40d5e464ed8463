//! What is worth starting in the minutes that are left before the telephone, the lunch or the evening.
//!
//! The order of the plan is what keeps the vehicle safe, so that nothing is picked out of it: the next steps are taken as far as
//! they fit. A part that is once undone is lifted off before anybody turns away, and a joint is not left between its passes.

// symbol: left_s = s

use model::plan::{Step, StepKind};
use record::PlanStepsView;

use crate::text::table::{count_with_noun, spoken_time};
use crate::workshop::LiveVisit;

/// What fits into a time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FittingWork {
    /// The minutes.
    pub minutes: u32,
    /// How many of the next steps fit.
    pub steps: usize,
    /// In words.
    pub words: String,
}

/// What of the plan fits into each of these times; empty without a plan or where nothing is left.
#[must_use]
pub fn work_that_fits(live: &LiveVisit, minutes: &[u32]) -> Vec<FittingWork> {
    let Some((book, _, plan)) = live.planned_texts() else { return Vec::new() };
    let view = PlanStepsView::of_plan(live.state(), book, plan);
    let left: Vec<(&Step, f64)> = plan
        .all_steps()
        .zip(&view.steps)
        .filter(|(_, view)| view.left_s > 0.0)
        .map(|(step, view)| (step, view.left_s))
        .collect();
    if left.is_empty() {
        return Vec::new();
    }
    minutes.iter().map(|minutes| fit_steps(&left, *minutes)).collect()
}

fn fit_steps(steps_left_s: &[(&Step, f64)], minutes: u32) -> FittingWork {
    let time_s = f64::from(minutes) * 60.0;
    let mut used_s = 0.0;
    let mut fits = 0;
    let left = steps_left_s;
    for (step, left_s) in left {
        used_s += left_s;
        if used_s > time_s || step.wait_s > 0.0 {
            break;
        }
        fits += 1;
    }
    // Nothing is left hanging by its last screws, and no joint between its passes.
    while fits > 0 && fits < left.len() && holds_on(left[fits - 1].0, left[fits].0) {
        fits -= 1;
    }
    let text = |at: usize| format!("step {}, {}", left[at].0.number, left[at].0.text.trim_end_matches('.'));
    let words = match fits {
        0 => {
            format!("nothing whole: the next, {}, takes about {}", text(0), spoken_time(left[0].1.max(60.0)))
        }
        1 => text(0),
        _ => format!("{}, to {}", count_with_noun(fits, "step"), text(fits - 1)),
    };
    FittingWork { minutes, steps: fits, words }
}

/// Whether one may not turn away between two steps: both are of one part, which is loose or half tightened between them.
pub(crate) fn holds_on(step: &Step, next: &Step) -> bool {
    let is_one_part = step.part.is_some() && step.part == next.part;
    is_one_part && matches!(next.kind, StepKind::Remove | StepKind::Tighten)
}
