//! Count checks: out against back by length class, caps in and out, tools out and back.

use record::ledger::{LedgerCountKind, LedgerCountRow};
use record::{EventPlace, PieceDestination, PutInKind, VisitBody, VisitCommand};

use crate::common::Bench;

fn rows(bench: &Bench, kind: LedgerCountKind) -> Vec<(String, u32, u32)> {
    let rows = bench.ledger().counts.into_iter().filter(|r| r.kind == kind);
    rows.map(|LedgerCountRow { of, out, back, .. }| (of, out, back)).collect()
}

#[test]
fn fasteners_are_counted_by_length_class() {
    let mut bench = Bench::begun();
    bench.strip();
    assert_eq!(
        rows(&bench, LedgerCountKind::Fasteners),
        [("M6 × 25".to_owned(), 12, 0), ("M8 × 40".to_owned(), 4, 0), ("push clip 7 mm".to_owned(), 2, 0)]
    );
    bench.refit();
    assert_eq!(
        rows(&bench, LedgerCountKind::Fasteners),
        [("M6 × 25".to_owned(), 12, 12), ("M8 × 40".to_owned(), 4, 4), ("push clip 7 mm".to_owned(), 2, 2)]
    );
    assert_eq!(rows(&bench, LedgerCountKind::Renewals), [(String::new(), 4, 4)]);
    assert_eq!(rows(&bench, LedgerCountKind::Caps), [("ports".to_owned(), 6, 6)]);
    assert_eq!(rows(&bench, LedgerCountKind::Parts), [(String::new(), 2, 2)]);
}

#[test]
fn an_old_fastener_where_a_new_one_belongs_does_not_count() {
    let mut bench = Bench::begun();
    bench.strip();
    bench.tick([11, 12]);
    let holes = ["1", "2"].into_iter().map(String::from).collect();
    bench.must(VisitCommand::Renew { fixing: "manifold-bolts".into(), holes });
    let all = ["1", "2", "3", "4"].into_iter().map(String::from).collect();
    let to = model::FastenerState::Tight;
    bench.must(VisitCommand::Mark { fixing: "manifold-bolts".into(), holes: all, to, slot: None });
    assert_eq!(rows(&bench, LedgerCountKind::Renewals), [(String::new(), 4, 2)]);
    let keys: Vec<String> = bench.keys().into_iter().filter(|k| k.contains("manifold")).collect();
    assert_eq!(keys, ["not-renewed/manifold-bolts/3", "not-renewed/manifold-bolts/4"]);
}

#[test]
fn tools_go_out_and_come_back_and_a_loan_is_not_forgotten() {
    let mut bench = Bench::begun();
    let go = |to, count| VisitCommand::Say(VisitBody::Piece { piece: "socket-10".into(), count, to });
    bench.must(go(PieceDestination::Cart, 3));
    bench.must(go(PieceDestination::Lent("Ada".into()), 1));
    assert_eq!(bench.keys(), ["piece-out/socket-10", "piece-lent/socket-10/Ada"]);
    assert_eq!(rows(&bench, LedgerCountKind::Pieces), [("socket-10".to_owned(), 3, 0)]);
    bench.must(go(PieceDestination::Place, 2));
    assert_eq!(bench.keys(), ["piece-lent/socket-10/Ada"]);
    let refused = bench.ask(go(PieceDestination::Place, 2)).unwrap_err();
    assert_eq!(refused.why, record::RefusalKind::TooMany);
    bench.must(go(PieceDestination::Place, 1));
    assert_eq!(rows(&bench, LedgerCountKind::Pieces), [("socket-10".to_owned(), 3, 3)]);
    assert!(bench.ledger().is_zero());
}

#[test]
fn a_loan_from_the_place_is_out_too() {
    let mut bench = Bench::begun();
    bench.must(VisitCommand::Say(VisitBody::Piece {
        piece: "lamp".into(),
        count: 1,
        to: PieceDestination::Lent("Ada".into()),
    }));
    assert_eq!(rows(&bench, LedgerCountKind::Pieces), [("lamp".to_owned(), 1, 0)]);
}

#[test]
fn what_was_put_in_comes_out_one_by_one() {
    let mut bench = Bench::begun();
    let at = EventPlace { part: Some("manifold".into()), ..EventPlace::default() };
    let put = VisitCommand::Say(VisitBody::PutIn { what: PutInKind::Rag, words: "red".into(), count: 3, at });
    let event = bench.must(put).remove(0).id;
    bench.must(VisitCommand::TakeOut { put_in: event.clone(), count: Some(2) });
    assert_eq!(bench.ledger().lines[0].what, "1 of 3 rags still in, red");
    assert_eq!(rows(&bench, LedgerCountKind::PutIns), [(String::new(), 3, 2)]);
    let refused = bench.ask(VisitCommand::TakeOut { put_in: event.clone(), count: Some(2) }).unwrap_err();
    assert_eq!(refused.why, record::RefusalKind::TooMany);
    bench.must(VisitCommand::TakeOut { put_in: event.clone(), count: None });
    assert!(bench.ledger().is_zero());
    // A fact that does not fit is shown.
    bench.write(VisitBody::TakenOut { put_in: event, count: 1 });
    assert_eq!(bench.keys(), ["strange/event/tablet-7"]);
}

#[test]
fn all_of_it_out_twice_on_two_devices_is_one_claim() {
    let mut bench = Bench::begun();
    let put = VisitCommand::Say(VisitBody::PutIn {
        what: PutInKind::Tape,
        words: String::new(),
        count: 1,
        at: EventPlace::default(),
    });
    let event = bench.must(put).remove(0).id;
    bench.write(VisitBody::TakenOut { put_in: event.clone(), count: 1 });
    bench.write(VisitBody::TakenOut { put_in: event, count: 1 });
    assert!(bench.ledger().is_zero());
}

#[test]
fn a_count_by_hand_stands_open_until_it_agrees() {
    let mut bench = Bench::begun();
    let count = |counted| {
        VisitCommand::Say(VisitBody::Counted { what: "M6 × 25 in A-B03".into(), expected: 12, counted })
    };
    bench.must(count(11));
    assert_eq!(bench.keys(), ["count/M6 × 25 in A-B03"]);
    assert_eq!(bench.ledger().lines[0].what, "M6 × 25 in A-B03: 11 counted, 12 expected");
    bench.must(count(12));
    assert!(bench.ledger().is_zero());
}

#[test]
fn more_caps_out_than_in_is_shown() {
    let mut bench = Bench::begun();
    bench.write(VisitBody::Uncapped { opening: "ports".into(), count: 2 });
    assert_eq!(bench.ledger().lines[0].what, "“ports”: 2 more caps came out than were in");
}
