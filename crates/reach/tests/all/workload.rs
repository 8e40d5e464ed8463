//! A large invented book and store for speed: about 280 fixings with 1,500 fasteners, and about 400 pieces.

use crate::common::*;
use model::*;

const HEX_6: &[f64] = &[5.5, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0];
const HEX_10: &[f64] = &[8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 21.0, 22.0];
const HEX_12: &[f64] = &[10.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 21.0, 22.0, 24.0, 27.0];
const SPANNERS: &[f64] =
    &[7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 21.0, 22.0];
const TORX: &[f64] = &[10.0, 15.0, 20.0, 25.0, 27.0, 30.0, 40.0, 45.0, 50.0, 55.0, 60.0];
const SQUARES: [(PieceLink, &[f64], f64); 3] = [
    (PieceLink::Square6, HEX_6, 30.0),
    (PieceLink::Square10, HEX_10, 110.0),
    (PieceLink::Square12, HEX_12, 400.0),
];

fn strong(strength_n_m: f64, piece: Piece) -> Piece {
    Piece { strength: n_m(strength_n_m), ..piece }
}

fn bit_socket(key: &str, form: DriveForm, size: f64, link: PieceLink, length_mm: f64) -> Piece {
    let grip = grip(form, size, GripApproach::Axial, 12.0);
    Piece {
        grip: Some(grip),
        toward_hand: Some(link),
        ..blank(key, PieceKind::BitSocket, &[(length_mm - 20.0, size.min(12.0)), (20.0, 17.0)])
    }
}

fn sockets(list: &mut Vec<Piece>) {
    for (link, sizes, strength_n_m) in SQUARES {
        for size in sizes {
            for (word, length_mm) in [("short", 25.0), ("deep", 55.0)] {
                let key = format!("{word}-{size}-{link:?}");
                list.push(strong(strength_n_m, socket(&key, *size, link, length_mm, size * 1.35 + 3.0)));
            }
        }
    }
    for (link, length_mm, strength_n_m) in [
        (PieceLink::Square6, 37.0, 30.0),
        (PieceLink::Square10, 48.0, 90.0),
        (PieceLink::Square10, 100.0, 90.0),
    ] {
        for size in TORX {
            let key = format!("t{size}-{link:?}-{length_mm}");
            list.push(strong(strength_n_m, bit_socket(&key, DriveForm::Hexalobular, *size, link, length_mm)));
        }
        for size in [3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0] {
            let key = format!("hex{size}-{link:?}-{length_mm}");
            list.push(strong(strength_n_m, bit_socket(&key, DriveForm::HexSocket, size, link, length_mm)));
        }
    }
    for (link, sizes, strength_n_m) in &SQUARES[1..] {
        for size in *sizes {
            let mut piece = socket(&format!("twelve-{size}-{link:?}"), *size, *link, 30.0, size * 1.35 + 3.0);
            if let Some(grip) = &mut piece.grip {
                grip.index = deg(30.0);
                grip.fits.push(GripFit { form: DriveForm::BiHexagon, low: *size, high: *size });
            }
            list.push(strong(*strength_n_m, piece));
        }
    }
    for size in TORX {
        for length_mm in [25.0, 90.0] {
            let key = format!("t{size}-hex-{length_mm}");
            list.push(strong(
                20.0,
                bit_socket(&key, DriveForm::Hexalobular, *size, PieceLink::Hex6, length_mm),
            ));
        }
        list.push(bit_socket(
            &format!("t{size}-large"),
            DriveForm::Hexalobular,
            *size,
            PieceLink::Square12,
            60.0,
        ));
    }
    for size in [4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 14.0] {
        let mut piece = socket(&format!("e{size}"), size, PieceLink::Square10, 28.0, size * 1.3 + 4.0);
        piece.grip = Some(grip(DriveForm::ExternalHexalobular, size, GripApproach::Axial, 12.0));
        list.push(piece);
    }
}

fn spanners(list: &mut Vec<Piece>) {
    for size in SPANNERS {
        list.push(strong(size * 6.0, ring(&format!("ring-{size}"), *size, 0.8 * size, 9.0 * size + 30.0)));
        let mut open = ring(&format!("open-{size}"), *size, 0.4 * size, 8.0 * size + 30.0);
        if let Some(grip) = &mut open.grip {
            grip.head_width = mm(size * 2.1);
        }
        list.push(strong(size * 4.0, open));
        let mut geared = ring(&format!("geared-{size}"), *size, 0.85 * size, 9.0 * size + 30.0);
        if let Some(handle) = &mut geared.handle {
            handle.style = HandleStyle::Ratchet;
            handle.step = Some(deg(5.0));
        }
        list.push(strong(size * 5.0, geared));
        if *size > 9.0 {
            list.push(strong(
                60.0,
                crow_foot(&format!("crow-{size}"), *size, PieceLink::Square10, 1.2 * size + 8.0),
            ));
        }
    }
}

