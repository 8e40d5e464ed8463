//! Another goal from the middle of a visit: fit to roll, the whole job again, a task more, a task less.
//!
//! *To roll* of the first composed world: with the pump out and the vehicle at chest height exactly the wheel on, lowered, its bolts
//! tightened on the ground, and the beam stays (`validation/worlds`; the same question was put to a search of its own).
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use app::ask::{self, PlanRequest, SilentObserver};
use app::load;
use app::model::plan::{KitObjective, Plan, Step, StepKind};
use app::model::progress::{FastenerProgress, Progress};
use app::model::{Book, FastenerState, Store};
use effort::SolverBudget;
use plan::goal::{GoalPlan, GoalRequest};
use plan::{PlanError, plan_for_goal};

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(path)
}

fn planned(book: &Book, store: &Store, tasks: &[&str]) -> Plan {
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks: tasks.iter().map(|task| (*task).to_owned()).collect(),
        objective: KitObjective::Balanced,
        seconds: Some(1.0),
        stop_after_s: None,
        seed: 7,
        threads: 2,
    };
    ask::make_judged_plan(book, store, &request, &SilentObserver).unwrap().plan
}

/// The progress after all steps up to one and with it.
fn done_until(book: &Book, plan: &Plan, is_last: impl Fn(&Step) -> bool) -> Progress {
    let mut progress = Progress::default();
    let last = plan.all_steps().position(is_last).unwrap();
    plan.all_steps().take(last + 1).for_each(|step| progress.do_step(book, plan, step));
    progress
}

fn to_goal(tasks: &[String], goal: Option<&str>) -> GoalRequest {
    GoalRequest { tasks: tasks.to_vec(), goal: goal.map(str::to_owned) }
}

/// The plan to a goal; the judge finds nothing in it, and no two steps have one name.
#[track_caller]
fn made(book: &Book, store: &Store, plan: &Plan, progress: &Progress, request: &GoalRequest) -> GoalPlan {
    let made = plan_for_goal(book, store, plan, progress, request, SolverBudget::sized()).unwrap();
    let mut start = progress.clone();
    start.take_up_again(&made.again);
    let found = judge::judge_rest(book, store, &made.plan, &start);
    let words: Vec<String> = found.iter().take(6).map(ToString::to_string).collect();
    assert!(words.is_empty(), "{} violations\n{}", found.len(), words.join("\n"));
    let names: BTreeSet<_> = made.plan.all_steps().map(|step| &step.name).collect();
    assert_eq!(names.len(), made.plan.all_steps().count());
    made
}

fn parts_removed(plan: &Plan) -> BTreeSet<String> {
    plan.all_steps().filter(|s| s.kind == StepKind::Remove).filter_map(|s| s.part.clone()).collect()
}

#[test]
fn to_roll_is_the_wheel_the_ground_and_its_bolts_and_then_the_job_goes_on() {
    let store = load::load_store(&root("demo/store")).unwrap();
    let book = load::load_book(&root("validation/worlds/c1.toml")).unwrap();
    let tasks: Vec<String> = book.tasks.iter().map(|task| task.key.clone()).collect();
    let whole = planned(&book, &store, &[]);
    let mut progress =
        done_until(&book, &whole, |s| s.kind == StepKind::Remove && s.part.as_deref() == Some("pump"));
    let roll = made(&book, &store, &whole, &progress, &to_goal(&tasks, Some("roll")));
    assert!(roll.again.is_empty());
    let told: Vec<String> = roll.plan.all_steps().map(|step| step.name.0.clone()).collect();
    let wanted = [
        "refit.wheel",
        "run-in.wheel-bolts",
        "set.lift.ground.before.tighten.wheel-bolts",
        "tighten.wheel-bolts",
    ];
    assert_eq!(told, wanted);
    let moves = roll.plan.course.as_ref().unwrap().moves;
    assert_eq!((moves.place.count, moves.lift.count), (0, 1));

    for step in roll.plan.all_steps() {
        progress.do_step(&book, &roll.plan, step);
    }
    let then = made(&book, &store, &roll.plan, &progress, &to_goal(&tasks, None));
    assert_eq!(then.again.parts, BTreeSet::from(["wheel".to_owned()]), "the wheel comes off again");
    assert!(parts_removed(&then.plan).contains("wheel"));
    assert!(!parts_removed(&then.plan).contains("pump"), "what is off is not taken off again");
    progress.take_up_again(&then.again);
    for step in then.plan.all_steps() {
        progress.do_step(&book, &then.plan, step);
    }
    assert!(progress.parts_off.is_empty(), "{:?}", progress.parts_off);
    assert_eq!(progress.tasks_done.iter().cloned().collect::<Vec<_>>(), tasks);
}

