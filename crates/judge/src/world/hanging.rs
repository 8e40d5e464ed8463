//! Rules of the trade on parts that are worked at two places, and on belts: common practice, no single source.
//!
//! Once one of its fasteners is run out a part is lifted off before the mechanic turns to another; once it is set in place its
//! fasteners are run in before he does. Plugs hold nothing, breaking loose is not undoing, settings may change meanwhile, and what
//! tells of its own tightening may wait for it. A tensioner gets its figure with its belt on, and a drain before anything is filled.

use super::values::ReplayedWorld;
use crate::FoundViolations;
use crate::case::PlanCase;
use crate::kinds;
use model::plan::{Step, StepKind};
use model::{Act, FastenerKind, FixingId, PartId, PartStanding};
use std::collections::BTreeSet;

/// The part that hangs, and the fixings that are still to be run in where it was set in place.
#[derive(Default)]
pub(super) struct HangingWatch {
    undone: Option<PartId>,
    set_in_place: Option<(PartId, BTreeSet<FixingId>)>,
}

impl HangingWatch {
    /// J633 a part hangs half undone or half run in while other work is done.
    pub fn judge_hanging(&mut self, case: &PlanCase, step: &Step, at: &str, found: &mut FoundViolations) {
        if !case.is_course() || matches!(step.kind, StepKind::Wait | StepKind::Set | StepKind::Extra) {
            return;
        }
        let part = case.part_of_step(step);
        let hanging = self.undone.or(self.set_in_place.as_ref().map(|(part, _)| *part));
        if let Some(hangs) = hanging.filter(|hangs| part != Some(*hangs)) {
            let how = if self.undone.is_some() { "undone" } else { "run in" };
            let words = format!("`{}` hangs half {how} while other work is done", case.book.part(hangs).key);
            found.add("J633", at, words);
            (self.undone, self.set_in_place) = (None, None);
        }
        let Some(part) = part else { return };
        match step.kind {
            StepKind::Undo if runs_out_a_holder(case, step) => self.undone = Some(part),
            StepKind::Remove => self.undone = None,
            StepKind::Refit => {
                let waiting = holders_to_run_in(case, part);
                self.set_in_place = (!waiting.is_empty()).then_some((part, waiting));
            }
            StepKind::RunIn => self.run_in(case, step),
            _ => {}
        }
    }

    fn run_in(&mut self, case: &PlanCase, step: &Step) {
        let Some((_, waiting)) = &mut self.set_in_place else { return };
        for duty in step.actions.iter().filter_map(|action| case.duty_of_action(action)) {
            waiting.remove(&duty.id);
        }
        if waiting.is_empty() {
            self.set_in_place = None;
        }
    }
}

/// A plug and a lock hold no part.
fn is_holder(fixing: &model::Fixing) -> bool {
    fixing.kind != FastenerKind::Connector && !fixing.kind.is_lock()
}

fn runs_out_a_holder(case: &PlanCase, step: &Step) -> bool {
    let mut duties = step.actions.iter().filter_map(|action| case.duty_of_action(action));
    duties.any(|duty| duty.line.act == Act::RunOut && is_holder(duty.fixing))
}

/// The fixings that hold a part, are run in by the plan and tell nothing of their tightening.
fn holders_to_run_in(case: &PlanCase, part: PartId) -> BTreeSet<FixingId> {
    let duties = case.duties.iter().flatten().filter(|duty| duty.fixing.part == part);
    let holders = duties.filter(|duty| {
        let tells = !duty.fixing.world.tightening.is_untold();
        let holds = is_holder(duty.fixing) && !duty.fixing.slackened;
        duty.line.act == Act::RunIn && holds && !tells
    });
    holders.map(|duty| duty.id).collect()
}

/// J634: a tensioner is tightened while its belt is off. J635: something is filled before the drain that it ran out of is tight.
pub(super) fn judge_kinds(
    case: &PlanCase,
    world: &ReplayedWorld,
    step: &Step,
    at: &str,
    found: &mut FoundViolations,
) {
    if !case.is_course() {
        return;
    }
    if let Some(part) = case.part_of_step(step).filter(|_| step.kind == StepKind::Tighten) {
        let mut duties = step.actions.iter().filter_map(|action| case.duty_of_action(action));
        let fixing = duties.next().map(|duty| duty.id);
        let off = case.off.keys().filter(|belt| world.values().is_off(**belt));
        for belt in off.filter(|belt| fixing.is_some_and(|f| kinds::is_tension_on(case, f, **belt))) {
            let (own, belt) = (&case.book.part(part).key, &case.book.part(*belt).key);
            found.add("J634", at, format!("`{own}` is tightened while `{belt}` is off"));
        }
    }
    let Some(condition) = case.condition_of_step(step).filter(|_| step.kind == StepKind::Fill) else {
        return;
    };
    let condition = case.book.condition(condition);
    for part in case.off.keys().filter(|part| kinds::closes_drain(case, condition, **part)) {
        if world.values().standing(*part) != PartStanding::Held {
            let words =
                format!("`{}` is filled before `{}` is tight", condition.key, case.book.part(*part).key);
            found.add("J635", at, words);
        }
    }
}
