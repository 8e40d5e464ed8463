//! Every kind of event as it is stored: what was written once is read back for ever.

use journal::{
    At, Body, Event, FastenerKey, HappeningKind, Order, PieceTo, PutInKind, Reading, StepTo, Waiting, Was,
    Word, read_event,
};
use model::{FastenerState, TaskKind};

use crate::common::{device, digest, id, visit_id};

/// One event a line; a line is never changed, only added.
const STORED: &str = include_str!("../data/events.jsonl");

fn at() -> At {
    At {
        part: Some("cover".into()),
        fixing: Some("cover-bolts".into()),
        hole: Some("7".into()),
        opening: Some("ports".into()),
        task: Some("inspect-ports".into()),
        step: Some(4),
    }
}

fn marks() -> Vec<Body> {
    let mut bodies = Vec::new();
    let states = [
        FastenerState::InPlace,
        FastenerState::Freed,
        FastenerState::Off,
        FastenerState::FingerTight,
        FastenerState::Tight,
        FastenerState::Checked,
        FastenerState::Broken,
        FastenerState::Missing,
    ];
    for to in states {
        let holes = vec![Was { hole: "7".into(), from: FastenerState::InPlace }];
        bodies.push(Body::Marked { fixing: "cover-bolts".into(), holes, to, slot: None, stage: None });
    }
    let holes = vec![Was { hole: "L1".into(), from: FastenerState::Off }];
    let (to, slot) = (FastenerState::FingerTight, Some("A-B03".into()));
    bodies.push(Body::Marked { fixing: "cover-bolts".into(), holes, to, slot, stage: Some(1) });
    let holes = ["1", "2"].into_iter().map(String::from).collect();
    bodies.push(Body::Renewed { fixing: "cover-bolts".into(), holes });
    let fastener = FastenerKey { fixing: "cover-bolts".into(), hole: "7".into() };
    bodies.push(Body::Settled { fastener, to: FastenerState::Tight });
    bodies
}

fn places() -> Vec<Body> {
    let tasks = [TaskKind::Renew, TaskKind::Inspect, TaskKind::Measure, TaskKind::Reseal];
    let mut bodies = vec![
        Body::PartOff { part: "cover".into() },
        Body::PartOn { part: "cover".into() },
        Body::Established { condition: "engine-cold".into() },
        Body::Restored { condition: "engine-cold".into() },
        Body::Capped { opening: "ports".into(), count: 6 },
        Body::Uncapped { opening: "ports".into(), count: 5 },
        Body::Extra { step: "e1-soak".into(), to: StepTo::Done },
        Body::Extra { step: "e1-soak".into(), to: StepTo::Open },
    ];
    bodies.extend(tasks.map(|work| Body::Task { task: "inspect-ports".into(), work, to: StepTo::Done }));
    bodies
}

fn things() -> Vec<Body> {
    let kinds = [
        PutInKind::Plug,
        PutInKind::Rag,
        PutInKind::Tape,
        PutInKind::TetheredTool,
        PutInKind::LockingPin,
        PutInKind::Other,
    ];
    let mut bodies: Vec<Body> =
        kinds.map(|what| Body::PutIn { what, words: "red".into(), count: 2, at: at() }).into();
    bodies.push(Body::TakenOut { put_in: id("e1"), count: 1 });
    let places = [PieceTo::Cart, PieceTo::Lent("Ada".into()), PieceTo::Place];
    bodies.extend(places.map(|to| Body::Piece { piece: "socket-10".into(), count: 1, to }));
    bodies.push(Body::WaitBegan {
        waiting: Waiting { what: "sealant".into(), seconds: Some(600) },
        at: At::default(),
    });
    bodies
        .push(Body::WaitBegan { waiting: Waiting { what: "post".into(), seconds: None }, at: At::default() });
    bodies.push(Body::WaitOver { wait: id("e1") });
    bodies.push(Body::Counted { what: "M6 × 25".into(), expected: 12, counted: 11 });
    bodies
}

fn happenings() -> Vec<Body> {
    let kinds = [
        HappeningKind::Seized,
        HappeningKind::Rounded,
        HappeningKind::Broken,
        HappeningKind::ThreadCameOut,
        HappeningKind::Extra,
        HappeningKind::WrongPart,
        HappeningKind::PartMissing,
        HappeningKind::Lost,
        HappeningKind::FoundLikeThis,
    ];
    let mut bodies: Vec<Body> =
        kinds.map(|what| Body::Happened { what, at: at(), words: "corroded".into() }).into();
    bodies.push(Body::DealtWith { happening: id("e1"), how: "heat".into() });
    bodies.push(Body::GivenUp { happening: id("e1"), searched: "tray".into(), name: "Kim".into() });
    bodies.push(Body::Found {
        words: "belt cracked".into(),
        price_from_cents: Some(9_000),
        price_to_cents: None,
        if_left: "it may tear".into(),
        at: at(),
    });
    let words = [Word::Yes, Word::No, Word::Call];
    bodies.extend(words.map(|word| Body::Answered { finding: id("e1"), word, by: "by phone".into() }));
    bodies
}

