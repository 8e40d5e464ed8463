//! The hours of a plan as a range: its hands-on work with all that binds and spreads it ([`times::sum`]), its waits beside it.
//!
//! A piece of work is what the plan does in one go on one part; a fastener that is broken loose may not come, by its break-loose factor.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{Plan, Step, StepKind};
use model::{Act, Book};
use times::sum::break_out_probability;
use times::{LikelyRange, SharedFactor, WorkSum};

/// The hours of a plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanHours {
    /// Hands-on time as planned, s: what the order was sought by.
    pub planned_s: f64,
    /// Hands-on time that half of such jobs, and that four in five do not pass.
    pub hands_on: LikelyRange,
    /// Waits by the clock, s.
    pub waits_s: f64,
}

impl PlanHours {
    /// Of a plan, with the factor that all its work shares.
    #[must_use]
    pub fn of_plan(book: &Book, plan: &Plan, shared: &SharedFactor) -> Self {
        let work = work_of_plan(book, plan);
        Self {
            planned_s: work.planned_s(),
            hands_on: work.likely_range(shared),
            waits_s: plan.all_steps().map(|step| step.wait_s).sum(),
        }
    }
}

/// The pieces of work of a plan, and the fasteners that may not come.
#[must_use]
pub fn work_of_plan(book: &Book, plan: &Plan) -> WorkSum {
    let steps: Vec<&Step> = plan.all_steps().filter(|step| step.kind != StepKind::Wait).collect();
    let pieces = steps.chunk_by(|a, b| a.part == b.part && a.task == b.task);
    WorkSum {
        pieces_s: pieces.map(|piece| piece.iter().map(|step| step.setup_s + step.work_s).sum()).collect(),
        break_outs: steps.iter().flat_map(|step| break_outs_of_step(book, plan, step)).collect(),
    }
}

/// For each fastener that a step breaks loose the chance that it does not come.
fn break_outs_of_step(book: &Book, plan: &Plan, step: &Step) -> Vec<f64> {
    let mut holes: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for action in &step.actions {
        if let Some(duty) = plan.duties.get(action.duty).filter(|duty| duty.act == Act::Free) {
            holes.entry(&duty.fixing).or_default().extend(action.holes.iter().map(String::as_str));
        }
    }
    let turned = holes.iter().filter_map(|(fixing, holes)| {
        let fixing = book.fixing(book.fixing_by_key(fixing)?);
        fixing
            .drive
            .is_turned()
            .then(|| vec![break_out_probability(fixing.break_loose_factor()); holes.len()])
    });
    turned.flatten().collect()
}
