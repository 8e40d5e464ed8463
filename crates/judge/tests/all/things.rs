//! An invented book of two parts and a store of three pieces, small enough to plan by hand.

use bolting::Thread;
use model::{
    Access, Book, Condition, ConditionId, ConditionKind, CorridorSegment, DimensionsSource, Drive, DriveForm,
    FastenerKind, FigureOrigins, Fixing, Grip, GripApproach, GripFit, Handle, HandleStyle, HeadDimensions,
    Hole, Lubrication, Need, Opening, OpeningId, OutlineSection, Part, PartId, PatternRule, Piece, PieceKind,
    PieceLink, Retention, Sight, Stage, StageTarget, Station, StationId, Store, StorePlace, TappedIn, Task,
    TaskKind, Tightening, TorqueMeasure, Tray,
};
use units::{Angle, Duration, Force, Length, Mass, Range, Torque};

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

fn n_m(n_m: f64) -> Torque {
    Torque::from_n_m(n_m)
}

fn s(s: f64) -> Duration {
    Duration::from_s(s)
}

pub fn book() -> Book {
    Book {
        key: "bench".into(),
        title: "invented bench".into(),
        origin: "invented".into(),
        currency: "EUR".into(),
        is_invented: true,
        origins: FigureOrigins::default(),
        stations: vec![station("front", 10.0), station("below", 20.0)],
        conditions: vec![battery()],
        openings: vec![Opening {
            key: "port".into(),
            title: "port".into(),
            cap: Some("plug".into()),
            count: 1,
        }],
        parts: vec![
            part("cover", (6.0, 7.0), vec![Need::Condition(ConditionId::new(0))], vec![OpeningId::new(0)]),
            part("unit", (4.0, 5.0), vec![Need::Off(PartId::new(0))], Vec::new()),
        ],
        fixings: vec![bolts(), plug()],
        tasks: vec![task()],
        special_tools: Vec::new(),
        measures: Vec::new(),
        rules: Vec::new(),
        goals: Vec::new(),
        settings: Vec::new(),
    }
}

pub fn station(key: &str, enter_s: f64) -> Station {
    let hand_force = Force::from_n(400.0);
    Station {
        key: key.into(),
        title: key.into(),
        enter: s(enter_s).into(),
        hand_force,
        cautions: Vec::new(),
        needs: Vec::new(),
    }
}

pub fn battery() -> Condition {
    Condition {
        key: "battery".into(),
        title: "battery off".into(),
        establish: "Disconnect the battery.".into(),
        restore: Some("Connect the battery.".into()),
        kind: ConditionKind::Isolated,
        establish_time: s(8.0),
        restore_time: s(9.0),
        hold_up: Duration::ZERO,
        needs: Vec::new(),
        station: StationId::new(0),
        restore_station: None,
        supplies: Vec::new(),
        cautions: Vec::new(),
        safety: true,
        making: model::ActWorld::default(),
        undoing: model::ActWorld::default(),
    }
}

pub fn part(key: &str, (lift_s, place_s): (f64, f64), needs: Vec<Need>, uncovers: Vec<OpeningId>) -> Part {
    Part {
        key: key.into(),
        title: key.into(),
        kind: None,
        mass: Mass::from_kg(1.0).into(),
        helper: false,
        station: StationId::new(0),
        needs,
        ways: Vec::new(),
        uncovers,
        lift_time: s(lift_s).into(),
        place_time: s(place_s).into(),
        renew_with: Vec::new(),
        refit_waits: Vec::new(),
        special_tools: Vec::new(),
        brittle: false,
        cautions: Vec::new(),
        refit_cautions: Vec::new(),
        tip: None,
        refit_tip: None,
        origins: FigureOrigins::default(),
        world: model::PartWorld::default(),
    }
}

pub fn task() -> Task {
    Task {
        key: "look".into(),
        title: "look behind the unit".into(),
        kind: TaskKind::Inspect,
        needs: vec![Need::Off(PartId::new(1))],
        work: s(30.0).into(),
        station: StationId::new(0),
        supplies: Vec::new(),
        special_tools: Vec::new(),
        leaving: None,
        every: Vec::new(),
        cautions: Vec::new(),
        note: None,
        world: model::ActWorld::default(),
    }
}

fn access(holes: Vec<u16>) -> Access {
    Access {
        holes,
        way: None,
        station: None,
        corridor: vec![
            CorridorSegment { length: Some(mm(10.0)), clear: mm(50.0) },
            CorridorSegment { length: None, clear: mm(60.0) },
        ],
        bends: Vec::new(),
        headroom: mm(500.0),
        swings: Vec::new(),
        side: None,
        sight: Sight::Seen,
        drop_over: Vec::new(),
        counter_hold: None,
    }
}

