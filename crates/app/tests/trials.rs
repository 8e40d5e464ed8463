//! The sixty trial worlds against general planners: which have a plan, and at what cost.
//!
//! `validation/worlds/trials.json` holds what Fast Downward proved of each book (`prove_trials.py` beside it): the least cost in tenths
//! of a second, or that there is no plan. Ours is counted here from the steps by the same rules.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use app::ask::{AskError, JudgedPlan};
use app::load;
use app::model::plan::{Plan, StepKind};
use app::model::{Book, SettingKind, SolverStanding, Store};
use common::plan_all_tasks;
use std::path::{Path, PathBuf};

/// Ours may cost this much more than the least.
const MOST_ABOVE: f64 = 0.02;
/// Tenths of a second.
const MOVE_PRICE: f64 = 600.0;
const PICK: f64 = 40.0;
const PUT: f64 = 14.0;

/// One spanner for each size, so that another size is another tool.
const SPANNERS: &str = r#"
format = "traywright-store/1"
title  = "Four spanners"
origin = "invented for trials of plans"

[[set]]
set   = "combination spanners 8, 10, 13, 17 mm"
place = "bench / rail"
"#;

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(path)
}

fn store() -> Store {
    let read = tools::read_store(&[(String::from("store.toml"), SPANNERS.as_bytes().to_vec())]);
    read.store.unwrap_or_else(|| panic!("{:?}", read.faults.codes()))
}

fn planned(book: &Book, store: &Store) -> Result<JudgedPlan, AskError> {
    plan_all_tasks(book, store, 2)
}

/// What a plan costs by the rules of the yardstick: places, ways, tools by the size of their fasteners, and the work told by the book.
fn cost_of(book: &Book, plan: &Plan) -> f64 {
    let mut cost = 0.0;
    let mut place = book.stations[0].key.as_str();
    let mut hand: Option<String> = None;
    let tenths = |seconds: f64| 10.0 * seconds;
    for step in plan.all_steps().filter(|step| step.kind != StepKind::Wait) {
        if step.station != place {
            let station = book.stations.iter().find(|s| s.key == step.station).unwrap();
            cost += MOVE_PRICE + tenths(station.enter_s());
            place = &station.key;
        }
        if step.kind == StepKind::Set {
            let set = &step.sets[0];
            let setting = book.setting(book.setting_by_key(&set.setting).unwrap());
            let value = setting.value_by_word(&set.value).unwrap();
            let way = setting.ways.iter().find(|way| way.to == value).unwrap();
            let price = if setting.kind == SettingKind::Lift { MOVE_PRICE } else { 0.0 };
            cost += tenths(way.time_s()) + price;
        }
        for key in &step.fixings {
            let drive = book.fixing(book.fixing_by_key(key).unwrap()).drive.to_string();
            if hand.as_ref() != Some(&drive) {
                cost += PICK + if hand.is_some() { PUT } else { 0.0 };
                hand = Some(drive);
            }
        }
    }
    let parts = book.parts.iter().map(|part| tenths(part.lift_s() + part.place_s()));
    let tasks = book.tasks.iter().map(|task| tenths(task.work_s()));
    let conditions = book.conditions.iter().map(|c| tenths(c.establish_time.as_s() + c.restore_time.as_s()));
    cost + parts.chain(tasks).chain(conditions).sum::<f64>()
}

fn answers_of(name: &str) -> serde_json::Map<String, serde_json::Value> {
    let text = std::fs::read_to_string(root("validation/worlds").join(name)).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// The search over all orders of `least_moves.py` and Fast Downward agree on the composed worlds.
#[test]
fn two_ways_of_proving_agree_on_the_composed_worlds() {
    let (searched, planned) = (answers_of("answers.json"), answers_of("trials.json"));
    assert_eq!(searched.len(), 8);
    for (name, answer) in &searched {
        assert_eq!(answer["plan"], planned[name]["plan"], "{name}");
        assert_eq!(answer["least_moves"], planned[name]["moves"], "{name}");
    }
}

#[test]
fn sixty_worlds_have_a_plan_where_a_general_planner_finds_one_and_cost_hardly_more() {
    let answers = answers_of("trials.json");
    let trials = || answers.iter().filter(|(name, _)| root("validation/worlds/trials").join(name).exists());
    assert_eq!(trials().count(), 60);
    let store = store();
    let (mut wrong, mut with_plan, mut worst) = (Vec::new(), 0, 0.0_f64);
    for (name, answer) in trials() {
        let book = load::load_book(&root(&format!("validation/worlds/trials/{name}"))).unwrap();
        let has_plan = answer["plan"].as_bool().unwrap();
        with_plan += u32::from(has_plan);
        match planned(&book, &store) {
            Ok(_) if !has_plan => wrong.push(format!("{name}: a plan where none is")),
            Err(error) if has_plan => wrong.push(format!("{name}: {error}")),
            Err(error) => {
                let error = error.to_string();
                let is_refused = ["no order of the work is safe", "wait for each other in a circle"];
                assert!(is_refused.iter().any(|words| error.contains(words)), "{name}: {error}");
            }
            Ok(JudgedPlan { plan, violations }) => {
                assert!(violations.is_empty(), "{name}: {violations:?}");
                let least = answer["cost"].as_f64().unwrap();
                let above = cost_of(&book, &plan) / least - 1.0;
                worst = worst.max(above);
                let is_called_best =
                    plan.course.as_ref().is_some_and(|c| c.outcome.standing == SolverStanding::Proven);
                if !(-1.0e-6..=MOST_ABOVE).contains(&above) || (is_called_best && above > 1.0e-6) {
                    wrong.push(format!("{name}: {:.2} % above {least}", 100.0 * above));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{with_plan} with a plan, worst {:.2} %:\n{}", 100.0 * worst, wrong.join("\n"));
    assert!((30..60).contains(&with_plan), "{with_plan} of 60 have a plan");
}
