//! Books of worlds with known least moves: what the planner finds, proves and refuses, and that the judge finds nothing wrong.
//!
//! The least numbers are those of `validation/worlds/answers.json`, found by a search of its own (`least_moves.py` beside it); the two
//! composed worlds were also proven by a general planner.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use app::ask::{AskError, JudgedPlan};
use app::load;
use app::model::plan::{Plan, Step, StepKind};
use app::model::{Book, SettingChange, SettingKind};
use common::plan_all_tasks;
use std::path::{Path, PathBuf};

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(path)
}

fn world(name: &str) -> Book {
    load::load_book(&root(&format!("validation/worlds/{name}"))).unwrap()
}

fn planned(book: &Book) -> Result<JudgedPlan, AskError> {
    planned_on(book, 2)
}

fn planned_on(book: &Book, threads: u16) -> Result<JudgedPlan, AskError> {
    let store = load::load_store(&root("demo/store")).unwrap();
    plan_all_tasks(book, &store, threads)
}

fn steps(plan: &Plan) -> Vec<&Step> {
    plan.all_steps().collect()
}

fn position(plan: &Plan, is_it: impl Fn(&Step) -> bool) -> usize {
    steps(plan).iter().position(|step| is_it(step)).unwrap()
}

fn sets(step: &Step, setting: &str, value: &str) -> bool {
    step.sets.iter().any(|set| set.setting == setting && set.value == value)
}

#[test]
fn each_world_is_planned_with_its_least_moves_or_refused() {
    let answers = std::fs::read_to_string(root("validation/worlds/answers.json")).unwrap();
    let answers: serde_json::Value = serde_json::from_str(&answers).unwrap();
    let answers = answers.as_object().unwrap();
    assert_eq!(answers.len(), 8);
    for (name, answer) in answers {
        let book = world(name);
        if !answer["plan"].as_bool().unwrap() {
            let refusal = planned(&book).unwrap_err().to_string();
            assert!(refusal.contains("no order of the work is safe"), "{name}: {refusal}");
            assert!(refusal.contains("something carries the right end of the engine"), "{name}: {refusal}");
            continue;
        }
        let JudgedPlan { plan, violations, .. } = planned(&book).unwrap();
        assert!(violations.is_empty(), "{name}: {violations:?}");
        let course = plan.course.as_ref().unwrap();
        let (place, lift) = (course.moves.place, course.moves.lift);
        let least = answer["least_moves"].as_u64().unwrap();
        assert_eq!(u64::from(place.count + lift.count), least, "{name}");
        assert_eq!(u64::from(course.least_moves), least, "{name}: proven");
        assert_eq!(u64::from(place.bound), answer["least_place"].as_u64().unwrap(), "{name}");
        assert_eq!(u64::from(lift.bound), answer["least_lift"].as_u64().unwrap(), "{name}");
    }
}

#[test]
fn a_refusal_names_the_fact_that_stands_against_it() {
    let refusal = planned(&world("c1-floor-jack.toml")).unwrap_err().to_string();
    assert!(refusal.contains("the lift stays where it is while the jack carries"), "{refusal}");
    assert!(refusal.contains("lift: chest"), "the height at which the bracket is reached: {refusal}");
}

/// S11 of the situations: what was opened is closed in the same stay.
#[test]
fn the_tap_is_closed_before_the_mechanic_leaves_the_place() {
    let book = world("c1.toml");
    let plan = planned(&book).unwrap().plan;
    let opened = position(&plan, |step| sets(step, "tap", "open"));
    let closed = position(&plan, |step| sets(step, "tap", "closed"));
    let all = steps(&plan);
    let place = &all[opened].station;
    assert!(opened < closed && all[opened..=closed].iter().all(|step| step.station == *place));
}

/// S01: the engine stands on a mounting or hangs on the beam at every moment, told again from the steps alone.
#[test]
fn something_carries_the_engine_at_every_moment() {
    for name in ["tiny.toml", "c1.toml"] {
        let plan = planned(&world(name)).unwrap().plan;
        let (mut beam, mut is_held) = (false, true);
        let mut was_off = false;
        for step in steps(&plan) {
            let carries =
                |set: &SettingChange| set.setting == "beam" && set.value != "away" && set.value != "off";
            if let Some(set) = step.sets.iter().find(|set| set.setting == "beam") {
                beam = carries(set);
            }
            if step.part.as_deref() == Some("right-mounting") {
                was_off |= step.kind == StepKind::Remove;
                is_held = match step.kind {
                    StepKind::Undo | StepKind::Remove | StepKind::Refit => false,
                    StepKind::Tighten | StepKind::RunIn => {
                        let last = steps(&plan).into_iter().rfind(|s| s.part == step.part);
                        last.map(|s| s.number) == Some(step.number)
                    }
                    _ => is_held,
                };
            }
            assert!(is_held || beam, "{name}: step {} {}", step.number, step.text);
        }
        assert!(was_off && is_held && !beam, "{name}: off, on again, and the beam away");
    }
}

/// Every setting ends where the book wants it, and what is put in is out again.
#[test]
fn every_setting_is_back_at_the_end() {
    for name in ["tiny.toml", "c1.toml", "c2.toml"] {
        let book = world(name);
        let plan = planned(&book).unwrap().plan;
        for setting in &book.settings {
            let last =
                steps(&plan).into_iter().flat_map(|step| &step.sets).rfind(|s| s.setting == setting.key);
            let value = last.map_or(setting.start, |set| setting.value_by_word(&set.value).unwrap());
            assert!(setting.end >> value & 1 == 1, "{name}: {}", setting.key);
            let went_in = last.is_some() && setting.kind == SettingKind::PutIn;
            assert!(!went_in || value == setting.start, "{name}: {} is left in", setting.key);
        }
    }
}

#[test]
fn the_same_world_gives_the_same_plan_whatever_the_threads() {
    let book = world("tiny.toml");
    let plan = |threads: u16| {
        let plan = planned_on(&book, threads).unwrap().plan;
        (plan.strip, plan.work, plan.refit, plan.course)
    };
    assert_eq!(plan(1), plan(2));
    assert_eq!(plan(1), plan(4));
}
