//! Tool sense: stacks that obey the figures and that nobody would build.

use crate::common::*;
use crate::known::{QUARTER, ask, fails, near, pair, with, works};
use model::PieceLink::{Hex6, Square6, Square10, Square12};
use model::*;

fn adapter(key: &str, links: (PieceLink, PieceLink)) -> Piece {
    between(key, PieceKind::Adapter, links, 25.0, 16.0)
}

/// A bore so deep that a socket of 25 mm with a ratchet needs something between.
fn deep_bolt() -> Fixing {
    bolt(bore(45.0, 40.0))
}

/// Room beside the head for flat tools and for a crow-foot's square.
fn roomy_beside() -> Access {
    let side = SideRoom {
        radial: mm(20.0),
        height: mm(12.0),
        reach: mm(60.0),
        headroom: mm(200.0),
        swings: Vec::new(),
    };
    Access { side: Some(side), ..open_access() }
}

#[track_caller]
fn keys(list: &[Piece], stack: &WorkingStack) -> Vec<String> {
    stack.stack.pieces.iter().map(|id| list[id.index()].key.clone()).collect()
}

#[test]
fn an_adapter_up_and_one_down_are_no_extension() {
    let there_and_back = |first, second| {
        let list = with(with(pair(), adapter("one", first)), adapter("other", second));
        fails(deep_bolt(), list, Act::Free, MissKind::TooShort);
    };
    there_and_back((Square6, Square10), (Square10, Square6));
    // An extension between them makes it no better.
    let mut list = with(pair(), adapter("up", (Square6, Square10)));
    list = with(with(list, adapter("down", (Square10, Square6))), extension("long", Square10, 50.0, 16.0));
    fails(deep_bolt(), list.clone(), Act::Free, MissKind::TooShort);
    // One drive of the right size does.
    works(deep_bolt(), with(list, extension("plain", Square6, 50.0, 12.0)), Act::Free);
}

#[test]
fn two_adapters_that_go_the_same_way_are_allowed() {
    let list = vec![
        socket("socket", 10.0, Square6, 25.0, 17.0),
        adapter("one", (Square6, Square10)),
        adapter("two", (Square10, Square12)),
        ratchet("half-inch", Square12, 72, 110.0),
    ];
    works(deep_bolt(), list, Act::Free);
    let mut far = vec![
        socket("socket", 10.0, Square10, 25.0, 17.0),
        adapter("down", (Square10, Square6)),
        adapter("up", (Square6, Square12)),
        ratchet("half-inch", Square12, 72, 110.0),
    ];
    assert!(ask(deep_bolt(), far.clone(), Act::Free).workings.is_empty());
    far[0] = socket("socket", 10.0, Square6, 25.0, 17.0);
    works(deep_bolt(), far, Act::Free);
}

#[test]
fn the_shank_of_a_bit_does_not_count_as_a_link_that_was_left() {
    let mut bit = socket("bit", 10.0, Hex6, 25.0, 12.0);
    bit.kind = PieceKind::Bit;
    let list = vec![
        bit,
        adapter("holder", (Hex6, Square10)),
        adapter("down", (Square10, Square6)),
        ratchet("ratchet", Square6, 72, 110.0),
    ];
    works(deep_bolt(), list.clone(), Act::Free);
    // Back to the shank is back to what was left.
    let mut back = list;
    back[2] = adapter("to-shank", (Square10, Hex6));
    back[3] = ratchet("shank-ratchet", Hex6, 72, 110.0);
    fails(deep_bolt(), back, Act::Free, MissKind::TooShort);
}

#[test]
fn a_union_is_worked_by_open_tools_only() {
    let union = || Fixing { kind: FastenerKind::Union, ..bolt(roomy_beside()) };
    let list = with(with(pair(), ring("ring", 10.0, 9.0, 120.0)), open_spanner("open", 10.0, 6.0, 120.0));
    for act in [Act::Free, Act::RunOut, Act::RunIn] {
        let found = works(union(), list.clone(), act);
        assert!(found.workings.iter().all(|w| keys(&list, w) == ["open"]), "{:?}", found.workings);
        fails(union(), list[..3].to_vec(), act, MissKind::NoGrip);
    }
    // A bolt in the same place takes them all.
    assert_eq!(works(bolt(roomy_beside()), list, Act::Free).workings.len(), 3);
}

#[test]
fn what_is_wanted_for_a_union_has_a_gap() {
    let union = Fixing { kind: FastenerKind::Union, ..bolt(roomy_beside()) };
    let miss = fails(union, pair(), Act::Free, MissKind::NoGrip);
    assert!(miss.wanted.kind.has_gap(), "{}", miss.words);
    assert!(miss.words.starts_with("nothing open at hand fits"), "{}", miss.words);
}

#[test]
fn a_crow_foot_frees_and_tightens_and_is_never_spun() {
    let list = vec![
        crow_foot("foot", 10.0, QUARTER, 25.0),
        ratchet("ratchet", QUARTER, 72, 110.0),
        wrench("wrench", QUARTER, (2.0, 25.0), 220.0),
    ];
    works(bolt(roomy_beside()), list.clone(), Act::Free);
    works(bolt(roomy_beside()), list.clone(), Act::Tighten);
    for act in [Act::RunOut, Act::RunIn] {
        assert!(ask(bolt(roomy_beside()), list.clone(), act).workings.is_empty());
    }
}

#[test]
fn a_driver_neither_frees_what_may_break_nor_runs_in_what_is_critical() {
    let list = vec![pair()[0].clone(), driver("driver", QUARTER, 60.0, &[2.0])];
    works(bolt(open_access()), list.clone(), Act::Free);
    works(bolt(open_access()), list.clone(), Act::RunIn);
    let risky = Fixing { history: vec![(HistoryCause::Corrosion, 1.4)], ..bolt(open_access()) };
    assert!(ask(risky.clone(), list.clone(), Act::Free).workings.is_empty());
    works(risky, list.clone(), Act::RunOut);
    let critical = Fixing { critical: true, ..bolt(open_access()) };
    works(critical.clone(), list.clone(), Act::Free);
    assert!(ask(critical, list, Act::RunIn).workings.is_empty());
}

#[test]
fn a_plain_stack_that_fits_comes_before_one_that_wobbles() {
    let list = vec![
        socket("socket", 10.0, Square6, 25.0, 17.0),
        tilting("tilting", Square6, 50.0),
        extension("extension", Square6, 50.0, 12.0),
        ratchet("ratchet", Square6, 72, 110.0),
        adapter("adapter", (Square6, Square10)),
        ratchet("large", Square10, 72, 110.0),
    ];
    let found = works(deep_bolt(), list.clone(), Act::Free).workings;
    assert_eq!(keys(&list, &found[0]), ["socket", "extension", "ratchet"]);
    let time = |has: &str| {
        let with = found.iter().find(|w| keys(&list, w).iter().any(|k| k == has));
        with.expect("it works with this piece too").time.as_s()
    };
    near(time("tilting") - found[0].time.as_s(), times::STEADY_S, 1e-9);
    near(time("adapter") - found[0].time.as_s(), times::STEADY_S, 1e-9);
    // Seconds are counted for each fastener.
    let mut two = deep_bolt();
    two.holes.push(Hole { label: "2".into(), x: mm(30.0), y: mm(0.0) });
    two.accesses[0].holes.push(1);
    let alone = [0, 1, 3].map(|at: usize| list[at].clone()).to_vec();
    let alone = works(two, alone, Act::Free).workings;
    near(alone[0].time.as_s(), 2.0 * time("tilting"), 1e-9);
}
