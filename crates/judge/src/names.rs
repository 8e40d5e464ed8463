//! Names: is the plan of the known shape, and does everything that it names exist?

use crate::FoundViolations;
use crate::case::{DutyFacts, PlanCase, StackFacts, condition_by_key, step_place};
use model::plan::{PLAN_FORMAT, Plan, StackPieceShape, Step};
use model::{Book, Store};
use std::collections::{BTreeMap, BTreeSet};
use times::TimeFigures;

/// Looks up the plan's keys; says which are unknown.
pub(crate) fn read_plan_names<'a>(
    book: &'a Book,
    store: &'a Store,
    plan: &'a Plan,
    found: &mut FoundViolations,
) -> PlanCase<'a> {
    if plan.format != PLAN_FORMAT {
        found.add("J101", "plan", format!("format is `{}`, not `{PLAN_FORMAT}`", plan.format));
    }
    if plan.book != book.key {
        found.add("J103", "plan", format!("made from book `{}`, judged by book `{}`", plan.book, book.key));
    }
    let mut case = PlanCase {
        book,
        store,
        plan,
        tasks: Vec::new(),
        off: BTreeMap::new(),
        conditions: BTreeSet::new(),
        duties: Vec::new(),
        holes: vec![BTreeSet::new(); plan.duties.len()],
        stacks: BTreeMap::new(),
        times: TimeFigures::as_planned(),
    };
    for words in &plan.amiss {
        found.add("J106", "plan", words.clone());
    }
    judge_lasting_names(plan, found);
    read_way_in(&mut case, found);
    read_duties(&mut case, found);
    read_stacks(&mut case, found);
    read_steps(&mut case, found);
    case
}

/// J107: a lasting name belongs to one step.
fn judge_lasting_names(plan: &Plan, found: &mut FoundViolations) {
    let mut names = BTreeSet::new();
    for step in plan.all_steps().filter(|step| !step.name.as_str().is_empty()) {
        if !names.insert(&step.name) {
            let words = format!("another step has the name `{}` too", step.name);
            found.add("J107", format!("step {}", step.number), words);
        }
    }
}

fn add_unknown_name(found: &mut FoundViolations, place: impl Into<String>, what: &str, key: &str) {
    found.add("J102", place, format!("there is no {what} `{key}`"));
}

fn read_way_in(case: &mut PlanCase, found: &mut FoundViolations) {
    if case.plan.asked.tasks.is_empty() {
        found.add("J104", "asked", "no task is requested");
    }
    for key in &case.plan.asked.tasks {
        match case.book.task_by_key(key) {
            Some(task) => case.tasks.push(task),
            None => add_unknown_name(found, "asked", "task", key),
        }
    }
    for line in &case.plan.way_in.parts {
        let Some(id) = case.book.part_by_key(&line.part) else {
            add_unknown_name(found, "way in", "part", &line.part);
            continue;
        };
        let ways = &case.book.part(id).ways;
        let at = line.way.as_ref().and_then(|key| ways.iter().position(|w| w.key == *key));
        match &line.way {
            Some(key) if at.is_none() => add_unknown_name(found, "way in", "way", key),
            None if !ways.is_empty() => {
                found.add("J204", "way in", format!("no way is chosen for part `{}`", line.part));
            }
            _ => {}
        }
        if case.off.insert(id, at.map(|a| a as u16)).is_some() {
            found.add("J203", "way in", format!("part `{}` is listed twice", line.part));
        }
    }
    for line in &case.plan.way_in.conditions {
        match condition_by_key(case.book, &line.condition) {
            None => add_unknown_name(found, "way in", "condition", &line.condition),
            Some(id) => {
                if !case.conditions.insert(id) {
                    found.add("J203", "way in", format!("condition `{}` is listed twice", line.condition));
                }
            }
        }
    }
}

