//! What a plan to another goal is made from: scope, duties with their stacks, kit and readiness, before the order is known.

use std::collections::{BTreeMap, BTreeSet};

use effort::SolverBudget;
use model::plan::{DutyLine, KitLine, Plan, PlanInputs, StackLine, Step};
use model::progress::{Progress, TakenUpAgain};
use model::{Book, ConditionId, PartId, PieceId, SolverStanding, Stack, Store, TaskId};

use super::{GoalRequest, touched_parts};
use crate::assemble::{PlanError, duty_line, tasks_by_keys};
use crate::kit::{self, KitAnswer};
use crate::remake::known::{KnownProgress, conditions_of_keys, position_of_progress, running_conditions};
use crate::scope::{self, PlanScope, ScopedDuty};
use crate::way_in::{self, WayInAnswer};
use crate::{coverage, readiness, sold_wishes};

/// The start of a plan to another goal.
pub(super) struct GoalBase {
    /// The old plan with everything but its order brought to the goal.
    pub plan: Plan,
    /// Scope, place and hand.
    pub known: KnownProgress,
    /// The progress, with what is taken up again as untouched.
    pub progress: Progress,
    /// What that is.
    pub again: TakenUpAgain,
}

/// Way in, stacks and sheets of a plan to another goal.
pub(super) fn base_for_goal(
    book: &Book,
    store: &Store,
    old: &Plan,
    progress: &Progress,
    request: &GoalRequest,
    budget: &SolverBudget<'_>,
) -> Result<GoalBase, PlanError> {
    let wanted = tasks_by_keys(book, &request.tasks)?;
    let touched = touched_parts(book, old, progress);
    let is_open = |task: &TaskId| !progress.tasks_done.contains(&book.task(*task).key);
    // Towards a state nothing more comes off.
    let open: Vec<TaskId> =
        wanted.iter().copied().filter(|task| request.goal.is_none() && is_open(task)).collect();
    let found = way_in::find_way_in_from(book, &open, &touched, budget).map_err(PlanError::WayIn)?;
    let again = taken_up_again(book, &found, progress);
    let mut progress = progress.clone();
    progress.take_up_again(&again);
    let way_in = way_in_with_touched(book, found, &touched, &progress, wanted)?;
    let mut scope = fresh_scope(book, store, old, &way_in, budget)?;
    scope.goal = request.goal.as_ref().and_then(|key| book.goal_by_key(key));
    let choice = choose_stacks(book, store, old, &mut scope, budget);
    let mut plan = Plan {
        asked: PlanInputs { tasks: sorted(&request.tasks), goal: request.goal.clone(), ..old.asked.clone() },
        way_in: way_in.to_plan_way_in(book),
        duties: choice.duties,
        stacks: choice.stacks,
        readiness: readiness::readiness_sheet(book, store, &scope),
        amiss: Vec::new(),
        ..old.clone()
    };
    plan.slots.retain(|line| scope.duties.iter().any(|d| book.fixing(d.duty.fixing).key == line.fixing));
    let used: Vec<Option<&Stack>> =
        scope.duties.iter().map(|d| d.workings.first().map(|w| &w.stack)).collect();
    plan.kit = kit::kit_sheet(book, store, &scope, &choice.kit, &used);
    renumber_duties(&mut plan, &old.duties);
    scope.ways_taken = crate::course::write::ways_taken(book, &old.all_steps().collect::<Vec<_>>());
    let known = KnownProgress {
        here: position_of_progress(book, store, &progress)?,
        holds_in_s: running_conditions(book, &progress)?,
        scope,
    };
    Ok(GoalBase { plan, known, progress, again })
}

fn sorted(keys: &[String]) -> Vec<String> {
    keys.iter().cloned().collect::<BTreeSet<_>>().into_iter().collect()
}

