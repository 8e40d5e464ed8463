//! Steps that one tap does together: a part comes away with its last fasteners, and is set in place as its first are started.
//!
//! A fold joins the work on fasteners of one part with the taking off or setting in place of that same part, where one follows
//! the other at the same place and the part itself asks for nothing of its own: no caution, no second pair of hands, no setting
//! that is moved. Holes that are tapped one by one are not folded: the part then has a sheet to itself.

use model::Book;
use model::plan::{Plan, Step, StepKind};
use record::{Visit, VisitBody, VisitCommand, apply_pretended_events, decide, steps_of};

/// A step with what is done in the same tap.
#[derive(Debug, Clone, Copy)]
pub(super) struct FoldedSteps<'p> {
    /// The step of the fasteners: its holes, stacks and figure are shown.
    pub(super) fasteners: &'p Step,
    /// The part that comes off after it, or is set in place before it; `None`: the step stands alone.
    pub(super) part: Option<&'p Step>,
}

impl<'p> FoldedSteps<'p> {
    /// A step that stands alone.
    pub(super) const fn alone(step: &'p Step) -> Self {
        Self { fasteners: step, part: None }
    }

    /// The steps in the order of the work.
    pub(super) fn in_order(self) -> Vec<&'p Step> {
        let mut steps: Vec<&Step> = self.part.into_iter().chain([self.fasteners]).collect();
        steps.sort_by_key(|step| step.number);
        steps
    }

    /// The number of the step that follows in the plan.
    pub(super) fn last_number(self) -> u32 {
        self.in_order().last().map_or(self.fasteners.number, |step| step.number)
    }
}

/// What is done in one tap from a step on: it and the next, where they fold and neither is done.
pub(super) fn folded_steps<'p>(
    plan: &'p Plan,
    step: &'p Step,
    is_open: impl Fn(u32) -> bool,
) -> FoldedSteps<'p> {
    let next = steps_of(plan).skip_while(|s| s.number != step.number).nth(1);
    let Some(next) = next.filter(|next| is_open(step.number) && is_open(next.number)) else {
        return FoldedSteps::alone(step);
    };
    let is_one_part = step.part.is_some() && step.part == next.part && step.station == next.station;
    match (step.kind, next.kind) {
        (StepKind::Undo, StepKind::Remove) if is_one_part && asks_nothing(next) => {
            FoldedSteps { fasteners: step, part: Some(next) }
        }
        (StepKind::Refit, StepKind::RunIn) if is_one_part && asks_nothing(step) => {
            FoldedSteps { fasteners: next, part: Some(step) }
        }
        _ => FoldedSteps::alone(step),
    }
}

/// Whether the part itself asks for nothing besides being moved.
fn asks_nothing(step: &Step) -> bool {
    step.cautions.is_empty() && !step.helper && step.sets.is_empty() && step.wait_s <= 0.0
}

/// What the part's own step writes, after the events before it; `None` where something stands against it.
pub(super) fn part_bodies(
    book: &Book,
    plan: &Plan,
    visit: &Visit,
    before: &[VisitBody],
    part: &Step,
) -> Option<Vec<VisitBody>> {
    let mut then = visit.clone();
    apply_pretended_events(&mut then, before);
    decide(&then, book, plan, VisitCommand::Tick { step: part.number }).ok()
}