fn read_duties(case: &mut PlanCase, found: &mut FoundViolations) {
    for (at, line) in case.plan.duties.iter().enumerate() {
        let id = case.book.fixing_by_key(&line.fixing);
        if id.is_none() {
            add_unknown_name(found, format!("duty {at}"), "fixing", &line.fixing);
        }
        let facts = id.and_then(|id| {
            let fixing = case.book.fixing(id);
            let access = fixing.accesses.get(usize::from(line.access));
            if access.is_none() {
                add_unknown_name(found, format!("duty {at}"), "access", &line.access.to_string());
            }
            Some(DutyFacts { id, fixing, access: access?, line })
        });
        case.duties.push(facts);
    }
}

fn read_stacks(case: &mut PlanCase, found: &mut FoundViolations) {
    for line in &case.plan.stacks {
        let mut look = |keys: &[String]| {
            let ids = keys.iter().map(|key| case.store.piece_by_key(key)).collect::<Option<Vec<_>>>();
            if ids.is_none() {
                let missing = keys.iter().filter(|k| case.store.piece_by_key(k).is_none());
                missing.for_each(|k| add_unknown_name(found, format!("stack {}", line.id), "piece", k));
            }
            ids
        };
        let (Some(pieces), Some(hold)) = (look(&line.pieces), look(&line.hold)) else { continue };
        let shapes = pieces.iter().map(|id| StackPieceShape::from(case.store.piece(*id)));
        if !shapes.eq(line.shapes.iter().copied()) {
            found.add("J105", format!("stack {}", line.id), "kinds and links are not those of its pieces");
        }
        if case.stacks.insert(&line.id, StackFacts { pieces, hold }).is_some() {
            found.add("J105", format!("stack {}", line.id), "the id is used twice");
        }
    }
    let known = |id: &String| case.plan.stacks.iter().any(|s| s.id == *id);
    for (at, line) in case.plan.duties.iter().enumerate() {
        if let Some(id) = line.stack.as_ref().filter(|id| !known(id)) {
            add_unknown_name(found, format!("duty {at}"), "stack", id);
        }
    }
}

fn read_steps(case: &mut PlanCase, found: &mut FoundViolations) {
    for (name, sequence) in case.sequences() {
        for step in &sequence.steps {
            judge_step_names(case, &step_place(name, step), step, found);
            read_action_names(case, &step_place(name, step), step, found);
        }
    }
}

fn judge_step_names(case: &PlanCase, at: &str, step: &Step, found: &mut FoundViolations) {
    let book = case.book;
    let mut ask = |what: &str, key: Option<&String>, known: &dyn Fn(&str) -> bool| {
        if let Some(key) = key.filter(|k| !known(k)) {
            add_unknown_name(found, at, what, key);
        }
    };
    ask("station", Some(&step.station), &|k| book.stations.iter().any(|s| s.key == k));
    ask("part", step.part.as_ref(), &|k| book.part_by_key(k).is_some());
    ask("condition", step.condition.as_ref(), &|k| condition_by_key(book, k).is_some());
    ask("opening", step.opening.as_ref(), &|k| book.openings.iter().any(|o| o.key == k));
    ask("task", step.task.as_ref(), &|k| book.task_by_key(k).is_some());
    for key in &step.fixings {
        ask("fixing", Some(key), &|k| book.fixing_by_key(k).is_some());
    }
    for told in &step.sets {
        let setting = book.setting_by_key(&told.setting).map(|id| book.setting(id));
        ask("setting", Some(&told.setting), &|_| setting.is_some());
        let value = Some(&told.value).filter(|_| setting.is_some());
        ask("value", value, &|word| setting.is_some_and(|s| s.value_by_word(word).is_some()));
    }
}

fn read_action_names(case: &mut PlanCase, at: &str, step: &Step, found: &mut FoundViolations) {
    for action in &step.actions {
        let Some(duty) = case.duty_of_action(action) else {
            if action.duty >= case.duties.len() {
                add_unknown_name(found, at, "duty", &action.duty.to_string());
            }
            continue;
        };
        let known = |label: &String| duty.fixing.holes.iter().any(|h| h.label == *label);
        for label in action.holes.iter().filter(|l| !known(l)) {
            add_unknown_name(found, at, "hole", label);
        }
        let holes = case.holes_of_action(action);
        case.holes[action.duty].extend(holes);
    }
}