/// Two M6 bolts, 12 turns deep, 9 N·m.
pub fn bolts() -> Fixing {
    let stage = Stage { target: StageTarget::Torque(n_m(9.0)), as_written: "9 N·m".into() };
    let hole = |label: &str, x_mm| Hole { label: label.into(), x: mm(x_mm), y: mm(0.0) };
    Fixing {
        key: "bolts".into(),
        title: "cover bolts".into(),
        part: PartId::new(0),
        kind: FastenerKind::Bolt,
        thread: Thread::metric(6.0, 1.0).ok().map(Into::into),
        is_left_hand: false,
        length: Some(mm(20.0)),
        class: None,
        drive: Drive::new(DriveForm::Hexagon, 10.0),
        head: HeadDimensions { grip_height: mm(6.0), diameter: mm(13.0), protrusion: mm(0.0) },
        holes: vec![hole("1", 0.0), hole("2", 80.0)],
        are_places_known: true,
        engagement: mm(12.0).into(),
        clamped: None,
        tapped_depth: None,
        tapped_in: TappedIn::CastAluminium,
        tightening: tightening(vec![stage]),
        joint: None,
        lubrication: Lubrication::Dry,
        one_time: false,
        price: None,
        captive: false,
        slackened: false,
        critical: false,
        history: Vec::new(),
        keep: None,
        accesses: vec![access(vec![0, 1])],
        origins: FigureOrigins::default(),
        figures: None,
        reckoned_torque: None,
        world: model::FixingWorld::default(),
    }
}

fn tightening(stages: Vec<Stage>) -> Tightening {
    Tightening {
        stages,
        pattern: PatternRule::Auto,
        end_torque: None,
        tolerance_fraction: 0.04,
        closing_pass: false,
        source: "invented".into(),
    }
}

/// One connector, unlatched by hand.
pub fn plug() -> Fixing {
    Fixing {
        key: "plug".into(),
        title: "connector".into(),
        part: PartId::new(1),
        kind: FastenerKind::Connector,
        thread: None,
        drive: Drive::new(DriveForm::Latch, 0.0),
        holes: vec![Hole { label: "1".into(), x: mm(0.0), y: mm(0.0) }],
        are_places_known: true,
        engagement: mm(0.0).into(),
        tightening: tightening(Vec::new()),
        accesses: vec![access(vec![0])],
        ..bolts()
    }
}

pub fn store() -> Store {
    let wrench = TorqueMeasure {
        range: Range::new(n_m(2.0), n_m(25.0)).expect("2 is below 25"),
        tolerance_fraction: 0.04,
        scale_step: None,
        arm: mm(150.0),
    };
    let socket =
        Piece { grip: Some(grip()), toward_hand: Some(PieceLink::Square6), ..piece("socket", 25.0, 17.0) };
    let ratchet = Piece {
        toward_fastener: Some(PieceLink::Square6),
        handle: Some(handle(100.0)),
        ..piece("ratchet", 28.0, 30.0)
    };
    let wrench = Piece {
        toward_fastener: Some(PieceLink::Square6),
        handle: Some(handle(150.0)),
        measure: Some(wrench),
        ..piece("wrench", 28.0, 30.0)
    };
    Store {
        title: "invented store".into(),
        pieces: vec![socket, ratchet, wrench],
        cart_places: None,
        trays: vec![tray()],
    }
}

fn tray() -> Tray {
    let (width, depth, height) = (mm(50.0), mm(60.0), mm(30.0));
    Tray { key: "T1".into(), rows: 2, columns: 3, width, depth, height }
}

fn grip() -> Grip {
    Grip {
        fits: vec![GripFit { form: DriveForm::Hexagon, low: 10.0, high: 10.0 }],
        approach: GripApproach::Axial,
        depth: mm(12.0),
        head_width: mm(0.0),
        offset: mm(0.0),
        index: Angle::from_deg(60.0),
        retention: Retention::None,
        is_open: false,
    }
}

fn handle(arm_mm: f64) -> Handle {
    Handle {
        style: HandleStyle::Ratchet,
        radius: mm(arm_mm + 20.0),
        arm: mm(arm_mm),
        step: Some(Angle::from_deg(5.0)),
        hand_room: mm(20.0),
    }
}

fn piece(key: &str, length_mm: f64, diameter_mm: f64) -> Piece {
    Piece {
        key: key.into(),
        title: key.into(),
        kind: PieceKind::Socket,
        grip: None,
        toward_fastener: None,
        toward_hand: None,
        outline: vec![OutlineSection { length: mm(length_mm), diameter: mm(diameter_mm) }],
        bend: None,
        handle: None,
        strength: n_m(60.0),
        measure: None,
        power: None,
        answers: Vec::new(),
        place: StorePlace { cabinet: "A".into(), drawer: "1".into() },
        count: 1,
        lent: 0,
        in_calibration: 0,
        price: None,
        dimensions: DimensionsSource::Stated,
    }
}
