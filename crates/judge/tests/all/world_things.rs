//! An invented book with a world, and a right plan of one course, every figure worked out on paper.
//!
//! Two mountings carry the engine, right by a bolt, left by a latch; a beam can carry it instead. A sensor has a bolt and a
//! plug. One bolt is a half of the pair in `known`: free 3.4, run out 38.7, run in 36.3, tighten 4.9, by hand 3.6 s.
//! Pieces taken up and put down, step by step: 2, 2, 2, 2, 2, 2, 2, 2, together 16.

use crate::known::{duty, kit_line, outcome, readiness, sequence, slot, stack, step, with};
use crate::things;
use model::plan::{
    ConditionMade, CourseMoves, CourseOutcome, Coverage, DutyLine, Kit, MoveCount, PartOff, Plan, Step,
    StepKind, StepSequence, WayIn,
};
use model::{
    Act, ActWorld, Book, Fixing, FixingWorld, KeepPlace, Known, Need, Part, PartId, PartKind, PartStanding,
    PartWorld, Setting, SettingChange, SettingEffect, SettingId, SettingKind, SettingWay, SolverOutcome,
    Station, StationId, Task, WorldNeed, WorldRule, WorldRuleKind, WorldThing,
};
use units::Duration;

pub const LIFT: SettingId = SettingId::new(0);
pub const BEAM: SettingId = SettingId::new(1);
pub const LATCH: SettingId = SettingId::new(2);
pub const CRANK: SettingId = SettingId::new(3);
pub const RIGHT: PartId = PartId::new(0);
pub const LEFT: PartId = PartId::new(1);
pub const SENSOR: PartId = PartId::new(2);

/// A need of the first or the second value of a setting.
pub const fn at(setting: SettingId, value: u8) -> WorldNeed {
    WorldNeed { thing: WorldThing::Setting(setting), values: 1 << value }
}

pub const fn stands(part: PartId, standing: PartStanding) -> WorldNeed {
    WorldNeed { thing: WorldThing::Part(part), values: standing.bit() }
}

pub const fn sets(setting: SettingId, value: u8) -> SettingEffect {
    SettingEffect { setting, value }
}

fn way(from: u8, to: u8, station: Option<usize>, time_s: f64) -> SettingWay {
    SettingWay {
        from: 1 << from,
        to,
        text: "Change it.".into(),
        station: station.map(StationId::new),
        needs: Vec::new(),
        sets: Vec::new(),
        time: Known::Exact(Duration::from_s(time_s)),
        special_tools: Vec::new(),
        cautions: Vec::new(),
    }
}

fn setting(key: &str, kind: SettingKind, values: [&str; 2], end: u16, ways: Vec<SettingWay>) -> Setting {
    let values = values.map(Into::into).into();
    Setting { key: key.into(), title: key.into(), kind, values, start: 0, end, ways }
}

fn settings() -> Vec<Setting> {
    let up = SettingWay { sets: vec![sets(LATCH, 1)], ..way(0, 1, None, 30.0) };
    let off = SettingWay {
        needs: vec![stands(RIGHT, PartStanding::Held), stands(LEFT, PartStanding::Held)],
        ..way(1, 0, Some(0), 25.0)
    };
    vec![
        setting("lift", SettingKind::Lift, ["ground", "up"], 1, vec![up, way(1, 0, None, 20.0)]),
        setting("beam", SettingKind::Support, ["slack", "carrying"], 1, vec![way(0, 1, Some(0), 40.0), off]),
        setting("latch", SettingKind::Other, ["closed", "open"], 3, Vec::new()),
        setting("crank", SettingKind::Other, ["mark", "any"], 1, Vec::new()),
    ]
}

fn rules() -> Vec<WorldRule> {
    let rule = |title: &str, kind, during| WorldRule { title: title.into(), kind, during };
    let carried = |part| WorldRuleKind::AtLeastOne(vec![stands(part, PartStanding::Held), at(BEAM, 1)]);
    vec![
        rule("something carries the right end", carried(RIGHT), Vec::new()),
        rule("something carries the left end", carried(LEFT), Vec::new()),
        rule("the lift stands still below a beam", WorldRuleKind::StaysStill(vec![LIFT]), vec![at(BEAM, 1)]),
        rule(
            "nobody lifts the vehicle with the sensor off",
            WorldRuleKind::NeverTogether(vec![at(LIFT, 1), stands(SENSOR, PartStanding::Off)]),
            Vec::new(),
        ),
    ]
}

fn stations() -> Vec<Station> {
    let station = |key, enter_s, needs| Station { needs, ..things::station(key, enter_s) };
    vec![
        station("front", 10.0, vec![at(LIFT, 0)]),
        station("below", 20.0, vec![at(LIFT, 1)]),
        station("cab", 5.0, Vec::new()),
    ]
}

