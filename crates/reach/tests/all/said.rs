//! Times by the table of the rules, stacks in words, and what a gap says.

use crate::common::*;
use crate::known::{QUARTER, fails, near, pair, with, works};
use model::*;
use reach::describe_stack;

#[test]
fn times_are_those_of_the_table() {
    let ratchet_time = |act| works(bolt(open_access()), pair(), act).workings[0].time.as_s();
    // Stroke 120°, 13 turns: 39 strokes out, 11.5 turns by tool in: 35 strokes.
    near(ratchet_time(Act::Free), 2.5 + 0.9, 1e-9);
    near(ratchet_time(Act::RunOut), 2.5 + 39.0 * 0.9 + 3.8, 1e-9);
    near(ratchet_time(Act::RunIn), 7.5 + 35.0 * 0.9, 1e-9);
    let felt = Access { sight: Sight::FeltOnly, holes: vec![0, 1, 2], ..open_access() };
    near(works(bolt(felt), pair(), Act::Free).workings[0].time.as_s(), 3.0 * (1.6 * 2.5 + 0.9), 1e-9);
    let bent = Access { bends: vec![AccessBend { at: mm(39.0), angle: deg(20.0) }], ..open_access() };
    let list = with(pair(), joint("joint", QUARTER, 40.0, 30.0));
    // One second to steady the joint.
    let bent_s = works(bolt(bent), list, Act::RunOut).workings[0].time.as_s();
    near(bent_s, 2.5 + 1.25 * 39.0 * 0.9 + 3.8 + 1.0, 1e-9);
    let bars = vec![pair().remove(0), bar("bar", QUARTER, 300.0)];
    near(
        works(bolt(open_access()), bars, Act::RunOut).workings[0].time.as_s(),
        2.5 + 39.0 * 0.9 + 38.0 * 1.8 + 3.8,
        1e-9,
    );
    let power = vec![pair().remove(0), driver("driver", QUARTER, 30.0, &[])];
    let turning_s = 13.0 / (400.0 * 0.7 / 60.0);
    near(
        works(bolt(open_access()), power, Act::RunOut).workings[0].time.as_s(),
        2.5 + 0.6 + turning_s + 3.8,
        1e-9,
    );
    let wrenches = vec![pair().remove(0), wrench("wrench", QUARTER, (2.0, 25.0), 200.0)];
    near(works(bolt(open_access()), wrenches, Act::Tighten).workings[0].time.as_s(), 2.5 + 0.9 + 1.5, 1e-9);
}

#[test]
fn stacks_in_words() {
    let mut socket = socket("e10", 10.0, QUARTER, 50.0, 15.0);
    socket.grip.as_mut().unwrap().fits[0].form = DriveForm::ExternalHexalobular;
    let list = vec![
        socket,
        extension("ext", QUARTER, 150.0, 12.0),
        joint("joint", QUARTER, 40.0, 30.0),
        ratchet("ratchet", QUARTER, 72, 110.0),
    ];
    let stack = Stack {
        pieces: (0..4).map(PieceId::new).collect(),
        bends: vec![BendTaken { piece: 2, angle: deg(20.0) }],
        hold: Vec::new(),
    };
    let said = describe_stack(&store(list), &stack);
    assert_eq!(said, "E10 deep 1/4 in, 150 mm extension, joint at 20°, ratchet");
    assert_eq!(describe_stack(&store(Vec::new()), &Stack::default()), "bare hand");
}

#[test]
fn a_headroom_gap_says_what_would_do() {
    // −6 + 25 + 75 + 28 + 20 = 142 mm. A ratchet 30 mm thick has to stay outside the bore: 41 − 19 = 22 mm at least.
    let access = Access { headroom: mm(124.0), ..bore(41.0, 22.0) };
    let list = with(pair(), extension("ext", QUARTER, 75.0, 12.0));
    let miss = fails(bolt(access), list, Act::Free, MissKind::Headroom);
    near(miss.short_by, 18.0, 1e-9);
    assert_eq!(
        miss.words,
        "18 mm too little headroom with the 75 mm extension; needed: extension 1/4 in, 22 to 57 mm long, \
         at most 21 mm across, rated for at least 15 N·m"
    );
    assert_eq!(miss.wanted.how, ObtainKind::Buy);
}

#[test]
fn a_torque_gap_says_what_range_would_do() {
    let list = vec![pair().remove(0), wrench("wrench", QUARTER, (20.0, 100.0), 200.0)];
    let miss = fails(bolt(open_access()), list, Act::Tighten, MissKind::TorqueRange);
    assert!(
        miss.words.starts_with("none of your torque wrenches covers 10 N·m with what fits here"),
        "{}",
        miss.words
    );
    assert!(miss.wanted.words.contains("(2 to 10 N·m)"), "{}", miss.wanted.words);
    assert_eq!(miss.wanted.how, ObtainKind::Borrow);
}

#[test]
fn what_is_too_thin_to_buy_is_made() {
    // A bore of 14 mm leaves 13 mm for a socket whose head alone is 11.5 mm across corners.
    let miss = fails(bolt(bore(15.0, 14.0)), pair(), Act::Free, MissKind::Clearance);
    assert_eq!((miss.wanted.kind, miss.wanted.how), (PieceKind::Socket, ObtainKind::Make), "{}", miss.words);
    assert_eq!(miss.wanted.max_diameter_mm, Some(13.0));
}
