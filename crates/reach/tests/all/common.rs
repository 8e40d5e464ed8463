//! Pieces, spaces and books for the tests, all invented: builders with usual dimensions, and a seeded random source.

use bolting::Thread;
use model::*;
use units::{Angle, Duration, Force, Length, Mass, Range, Torque};

pub fn mm(value_mm: f64) -> Length {
    Length::from_mm(value_mm)
}
pub fn deg(value_deg: f64) -> Angle {
    Angle::from_deg(value_deg)
}
pub fn n_m(value_n_m: f64) -> Torque {
    Torque::from_n_m(value_n_m)
}

/// A piece that offers nothing yet.
pub fn blank(key: &str, kind: PieceKind, outline: &[(f64, f64)]) -> Piece {
    Piece {
        key: key.into(),
        title: key.into(),
        kind,
        grip: None,
        toward_fastener: None,
        toward_hand: None,
        outline: outline.iter().map(|(l, d)| OutlineSection { length: mm(*l), diameter: mm(*d) }).collect(),
        bend: None,
        handle: None,
        strength: n_m(200.0),
        measure: None,
        power: None,
        answers: Vec::new(),
        place: StorePlace { cabinet: "red".into(), drawer: "1".into() },
        count: 1,
        lent: 0,
        in_calibration: 0,
        price: None,
        dimensions: DimensionsSource::Stated,
    }
}

pub fn grip(form: DriveForm, size: f64, approach: GripApproach, depth_mm: f64) -> Grip {
    Grip {
        fits: vec![GripFit { form, low: size, high: size }],
        approach,
        depth: mm(depth_mm),
        head_width: mm(0.0),
        offset: mm(0.0),
        index: deg(60.0),
        retention: Retention::None,
        is_open: false,
    }
}

/// A hexagon socket.
pub fn socket(key: &str, size: f64, link: PieceLink, length_mm: f64, diameter_mm: f64) -> Piece {
    Piece {
        grip: Some(grip(DriveForm::Hexagon, size, GripApproach::Axial, length_mm * 0.6)),
        toward_hand: Some(link),
        ..blank(key, PieceKind::Socket, &[(length_mm, diameter_mm)])
    }
}

pub fn between(
    key: &str,
    kind: PieceKind,
    links: (PieceLink, PieceLink),
    length_mm: f64,
    diameter_mm: f64,
) -> Piece {
    Piece {
        toward_fastener: Some(links.0),
        toward_hand: Some(links.1),
        ..blank(key, kind, &[(length_mm, diameter_mm)])
    }
}

pub fn extension(key: &str, link: PieceLink, length_mm: f64, diameter_mm: f64) -> Piece {
    between(key, PieceKind::Extension, (link, link), length_mm, diameter_mm)
}

/// A universal joint with its centre in the middle.
pub fn joint(key: &str, link: PieceLink, length_mm: f64, max_deg: f64) -> Piece {
    let bend = PieceBend { max_angle: deg(max_deg), at: mm(length_mm / 2.0), may_stay_straight: false };
    Piece { bend: Some(bend), ..between(key, PieceKind::Joint, (link, link), length_mm, 15.0) }
}

pub fn tilting(key: &str, link: PieceLink, length_mm: f64) -> Piece {
    let bend = PieceBend { max_angle: deg(15.0), at: mm(4.0), may_stay_straight: true };
    Piece { bend: Some(bend), ..between(key, PieceKind::TiltingExtension, (link, link), length_mm, 12.0) }
}

pub fn handle(style: HandleStyle, arm_mm: f64) -> Handle {
    Handle { style, radius: mm(arm_mm + 10.0), arm: mm(arm_mm), step: None, hand_room: mm(20.0) }
}

/// A ratchet whose head is 28 mm high.
pub fn ratchet(key: &str, link: PieceLink, teeth: u32, arm_mm: f64) -> Piece {
    let step = Some(deg(360.0 / f64::from(teeth)));
    Piece {
        toward_fastener: Some(link),
        handle: Some(Handle { step, ..handle(HandleStyle::Ratchet, arm_mm) }),
        ..blank(key, PieceKind::Ratchet, &[(28.0, 30.0)])
    }
}

