//! What plan and progress say, looked up in book and store: the scope as the plan took it, and where the mechanic is.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::{DutyLine, Plan};
use model::progress::Progress;
use model::{Book, ConditionId, Duty, PartId, PieceId, Stack, StationId, Store, WorkingStack};
use units::{Duration, Force, Length, Torque};

use crate::assemble::{PlanError, tasks_by_keys};
use crate::scope::{PlanScope, ScopedDuty};
use crate::steps::MechanicPosition;

/// The scope and the start.
pub(crate) struct KnownProgress {
    pub scope: PlanScope,
    pub here: MechanicPosition,
    /// Conditions that were made but do not hold yet, with what is left, s.
    pub holds_in_s: Vec<(ConditionId, f64)>,
}

impl KnownProgress {
    pub(crate) fn read_progress(
        book: &Book,
        store: &Store,
        plan: &Plan,
        progress: &Progress,
    ) -> Result<Self, PlanError> {
        let scope = scope_of_plan(book, store, plan)?;
        check_progress_fits(book, &scope, progress)?;
        let here = position_of_progress(book, store, progress)?;
        let holds_in_s = running_conditions(book, progress)?;
        Ok(Self { scope, here, holds_in_s })
    }
}

/// Where the mechanic is and what he has in hand.
pub(crate) fn position_of_progress(
    book: &Book,
    store: &Store,
    progress: &Progress,
) -> Result<MechanicPosition, PlanError> {
    let station = match &progress.station {
        None => StationId::new(0),
        Some(key) => {
            find_key_position(book.stations.iter().map(|s| &s.key), "station", key).map(StationId::new)?
        }
    };
    let piece = |key: &String| store.piece_by_key(key).ok_or_else(|| misfit_error("piece", key));
    let mut hand = progress.in_hand.iter().map(piece).collect::<Result<Vec<PieceId>, _>>()?;
    hand.sort_unstable();
    Ok(MechanicPosition { station, part: None, hand, entered: progress.station.is_some() })
}

/// Conditions that were made but do not hold yet, with what is left, s.
pub(crate) fn running_conditions(
    book: &Book,
    progress: &Progress,
) -> Result<Vec<(ConditionId, f64)>, PlanError> {
    let made =
        progress.running.iter().filter_map(|running| Some((running.condition.as_ref()?, running.left_s)));
    made.map(|(key, left_s)| Ok((find_condition(book, key)?, left_s))).collect()
}

/// The conditions of some keys, rising.
pub(crate) fn conditions_of_keys<'k>(
    book: &Book,
    keys: impl Iterator<Item = &'k String>,
) -> Result<Vec<ConditionId>, PlanError> {
    let mut conditions = keys.map(|key| find_condition(book, key)).collect::<Result<Vec<_>, _>>()?;
    conditions.sort_unstable();
    Ok(conditions)
}

fn misfit_error(what: &str, key: &str) -> PlanError {
    PlanError::Misfit { words: format!("the book has no {what} `{key}`") }
}

fn find_key_position<'a>(
    mut keys: impl Iterator<Item = &'a String>,
    what: &str,
    key: &str,
) -> Result<usize, PlanError> {
    keys.position(|k| k == key).ok_or_else(|| misfit_error(what, key))
}

fn find_condition(book: &Book, key: &str) -> Result<ConditionId, PlanError> {
    find_key_position(book.conditions.iter().map(|c| &c.key), "condition", key).map(ConditionId::new)
}

/// Whether the progress names what book and plan have.
fn check_progress_fits(book: &Book, scope: &PlanScope, progress: &Progress) -> Result<(), PlanError> {
    for key in progress.parts_off.iter().chain(&progress.parts_back) {
        let id = book.part_by_key(key).ok_or_else(|| misfit_error("part", key))?;
        if scope.way_of(id).is_none() {
            let words = format!(
                "part `{key}` is off but is not in the plan's way in; make a new plan that includes the task it was taken off for"
            );
            return Err(PlanError::Misfit { words });
        }
    }
    for key in progress.conditions.iter().chain(&progress.conditions_undone) {
        find_condition(book, key)?;
    }
    for key in progress.capped.iter().chain(&progress.uncapped) {
        find_key_position(book.openings.iter().map(|o| &o.key), "opening", key)?;
    }
    for key in &progress.tasks_done {
        book.task_by_key(key).ok_or_else(|| misfit_error("task", key))?;
    }
    for (key, holes) in &progress.fasteners {
        let fixing = book.fixing_by_key(key).ok_or_else(|| misfit_error("fixing", key))?;
        let fixing = book.fixing(fixing);
        for label in holes.keys() {
            if !fixing.holes.iter().any(|hole| hole.label == *label) {
                return Err(PlanError::Misfit { words: format!("fixing `{key}` has no hole `{label}`") });
            }
        }
    }
    let mut keys = BTreeSet::new();
    for extra in &progress.extra {
        if !keys.insert(&extra.key) {
            return Err(PlanError::Misfit {
                words: format!("two extra steps have the key `{}`; each key must be unique", extra.key),
            });
        }
    }
    Ok(())
}