fn parts() -> Vec<Part> {
    let mounting = |key, times| Part {
        kind: Some(PartKind::Mounting),
        ..things::part(key, times, Vec::new(), Vec::new())
    };
    let left = PartWorld { on_after: vec![RIGHT], ..PartWorld::default() };
    let battery = vec![Need::Condition(model::ConditionId::new(0))];
    vec![
        mounting("right", (6.0, 7.0)),
        Part { world: left, ..mounting("left", (4.0, 5.0)) },
        things::part("sensor", (2.0, 3.0), battery, Vec::new()),
    ]
}

fn fixings() -> Vec<Fixing> {
    let bolt = |key: &str, part| {
        let bolts = things::bolts();
        let holes = bolts.holes[..1].to_vec();
        let accesses = things::plug().accesses;
        Fixing { key: key.into(), title: key.into(), part, holes, accesses, ..bolts }
    };
    let by_hand = |key: &str, part| {
        let plug = things::plug();
        Fixing { key: key.into(), title: key.into(), part, ..plug }
    };
    let loosening = ActWorld { needs: vec![at(LIFT, 0)], sets: vec![sets(CRANK, 1)] };
    let told = FixingWorld { loosening, ..FixingWorld::default() };
    let clip = model::FastenerKind::Clip;
    vec![
        Fixing { world: told, ..bolt("right-bolt", RIGHT) },
        Fixing { kind: clip, keep: Some(KeepPlace::OnPart), ..by_hand("left-clip", LEFT) },
        bolt("sensor-bolt", SENSOR),
        by_hand("sensor-plug", SENSOR),
    ]
}

fn tasks() -> Vec<Task> {
    let off = [RIGHT, LEFT, SENSOR].map(Need::Off).into();
    let turn = ActWorld { needs: vec![stands(RIGHT, PartStanding::Held)], sets: vec![sets(CRANK, 0)] };
    let look = Task { needs: off, ..things::task() };
    vec![
        look.clone(),
        Task {
            key: "turn".into(),
            needs: Vec::new(),
            work: Known::Exact(Duration::from_s(15.0)),
            station: StationId::new(1),
            world: turn,
            ..look
        },
    ]
}

pub fn book() -> Book {
    let mut battery = things::battery();
    battery.station = StationId::new(2);
    Book {
        key: "world".into(),
        stations: stations(),
        settings: settings(),
        rules: rules(),
        conditions: vec![battery],
        openings: Vec::new(),
        parts: parts(),
        fixings: fixings(),
        tasks: tasks(),
        ..things::book()
    }
}

pub fn plan() -> Plan {
    let book = book();
    let off = |part: &str| PartOff { part: part.into(), way: None, because: Vec::new() };
    let known = crate::known::plan();
    let mut ready = readiness();
    (ready.caps, ready.coverage) = (Vec::new(), Coverage { proven: 4, ..Coverage::default() });
    let plan = Plan {
        book: "world".into(),
        asked: model::plan::PlanInputs { tasks: vec!["look".into(), "turn".into()], ..known.asked.clone() },
        way_in: WayIn {
            parts: vec![off("left"), off("right"), off("sensor")],
            conditions: vec![ConditionMade { condition: "battery".into(), because: Vec::new() }],
            ..known.way_in.clone()
        },
        duties: duties(),
        stacks: vec![
            stack("S1", &["socket", "ratchet"]),
            stack("S2", &[]),
            stack("S3", &["socket", "wrench"]),
        ],
        kit: Kit {
            pieces: vec![kit_line("ratchet", 6), kit_line("socket", 8), kit_line("wrench", 2)],
            ..known.kit.clone()
        },
        strip: strip(),
        work: sequence(vec![Step {
            task: Some("look".into()),
            ..step(11, StepKind::Inspect, None, (0.0, 30.0))
        }]),
        refit: refit(),
        amiss: Vec::new(),
        course: Some(course()),
        slots: vec![
            slot(&book, "right-bolt", "A-T1-01", KeepPlace::Tray, 1),
            slot(&book, "left-clip", "on part", KeepPlace::OnPart, 1),
            slot(&book, "sensor-bolt", "A-T1-02", KeepPlace::Tray, 1),
            slot(&book, "sensor-plug", "on part", KeepPlace::OnPart, 1),
        ],
        readiness: ready,
        ..known
    };
    crate::spoken::spoken(&book, plan)
}

fn course() -> CourseOutcome {
    let moves = |count| MoveCount { count, bound: 0 };
    CourseOutcome {
        // 42.8 + 151.4, 30 and 58.4 + 203.6 s, and 60 s for each of 4 changes of place and 2 moves of the lift.
        outcome: SolverOutcome { value: 486.2 + 360.0, ..outcome() },
        moves: CourseMoves { place: moves(4), lift: moves(2), tools: moves(16) },
        least_moves: 6,
    }
}