fn between_pieces(list: &mut Vec<Piece>) {
    let lengths: [(PieceLink, &[f64], f64, f64); 3] = [
        (PieceLink::Square6, &[50.0, 75.0, 100.0, 150.0, 250.0], 12.0, 30.0),
        (PieceLink::Square10, &[50.0, 75.0, 100.0, 150.0, 250.0, 400.0], 16.0, 110.0),
        (PieceLink::Square12, &[75.0, 125.0, 250.0, 375.0], 22.0, 400.0),
    ];
    for (link, lengths, diameter_mm, strength_n_m) in lengths {
        for length_mm in lengths {
            let key = format!("ext-{link:?}-{length_mm}");
            list.push(strong(strength_n_m, extension(&key, link, *length_mm, diameter_mm)));
        }
        for length_mm in [55.0, 105.0, 155.0] {
            list.push(strong(strength_n_m, tilting(&format!("tilt-{link:?}-{length_mm}"), link, length_mm)));
        }
        list.push(strong(strength_n_m * 0.7, joint(&format!("joint-{link:?}"), link, 40.0, 35.0)));
    }
    let (small, middle, large) = (PieceLink::Square6, PieceLink::Square10, PieceLink::Square12);
    for (link, length_mm) in [(small, 25.0), (small, 60.0), (middle, 40.0)] {
        let key = format!("holder-{link:?}-{length_mm}");
        list.push(strong(
            20.0,
            between(&key, PieceKind::BitHolder, (PieceLink::Hex6, link), length_mm, 12.0),
        ));
    }
    for length_mm in [50.0, 100.0, 150.0] {
        list.push(strong(15.0, extension(&format!("shank-{length_mm}"), PieceLink::Hex6, length_mm, 10.0)));
    }
    for (from, to) in [(small, middle), (middle, small), (middle, large), (large, middle)] {
        let key = format!("adapter-{from:?}-{to:?}");
        list.push(strong(30.0, between(&key, PieceKind::Adapter, (from, to), 28.0, 18.0)));
    }
}

fn handles(list: &mut Vec<Piece>) {
    for (link, arm_mm, strength_n_m) in [
        (PieceLink::Square6, 100.0, 60.0),
        (PieceLink::Square10, 160.0, 200.0),
        (PieceLink::Square12, 230.0, 500.0),
    ] {
        for (teeth, more_mm) in [(36, 0.0), (72, 0.0), (72, 120.0)] {
            let key = format!("ratchet-{link:?}-{teeth}-{more_mm}");
            list.push(strong(strength_n_m, ratchet(&key, link, teeth, arm_mm + more_mm)));
        }
        list.push(strong(strength_n_m, bar(&format!("bar-{link:?}"), link, 2.0 * arm_mm)));
        list.push(strong(20.0, spinner(&format!("spinner-{link:?}"), link)));
        list.push(strong(80.0, driver(&format!("driver-{link:?}"), link, 30.0, &[2.0, 4.0, 8.0])));
    }
    let (small, middle, large) = (PieceLink::Square6, PieceLink::Square10, PieceLink::Square12);
    list.push(strong(20.0, driver("driver-hex", PieceLink::Hex6, 12.0, &[1.0, 2.0, 4.0, 8.0])));
    list.push(strong(20.0, spinner("spinner-hex", PieceLink::Hex6)));
    list.push(strong(20.0, ratchet("ratchet-hex", PieceLink::Hex6, 72, 90.0)));
    let ranges = [
        (small, 1.0, 5.0, 150.0),
        (small, 5.0, 25.0, 230.0),
        (middle, 10.0, 60.0, 280.0),
        (middle, 20.0, 100.0, 350.0),
        (large, 40.0, 200.0, 450.0),
    ];
    for (link, low, high, arm_mm) in ranges {
        let key = format!("wrench-{low}-{high}");
        list.push(strong(high * 1.3, wrench(&key, link, (low, high), arm_mm)));
    }
}

/// About 400 pieces.
pub fn large_store() -> Store {
    let mut list = Vec::new();
    sockets(&mut list);
    spanners(&mut list);
    between_pieces(&mut list);
    handles(&mut list);
    for at in 0..10 {
        let sizes = (8.0 + 3.0 * f64::from(at), 30.0 + 3.0 * f64::from(at));
        list.push(pliers(&format!("pliers-{at}"), DriveForm::SpringClamp, sizes));
        list.push(pliers(&format!("lifter-{at}"), DriveForm::PushClip, (4.0, 6.0 + f64::from(at))));
    }
    for size in 3..=22 {
        let mut piece = spinner(&format!("key-{size}"), PieceLink::Square6);
        piece.toward_fastener = None;
        piece.grip = Some(grip(DriveForm::HexSocket, f64::from(size) * 0.5, GripApproach::Axial, 10.0));
        list.push(strong(15.0, piece));
    }
    for (form, sizes) in [(DriveForm::Hexagon, HEX_6), (DriveForm::Hexalobular, TORX)] {
        for size in sizes {
            for length_mm in [0.0, 60.0] {
                let mut piece = spinner(&format!("driver-{form:?}-{size}-{length_mm}"), PieceLink::Square6);
                piece.toward_fastener = None;
                piece
                    .outline
                    .insert(0, OutlineSection { length: mm(20.0 + length_mm), diameter: mm(size.min(16.0)) });
                piece.grip = Some(grip(form, *size, GripApproach::Axial, 10.0));
                list.push(strong(15.0, piece));
            }
        }
    }
    store(list)
}