/// The scope that a plan was made from, each duty with the stack that the plan chose.
fn scope_of_plan(book: &Book, store: &Store, plan: &Plan) -> Result<PlanScope, PlanError> {
    let mut parts: Vec<(PartId, Option<u16>)> = Vec::new();
    for line in &plan.way_in.parts {
        let id = book.part_by_key(&line.part).ok_or_else(|| misfit_error("part", &line.part))?;
        let way = match &line.way {
            None => None,
            Some(key) => {
                Some(find_key_position(book.part(id).ways.iter().map(|w| &w.key), "way", key)? as u16)
            }
        };
        parts.push((id, way));
    }
    parts.sort_unstable();
    let conditions = conditions_of_keys(book, plan.way_in.conditions.iter().map(|c| &c.condition))?;
    let stacks = stacks_of_plan(store, plan)?;
    let holes = holes_by_access(plan);
    let mut duties = Vec::new();
    for line in &plan.duties {
        let labels = holes.get(&(line.fixing.as_str(), line.access));
        duties.push(read_duty(book, line, labels, &stacks)?);
    }
    let tasks = tasks_by_keys(book, &plan.asked.tasks)?;
    let ways_taken = crate::course::write::ways_taken(book, &plan.all_steps().collect::<Vec<_>>());
    let goal = plan.asked.goal.as_ref().and_then(|key| book.goal_by_key(key));
    Ok(PlanScope { tasks, parts, conditions, duties, ways_taken, goal })
}

fn stacks_of_plan<'p>(store: &Store, plan: &'p Plan) -> Result<BTreeMap<&'p str, Stack>, PlanError> {
    let pieces = |keys: &[String]| {
        let piece = |key: &String| store.piece_by_key(key).ok_or_else(|| misfit_error("piece", key));
        keys.iter().map(piece).collect::<Result<Vec<_>, _>>()
    };
    let line = |line: &'p model::plan::StackLine| {
        let stack = Stack { pieces: pieces(&line.pieces)?, bends: Vec::new(), hold: pieces(&line.hold)? };
        Ok((line.id.as_str(), stack))
    };
    plan.stacks.iter().map(line).collect()
}

/// The labels that the steps of a plan do each duty to.
fn holes_by_duty(plan: &Plan) -> Vec<BTreeSet<String>> {
    let mut holes = vec![BTreeSet::new(); plan.duties.len()];
    let steps = plan.strip.steps.iter().chain(&plan.work.steps).chain(&plan.refit.steps);
    for action in steps.flat_map(|s| &s.actions) {
        if let Some(of_duty) = holes.get_mut(action.duty) {
            of_duty.extend(action.holes.iter().cloned());
        }
    }
    holes
}

/// The labels that the steps of a plan work through each access of each fixing.
pub(super) fn holes_by_access(plan: &Plan) -> BTreeMap<(&str, u16), BTreeSet<String>> {
    let mut by_access: BTreeMap<(&str, u16), BTreeSet<String>> = BTreeMap::new();
    for (line, holes) in plan.duties.iter().zip(holes_by_duty(plan)) {
        by_access.entry((&line.fixing, line.access)).or_default().extend(holes);
    }
    by_access
}

fn read_duty(
    book: &Book,
    line: &DutyLine,
    labels: Option<&BTreeSet<String>>,
    stacks: &BTreeMap<&str, Stack>,
) -> Result<ScopedDuty, PlanError> {
    let id = book.fixing_by_key(&line.fixing).ok_or_else(|| misfit_error("fixing", &line.fixing))?;
    let fixing = book.fixing(id);
    let access = fixing.accesses.get(usize::from(line.access));
    let access =
        access.ok_or_else(|| misfit_error("access", &format!("{} of {}", line.access, line.fixing)))?;
    let at = |label: &String| {
        find_key_position(fixing.holes.iter().map(|h| &h.label), "hole", label).map(|at| at as u16)
    };
    let mut holes = labels.into_iter().flatten().map(at).collect::<Result<Vec<u16>, _>>()?;
    holes.sort_unstable();
    let mut workings = Vec::new();
    if let Some(key) = &line.stack {
        let stack = stacks.get(key.as_str()).ok_or_else(|| misfit_error("stack", key))?.clone();
        let each_s = line.seconds / holes.len().max(1) as f64;
        workings.push(working_of_line(stack, each_s * access.holes.len() as f64, line));
    }
    let duty = Duty { fixing: id, access: line.access, act: line.act, stage: line.stage };
    Ok(ScopedDuty { duty, holes, workings, miss: None, verdict: line.sure, rooms: None })
}

fn working_of_line(stack: Stack, time_s: f64, line: &DutyLine) -> WorkingStack {
    let time = Duration::from_s(time_s);
    WorkingStack {
        stack,
        time,
        cost: time,
        top: Length::ZERO,
        force: line.force_n.map(Force::from_n),
        setting: line.setting_n_m.map(Torque::from_n_m),
        joint_error_fraction: 0.0,
    }
}
