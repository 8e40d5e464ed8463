//! Every kind of event as it is stored: what was written once is read back for ever.

use model::{FastenerState, TaskKind};
use record::{
    Event, EventBody, EventOrder, EventPlace, ExpectedWait, FastenerKey, MarkedHole, MeasuredReading,
    OwnerWord, PieceDestination, PutInKind, StepMark, VisitHappeningKind, read_event,
};

use crate::common::{device, digest, id, visit_id};

/// One event a line; a line is never changed, only added.
const STORED: &str = include_str!("../data/events.jsonl");

fn at() -> EventPlace {
    EventPlace {
        part: Some("cover".into()),
        fixing: Some("cover-bolts".into()),
        hole: Some("7".into()),
        opening: Some("ports".into()),
        task: Some("inspect-ports".into()),
        step: Some(4),
    }
}

fn marks() -> Vec<EventBody> {
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
        let holes = vec![MarkedHole { hole: "7".into(), from: FastenerState::InPlace }];
        bodies.push(EventBody::Marked { fixing: "cover-bolts".into(), holes, to, slot: None, stage: None });
    }
    let holes = vec![MarkedHole { hole: "L1".into(), from: FastenerState::Off }];
    let (to, slot) = (FastenerState::FingerTight, Some("A-B03".into()));
    bodies.push(EventBody::Marked { fixing: "cover-bolts".into(), holes, to, slot, stage: Some(1) });
    let holes = ["1", "2"].into_iter().map(String::from).collect();
    bodies.push(EventBody::Renewed { fixing: "cover-bolts".into(), holes });
    let fastener = FastenerKey { fixing: "cover-bolts".into(), hole: "7".into() };
    bodies.push(EventBody::Settled { fastener, to: FastenerState::Tight });
    bodies
}

fn places() -> Vec<EventBody> {
    let tasks = [TaskKind::Renew, TaskKind::Inspect, TaskKind::Measure, TaskKind::Reseal];
    let mut bodies = vec![
        EventBody::PartOff { part: "cover".into() },
        EventBody::PartOn { part: "cover".into() },
        EventBody::Established { condition: "engine-cold".into() },
        EventBody::Restored { condition: "engine-cold".into() },
        EventBody::Capped { opening: "ports".into(), count: 6 },
        EventBody::Uncapped { opening: "ports".into(), count: 5 },
        EventBody::Extra { step: "e1-soak".into(), to: StepMark::Done },
        EventBody::Extra { step: "e1-soak".into(), to: StepMark::Open },
    ];
    bodies.extend(tasks.map(|work| EventBody::Task {
        task: "inspect-ports".into(),
        work,
        to: StepMark::Done,
    }));
    bodies
}

fn things() -> Vec<EventBody> {
    let kinds = [
        PutInKind::Plug,
        PutInKind::Rag,
        PutInKind::Tape,
        PutInKind::TetheredTool,
        PutInKind::LockingPin,
        PutInKind::Other,
    ];
    let mut bodies: Vec<EventBody> =
        kinds.map(|what| EventBody::PutIn { what, words: "red".into(), count: 2, at: at() }).into();
    bodies.push(EventBody::TakenOut { put_in: id("e1"), count: 1 });
    let places = [PieceDestination::Cart, PieceDestination::Lent("Ada".into()), PieceDestination::Place];
    bodies.extend(places.map(|to| EventBody::Piece { piece: "socket-10".into(), count: 1, to }));
    bodies.push(EventBody::WaitBegan {
        waiting: ExpectedWait { what: "sealant".into(), seconds: Some(600) },
        at: EventPlace::default(),
    });
    bodies.push(EventBody::WaitBegan {
        waiting: ExpectedWait { what: "post".into(), seconds: None },
        at: EventPlace::default(),
    });
    bodies.push(EventBody::WaitOver { wait: id("e1") });
    bodies.push(EventBody::Counted { what: "M6 × 25".into(), expected: 12, counted: 11 });
    bodies
}