/// What was back and has to come off or be made again.
fn taken_up_again(book: &Book, found: &WayInAnswer, progress: &Progress) -> TakenUpAgain {
    let mut again = TakenUpAgain::default();
    let back = found.parts.iter().map(|(part, _)| *part);
    for part in back.filter(|part| progress.parts_back.contains(&book.part(*part).key)) {
        again.parts.insert(book.part(part).key.clone());
        again.fixings.extend(book.fixings_of(part).map(|fixing| book.fixing(fixing).key.clone()));
        let uncovers = &book.part(part).uncovers;
        again.openings.extend(uncovers.iter().map(|opening| book.opening(*opening).key.clone()));
    }
    let undone = found.conditions.iter().map(|id| &book.condition(*id).key);
    again.conditions = undone.filter(|key| progress.conditions_undone.contains(*key)).cloned().collect();
    again
}

/// The way in with what was touched besides, and the conditions that hold.
fn way_in_with_touched(
    book: &Book,
    mut found: WayInAnswer,
    touched: &[(PartId, Option<u16>)],
    progress: &Progress,
    wanted: Vec<TaskId>,
) -> Result<WayInAnswer, PlanError> {
    let mut parts: BTreeMap<PartId, Option<u16>> = found.parts.iter().copied().collect();
    parts.extend(touched.iter().copied());
    found.parts = parts.into_iter().collect();
    let made: Vec<ConditionId> = conditions_of_keys(book, progress.conditions.iter())?;
    found.conditions.extend(made);
    found.conditions.sort_unstable();
    found.conditions.dedup();
    found.also_open.retain(|task| !wanted.contains(task));
    found.tasks = wanted;
    Ok(found)
}

/// The scope of a way in as if it were planned for the first time; every duty by its own best access.
fn fresh_scope(
    book: &Book,
    store: &Store,
    old: &Plan,
    way_in: &WayInAnswer,
    budget: &SolverBudget<'_>,
) -> Result<PlanScope, PlanError> {
    budget.watch.report_progress("looking for stacks", 0.0);
    let duties = scope::candidate_duties(book, &way_in.parts);
    let reached = coverage::find_reach_under_doubt(book, store, &duties, old.asked.threads);
    let made =
        PlanScope::new(book, way_in.tasks.clone(), way_in.parts.clone(), way_in.conditions.clone(), reached);
    let mut scope = made.map_err(|hole| PlanError::no_access(book, hole))?;
    sold_wishes::wish_for_sold_pieces(book, store, &mut scope.duties, old.asked.threads, budget);
    Ok(scope)
}

/// Duties each with one stack, the stacks, and the kit that holds them.
struct StackChoice {
    duties: Vec<DutyLine>,
    stacks: Vec<StackLine>,
    kit: KitAnswer,
}

/// Leaves each duty of the scope the stack that the old plan has for it, or one of pieces that are on the cart, or the quickest of
/// a kit for what is left.
fn choose_stacks(
    book: &Book,
    store: &Store,
    old: &Plan,
    scope: &mut PlanScope,
    budget: &SolverBudget<'_>,
) -> StackChoice {
    let mut kit = kit_of_lines(store, &old.kit.pieces, old);
    let mut open = Vec::new();
    for (at, duty) in scope.duties.iter_mut().enumerate() {
        let same = old_stack(book, store, old, duty);
        let on_cart = || kit.workings_inside(duty).next();
        match same.or_else(on_cart) {
            Some(working) => keep_only(duty, working),
            None if duty.workings.is_empty() => {}
            None => open.push(at),
        }
    }
    if !open.is_empty() {
        let missing =
            PlanScope { duties: open.iter().map(|at| scope.duties[*at].clone()).collect(), ..scope.clone() };
        let more = kit::choose_kit(book, store, &missing, old.asked.objective, budget);
        for (at, duty) in open.iter().zip(&missing.duties) {
            let best = more.workings_to_plan(duty).first().copied().unwrap_or(0);
            keep_only(&mut scope.duties[*at], best);
        }
        kit = join_kits(&kit, &more);
    }
    let mut stacks = old.stacks.clone();
    let duties = scope.duties.iter().map(|duty| {
        let working = duty.workings.first();
        duty_line(book, duty, working, working.map(|w| stack_id(store, &w.stack, &mut stacks)))
    });
    StackChoice { duties: duties.collect(), kit, stacks }
}