#[test]
fn a_task_more_and_a_task_less_go_on_from_where_the_work_stands() {
    let store = load::load_store(&root("demo/store")).unwrap();
    let book = load::load_book(&root("demo/books/tern-24")).unwrap();
    let first = planned(&book, &store, &["renew-thermostat"]);
    let half = first.strip.steps.len() / 2;
    let mut progress = Progress::default();
    first.strip.steps.iter().take(half).for_each(|step| progress.do_step(&book, &first, step));
    let other = book
        .tasks
        .iter()
        .map(|task| task.key.clone())
        .find(|key| !first.asked.tasks.contains(key) && !first.way_in.also_open.contains(key));
    let both = [first.asked.tasks.clone(), vec![other.unwrap()]].concat();

    let more = made(&book, &store, &first, &progress, &to_goal(&both, None));
    assert!(more.plan.way_in.parts.len() > first.way_in.parts.len());
    for line in &first.slots {
        let kept = more.plan.slots.iter().find(|own| own.fixing == line.fixing).unwrap();
        assert_eq!(kept.slot, line.slot, "{} keeps its slot", line.fixing);
    }
    let slots: Vec<String> = more.plan.slots.iter().map(|line| line.slot.to_string()).collect();
    let own: BTreeSet<&String> =
        slots.iter().filter(|slot| slot.contains("-T") || slot.contains("-B")).collect();
    assert_eq!(own.len(), slots.iter().filter(|s| s.contains("-T") || s.contains("-B")).count());
    let names: BTreeSet<&str> = first.all_steps().map(|step| step.name.as_str()).collect();
    let still: Vec<&Step> = first.all_steps().skip(half).filter(|s| s.kind == StepKind::Remove).collect();
    assert!(!still.is_empty());
    for step in still {
        let again = more.plan.all_steps().find(|own| own.kind == step.kind && own.part == step.part).unwrap();
        assert_eq!(again.name, step.name, "a step keeps its name");
        assert!(names.contains(again.name.as_str()));
    }

    // Left out again, the plan is for the first task, and nothing more comes off for the other.
    let less = made(&book, &store, &more.plan, &progress, &to_goal(&first.asked.tasks, None));
    assert_eq!(less.plan.asked.tasks, first.asked.tasks);
    let strip = |plan: &Plan| -> BTreeSet<Option<String>> {
        plan.all_steps().filter(|s| s.kind == StepKind::Remove).map(|s| s.part.clone()).collect()
    };
    let left: BTreeSet<Option<String>> = first.strip.steps[half..]
        .iter()
        .filter(|s| s.kind == StepKind::Remove)
        .map(|s| s.part.clone())
        .collect();
    assert_eq!(strip(&less.plan), left);
}

