//! Steps that one tap does together: a part comes away with its last fasteners, and is set in place as its first are started; a
//! single fastener is run in and tightened in one go.
//!
//! A fold joins steps of one part that follow one another at one place. A part with a danger or a warning of its own, or one whose
//! moving changes a setting of the vehicle, has a tap to itself, and so has every group of more than one fastener that is
//! tightened. Holes that are tapped one by one are not folded: the part then has a sheet to itself.

use std::collections::BTreeSet;

use model::plan::{Plan, Step, StepKind};
use model::{Book, SignalWord};
use record::steps_of;

/// Steps that one tap does, in the order of the work; at least one.
#[derive(Debug, Clone)]
pub(super) struct FoldedSteps<'p> {
    steps: Vec<&'p Step>,
}

impl<'p> FoldedSteps<'p> {
    /// A step that stands alone.
    pub(super) fn alone(step: &'p Step) -> Self {
        Self { steps: vec![step] }
    }

    /// The steps in the order of the work.
    pub(super) fn in_order(&self) -> &[&'p Step] {
        &self.steps
    }

    /// The first of them.
    pub(super) fn first(&self) -> &'p Step {
        self.steps[0]
    }

    /// The last step on fasteners, whose holes and figure are shown; the only one where none is.
    pub(super) fn lead(&self) -> &'p Step {
        let is_of_fasteners =
            |step: &&&Step| matches!(step.kind, StepKind::Undo | StepKind::RunIn | StepKind::Tighten);
        self.steps.iter().rev().find(is_of_fasteners).unwrap_or(&self.steps[0])
    }

    /// The number of the last.
    pub(super) fn last_number(&self) -> u32 {
        self.steps.last().map_or(0, |step| step.number)
    }

    /// The first so many of them.
    pub(super) fn first_of(&self, count: usize) -> Self {
        Self { steps: self.steps[..count.clamp(1, self.steps.len())].to_vec() }
    }
}

/// What is done in one tap from a step on: it and those after it, as long as they fold and are not done.
pub(super) fn folded_steps<'p>(
    book: &Book,
    plan: &'p Plan,
    step: &'p Step,
    is_open: impl Fn(u32) -> bool,
) -> FoldedSteps<'p> {
    let mut folded = FoldedSteps::alone(step);
    if !is_open(step.number) {
        return folded;
    }
    for next in steps_of(plan).skip_while(|s| s.number != step.number).skip(1) {
        let last = folded.steps[folded.steps.len() - 1];
        if !is_open(next.number) || !is_one_go(book, last, next) {
            break;
        }
        folded.steps.push(next);
    }
    folded
}

/// Whether a step and the one after it are one go for the hand.
fn is_one_go(book: &Book, step: &Step, next: &Step) -> bool {
    if step.part.is_none() || step.part != next.part || step.station != next.station {
        return false;
    }
    match (step.kind, next.kind) {
        (StepKind::Undo, StepKind::Remove) => moves_quietly(next),
        (StepKind::Refit, StepKind::RunIn) => moves_quietly(step),
        (StepKind::RunIn, StepKind::Tighten) => is_one_fastener(book, step, next),
        _ => false,
    }
}

/// Whether nothing about moving the part wants a tap of its own.
fn moves_quietly(step: &Step) -> bool {
    let is_grave = |word: SignalWord| matches!(word, SignalWord::Danger | SignalWord::Warning);
    !step.cautions.iter().any(|caution| is_grave(caution.word)) && step.sets.is_empty() && step.wait_s <= 0.0
}

/// Whether both steps are about the same single fastener, tightened in one pass, that endangers nobody.
fn is_one_fastener(book: &Book, run_in: &Step, tighten: &Step) -> bool {
    let holes = |step: &Step| -> BTreeSet<String> {
        step.actions.iter().flat_map(|action| action.holes.iter().cloned()).collect()
    };
    let [fixing] = run_in.fixings.as_slice() else { return false };
    let is_simple = book.fixing_by_key(fixing).map(|id| book.fixing(id)).is_some_and(|fixing| {
        fixing.tightening.stages.len() == 1 && !fixing.critical && !fixing.is_figure_missing()
    });
    let is_quiet = tighten.cautions.is_empty() && tighten.sets.is_empty() && run_in.sets.is_empty();
    is_simple
        && is_quiet
        && run_in.fixings == tighten.fixings
        && holes(run_in).len() == 1
        && holes(run_in) == holes(tighten)
}