fn rest() -> Vec<Body> {
    let reading = Reading {
        what: "lift".into(),
        value: 8.25,
        unit: "mm".into(),
        low: Some(8.0),
        high: None,
        method: "gauge".into(),
    };
    vec![
        Body::Opened {
            vehicle: "A".into(),
            name: "the green one".into(),
            odometer: Some("241 300 km".into()),
            book: digest('a'),
            store: digest('b'),
            plan: digest('c'),
        },
        Body::Planned { plan: digest('d'), why: "seized".into() },
        Body::Read { reading, at: at() },
        Body::Pictured { picture: digest('e'), original: digest('f'), at: at() },
        Body::Noted { words: "clip behind the hose".into(), at: at() },
        Body::Paused { words: "the phone".into(), at: at() },
        Body::Resumed,
        Body::LookedAgain { event: id("e1"), method: "paint stripe seen".into() },
        Body::Overridden { line: "off/cover-bolts/7".into(), reason: "seen".into(), name: "Kim".into() },
        Body::Closed { name: "Kim".into() },
        Body::Undone { event: id("e1") },
    ]
}

fn samples() -> Vec<Event> {
    let bodies = [marks(), places(), things(), happenings(), rest()].concat();
    let event = |(at, body)| {
        let sequence = at as u64 + 1;
        let order = Order { round: sequence, device: device("tablet"), sequence };
        let id = id(&format!("e{sequence}"));
        Event { id, visit: visit_id(), order, at_ms: 1_700_000_000_000, body }
    };
    bodies.into_iter().enumerate().map(event).collect()
}

/// The kinds of bodies; a new one does not compile before it stands here.
fn kind(body: &Body) -> usize {
    match body {
        Body::Opened { .. } => 0,
        Body::Planned { .. } => 1,
        Body::Marked { .. } => 2,
        Body::Renewed { .. } => 3,
        Body::PartOff { .. } => 4,
        Body::PartOn { .. } => 5,
        Body::Established { .. } => 6,
        Body::Restored { .. } => 7,
        Body::Capped { .. } => 8,
        Body::Uncapped { .. } => 9,
        Body::Task { .. } => 10,
        Body::Extra { .. } => 11,
        Body::PutIn { .. } => 12,
        Body::TakenOut { .. } => 13,
        Body::Piece { .. } => 14,
        Body::Happened { .. } => 15,
        Body::DealtWith { .. } => 16,
        Body::GivenUp { .. } => 17,
        Body::WaitBegan { .. } => 18,
        Body::WaitOver { .. } => 19,
        Body::Read { .. } => 20,
        Body::Pictured { .. } => 21,
        Body::Noted { .. } => 22,
        Body::Found { .. } => 23,
        Body::Answered { .. } => 24,
        Body::Paused { .. } => 25,
        Body::Resumed => 26,
        Body::LookedAgain { .. } => 27,
        Body::Counted { .. } => 28,
        Body::Settled { .. } => 29,
        Body::Overridden { .. } => 30,
        Body::Closed { .. } => 31,
        Body::Undone { .. } => 32,
    }
}

#[test]
fn what_was_stored_is_read_back_and_written_the_same() {
    let stored: Vec<&str> = STORED.lines().collect();
    for (event, line) in samples().iter().zip(&stored) {
        assert_eq!(serde_json::to_string(event).unwrap(), *line);
        assert_eq!(read_event(&visit_id(), line).as_ref(), Ok(event));
    }
    assert_eq!(stored.len(), samples().len());
}

#[test]
fn every_kind_of_event_is_stored() {
    let kinds: std::collections::BTreeSet<usize> = samples().iter().map(|e| kind(&e.body)).collect();
    assert_eq!(kinds.len(), 33);
}

#[test]
fn an_older_line_without_later_fields_is_read() {
    let old = r#"{"kind":"marked","fixing":"f","holes":[{"hole":"1","from":"off"}],"to":"tight"}"#;
    let body: Body = serde_json::from_str(old).unwrap();
    assert!(matches!(body, Body::Marked { slot: None, stage: None, .. }));
}
