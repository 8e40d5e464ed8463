//! Order, events that arrive twice, and taking back.

use record::{
    Event, EventHistory, EventOrder, InsertOutcome, StateSnapshot, StreamFold, Visit, VisitBody,
    find_void_events, order_canonically, replay_events,
};

use crate::common::{Bench, device, id, visit_id};

fn note(name: &str, round: u64, by: &str, words: &str) -> Event {
    let order = EventOrder { round, device: device(by), count: round };
    let body = VisitBody::Noted { words: words.into(), at: Default::default() };
    Event { id: id(name), stream: visit_id().into(), order, person: None, at_ms: 0, body }
}

fn undone(name: &str, round: u64, target: &str) -> Event {
    Event { body: VisitBody::Undone { event: id(target) }, ..note(name, round, "a", "") }
}

fn notes(events: &[Event]) -> Vec<String> {
    let visit: Visit = replay_events(events.iter().cloned());
    visit.notes.into_iter().map(|n| n.words).collect()
}

#[test]
fn events_stand_by_round_then_device_then_sequence() {
    let events =
        [note("e4", 2, "a", "4"), note("e3", 1, "c", "3"), note("e1", 1, "a", "1"), note("e2", 1, "b", "2")];
    assert_eq!(notes(&events), ["1", "2", "3", "4"]);
}

#[test]
fn a_resend_counts_once() {
    let events = [note("e1", 1, "a", "once"), note("e1", 1, "a", "once")];
    assert_eq!(notes(&events), ["once"]);
    let mut history = EventHistory::<Visit>::new(visit_id());
    assert_eq!(history.insert(events[0].clone()), InsertOutcome::Appended);
    assert_eq!(history.insert(events[1].clone()), InsertOutcome::Again);
    assert_eq!((history.event_count(), history.doubles().len()), (1, 0));
}

#[test]
fn one_id_with_two_contents_is_reported_and_the_same_one_stands_everywhere() {
    let (x, y) = (note("e1", 1, "a", "x"), note("e1", 1, "a", "y"));
    for pair in [[x.clone(), y.clone()], [y.clone(), x.clone()]] {
        let (kept, doubles) = order_canonically(pair.clone());
        assert_eq!((kept, doubles), (vec![x.clone()], vec![y.clone()]));
        let mut history = EventHistory::<Visit>::new(visit_id());
        let came: Vec<InsertOutcome> = pair.into_iter().map(|e| history.insert(e)).collect();
        assert_eq!(came, [InsertOutcome::Appended, InsertOutcome::Different]);
        assert_eq!((history.events(), history.doubles()), (&[x.clone()][..], &[y.clone()][..]));
        assert_eq!(history.state().notes[0].words, "x");
        assert_eq!(history.insert(y.clone()), InsertOutcome::Again);
        assert_eq!(history.doubles().len(), 1);
    }
}

#[test]
fn taking_back_a_taking_back_brings_the_first_again() {
    let mut events = vec![note("e1", 1, "a", "words")];
    let mut expected = [true, false, true, false].into_iter();
    let mut target = "e1".to_owned();
    for round in 2..=5 {
        assert_eq!(!notes(&events).is_empty(), expected.next().unwrap(), "{} takings back", round - 2);
        let name = format!("u{round}");
        events.push(undone(&name, round, &target));
        target = name;
    }
}

#[test]
fn only_what_came_before_is_taken_back() {
    let events = [undone("u1", 1, "e2"), note("e2", 2, "a", "later"), undone("u3", 3, "u3")];
    assert_eq!(notes(&events), ["later"]);
    assert!(find_void_events(&order_canonically(events).0).is_empty());
}

#[test]
fn a_taking_back_may_arrive_before_what_it_takes_back() {
    let mut history = EventHistory::<Visit>::new(visit_id());
    assert_eq!(history.insert(undone("u2", 2, "e1")), InsertOutcome::Appended);
    assert_eq!(history.insert(note("e1", 1, "b", "gone")), InsertOutcome::Merged);
    assert!(history.is_void(&id("e1")));
    assert!(history.state().notes.is_empty());
}

#[test]
fn another_visits_events_stay_out() {
    let mut history = EventHistory::<Visit>::new(visit_id());
    let mut event = note("e1", 1, "a", "words");
    event.stream = record::VisitId::new("visit-2").unwrap().into();
    assert_eq!(history.insert(event), InsertOutcome::Elsewhere);
    assert_eq!(history.event_count(), 0);
}

#[test]
fn a_snapshot_goes_on_from_where_it_was_taken() {
    let mut bench = Bench::begun();
    bench.strip();
    let text = bench.history.take_snapshot().to_json().unwrap();
    let mut resumed = EventHistory::resume_from(StateSnapshot::from_json(&text).unwrap());
    assert_eq!(resumed.state(), bench.visit());
    assert_eq!(resumed.next_order(&device("tablet")), bench.history.next_order(&device("tablet")));
    bench.refit();
    let from = usize::try_from(resumed.event_count()).unwrap();
    for event in &bench.history.events()[from..] {
        assert_eq!(resumed.insert(event.clone()), InsertOutcome::Appended);
    }
    assert_eq!(resumed.state(), bench.visit());
    assert_eq!(resumed.take_snapshot(), bench.history.take_snapshot());
}

#[test]
fn a_snapshot_does_not_guess_about_what_lies_before_it() {
    let mut bench = Bench::begun();
    let early = bench.must(record::VisitCommand::Tick { step: 4 }).remove(0);
    let mut resumed = EventHistory::resume_from(bench.history.take_snapshot());
    assert_eq!(resumed.insert(early.clone()), InsertOutcome::NeedsAll);
    assert_eq!(resumed.insert(undone("u9", 900, early.id.as_str())), InsertOutcome::NeedsAll);
    assert_eq!(resumed.insert(note("e9", 900, "b", "later")), InsertOutcome::Appended);
}

#[test]
fn a_snapshot_of_another_shape_is_made_anew() {
    let text = Bench::begun().history.take_snapshot().to_json().unwrap();
    assert!(StateSnapshot::<Visit>::from_json(&text.replace(Visit::STATE_FORMAT, "another/0")).is_none());
    assert!(StateSnapshot::<Visit>::from_json(&text[..text.len() / 2]).is_none());
}