fn drive(dice: &mut Dice) -> (Drive, f64) {
    let torx = [(20.0, 3.0), (25.0, 5.0), (30.0, 9.0), (40.0, 20.0), (50.0, 45.0)];
    let hexagon =
        [(8.0, 6.0), (10.0, 9.0), (10.0, 10.0), (12.0, 22.0), (13.0, 25.0), (16.0, 50.0), (18.0, 80.0)];
    match dice.below(10) {
        0..=1 => {
            let (size, torque_n_m) = dice.pick(&torx);
            (Drive::new(DriveForm::Hexalobular, size), torque_n_m)
        }
        2 => (Drive::new(DriveForm::HexSocket, dice.pick(&[5.0, 6.0, 8.0])), 12.0),
        3 => (Drive::new(DriveForm::SpringClamp, dice.pick(&[20.0, 32.0])), 0.0),
        4 if dice.chance(50) => (Drive::new(DriveForm::PushClip, 8.0), 0.0),
        4 => (Drive::new(DriveForm::Latch, 0.0), 0.0),
        _ => {
            let (size, torque_n_m) = dice.pick(&hexagon);
            (Drive::new(DriveForm::Hexagon, size), torque_n_m)
        }
    }
}

/// Mostly open or shallow, some deep, narrow, bent or side-only.
fn space(dice: &mut Dice, width_mm: f64) -> Access {
    let jitter = |dice: &mut Dice| dice.below(40) as f64 * 0.5;
    let mut access = match dice.below(10) {
        0..=2 => open_access(),
        3..=6 => bore(15.0 + jitter(dice), width_mm + 8.0 + jitter(dice)),
        7..=8 => bore(60.0 + 4.0 * jitter(dice), width_mm + 6.0 + jitter(dice)),
        _ => {
            let bends = vec![AccessBend { at: mm(45.0 + jitter(dice)), angle: deg(15.0 + jitter(dice)) }];
            Access { bends, ..bore(80.0 + jitter(dice), width_mm + 10.0 + jitter(dice)) }
        }
    };
    access.headroom =
        access.corridor_depth() + mm(dice.pick(&[45.0, 90.0, 160.0, 300.0, 500.0]) + jitter(dice));
    if dice.chance(60) {
        access.swings = vec![
            Swing { radius: mm(130.0), arc: deg(20.0 + 3.0 * jitter(dice)) },
            Swing { radius: mm(300.0), arc: deg(8.0 + 2.0 * jitter(dice)) },
        ];
    }
    if dice.chance(30) {
        access.side = Some(SideRoom {
            radial: mm(8.0 + jitter(dice)),
            height: mm(6.0 + jitter(dice)),
            reach: mm(30.0 + jitter(dice)),
            headroom: mm(10.0 * jitter(dice)),
            swings: access.swings.clone(),
        });
    }
    if dice.chance(15) {
        access.drop_over = vec![OpeningId::new(0)];
    }
    access
}

/// A book of so many fixings of about 5.4 fasteners each.
pub fn large_book(seed: u64, fixings: usize) -> Book {
    let mut dice = Dice::new(seed);
    let list = (0..fixings).map(|_| {
        let (drive, torque_n_m) = drive(&mut dice);
        let mut access = space(&mut dice, drive.size().min(25.0) + 8.0);
        let holes = 1 + dice.below(10);
        access.holes = (0..holes as u16).collect();
        if dice.chance(4) && drive.is_turned() {
            let other = Box::new(space(&mut dice, 22.0));
            let held = Drive::new(DriveForm::Hexagon, 13.0);
            access.counter_hold = Some(CounterHold { drive: held, grip_height: mm(7.0), access: other });
        }
        let mut fixing = bolt(access);
        fixing.drive = drive;
        fixing.holes = (0..holes)
            .map(|at| Hole { label: at.to_string(), x: mm(20.0 * at as f64), y: mm(0.0) })
            .collect();
        let stages = [0.5, 1.0].map(|part| stage(StageTarget::Torque(n_m(torque_n_m * part))));
        fixing.tightening.stages = if dice.chance(50) { stages.to_vec() } else { stages[1..].to_vec() };
        fixing
    });
    book(list.collect())
}
