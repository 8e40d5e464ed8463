//! Random small stores and spaces whose figures often meet the rules' edges exactly.

use crate::common::*;
use model::*;
use units::Force;

const LINKS: [PieceLink; 2] = [PieceLink::Square6, PieceLink::Square10];

fn random_piece(dice: &mut Dice, key: &str) -> Piece {
    let link = if dice.chance(6) { PieceLink::Square12 } else { dice.pick(&LINKS) };
    let other = if dice.chance(20) { PieceLink::Square12 } else { dice.pick(&LINKS) };
    let length_mm = dice.pick(&[20.0, 25.0, 40.0, 50.0, 75.0, 100.0]);
    let size = dice.pick(&[10.0, 10.0, 13.0]);
    let mut piece = match dice.below(15) {
        0..=2 => socket(key, size, link, dice.pick(&[25.0, 50.0]), dice.pick(&[14.0, 17.0, 21.0])),
        3..=5 => extension(key, link, length_mm, dice.pick(&[9.0, 12.0, 16.0])),
        6 => joint(key, link, dice.pick(&[30.0, 40.0]), dice.pick(&[30.0, 45.0])),
        7 => tilting(key, link, length_mm),
        8 => between(key, PieceKind::Adapter, (link, other), 25.0, 16.0),
        9 => ratchet(key, link, dice.pick(&[24, 36, 72]), dice.pick(&[110.0, 180.0])),
        10 => bar(key, link, 300.0),
        11 => spinner(key, link),
        12 => wrench(key, link, dice.pick(&[(2.0, 25.0), (10.0, 50.0)]), 220.0),
        13 => driver(key, link, dice.pick(&[4.0, 30.0]), if dice.chance(50) { &[2.0, 5.0] } else { &[] }),
        _ if dice.chance(30) => open_spanner(key, size, 6.0, 120.0),
        _ if dice.chance(50) => ring(key, size, dice.pick(&[6.0, 9.0]), 120.0),
        _ => crow_foot(key, size, link, dice.pick(&[18.0, 25.0])),
    };
    piece.count = dice.pick(&[1, 1, 1, 2]);
    piece.lent = u16::from(dice.chance(8));
    piece.strength = n_m(dice.pick(&[12.0, 25.0, 60.0, 200.0]));
    if let Some(grip) = &mut piece.grip
        && dice.chance(40)
    {
        grip.retention = Retention::Magnet;
    }
    if let (Some(grip), true) = (&mut piece.grip, dice.chance(8)) {
        // A wobble socket.
        let bend = PieceBend { max_angle: deg(20.0), at: mm(15.0), may_stay_straight: true };
        piece.bend = (grip.approach == GripApproach::Axial).then_some(bend);
    }
    piece
}

/// A store of so many pieces, with enough of each sort to make chains likely.
pub fn random_store(dice: &mut Dice, pieces: usize) -> Store {
    let mut list = vec![
        socket("base-socket", 10.0, PieceLink::Square6, 25.0, 14.0),
        ratchet("base-ratchet", PieceLink::Square6, 72, 110.0),
        extension("base-extension", PieceLink::Square6, 50.0, 12.0),
    ];
    list.extend((3..pieces).map(|at| random_piece(dice, &format!("piece-{at}"))));
    store(list)
}

fn random_swings(dice: &mut Dice) -> Vec<Swing> {
    let mut swings = Vec::new();
    if dice.chance(50) {
        swings.push(Swing { radius: mm(130.0), arc: deg(dice.pick(&[7.0, 17.0, 32.0, 90.0])) });
        if dice.chance(60) {
            swings.push(Swing { radius: mm(400.0), arc: deg(dice.pick(&[7.0, 12.0, 40.0])) });
        }
    }
    swings
}

fn random_space(dice: &mut Dice) -> Access {
    let mut corridor = Vec::new();
    let mut depth_mm = 0.0;
    for _ in 0..dice.below(3) {
        let length_mm = dice.pick(&[19.0, 30.0, 44.0, 69.0]);
        depth_mm += length_mm;
        corridor.push(CorridorSegment {
            length: Some(mm(length_mm)),
            clear: mm(dice.pick(&[15.0, 18.0, 22.0, 40.0])),
        });
    }
    corridor.push(CorridorSegment { length: None, clear: mm(dice.pick(&[50.0, 200.0])) });
    let mut bends = Vec::new();
    if dice.chance(25) {
        let at = mm(dice.pick(&[20.0, 40.0, 60.0, 90.0]));
        bends.push(AccessBend { at, angle: deg(dice.pick(&[0.0, 10.0, 20.0, 30.0])) });
        if dice.chance(30) {
            bends.push(AccessBend { at: at + mm(50.0), angle: deg(15.0) });
        }
    }
    let side = dice.chance(50).then(|| SideRoom {
        radial: mm(dice.pick(&[7.5, 10.0, 14.0])),
        height: mm(dice.pick(&[6.0, 8.0, 12.0])),
        reach: mm(dice.pick(&[25.0, 40.0, 60.0])),
        headroom: mm(dice.pick(&[0.0, 60.0, 130.0])),
        swings: random_swings(dice),
    });
    Access {
        corridor,
        bends,
        headroom: mm(depth_mm + dice.pick(&[30.0, 60.0, 120.0, 250.0])),
        swings: random_swings(dice),
        side,
        sight: dice.pick(&[Sight::Seen, Sight::FeltOnly]),
        drop_over: if dice.chance(30) { vec![OpeningId::new(dice.below(2))] } else { Vec::new() },
        ..open_access()
    }
}

fn random_fixing(dice: &mut Dice) -> Fixing {
    let mut access = random_space(dice);
    if dice.chance(35) {
        let drive = Drive::new(DriveForm::Hexagon, dice.pick(&[10.0, 13.0]));
        access.counter_hold =
            Some(CounterHold { drive, grip_height: mm(6.0), access: Box::new(random_space(dice)) });
    }
    let mut fixing = bolt(access);
    fixing.drive = match dice.below(10) {
        0 => Drive::new(DriveForm::Latch, 0.0),
        1 => Drive::new(DriveForm::Hexagon, 13.0),
        _ => Drive::new(DriveForm::Hexagon, 10.0),
    };
    fixing.head.protrusion = mm(dice.pick(&[0.0, 0.0, 12.0]));
    fixing.captive = dice.chance(20);
    fixing.critical = dice.chance(20);
    if dice.chance(20) {
        fixing.history.push((HistoryCause::Corrosion, 1.4));
    }
    if dice.chance(8) {
        fixing.kind = FastenerKind::Union;
    }
    let torque = StageTarget::Torque(n_m(dice.pick(&[4.0, 10.0, 24.0])));
    fixing.tightening.stages =
        vec![stage(torque), stage(dice.pick(&[StageTarget::Seat, StageTarget::Angle(deg(90.0))]))];
    fixing.tightening.tolerance_fraction = dice.pick(&[0.04, 0.1]);
    fixing
}

/// A book of so many random fixings.
pub fn random_book(dice: &mut Dice, fixings: usize) -> Book {
    let mut book = book((0..fixings).map(|_| random_fixing(dice)).collect());
    book.stations[0].hand_force = Force::from_n(dice.pick(&[80.0, 150.0, 400.0]));
    book
}