pub fn bar(key: &str, link: PieceLink, arm_mm: f64) -> Piece {
    Piece {
        toward_fastener: Some(link),
        handle: Some(handle(HandleStyle::Bar, arm_mm)),
        ..blank(key, PieceKind::BreakerBar, &[(24.0, 22.0)])
    }
}

pub fn spinner(key: &str, link: PieceLink) -> Piece {
    Piece {
        toward_fastener: Some(link),
        handle: Some(Handle { radius: mm(15.0), ..handle(HandleStyle::InLine, 14.0) }),
        ..blank(key, PieceKind::SpinnerHandle, &[(60.0, 10.0), (90.0, 28.0)])
    }
}

pub fn wrench(key: &str, link: PieceLink, range: (f64, f64), arm_mm: f64) -> Piece {
    let measure = TorqueMeasure {
        range: Range::new(n_m(range.0), n_m(range.1)).expect("tests give the lower end first"),
        tolerance_fraction: 0.04,
        scale_step: None,
        arm: mm(arm_mm),
    };
    Piece { kind: PieceKind::TorqueWrench, measure: Some(measure), ..ratchet(key, link, 72, arm_mm) }
}

pub fn driver(key: &str, link: PieceLink, max_n_m: f64, clutch: &[f64]) -> Piece {
    let power =
        PowerSource { speed_rpm: 400.0, max: n_m(max_n_m), clutch: clutch.iter().map(|t| n_m(*t)).collect() };
    Piece {
        toward_fastener: Some(link),
        handle: Some(Handle { arm: mm(120.0), ..handle(HandleStyle::Power, 120.0) }),
        power: Some(power),
        ..blank(key, PieceKind::PowerDriver, &[(30.0, 40.0), (150.0, 60.0)])
    }
}

/// A ring spanner, flat on the head.
pub fn ring(key: &str, size: f64, thickness_mm: f64, arm_mm: f64) -> Piece {
    let grip = Grip {
        head_width: mm(size * 1.5),
        index: deg(30.0),
        ..grip(DriveForm::Hexagon, size, GripApproach::Side, thickness_mm)
    };
    Piece {
        grip: Some(grip),
        handle: Some(handle(HandleStyle::Bar, arm_mm)),
        ..blank(key, PieceKind::RingSpanner, &[(thickness_mm, size * 1.5)])
    }
}

/// An open spanner, flat on the head.
pub fn open_spanner(key: &str, size: f64, thickness_mm: f64, arm_mm: f64) -> Piece {
    let mut piece = ring(key, size, thickness_mm, arm_mm);
    piece.kind = PieceKind::OpenSpanner;
    if let Some(grip) = &mut piece.grip {
        (grip.head_width, grip.is_open) = (mm(size * 2.0), true);
    }
    piece
}

pub fn crow_foot(key: &str, size: f64, link: PieceLink, offset_mm: f64) -> Piece {
    let grip = Grip {
        head_width: mm(size * 2.0),
        is_open: true,
        offset: mm(offset_mm),
        index: deg(30.0),
        ..grip(DriveForm::Hexagon, size, GripApproach::Side, 8.0)
    };
    Piece {
        grip: Some(grip),
        toward_hand: Some(link),
        ..blank(key, PieceKind::CrowFoot, &[(8.0, size * 2.0)])
    }
}

pub fn pliers(key: &str, form: DriveForm, sizes: (f64, f64)) -> Piece {
    let mut grip = grip(form, 0.0, GripApproach::Axial, 10.0);
    grip.fits = vec![GripFit { form, low: sizes.0, high: sizes.1 }];
    grip.retention = Retention::Jaws;
    Piece {
        grip: Some(grip),
        handle: Some(handle(HandleStyle::Squeeze, 150.0)),
        ..blank(key, PieceKind::Pliers, &[(60.0, 20.0), (120.0, 40.0)])
    }
}

pub fn store(pieces: Vec<Piece>) -> Store {
    Store { title: "invented".into(), pieces, cart_places: None, trays: Vec::new() }
}

/// An open space: no depth, much headroom, free swing.
pub fn open_access() -> Access {
    Access {
        holes: vec![0],
        way: None,
        station: None,
        corridor: vec![CorridorSegment { length: None, clear: mm(200.0) }],
        bends: Vec::new(),
        headroom: mm(800.0),
        swings: Vec::new(),
        side: None,
        sight: Sight::Seen,
        drop_over: Vec::new(),
        counter_hold: None,
    }
}

