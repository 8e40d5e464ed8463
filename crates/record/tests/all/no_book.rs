//! A visit without a book and without a plan: opened, noted in, counted, paused, closed; the ledger counts by keys.

use model::FastenerState;
use record::ledger::{Ledger, LedgerLineKind};
use record::{EventPlace, MarkedHole, PutInKind, RefusalKind, VisitBody, VisitCommand, decide};

use crate::common::{Bench, book};

/// A device with a visit that was opened and nothing else.
fn opened() -> Bench {
    let mut bench = Bench::new("tablet");
    let opened =
        VisitBody::Opened { vehicle: None, letter: "B".into(), name: "a stranger".into(), odometer: None };
    say(&mut bench, opened);
    bench
}

fn say(bench: &mut Bench, body: VisitBody) -> record::EventId {
    let bodies = decide(bench.visit(), None, None, body.into()).unwrap_or_else(|why| panic!("{why}"));
    bodies.into_iter().map(|body| bench.write(body).id).last().expect("one event")
}

fn ledger(bench: &Bench) -> Ledger {
    Ledger::draw_up(bench.visit(), None)
}

#[test]
fn it_is_worked_and_closed_by_counts_alone() {
    let mut bench = opened();
    assert!(ledger(&bench).is_zero());
    let at = EventPlace::default();
    say(&mut bench, VisitBody::Noted { words: "no book for this one".into(), at: at.clone() });
    let rag = say(
        &mut bench,
        VisitBody::PutIn { what: PutInKind::Rag, words: "intake".into(), count: 2, at: at.clone() },
    );
    say(&mut bench, VisitBody::PartOff { part: "airbox".into() });
    let holes = vec![MarkedHole { hole: "1".into(), from: FastenerState::InPlace }];
    let off = VisitBody::Marked {
        fixing: "airbox screws".into(),
        holes,
        to: FastenerState::Off,
        slot: Some("B-T1-01".into()),
        stage: None,
    };
    say(&mut bench, off);
    say(&mut bench, VisitBody::Paused { words: String::new(), at });
    say(&mut bench, VisitBody::Resumed);
    let kinds: Vec<LedgerLineKind> = ledger(&bench).lines.iter().map(|line| line.kind).collect();
    assert_eq!(kinds.len(), 3, "{kinds:?}");
    assert!(!kinds.contains(&LedgerLineKind::Strange), "without a book no key is strange");
    assert!(!ledger(&bench).may_be_moved().yes, "nobody knows that the fastener endangers nobody");
    let closed = VisitBody::Closed { name: "Kim".into() };
    let why = decide(bench.visit(), None, None, closed.clone().into()).unwrap_err().why;
    assert_eq!(why, RefusalKind::LedgerOpen);

    say(&mut bench, VisitBody::TakenOut { put_in: rag, count: 2 });
    say(&mut bench, VisitBody::PartOn { part: "airbox".into() });
    let holes = vec![MarkedHole { hole: "1".into(), from: FastenerState::Off }];
    let (to, slot) = (FastenerState::Tight, None);
    say(&mut bench, VisitBody::Marked { fixing: "airbox screws".into(), holes, to, slot, stage: None });
    assert!(ledger(&bench).is_zero(), "{:?}", ledger(&bench).lines);
    assert!(ledger(&bench).counts.iter().all(record::ledger::LedgerCountRow::agrees));
    say(&mut bench, closed);
    assert!(bench.visit().closed.is_some() && bench.visit().find_faults().is_empty());
}

#[test]
fn what_needs_a_book_or_a_plan_says_which() {
    let bench = opened();
    let why = |book, command| decide(bench.visit(), book, None, command).unwrap_err().why;
    assert_eq!(why(None, VisitCommand::Tick { step: 1 }), RefusalKind::NoPlan);
    assert_eq!(why(Some(book()), VisitCommand::Tick { step: 1 }), RefusalKind::NoPlan);
    let cap = VisitCommand::Cap { opening: "ports".into(), count: None };
    assert_eq!(why(None, cap), RefusalKind::NoBook);
}

#[test]
fn the_same_keys_are_strange_once_there_is_a_book() {
    let mut bench = opened();
    say(&mut bench, VisitBody::PartOff { part: "airbox".into() });
    let with_book = Ledger::draw_up(bench.visit(), book());
    assert_eq!(with_book.lines[0].kind, LedgerLineKind::Strange);
    assert_eq!(ledger(&bench).lines[0].kind, LedgerLineKind::PartOff);
}
