//! The whole plan: the core's sequences with the kit's sheet, slots, mix-ups and readiness round them.

use model::plan::{
    Kit, MixUpLine, PLAN_FORMAT, Plan, PlanInputs, Readiness, SlotLine, StepKind, StepSequence,
};
use model::{Book, FixingId, Store};

use crate::assemble::{self, PlanCore, PlanError};
use crate::{kit, mix_up, readiness, slots, step_names};
use effort::SolverBudget;

/// Plans a visit: way in, stacks, kit, the three sequences, slots, mix-ups and readiness.
///
/// The budget's watch may stop the search; the answer then is the best found so far and says so.
///
/// # Errors
/// [`PlanError`] where a task is unknown or none is requested, and where no way in or no order exists.
pub fn make_plan(
    book: &Book,
    store: &Store,
    asked: &PlanInputs,
    budget: SolverBudget,
) -> Result<Plan, PlanError> {
    let core = assemble::make_plan_core(book, store, asked, &budget)?;
    let slots =
        slots::assign_slots(book, store, &core.scope, &strip_order(book, &core.strip), (&asked.vehicle, &[]));
    let beside = PlanSheets {
        kit: kit::kit_sheet(book, store, &core.scope, &core.kit, &core.stacks_used()),
        mix_ups: mix_up::find_mix_ups(book, store, &core.scope, &slots),
        readiness: readiness::readiness_sheet(book, store, &core.scope),
        slots,
    };
    Ok(assemble_plan(book, store, asked, core, beside))
}

/// The sheets of a plan other than its sequences.
#[derive(Debug, Clone, PartialEq)]
struct PlanSheets {
    kit: Kit,
    slots: Vec<SlotLine>,
    mix_ups: Vec<MixUpLine>,
    readiness: Readiness,
}

/// The fixings in the order in which they are undone, each once.
pub(crate) fn strip_order(book: &Book, strip: &StepSequence) -> Vec<FixingId> {
    let undone = strip.steps.iter().filter(|s| s.kind == StepKind::Undo).flat_map(|s| &s.fixings);
    let mut seen = vec![false; book.fixings.len()];
    let first = |id: &FixingId| !core::mem::replace(&mut seen[id.index()], true);
    undone.filter_map(|key| book.fixing_by_key(key)).filter(first).collect()
}

/// The plan from its core and its other sheets.
fn assemble_plan(book: &Book, store: &Store, asked: &PlanInputs, core: PlanCore, beside: PlanSheets) -> Plan {
    let way_in = core.way_in.to_plan_way_in(book);
    let mut plan = Plan {
        format: PLAN_FORMAT.into(),
        book: book.key.clone(),
        book_title: book.title.clone(),
        store_title: store.title.clone(),
        currency: book.currency.clone(),
        asked: PlanInputs { tasks: asked_tasks(book, &core), ..asked.clone() },
        way_in,
        duties: core.duties,
        stacks: core.stacks,
        kit: beside.kit,
        strip: core.strip,
        work: core.work,
        refit: core.refit,
        slots: beside.slots,
        mix_ups: beside.mix_ups,
        readiness: beside.readiness,
        course: Some(core.course),
        amiss: Vec::new(),
    };
    address_steps(&mut plan);
    step_names::name_steps(&mut plan, None);
    plan
}

fn asked_tasks(book: &Book, core: &PlanCore) -> Vec<String> {
    let mut keys: Vec<String> = core.scope.tasks.iter().map(|t| book.task(*t).key.clone()).collect();
    keys.sort();
    keys
}

/// Writes into each step that undoes or runs in a fixing the slot its fasteners go to or come from; new ones come from no slot.
pub(crate) fn address_steps(plan: &mut Plan) {
    for step in plan.strip.steps.iter_mut().chain(&mut plan.refit.steps) {
        let is_in = step.kind == StepKind::RunIn;
        if is_in || step.kind == StepKind::Undo {
            let of_step = plan.slots.iter().find(|s| step.fixings.contains(&s.fixing));
            step.slot = of_step.filter(|s| !(is_in && s.renewed)).map(|s| s.slot.clone());
        }
    }
}
