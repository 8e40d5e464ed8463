//! Another goal for a visit that has begun: a task more or fewer, fit to roll, or the whole job again.
//!
//! # Question
//! The work stands somewhere in the middle. What is wanted now is not what the plan was made for. What is the way from here?
//!
//! # Model
//! Only the goal changes; the world is what it is.
//!
//! * *Whole, with these tasks.* The way in of the tasks that are not done yet is looked for anew; parts that are off cost nothing more and
//!   keep the way by which they came off. Their parts and conditions, and all that was touched, make the scope. A part that is back on
//!   and has to come off again counts as untouched from then on ([`TakenUpAgain`]).
//! * *A state* ([`model::VisitGoal`]): of what is left of the refit, the least that brings the world there: the parts that it
//!   names, what their acts ask for, and whatever hangs. The rest waits.
//!
//! Stacks, slots, figures and names of steps that the old plan has stay; what is new gets its own behind them.
//!
//! # Worked example
//! The pump is out, the wheel off, the vehicle at chest height, and the lift is wanted. To roll: the wheel on, lowered, its bolts tightened on
//! the ground. The beam stays. Afterwards the whole job again: the wheel counts as untouched and comes off again.

mod base;
pub(crate) mod reach_state;

use effort::SolverBudget;
use model::plan::Plan;
use model::progress::{Progress, TakenUpAgain};
use model::{Book, PartId, Store};

use crate::assemble::PlanError;
use crate::remake;
use crate::{make, mix_up, slots};

/// What a visit is to be brought to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GoalRequest {
    /// Keys of all tasks that are wanted, those that are done included.
    pub tasks: Vec<String>,
    /// Key of a state that is wanted first; `None`: the whole job.
    pub goal: Option<String>,
}

/// A plan for another goal.
#[derive(Debug, Clone, PartialEq)]
pub struct GoalPlan {
    /// The plan, from where the work stands.
    pub plan: Plan,
    /// What is taken up again.
    pub again: TakenUpAgain,
}

/// The plan to another goal from where a visit stands; `progress` has its happenings taken in.
///
/// # Errors
/// [`PlanError::UnknownTask`], [`PlanError::UnknownGoal`], and as [`crate::remake_plan`].
pub fn plan_for_goal(
    book: &Book,
    store: &Store,
    plan: &Plan,
    progress: &Progress,
    request: &GoalRequest,
    budget: SolverBudget<'_>,
) -> Result<GoalPlan, PlanError> {
    if let Some(key) = request.goal.as_ref().filter(|key| book.goal_by_key(key).is_none()) {
        return Err(PlanError::UnknownGoal { key: key.clone() });
    }
    let base = base::base_for_goal(book, store, plan, progress, request, &budget)?;
    let mut made = remake::remake_from_base(book, &base.plan, &base.known, &base.progress, &budget)?;
    let order = make::strip_order(book, &made.strip);
    let scope = &base.known.scope;
    made.slots = slots::assign_slots(book, store, scope, &order, (&plan.asked.vehicle, &base.plan.slots));
    made.mix_ups = mix_up::find_mix_ups(book, store, scope, &made.slots);
    make::address_steps(&mut made);
    Ok(GoalPlan { plan: made, again: base.again })
}

/// The way that was taken for each part that the plan's work has touched: off, or with a fastener that is not in place.
pub(crate) fn touched_parts(book: &Book, plan: &Plan, progress: &Progress) -> Vec<(PartId, Option<u16>)> {
    let mut touched = Vec::new();
    for id in book.part_ids() {
        let part = book.part(id);
        if !is_touched(book, progress, id) {
            continue;
        }
        let line = plan.way_in.parts.iter().find(|line| line.part == part.key);
        let way = line.and_then(|line| line.way.as_ref());
        let way = way.and_then(|key| part.ways.iter().position(|own| own.key == *key));
        touched.push((id, way.map(|at| at as u16)));
    }
    touched
}

fn is_touched(book: &Book, progress: &Progress, part: PartId) -> bool {
    progress.parts_off.contains(&book.part(part).key)
        || book.fixings_of(part).any(|id| {
            let fixing = book.fixing(id);
            let state = |hole: &model::Hole| progress.fastener(&fixing.key, &hole.label).state;
            fixing.holes.iter().map(state).any(|s| s != model::FastenerState::InPlace && !s.is_done())
        })
}
