//! What the judge lets pass, each with the reason: nothing of it leaves a fastener loose, a part without support or a wrong figure.

use crate::bending::{PlanMutation, step};
use model::plan::{KitObjective, StepKind};
use model::{SlotAddress, SolverStanding};

/// A change of a plan that no rule stands against: what, and why not.
pub struct FreeChange {
    pub change: PlanMutation,
    pub why: &'static str,
}

const fn free(
    name: &'static str,
    why: &'static str,
    bend: fn(&model::Book, &model::Store, &mut model::plan::Plan) -> Option<()>,
) -> FreeChange {
    FreeChange { change: PlanMutation { name, code: "", bend }, why }
}

pub const FREE: &[FreeChange] = &[
    free("another seed", "an input: nothing that is read rests on it", |_, _, p| Some(p.asked.seed += 1)),
    free("other threads", "an input: the answer does not depend on it", |_, _, p| Some(p.asked.threads += 1)),
    free("another time limit", "an input: how long was searched makes no plan wrong", |_, _, p| {
        Some(p.asked.seconds = Some(1.0))
    }),
    free("another aim of the kit", "which kit is best is not judged, only that it does", |_, _, p| {
        p.asked.objective = KitObjective::Quickest;
        Some(())
    }),
    free("other effort of a search", "how much was searched makes no plan wrong", |_, _, p| {
        Some(p.kit.outcome.effort += 1)
    }),
    free("a search told as stopped", "claims less than it might", |_, _, p| {
        Some(p.kit.outcome.standing = SolverStanding::Stopped)
    }),
    free(
        "a lower bound on the kit",
        "claims less than it might; told as a claim that is not judged",
        // What is told as proven has its value as its bound.
        |_, _, p| (p.kit.outcome.standing == SolverStanding::Found).then(|| p.kit.outcome.bound -= 1.0),
    ),
    free(
        "a lower bound on the finish",
        "claims less than it might; told as a claim that is not judged",
        |_, _, p| Some(p.course.as_mut()?.outcome.bound -= 60.0),
    ),
    free(
        "lower bounds on the moves",
        "claims less than it might; told as a claim that is not judged",
        |_, _, p| {
            let course = p.course.as_mut()?;
            course.moves.place.bound = 0;
            Some(course.least_moves = 0)
        },
    ),
    free("cautions of one step in another order", "all of them stand before the step", |_, _, p| {
        let step = step(p, |step| step.cautions.len() > 1 && step.kind != StepKind::Set)?;
        Some(step.cautions.reverse())
    }),
    free("a sentence with other punctuation", "says the same", |_, _, p| {
        let step = step(p, |step| step.kind == StepKind::Tighten)?;
        Some(step.text = step.text.replace(": ", ", "))
    }),
    free("a bag where a tray has room", "is kept apart as well", |_, _, p| {
        let at = p.slots.iter().position(|line| {
            matches!(line.slot, SlotAddress::Compartment { .. })
                && p.mix_ups.iter().all(|m| m.fastener_of != line.fixing && m.hole_of != line.fixing)
        })?;
        let slot = SlotAddress::Bag { vehicle: p.asked.vehicle.clone(), number: 77 };
        p.slots[at].keep = model::KeepPlace::Bag;
        p.slots[at].slot = slot.clone();
        let key = p.slots[at].fixing.clone();
        let steps = p.strip.steps.iter_mut().chain(&mut p.refit.steps);
        for step in steps.filter(|step| step.fixings.contains(&key) && step.slot.is_some()) {
            step.slot = Some(slot.clone());
        }
        Some(())
    }),
    free("supplies in another order", "the list has the same lines", |_, _, p| {
        Some(p.readiness.supplies.reverse())
    }),
    free("caps in another order", "the list has the same lines", |_, _, p| Some(p.readiness.caps.reverse())),
    free("slots in another order", "the table has the same lines", |_, _, p| Some(p.slots.reverse())),
    free("things to buy in another order", "the list has the same lines", |_, _, p| {
        Some(p.readiness.shopping.reverse())
    }),
];
