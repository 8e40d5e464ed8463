//! Laws of plans through a world, on generated books with a lift, a beam and a rule: told again from the steps alone, and broken on purpose.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use app::ask::{self, JudgedPlan, PlanRequest, SilentObserver};
use app::model::plan::{KitObjective, Plan, Step, StepKind};
use app::model::{
    Book, Known, PartId, PartStanding, Setting, SettingId, SettingKind, SettingWay, StationId, Store,
    WorldNeed, WorldRule, WorldRuleKind, WorldThing,
};

const LIFT: usize = 0;
const BEAM: usize = 1;

/// Books of the laws; more of them where the long run asks.
fn book_count() -> u64 {
    if std::env::var_os("TRAYWRIGHT_LONG").is_some() { 200 } else { 24 }
}

fn way(to: u8, from: u16, text: &str, station: Option<usize>, needs: Vec<WorldNeed>) -> SettingWay {
    SettingWay {
        from,
        to,
        text: text.into(),
        station: station.map(StationId::new),
        needs,
        sets: Vec::new(),
        time: Known::Nothing,
        special_tools: Vec::new(),
        cautions: Vec::new(),
    }
}

fn setting(key: &str, kind: SettingKind, values: &[&str], ways: Vec<SettingWay>) -> Setting {
    Setting {
        key: key.into(),
        title: key.into(),
        kind,
        values: values.iter().map(|value| (*value).into()).collect(),
        start: 0,
        end: 1,
        ways,
    }
}

fn need(setting: usize, values: u16) -> WorldNeed {
    WorldNeed { thing: WorldThing::Setting(SettingId::new(setting)), values }
}

/// Gives a generated book a lift, on which each station is worked at its own height, and a beam that has to carry while one of its parts is not
/// held. The first station is worked on the ground, where the beam is hung.
fn with_world(book: &mut Book, carrier: PartId) {
    let lift_ways = (0..3_u8)
        .map(|to| way(to, 0b111 & !(1 << to), &format!("Bring the lift to height {to}."), None, Vec::new()));
    let held = WorldNeed { thing: WorldThing::Part(carrier), values: PartStanding::Held.bit() };
    let beam_ways = vec![
        way(1, 0b01, "Hang the beam and take the weight.", Some(0), Vec::new()),
        way(0, 0b10, "Take the beam off.", Some(0), vec![held]),
    ];
    book.settings = vec![
        setting("lift", SettingKind::Lift, &["ground", "chest", "up"], lift_ways.collect()),
        setting("beam", SettingKind::Support, &["away", "carrying"], beam_ways),
    ];
    for (at, station) in book.stations.iter_mut().enumerate() {
        station.needs = vec![need(LIFT, 1 << (at % 3))];
    }
    book.rules = vec![WorldRule {
        title: "something carries the engine".into(),
        kind: WorldRuleKind::AtLeastOne(vec![held, need(BEAM, 0b10)]),
        during: Vec::new(),
    }];
}

fn generated(seed: u64) -> (Book, Store) {
    let (book, store) = generate::generate_book_and_store(seed, 20, 60, 250);
    let book = book::read_book(&[(String::from("book.toml"), book.into_bytes())]).book.unwrap();
    let store = tools::read_store(&[(String::from("store.toml"), store.into_bytes())]).store.unwrap();
    (book, store)
}

fn planned(book: &Book, store: &Store, seed: u64) -> JudgedPlan {
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks: Vec::new(),
        objective: KitObjective::LeastToCarry,
        seconds: None,
        stop_after_s: None,
        seed,
        threads: 1,
    };
    ask::make_judged_plan(book, store, &request, &SilentObserver).unwrap()
}

fn steps(plan: &Plan) -> Vec<&Step> {
    plan.all_steps().collect()
}

/// A book with a world, its plan, and the part that carries; one that comes off and is held by fasteners.
fn made(seed: u64) -> Option<(Book, Store, Plan, String)> {
    let (mut book, store) = generated(seed);
    let first = planned(&book, &store, seed).plan;
    let has_fixings = |key: &String| book.fixings_of(book.part_by_key(key).unwrap()).next().is_some();
    let carrier = first.way_in.parts.iter().map(|line| line.part.clone()).find(has_fixings)?;
    let id = book.part_by_key(&carrier).unwrap();
    with_world(&mut book, id);
    let JudgedPlan { plan, violations } = planned(&book, &store, seed);
    assert!(violations.is_empty(), "seed {seed}: {violations:?}");
    Some((book, store, plan, carrier))
}

