//! Every kind of event of a book as it is stored: what was written once is read back for ever.

use record::{
    AnyEvent, BookBody as B, BookLesson, Event, EventOrder, EventRef, StreamBody, StreamKind, StreamRef,
    VisitHappeningKind,
};

use crate::common::{device, digest, id};

/// One event a line; a line is never changed, only added.
const STORED: &str = include_str!("../data/book_events.jsonl");

fn bodies() -> Vec<B> {
    let stream = StreamRef::new(StreamKind::Visit, "visit-1").expect("an id");
    let claim = || EventRef { stream: stream.clone(), event: id("c1") };
    let taken = |lesson| B::LessonTaken { lesson, visits: 7, words: "in 7 of 7 visits".into() };
    vec![
        B::Edited { book: digest('a'), note: "torque mended".into() },
        B::ClaimAdopted { claim: claim() },
        B::ClaimRefused { claim: claim(), reason: "misread".into() },
        B::BookNoted { words: "from two engines".into() },
        B::Undone { event: id("e1") },
        taken(BookLesson::OffBefore { first: "bracket".into(), then: "pump".into() }),
        taken(BookLesson::LiftTime { part: "pump".into(), seconds: 240 }),
        taken(BookLesson::Stack { fixing: "pump-bolts".into(), worked: true, stack: "13 mm socket".into() }),
        taken(BookLesson::Mishap { fixing: "pump-bolts".into(), what: VisitHappeningKind::Broken }),
        B::LessonLeft {
            lesson: BookLesson::OffBefore { first: "hose".into(), then: "pump".into() },
            visits: 5,
            words: "in 5 of 5 visits".into(),
        },
    ]
}

/// The kinds of bodies; a new one does not compile before it is here.
const fn kind_number(body: &B) -> usize {
    match body {
        B::Edited { .. } => 0,
        B::ClaimAdopted { .. } => 1,
        B::ClaimRefused { .. } => 2,
        B::BookNoted { .. } => 3,
        B::Undone { .. } => 4,
        B::LessonTaken { .. } => 5,
        B::LessonLeft { .. } => 6,
    }
}

#[test]
fn what_was_stored_of_a_book_is_read_back_and_written_the_same() {
    let book = StreamRef::new(B::KIND, "tern-24").expect("an id");
    let stored: Vec<&str> = STORED.lines().collect();
    for (at, body) in bodies().into_iter().enumerate() {
        let count = at as u64 + 1;
        let order = EventOrder { round: count, device: device("tablet"), count };
        let stream = book.clone();
        let event = Event {
            stream,
            id: id(&format!("e{count}")),
            order,
            person: None,
            at_ms: 1_700_000_000_000,
            body,
        };
        let event = AnyEvent::from(event);
        let written = event.to_json().expect("plain data");
        assert_eq!(stored.get(at).copied(), Some(written.as_str()), "event {count}");
        assert_eq!(AnyEvent::read_json(&book, stored[at]).expect("it reads"), event);
    }
    assert_eq!(stored.len(), bodies().len());
}

#[test]
fn every_kind_of_event_of_a_book_is_stored() {
    let mut kinds: Vec<usize> = bodies().iter().map(kind_number).collect();
    kinds.sort_unstable();
    kinds.dedup();
    assert_eq!(kinds, (0..=6).collect::<Vec<_>>());
}
