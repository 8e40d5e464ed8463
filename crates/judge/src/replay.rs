//! Replay: the steps of a sequence with the clock at which each starts and ends.

use crate::case::PlanCase;
use model::plan::{Step, StepAction, StepSequence};
use model::{Act, FixingId, OpeningId};

/// A step on the clock.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TimedStep<'a> {
    pub step: &'a Step,
    pub start_s: f64,
    pub end_s: f64,
}

/// The steps on a clock that starts at `from_s`.
pub(crate) fn steps_on_clock(sequence: &StepSequence, from_s: f64) -> Vec<TimedStep<'_>> {
    let mut clock_s = from_s;
    let on_clock = |step| {
        let start_s = clock_s;
        let step: &Step = step;
        clock_s += step.setup_s + step.work_s + step.wait_s;
        TimedStep { step, start_s, end_s: clock_s }
    };
    sequence.steps.iter().map(on_clock).collect()
}

/// One fastener in one action.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct FastenerTouch {
    pub fixing: FixingId,
    pub hole: u16,
    pub act: Act,
    pub stage: Option<u8>,
}

/// The fasteners of an action, in order.
pub(crate) fn touches_of_action(case: &PlanCase, action: &StepAction) -> Vec<FastenerTouch> {
    let Some(duty) = case.duty_of_action(action) else { return Vec::new() };
    let touch = |hole| FastenerTouch { fixing: duty.id, hole, act: duty.line.act, stage: duty.line.stage };
    case.holes_of_action(action).into_iter().map(touch).collect()
}

/// The opening that a step names.
pub(crate) fn opening_of_step(case: &PlanCase, step: &Step) -> Option<OpeningId> {
    let key = step.opening.as_ref()?;
    case.book.openings.iter().position(|o| o.key == *key).map(OpeningId::new)
}