/// Height and beam as the steps leave them, and whether every step had what it asks.
fn every_moment_is_safe(book: &Book, plan: &Plan, carrier: &str) {
    let (mut lift, mut beam) = (String::from("ground"), false);
    let all = steps(plan);
    let last_on = all.iter().rposition(|s| s.part.as_deref() == Some(carrier)).unwrap();
    let first_off = all.iter().position(|s| s.part.as_deref() == Some(carrier)).unwrap();
    for (at, step) in all.iter().enumerate() {
        let place = book.stations.iter().position(|s| s.key == step.station).unwrap();
        let is_anywhere = step.kind == StepKind::Wait || step.sets.iter().any(|set| set.setting == "lift");
        let height = ["ground", "chest", "up"][place % 3];
        assert!(is_anywhere || lift == height, "step {}: lift at {lift}, asks {height}", step.number);
        for set in &step.sets {
            match set.setting.as_str() {
                "lift" => lift.clone_from(&set.value),
                _ => beam = set.value == "carrying",
            }
        }
        let is_loose = (first_off..last_on).contains(&at);
        assert!(!is_loose || beam, "step {}: nothing carries", step.number);
    }
    assert_eq!((lift.as_str(), beam), ("ground", false), "everything is back at the end");
}

#[test]
fn something_carries_and_every_place_is_worked_at_its_height() {
    let mut count = 0;
    for seed in 0..book_count() {
        let Some((book, _, plan, carrier)) = made(seed) else { continue };
        every_moment_is_safe(&book, &plan, &carrier);
        count += 1;
    }
    assert!(count * 2 > book_count(), "only {count} books have a part that may carry");
}

/// Each way to break a plan, and the codes of which the judge has to find one.
#[test]
fn the_judge_finds_each_law_that_is_broken_on_purpose() {
    type Mutation = (&'static str, fn(&mut Plan, &str) -> Option<()>, &'static [&'static str]);
    fn sequences(plan: &mut Plan) -> [&mut Vec<Step>; 3] {
        [&mut plan.strip.steps, &mut plan.work.steps, &mut plan.refit.steps]
    }
    fn drop_set(plan: &mut Plan, setting: &str, value: &str) -> Option<()> {
        let is_it = |s: &Step| s.sets.iter().any(|set| set.setting == setting && set.value == value);
        for list in sequences(plan) {
            if let Some(at) = list.iter().position(is_it) {
                list.remove(at);
                return Some(());
            }
        }
        None
    }
    /// Hangs the beam only when the carrier's first fastener is loose.
    fn hang_late(plan: &mut Plan, carrier: &str) -> Option<()> {
        for list in sequences(plan) {
            let hung = list.iter().position(|s| s.sets.iter().any(|set| set.value == "carrying"));
            let undone =
                list.iter().position(|s| s.kind == StepKind::Undo && s.part.as_deref() == Some(carrier));
            if let (Some(hung), Some(undone)) = (hung, undone) {
                let step = list.remove(hung);
                list.insert(undone, step);
                return Some(());
            }
        }
        None
    }
    let mutations: [Mutation; 5] = [
        ("the beam is never hung", |p, _| drop_set(p, "beam", "carrying"), &["J622", "J624"]),
        ("the beam is left hanging", |p, _| drop_set(p, "beam", "away"), &["J625"]),
        ("the lift stays on the ground", |p, _| drop_set(p, "lift", "chest"), &["J621", "J624"]),
        ("the beam is hung too late", hang_late, &["J622"]),
        (
            "a lift move is told to another height",
            |p, _| {
                let step = sequences(p)
                    .into_iter()
                    .flatten()
                    .find(|s| s.kind == StepKind::Set && s.sets[0].setting == "lift")?;
                step.sets[0].value = if step.sets[0].value == "up" { "chest".into() } else { "up".into() };
                Some(())
            },
            &["J621", "J624"],
        ),
    ];
    let mut applied = [0; 5];
    for seed in 0..book_count() / 2 {
        let Some((book, store, plan, carrier)) = made(seed) else { continue };
        for (at, (what, mutate, codes)) in mutations.iter().enumerate() {
            let mut bad = plan.clone();
            if mutate(&mut bad, &carrier).is_none() {
                continue;
            }
            let found = judge::judge_plan(&book, &store, &bad);
            assert!(found.iter().any(|v| codes.contains(&v.code)), "seed {seed}, {what}: {found:?}");
            applied[at] += 1;
        }
    }
    assert!(applied.iter().all(|count| *count > 0), "{applied:?}");
}
