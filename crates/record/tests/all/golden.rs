//! Every kind of event as it is stored: what was written once is read back for ever.

use model::{FastenerState, TaskKind};
use record::{
    Event, EventOrder, EventPlace, ExpectedWait, FastenerKey, HeadsOutcome, MarkedHole, MeasuredPlace,
    MeasuredReading, OwnerWord, PersonId, PictureSides, PieceDestination, PutInKind, SeenPoint, StepMark,
    StreamKind, StreamRef, ToldSubject, ToldWhat, VisitBody, VisitHappeningKind, read_event,
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

fn marks() -> Vec<VisitBody> {
    let mut bodies = Vec::new();
    for &to in FastenerState::ALL {
        let holes = vec![MarkedHole { hole: "7".into(), from: FastenerState::InPlace }];
        bodies.push(VisitBody::Marked { fixing: "cover-bolts".into(), holes, to, slot: None, stage: None });
    }
    let holes = vec![MarkedHole { hole: "L1".into(), from: FastenerState::Off }];
    let (to, slot) = (FastenerState::FingerTight, Some("A-B03".into()));
    bodies.push(VisitBody::Marked { fixing: "cover-bolts".into(), holes, to, slot, stage: Some(1) });
    let holes = ["1", "2"].into_iter().map(String::from).collect();
    bodies.push(VisitBody::Renewed { fixing: "cover-bolts".into(), holes });
    let fastener = FastenerKey { fixing: "cover-bolts".into(), hole: "7".into() };
    bodies.push(VisitBody::Settled { fastener, to: FastenerState::Tight });
    bodies
}

fn places() -> Vec<VisitBody> {
    let tasks = [TaskKind::Renew, TaskKind::Inspect, TaskKind::Measure, TaskKind::Reseal];
    let mut bodies = vec![
        VisitBody::PartOff { part: "cover".into() },
        VisitBody::PartOn { part: "cover".into() },
        VisitBody::Established { condition: "engine-cold".into() },
        VisitBody::Restored { condition: "engine-cold".into() },
        VisitBody::Capped { opening: "ports".into(), count: 6 },
        VisitBody::Uncapped { opening: "ports".into(), count: 5 },
        VisitBody::Extra { step: "e1-soak".into(), to: StepMark::Done },
        VisitBody::Extra { step: "e1-soak".into(), to: StepMark::Open },
    ];
    bodies.extend(tasks.map(|work| VisitBody::Task {
        task: "inspect-ports".into(),
        work,
        to: StepMark::Done,
    }));
    bodies
}

fn things() -> Vec<VisitBody> {
    let kinds = [
        PutInKind::Plug,
        PutInKind::Rag,
        PutInKind::Tape,
        PutInKind::TetheredTool,
        PutInKind::LockingPin,
        PutInKind::Other,
    ];
    let mut bodies: Vec<VisitBody> =
        kinds.map(|what| VisitBody::PutIn { what, words: "red".into(), count: 2, at: at() }).into();
    bodies.push(VisitBody::TakenOut { put_in: id("e1"), count: 1 });
    let places = [PieceDestination::Cart, PieceDestination::Lent("Ada".into()), PieceDestination::Place];
    bodies.extend(places.map(|to| VisitBody::Piece { piece: "socket-10".into(), count: 1, to }));
    bodies.push(VisitBody::WaitBegan {
        waiting: ExpectedWait { what: "sealant".into(), seconds: Some(600) },
        at: EventPlace::default(),
    });
    bodies.push(VisitBody::WaitBegan {
        waiting: ExpectedWait { what: "post".into(), seconds: None },
        at: EventPlace::default(),
    });
    bodies.push(VisitBody::WaitOver { wait: id("e1") });
    bodies.push(VisitBody::Counted { what: "M6 × 25".into(), expected: 12, counted: 11 });
    bodies
}

fn happenings() -> Vec<VisitBody> {
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
    let mut bodies: Vec<VisitBody> =
        kinds.map(|what| VisitBody::Happened { what, at: at(), words: "corroded".into() }).into();
    bodies.push(VisitBody::DealtWith { happening: id("e1"), how: "heat".into() });
    bodies.push(VisitBody::GivenUp { happening: id("e1"), searched: "tray".into(), name: "Kim".into() });
    bodies.push(VisitBody::Found {
        words: "belt cracked".into(),
        price_from_cents: Some(9_000),
        price_to_cents: None,
        if_left: "it may tear".into(),
        task: Some("renew-belt".into()),
        at: at(),
    });
    let words = [OwnerWord::Yes, OwnerWord::No, OwnerWord::Call];
    bodies.push(VisitBody::FindingDone { finding: id("e1"), how: "new belt".into() });
    bodies.push(VisitBody::RiskTold {
        words: "a stud breaks".into(),
        chance_percent: 20,
        price_from_cents: 4_000,
        price_to_cents: 12_000,
    });
    bodies.extend(words.map(|word| VisitBody::Answered { finding: id("e1"), word, by: "by phone".into() }));
    bodies
}

fn rest() -> Vec<VisitBody> {
    let reading = MeasuredReading {
        low: Some(8.0),
        method: "gauge".into(),
        measure: Some("cam-lift".into()),
        place: "cylinder 2".into(),
        gauge_error: Some(0.02),
        grade: Some("fine scores".into()),
        is_once_more: true,
        ..MeasuredReading::plain("lift", 8.25, "mm")
    };
    vec![
        VisitBody::Opened {
            vehicle: StreamRef::new(StreamKind::Vehicle, "vehicle-1"),
            letter: "A".into(),
            name: "the green one".into(),
            odometer: Some("241 300 km".into()),
        },
        VisitBody::Opened { vehicle: None, letter: "A".into(), name: String::new(), odometer: None },
        VisitBody::BasedOn {
            book: Some(digest('a')),
            store: Some(digest('b')),
            figures_missing: Default::default(),
        },
        VisitBody::BasedOn { book: None, store: None, figures_missing: Default::default() },
        VisitBody::Planned { plan: digest('d'), why: "seized".into(), again: Default::default() },
        VisitBody::Read { reading: Box::new(reading), at: at() },
        VisitBody::Pictured { picture: digest('e'), original: digest('f'), at: at() },
        VisitBody::Noted { words: "clip behind the hose".into(), at: at() },
        VisitBody::Paused { words: "the phone".into(), at: at() },
        VisitBody::Resumed,
        VisitBody::LookedAgain { event: id("e1"), method: "paint stripe seen".into() },
        VisitBody::Overridden { line: "off/cover-bolts/7".into(), reason: "seen".into(), name: "Kim".into() },
        VisitBody::Closed { name: "Kim".into() },
        VisitBody::Undone { event: id("e1") },
        VisitBody::FigureGiven {
            fixing: "crank-bolt".into(),
            figure: "45 N·m".into(),
            source: "p. 2-14 step 3".into(),
            name: "Kim".into(),
        },
        VisitBody::FigureWaived { fixing: "crank-bolt".into(), reason: "seen".into(), name: "Kim".into() },
        VisitBody::BasedOn {
            book: Some(digest('a')),
            store: None,
            figures_missing: ["crank-bolt".into(), "sump-screws".into()].into(),
        },
        VisitBody::WentOn { open: vec!["The room is not known".into()], name: "Kim".into() },
        VisitBody::SettingChanged { setting: "lift".into(), value: "chest".into() },
        VisitBody::Gathered { what: "torque wrench 4 to 20 N·m".into(), is_at_hand: true },
    ]
}

fn seen() -> Vec<VisitBody> {
    vec![
        VisitBody::PartSeen { part: "seen-1".into(), title: "part 1".into(), part_kind: None },
        VisitBody::PartSeen { part: "seen-2".into(), title: "hose".into(), part_kind: Some("hose".into()) },
        VisitBody::FixingSeen {
            fixing: "seen-3".into(),
            part: "seen-2".into(),
            drive: Some("hexagon 10 mm".into()),
            count: 2,
            first: 1,
            heads: vec![SeenPoint { across: 120, down: 1_000, is_fine: false }],
            length: Some("B".into()),
        },
        VisitBody::RouteSeen {
            part: "seen-2".into(),
            path: vec![SeenPoint { across: 0, down: 5, is_fine: false }],
            clips: 3,
            under: "the intake".into(),
        },
        VisitBody::Told {
            of: ToldSubject::Part("seen-1".into()),
            what: ToldWhat::Title,
            value: "valve cover".into(),
            source: String::new(),
        },
        VisitBody::Told {
            of: ToldSubject::Fixing("seen-3".into()),
            what: ToldWhat::Drive,
            value: "T30".into(),
            source: "seen with a mirror".into(),
        },
        VisitBody::FixingSeen {
            fixing: "seen-4".into(),
            part: "seen-2".into(),
            drive: None,
            count: 1,
            first: 3,
            heads: vec![SeenPoint { across: 480, down: 250, is_fine: true }],
            length: None,
        },
        VisitBody::HeadsMeasured {
            fixing: "seen-3".into(),
            picture: digest('e'),
            sides: PictureSides { width_px: 1_600, height_px: 1_200 },
            height: "4 to 8 mm".into(),
            outcome: HeadsOutcome::Measured {
                places: vec![MeasuredPlace { x_um: -12_500, y_um: 80_250, error_um: 900 }],
                residual_um: 140,
            },
        },
        VisitBody::HeadsMeasured {
            fixing: "seen-3".into(),
            picture: digest('e'),
            sides: PictureSides { width_px: 1_200, height_px: 1_600 },
            height: String::new(),
            outcome: HeadsOutcome::NotMeasured { why: "no card in the picture".into() },
        },
        VisitBody::Told {
            of: ToldSubject::Fixing("seen-3".into()),
            what: ToldWhat::HeadHeight,
            value: "4 to 8 mm".into(),
            source: String::new(),
        },
    ]
}

fn samples() -> Vec<Event> {
    let bodies = [marks(), places(), things(), happenings(), rest(), seen()].concat();
    let event = |(at, body)| {
        let count = at as u64 + 1;
        let order = EventOrder { round: count, device: device("tablet"), count };
        let person = PersonId::new("person-1").filter(|_| at % 2 == 0);
        let id = id(&format!("e{count}"));
        Event { stream: visit_id().into(), id, order, person, at_ms: 1_700_000_000_000, body }
    };
    bodies.into_iter().enumerate().map(event).collect()
}

/// The kinds of bodies; a new one does not compile before it is here.
fn kind(body: &VisitBody) -> usize {
    match body {
        VisitBody::Opened { .. } => 0,
        VisitBody::Planned { .. } => 1,
        VisitBody::Marked { .. } => 2,
        VisitBody::Renewed { .. } => 3,
        VisitBody::PartOff { .. } => 4,
        VisitBody::PartOn { .. } => 5,
        VisitBody::Established { .. } => 6,
        VisitBody::Restored { .. } => 7,
        VisitBody::Capped { .. } => 8,
        VisitBody::Uncapped { .. } => 9,
        VisitBody::Task { .. } => 10,
        VisitBody::Extra { .. } => 11,
        VisitBody::PutIn { .. } => 12,
        VisitBody::TakenOut { .. } => 13,
        VisitBody::Piece { .. } => 14,
        VisitBody::Happened { .. } => 15,
        VisitBody::DealtWith { .. } => 16,
        VisitBody::GivenUp { .. } => 17,
        VisitBody::WaitBegan { .. } => 18,
        VisitBody::WaitOver { .. } => 19,
        VisitBody::Read { .. } => 20,
        VisitBody::Pictured { .. } => 21,
        VisitBody::Noted { .. } => 22,
        VisitBody::Found { .. } => 23,
        VisitBody::Answered { .. } => 24,
        VisitBody::Paused { .. } => 25,
        VisitBody::Resumed => 26,
        VisitBody::LookedAgain { .. } => 27,
        VisitBody::Counted { .. } => 28,
        VisitBody::Settled { .. } => 29,
        VisitBody::Overridden { .. } => 30,
        VisitBody::Closed { .. } => 31,
        VisitBody::Undone { .. } => 32,
        VisitBody::BasedOn { .. } => 33,
        VisitBody::FigureGiven { .. } => 34,
        VisitBody::FigureWaived { .. } => 35,
        VisitBody::WentOn { .. } => 36,
        VisitBody::SettingChanged { .. } => 37,
        VisitBody::Gathered { .. } => 38,
        VisitBody::PartSeen { .. } => 39,
        VisitBody::FixingSeen { .. } => 40,
        VisitBody::RouteSeen { .. } => 41,
        VisitBody::Told { .. } => 42,
        VisitBody::FindingDone { .. } => 43,
        VisitBody::RiskTold { .. } => 44,
        VisitBody::HeadsMeasured { .. } => 45,
    }
}

#[test]
fn what_was_stored_is_read_back_and_written_the_same() {
    let stored: Vec<&str> = STORED.lines().collect();
    for (event, line) in samples().iter().zip(&stored) {
        assert_eq!(serde_json::to_string(event).unwrap(), *line);
        assert_eq!(read_event(&visit_id().into(), line).as_ref(), Ok(event));
    }
    assert_eq!(stored.len(), samples().len());
}

#[test]
fn every_kind_of_event_is_stored() {
    let kinds: std::collections::BTreeSet<usize> = samples().iter().map(|e| kind(&e.body)).collect();
    assert_eq!(kinds.len(), 46);
}

#[test]
fn an_older_line_without_later_fields_is_read() {
    let old = r#"{"kind":"marked","fixing":"f","holes":[{"hole":"1","from":"off"}],"to":"tight"}"#;
    let body: VisitBody = serde_json::from_str(old).unwrap();
    assert!(matches!(body, VisitBody::Marked { slot: None, stage: None, .. }));
}
