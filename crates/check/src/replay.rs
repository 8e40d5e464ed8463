//! Replay: the steps of a sequence with the clock at which each starts and ends.

use crate::case::Case;
use model::plan::{Action, Sequence, Step};
use model::{Act, FixingId, OpeningId};

/// A step on the clock.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Timed<'a> {
    pub step: &'a Step,
    pub start_s: f64,
    pub end_s: f64,
}

/// The steps on a clock that starts at `from_s`.
pub(crate) fn timed(sequence: &Sequence, from_s: f64) -> Vec<Timed<'_>> {
    let mut clock_s = from_s;
    let on_clock = |step| {
        let start_s = clock_s;
        let step: &Step = step;
        clock_s += step.setup_s + step.work_s + step.wait_s;
        Timed { step, start_s, end_s: clock_s }
    };
    sequence.steps.iter().map(on_clock).collect()
}

/// One fastener in one action.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Touch {
    pub fixing: FixingId,
    pub hole: u16,
    pub act: Act,
    pub stage: Option<u8>,
}

/// The fasteners of an action, in order.
pub(crate) fn touches(case: &Case, action: &Action) -> Vec<Touch> {
    let Some(duty) = case.duty(action) else { return Vec::new() };
    let touch = |hole| Touch { fixing: duty.id, hole, act: duty.line.act, stage: duty.line.stage };
    case.holes_of(action).into_iter().map(touch).collect()
}

/// The opening that a step names.
pub(crate) fn opening(case: &Case, step: &Step) -> Option<OpeningId> {
    let key = step.opening.as_ref()?;
    case.book.openings.iter().position(|o| o.key == *key).map(OpeningId::new)
}