/// A straight bore.
pub fn bore(depth_mm: f64, clear_mm: f64) -> Access {
    Access {
        corridor: vec![
            CorridorSegment { length: Some(mm(depth_mm)), clear: mm(clear_mm) },
            CorridorSegment { length: None, clear: mm(200.0) },
        ],
        ..open_access()
    }
}

pub fn stage(target: StageTarget) -> Stage {
    Stage { target, as_written: "invented".into() }
}

/// An M6 bolt with a 10 mm hexagon, 6 mm high, tightened to 10 N·m, 13 turns.
pub fn bolt(access: Access) -> Fixing {
    Fixing {
        key: "bolt".into(),
        title: "bolt".into(),
        part: PartId::new(0),
        kind: FastenerKind::Bolt,
        thread: Some(Thread::metric(6.0, 1.0).expect("a standard thread").into()),
        is_left_hand: false,
        length: Some(mm(25.0)),
        class: None,
        drive: Drive::new(DriveForm::Hexagon, 10.0),
        head: HeadDimensions { grip_height: mm(6.0), diameter: mm(13.0), protrusion: mm(0.0) },
        holes: vec![Hole { label: "1".into(), x: mm(0.0), y: mm(0.0) }],
        are_places_known: true,
        engagement: mm(13.0).into(),
        clamped: None,
        tapped_depth: None,
        tapped_in: TappedIn::CastAluminium,
        tightening: Tightening {
            stages: vec![stage(StageTarget::Torque(n_m(10.0)))],
            pattern: PatternRule::Auto,
            end_torque: None,
            tolerance_fraction: 0.04,
            closing_pass: false,
            source: "invented".into(),
        },
        joint: None,
        lubrication: Lubrication::Dry,
        one_time: false,
        price: None,
        captive: false,
        slackened: false,
        critical: false,
        history: Vec::new(),
        keep: None,
        accesses: vec![access],
        origins: FigureOrigins::default(),
        figures: None,
        reckoned_torque: None,
        world: FixingWorld::default(),
    }
}

/// A book of one part at a station with 400 N, and an opening without and one with a cap.
pub fn book(fixings: Vec<Fixing>) -> Book {
    let opening = |key: &str, cap: Option<&str>| Opening {
        key: key.into(),
        title: key.into(),
        cap: cap.map(Into::into),
        count: 1,
    };
    Book {
        key: "invented".into(),
        title: "invented".into(),
        origin: "invented".into(),
        currency: "EUR".into(),
        is_invented: true,
        origins: FigureOrigins::default(),
        stations: vec![Station {
            key: "front".into(),
            title: "over the front".into(),
            enter: Duration::from_s(30.0).into(),
            hand_force: Force::from_n(400.0),
            cautions: Vec::new(),
            needs: Vec::new(),
        }],
        conditions: Vec::new(),
        openings: vec![opening("port", None), opening("capped", Some("plug"))],
        parts: vec![Part {
            key: "cover".into(),
            title: "cover".into(),
            kind: None,
            mass: Mass::from_kg(1.0).into(),
            helper: false,
            station: StationId::new(0),
            needs: Vec::new(),
            ways: Vec::new(),
            uncovers: Vec::new(),
            lift_time: Duration::ZERO.into(),
            place_time: Duration::ZERO.into(),
            renew_with: Vec::new(),
            refit_waits: Vec::new(),
            special_tools: Vec::new(),
            brittle: false,
            cautions: Vec::new(),
            refit_cautions: Vec::new(),
            tip: None,
            refit_tip: None,
            origins: FigureOrigins::default(),
            world: PartWorld::default(),
        }],
        fixings,
        tasks: Vec::new(),
        special_tools: Vec::new(),
        measures: Vec::new(),
        rules: Vec::new(),
        goals: Vec::new(),
        settings: Vec::new(),
    }
}

pub fn duty(act: Act) -> Duty {
    let stage = (act == Act::Tighten).then_some(0);
    Duty { fixing: FixingId::new(0), access: 0, act, stage }
}

/// A small source of random numbers whose stream is fixed by its seed (Knuth's MMIX constants, from memory).
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5DEE_CE66)
    }
    pub fn below(&mut self, count: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % count.max(1)
    }
    pub fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }
    pub fn pick<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len())]
    }
}