fn happenings() -> Vec<EventBody> {
    let kinds = [
        VisitHappeningKind::Seized,
        VisitHappeningKind::Rounded,
        VisitHappeningKind::Broken,
        VisitHappeningKind::ThreadCameOut,
        VisitHappeningKind::Extra,
        VisitHappeningKind::WrongPart,
        VisitHappeningKind::PartMissing,
        VisitHappeningKind::Lost,
        VisitHappeningKind::FoundLikeThis,
    ];
    let mut bodies: Vec<EventBody> =
        kinds.map(|what| EventBody::Happened { what, at: at(), words: "corroded".into() }).into();
    bodies.push(EventBody::DealtWith { happening: id("e1"), how: "heat".into() });
    bodies.push(EventBody::GivenUp { happening: id("e1"), searched: "tray".into(), name: "Kim".into() });
    bodies.push(EventBody::Found {
        words: "belt cracked".into(),
        price_from_cents: Some(9_000),
        price_to_cents: None,
        if_left: "it may tear".into(),
        at: at(),
    });
    let words = [OwnerWord::Yes, OwnerWord::No, OwnerWord::Call];
    bodies.extend(words.map(|word| EventBody::Answered { finding: id("e1"), word, by: "by phone".into() }));
    bodies
}

fn rest() -> Vec<EventBody> {
    let reading = MeasuredReading {
        what: "lift".into(),
        value: 8.25,
        unit: "mm".into(),
        low: Some(8.0),
        high: None,
        method: "gauge".into(),
    };
    vec![
        EventBody::Opened {
            vehicle: "A".into(),
            name: "the green one".into(),
            odometer: Some("241 300 km".into()),
            book: digest('a'),
            store: digest('b'),
            plan: digest('c'),
        },
        EventBody::Planned { plan: digest('d'), why: "seized".into() },
        EventBody::Read { reading, at: at() },
        EventBody::Pictured { picture: digest('e'), original: digest('f'), at: at() },
        EventBody::Noted { words: "clip behind the hose".into(), at: at() },
        EventBody::Paused { words: "the phone".into(), at: at() },
        EventBody::Resumed,
        EventBody::LookedAgain { event: id("e1"), method: "paint stripe seen".into() },
        EventBody::Overridden { line: "off/cover-bolts/7".into(), reason: "seen".into(), name: "Kim".into() },
        EventBody::Closed { name: "Kim".into() },
        EventBody::Undone { event: id("e1") },
    ]
}

fn samples() -> Vec<Event> {
    let bodies = [marks(), places(), things(), happenings(), rest()].concat();
    let event = |(at, body)| {
        let sequence = at as u64 + 1;
        let order = EventOrder { round: sequence, device: device("tablet"), sequence };
        let id = id(&format!("e{sequence}"));
        Event { id, visit: visit_id(), order, at_ms: 1_700_000_000_000, body }
    };
    bodies.into_iter().enumerate().map(event).collect()
}

/// The kinds of bodies; a new one does not compile before it stands here.
fn kind(body: &EventBody) -> usize {
    match body {
        EventBody::Opened { .. } => 0,
        EventBody::Planned { .. } => 1,
        EventBody::Marked { .. } => 2,
        EventBody::Renewed { .. } => 3,
        EventBody::PartOff { .. } => 4,
        EventBody::PartOn { .. } => 5,
        EventBody::Established { .. } => 6,
        EventBody::Restored { .. } => 7,
        EventBody::Capped { .. } => 8,
        EventBody::Uncapped { .. } => 9,
        EventBody::Task { .. } => 10,
        EventBody::Extra { .. } => 11,
        EventBody::PutIn { .. } => 12,
        EventBody::TakenOut { .. } => 13,
        EventBody::Piece { .. } => 14,
        EventBody::Happened { .. } => 15,
        EventBody::DealtWith { .. } => 16,
        EventBody::GivenUp { .. } => 17,
        EventBody::WaitBegan { .. } => 18,
        EventBody::WaitOver { .. } => 19,
        EventBody::Read { .. } => 20,
        EventBody::Pictured { .. } => 21,
        EventBody::Noted { .. } => 22,
        EventBody::Found { .. } => 23,
        EventBody::Answered { .. } => 24,
        EventBody::Paused { .. } => 25,
        EventBody::Resumed => 26,
        EventBody::LookedAgain { .. } => 27,
        EventBody::Counted { .. } => 28,
        EventBody::Settled { .. } => 29,
        EventBody::Overridden { .. } => 30,
        EventBody::Closed { .. } => 31,
        EventBody::Undone { .. } => 32,
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
    let body: EventBody = serde_json::from_str(old).unwrap();
    assert!(matches!(body, EventBody::Marked { slot: None, stage: None, .. }));
}
