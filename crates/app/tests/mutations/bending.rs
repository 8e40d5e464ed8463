//! What the mutations share: a mutation by name, and how steps and holes of a plan are found to be bent.

use model::plan::{Plan, Step, StepAction, StepKind};
use model::{Act, Book, Fixing, Store};

/// One way to make a sound plan wrong, and the code of the rule that has to find it.
pub struct PlanMutation {
    /// What is wrong with the plan.
    pub name: &'static str,
    /// Code of the rule that finds it.
    pub code: &'static str,
    /// Makes it wrong; `None` where the plan has nothing of the kind.
    pub bend: fn(&Book, &Store, &mut Plan) -> Option<()>,
}

/// A row of a table of mutations.
pub const fn bent(
    name: &'static str,
    code: &'static str,
    bend: fn(&Book, &Store, &mut Plan) -> Option<()>,
) -> PlanMutation {
    PlanMutation { name, code, bend }
}

/// The three sequences of steps.
pub const fn sequences(plan: &mut Plan) -> [&mut Vec<Step>; 3] {
    [&mut plan.strip.steps, &mut plan.work.steps, &mut plan.refit.steps]
}

/// The first step that is so.
pub fn step(plan: &mut Plan, is_it: impl Fn(&Step) -> bool) -> Option<&mut Step> {
    sequences(plan).into_iter().flatten().find(|step| is_it(step))
}

/// The first step of a kind.
pub fn step_of(plan: &mut Plan, kind: StepKind) -> Option<&mut Step> {
    step(plan, |step| step.kind == kind)
}

/// The first step of a kind whose text says something.
pub fn saying<'p>(plan: &'p mut Plan, kind: StepKind, words: &str) -> Option<&'p mut Step> {
    step(plan, |step| step.kind == kind && step.text.contains(words))
}

/// Takes the first step out that is so.
pub fn drop_step(plan: &mut Plan, is_it: impl Fn(&Step) -> bool) -> Option<Step> {
    sequences(plan).into_iter().find_map(|steps| {
        let at = steps.iter().position(&is_it)?;
        Some(steps.remove(at))
    })
}

/// Takes the first step out that is so, and puts it in behind the first other one of its sequence that is so.
pub fn move_behind(
    plan: &mut Plan,
    is_it: impl Fn(&Step) -> bool,
    behind: impl Fn(&Step, &Step) -> bool,
) -> Option<()> {
    for steps in sequences(plan) {
        for at in 0..steps.len() {
            if !is_it(&steps[at]) {
                continue;
            }
            if let Some(to) = (at + 1..steps.len()).find(|to| behind(&steps[at], &steps[*to])) {
                let moved = steps.remove(at);
                steps.insert(to, moved);
                return Some(());
            }
        }
    }
    None
}

/// The first step that is so, with its action that is so.
pub fn action(plan: &mut Plan, is_it: impl Fn(&Plan, &Step, &StepAction) -> bool) -> Option<&mut StepAction> {
    let as_read = plan.clone();
    let (mut found, mut seen) = (None, 0);
    for step in as_read.all_steps() {
        for action in &step.actions {
            if found.is_none() && is_it(&as_read, step, action) {
                found = Some(seen);
            }
            seen += 1;
        }
    }
    let actions = sequences(plan).into_iter().flatten().flat_map(|step| &mut step.actions);
    actions.into_iter().nth(found?)
}

/// The act of an action.
pub fn act_of(plan: &Plan, action: &StepAction) -> Act {
    plan.duties[action.duty].act
}

/// The fixing of an action.
pub fn fixing_of<'b>(book: &'b Book, plan: &Plan, action: &StepAction) -> Option<&'b Fixing> {
    Some(book.fixing(book.fixing_by_key(&plan.duties[action.duty].fixing)?))
}

/// The fixing of a slot line.
pub fn fixing<'b>(book: &'b Book, key: &str) -> Option<&'b Fixing> {
    Some(book.fixing(book.fixing_by_key(key)?))
}

/// Puts other words into the first step of a kind that says the old ones.
pub fn reword(plan: &mut Plan, kind: StepKind, old: &str, new: &str) -> Option<()> {
    let found = saying(plan, kind, old)?;
    found.text = found.text.replacen(old, new, 1);
    Some(())
}

/// The duty of a kind that has a stack of pieces.
pub fn duty_with(plan: &Plan, is_it: impl Fn(&model::plan::DutyLine) -> bool) -> Option<usize> {
    let has_pieces = |id: &Option<String>| {
        plan.stacks.iter().any(|stack| Some(&stack.id) == id.as_ref() && stack.pieces.len() > 1)
    };
    plan.duties.iter().position(|duty| has_pieces(&duty.stack) && is_it(duty))
}

/// The stack of a duty.
pub fn stack_of(plan: &mut Plan, duty: usize) -> Option<&mut model::plan::StackLine> {
    let id = plan.duties[duty].stack.clone()?;
    plan.stacks.iter_mut().find(|stack| stack.id == id)
}

/// Puts pieces of the store into a stack, kinds and links with them.
pub fn set_pieces(store: &Store, stack: &mut model::plan::StackLine, pieces: Vec<String>) {
    let known = |key: &String| store.pieces.iter().find(|piece| piece.key == *key).map(Into::into);
    stack.shapes = pieces.iter().filter_map(known).collect();
    stack.pieces = pieces;
}