/// Leaves a duty one of its workings.
fn keep_only(duty: &mut ScopedDuty, working: usize) {
    duty.workings = vec![duty.workings.swap_remove(working)];
    if let Some(rooms) = &mut duty.rooms {
        rooms.held = vec![rooms.held[working]];
    }
}

/// The position of the working with the stack that the old plan has for a duty.
fn old_stack(book: &Book, store: &Store, old: &Plan, duty: &ScopedDuty) -> Option<usize> {
    let is_it = |line: &&DutyLine| {
        line.fixing == book.fixing(duty.duty.fixing).key
            && (line.access, line.act, line.stage) == (duty.duty.access, duty.duty.act, duty.duty.stage)
    };
    let id = old.duties.iter().find(is_it)?.stack.as_ref()?;
    let line = old.stacks.iter().find(|line| line.id == *id)?;
    duty.workings.iter().position(|working| is_stack_of_line(store, &working.stack, line))
}

fn is_stack_of_line(store: &Store, stack: &Stack, line: &StackLine) -> bool {
    let keys = |ids: &[PieceId], keys: &[String]| ids.iter().map(|id| &store.piece(*id).key).eq(keys);
    keys(&stack.pieces, &line.pieces) && keys(&stack.hold, &line.hold)
}

/// The id of a stack; a new one gets the next number.
fn stack_id(store: &Store, stack: &Stack, lines: &mut Vec<StackLine>) -> String {
    if let Some(line) = lines.iter().find(|line| is_stack_of_line(store, stack, line)) {
        return line.id.clone();
    }
    let number = |line: &StackLine| line.id.strip_prefix('S').and_then(|n| n.parse::<u32>().ok());
    let id = format!("S{}", lines.iter().filter_map(number).max().unwrap_or(0) + 1);
    lines.push(crate::steps::stack_line(store, stack, id.clone()));
    id
}

/// The old kit as an answer of the search.
fn kit_of_lines(store: &Store, lines: &[KitLine], old: &Plan) -> KitAnswer {
    let piece = |line: &KitLine| Some((store.piece_by_key(&line.piece)?, line.count));
    let mut pieces: Vec<(PieceId, u16)> = lines.iter().filter_map(piece).collect();
    pieces.sort_unstable();
    KitAnswer { pieces, outcome: old.kit.outcome.clone(), unmet: Vec::new(), best: Vec::new() }
}

/// Both kits; nobody has proven that no other is better.
fn join_kits(a: &KitAnswer, b: &KitAnswer) -> KitAnswer {
    let mut pieces: BTreeMap<PieceId, u16> = a.pieces.iter().copied().collect();
    for (piece, count) in &b.pieces {
        let own = pieces.entry(*piece).or_default();
        *own = (*own).max(*count);
    }
    let mut outcome = a.outcome.clone();
    outcome.standing = SolverStanding::Found;
    outcome.value = outcome.value.max(b.outcome.value);
    KitAnswer { pieces: pieces.into_iter().collect(), outcome, unmet: Vec::new(), best: Vec::new() }
}

/// Lets the steps of the old plan speak of the duties of the new list; what they speak of that is gone is left out.
fn renumber_duties(plan: &mut Plan, old: &[DutyLine]) {
    let key = |line: &DutyLine| (line.fixing.clone(), line.access, line.act, line.stage);
    let places: BTreeMap<_, usize> =
        plan.duties.iter().enumerate().map(|(at, line)| (key(line), at)).collect();
    let renumber = |step: &mut Step| {
        step.actions.retain_mut(|action| {
            let place = old.get(action.duty).and_then(|line| places.get(&key(line)));
            place.inspect(|place| action.duty = **place).is_some()
        });
    };
    for sequence in [&mut plan.strip, &mut plan.work, &mut plan.refit] {
        sequence.steps.iter_mut().for_each(renumber);
    }
}