#[test]
fn what_is_on_again_comes_off_again_for_a_task_that_is_added_late() {
    let store = load::load_store(&root("demo/store")).unwrap();
    let book = load::load_book(&root("demo/books/tern-24")).unwrap();
    let first = planned(&book, &store, &["renew-thermostat"]);
    let mut progress = Progress::default();
    first.all_steps().for_each(|step| progress.do_step(&book, &first, step));
    let other = book.tasks.iter().find(|task| !first.asked.tasks.contains(&task.key)).unwrap().key.clone();
    let both = [first.asked.tasks.clone(), vec![other.clone()]].concat();
    let late = made(&book, &store, &first, &progress, &to_goal(&both, None));
    let off = parts_removed(&late.plan);
    assert!(
        !late.again.parts.is_empty() && late.again.parts.is_subset(&off),
        "{:?} of {off:?}",
        late.again.parts
    );
    assert!(late.plan.all_steps().any(|step| step.task.as_ref() == Some(&other)));
    assert!(
        late.plan.all_steps().all(|step| step.task.as_deref() != Some("renew-thermostat")),
        "done is done"
    );
}

#[test]
fn a_goal_that_nobody_knows_is_refused_by_name() {
    let store = load::load_store(&root("demo/store")).unwrap();
    let book = load::load_book(&root("demo/books/tern-24")).unwrap();
    let plan = planned(&book, &store, &["renew-thermostat"]);
    let asked = to_goal(&plan.asked.tasks, Some("fly"));
    let refused = plan_for_goal(&book, &store, &plan, &Progress::default(), &asked, SolverBudget::sized());
    let words = refused.unwrap_err();
    assert!(matches!(words, PlanError::UnknownGoal { .. }));
    assert!(words.to_string().contains("`fly`") && words.to_string().contains("`roll`"), "{words}");
}

/// Before a step of a strip: one fastener of its fixing off, the next run in again by hand.
fn half_undone(book: &Book, whole: &Plan, step: &Step) -> Progress {
    let mut progress = Progress::default();
    let before = whole.all_steps().take_while(|own| own.name != step.name);
    before.for_each(|own| progress.do_step(book, whole, own));
    let fixing = book.fixing(book.fixing_by_key(&step.fixings[0]).unwrap());
    // What is pushed in is never finger-tight: it is in or loose.
    let run_in = if fixing.drive.is_turned() { FastenerState::FingerTight } else { FastenerState::Freed };
    for (hole, state) in fixing.holes.iter().zip([FastenerState::Off, run_in]) {
        let standing = progress.fastener(&fixing.key, &hole.label);
        progress.set_fastener(&fixing.key, &hole.label, FastenerProgress { state, ..standing });
    }
    progress
}

#[test]
fn to_roll_from_the_middle_of_a_part_fastens_what_hangs_and_sets_nothing_in_place_that_is_there() {
    let store = load::load_store(&root("demo/store")).unwrap();
    let book = load::load_book(&root("demo/books/tern-24")).unwrap();
    let whole = planned(&book, &store, &["renew-thermostat", "renew-water-pump"]);
    let undoing: Vec<&Step> = whole.strip.steps.iter().filter(|step| step.kind == StepKind::Undo).collect();
    for step in undoing.iter().step_by(3) {
        let mut progress = half_undone(&book, &whole, step);
        let roll = made(&book, &store, &whole, &progress, &to_goal(&whole.asked.tasks, Some("roll")));
        let part = &book.part(book.fixing(book.fixing_by_key(&step.fixings[0]).unwrap()).part).key;
        let mut of_part = roll.plan.all_steps().filter(|own| own.part.as_ref() == Some(part)).peekable();
        assert!(of_part.peek().is_some(), "{part} hangs, and is made fast");
        assert!(
            of_part.all(|own| own.kind != StepKind::Refit),
            "{part} hangs in its place and is not set there"
        );
        for own in roll.plan.all_steps() {
            progress.do_step(&book, &roll.plan, own);
        }
        let then = made(&book, &store, &roll.plan, &progress, &to_goal(&whole.asked.tasks, None));
        assert!(parts_removed(&then.plan).contains(part), "{part} comes off in its turn");
    }
}