fn duties() -> Vec<DutyLine> {
    let bolt = |key: &str| {
        vec![
            duty(key, Act::Free, None, "S1", (Some(13.5), 3.4, None, Some(135.0))),
            duty(key, Act::RunOut, None, "S1", (Some(2.25), 38.7, None, Some(22.5))),
            duty(key, Act::RunIn, None, "S1", (Some(2.25), 36.3, None, Some(22.5))),
            duty(key, Act::Tighten, Some(0), "S3", (Some(9.0), 4.9, Some(9.0), Some(60.0))),
        ]
    };
    let by_hand =
        |key: &str| [Act::Free, Act::RunIn].map(|act| duty(key, act, None, "S2", (None, 3.6, None, None)));
    [bolt("right-bolt"), by_hand("left-clip").into(), bolt("sensor-bolt"), by_hand("sensor-plug").into()]
        .concat()
}

/// The changes of a step, by key and word.
pub fn told(step: Step, changes: &[(&str, &str)]) -> Step {
    let change = |(setting, value): &(&str, &str)| SettingChange {
        setting: (*setting).into(),
        value: (*value).into(),
    };
    Step { sets: changes.iter().map(change).collect(), ..step }
}

fn strip() -> StepSequence {
    let one: &[&str] = &["1"];
    let battery = Step { condition: Some("battery".into()), ..step(1, StepKind::Open, None, (5.0, 8.0)) };
    let free =
        with(step(3, StepKind::Undo, Some("right"), (11.0, 3.4)), "right-bolt", &[(0, one, "S1", None)]);
    let sensor = step(9, StepKind::Undo, Some("sensor"), (8.0, 42.1));
    sequence(vec![
        Step { station: "cab".into(), ..battery },
        told(step(2, StepKind::Set, None, (10.0, 40.0)), &[("beam", "carrying")]),
        told(free, &[("crank", "any")]),
        with(step(4, StepKind::Undo, Some("right"), (0.0, 38.7)), "right-bolt", &[(1, one, "S1", None)]),
        step(5, StepKind::Remove, Some("right"), (0.0, 6.0)),
        with(step(6, StepKind::Undo, Some("left"), (5.8, 3.6)), "left-clip", &[(4, one, "S2", None)]),
        step(7, StepKind::Remove, Some("left"), (0.0, 4.0)),
        with(step(8, StepKind::Undo, Some("sensor"), (3.0, 3.6)), "sensor-plug", &[(10, one, "S2", None)]),
        with(sensor, "sensor-bolt", &[(6, one, "S1", None), (7, one, "S1", None)]),
        step(10, StepKind::Remove, Some("sensor"), (0.0, 2.0)),
    ])
}

fn refit() -> StepSequence {
    let one: &[&str] = &["1"];
    let tight = |step, fixing, duty| with(step, fixing, &[(duty, one, "S3", Some("9 N·m"))]);
    let turn = Step { task: Some("turn".into()), ..step(23, StepKind::Inspect, None, (20.0, 15.0)) };
    let down = told(step(24, StepKind::Set, None, (0.0, 20.0)), &[("lift", "ground")]);
    let restore = Step { condition: Some("battery".into()), ..step(25, StepKind::Restore, None, (5.0, 9.0)) };
    sequence(vec![
        step(12, StepKind::Refit, Some("right"), (3.0, 7.0)),
        with(step(13, StepKind::RunIn, Some("right"), (0.0, 36.3)), "right-bolt", &[(2, one, "S1", None)]),
        tight(step(14, StepKind::Tighten, Some("right"), (5.4, 4.9)), "right-bolt", 3),
        step(15, StepKind::Refit, Some("left"), (3.0, 5.0)),
        with(step(16, StepKind::RunIn, Some("left"), (2.8, 3.6)), "left-clip", &[(5, one, "S2", None)]),
        told(step(17, StepKind::Set, None, (0.0, 25.0)), &[("beam", "slack")]),
        step(18, StepKind::Refit, Some("sensor"), (3.0, 3.0)),
        with(step(19, StepKind::RunIn, Some("sensor"), (8.0, 36.3)), "sensor-bolt", &[(8, one, "S1", None)]),
        tight(step(20, StepKind::Tighten, Some("sensor"), (5.4, 4.9)), "sensor-bolt", 9),
        with(step(21, StepKind::RunIn, Some("sensor"), (2.8, 3.6)), "sensor-plug", &[(11, one, "S2", None)]),
        told(step(22, StepKind::Set, None, (0.0, 30.0)), &[("lift", "up"), ("latch", "open")]),
        Step { station: "below".into(), ..told(turn, &[("crank", "mark")]) },
        Step { station: "below".into(), ..down },
        Step { station: "cab".into(), ..restore },
    ])
}
