//! Replay: the steps of a sequence with the clock at which each starts and ends.

use crate::case::PlanCase;
use model::plan::{Step, StepAction, StepSequence};
use model::{Act, Fixing, FixingId, OpeningId, StageTarget};

/// Rounding of the clock.
pub(crate) const CLOCK_S: f64 = 1.0e-3;

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

/// When the refit begins: anew, or on the clock of the whole course where the book tells a world.
pub(crate) fn refit_start_s(case: &PlanCase) -> f64 {
    let of = |sequence: &StepSequence| steps_on_clock(sequence, 0.0).last().map_or(0.0, |timed| timed.end_s);
    if case.is_course() { of(&case.plan.strip) + of(&case.plan.work) } else { 0.0 }
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

/// The stages that each fastener of a fixing goes through, in order, the closing pass last.
pub(crate) fn wanted_stages(fixing: &Fixing) -> Vec<u8> {
    if !fixing.drive.is_turned() {
        return Vec::new();
    }
    let stages = &fixing.tightening.stages;
    let mut wanted: Vec<u8> = (0..stages.len() as u8).collect();
    let torque = stages.iter().rposition(|s| matches!(s.target, StageTarget::Torque(_)));
    wanted.extend(torque.filter(|_| fixing.tightening.closing_pass).map(|s| s as u8));
    wanted
}
