//! The laws of one history over all four kinds of streams, and what the three that are no visit make of their events.

use proptest::prelude::*;
use record::vehicle::{OdometerUnit, OdometerValue};
use record::workshop::{DayOfWeek, DriverReading, DriverReadingPurpose, OpenStretch};
use record::{
    AnyEvent, BookBody, BookLesson, BookRecord, Event, EventHistory, EventOrder, EventRef, InsertOutcome,
    NeedsAttention, PersonId, StateSnapshot, StreamBody, StreamFold, StreamKind, StreamRef, VehicleBody,
    VehicleRecord, Visit, VisitBody, VisitId, WorkshopBody, WorkshopRecord, order_canonically, replay_events,
};

use crate::common::{device, digest, id};

/// The body of a number; `target` is an event that may be taken back.
trait NumberedBody: StreamBody {
    fn of_number(number: u32, target: &str) -> Self;
}

impl NumberedBody for VisitBody {
    fn of_number(number: u32, target: &str) -> Self {
        match number % 5 {
            0 => Self::Undone { event: id(target) },
            1 => Self::PartOff { part: format!("part {}", number % 3) },
            2 => Self::PartOn { part: format!("part {}", number % 3) },
            3 => Self::Opened { vehicle: None, letter: "A".into(), name: String::new(), odometer: None },
            _ => Self::Noted { words: format!("{number}"), at: Default::default() },
        }
    }
}

impl NumberedBody for WorkshopBody {
    fn of_number(number: u32, target: &str) -> Self {
        let (tool, whom) = (format!("tool {}", number % 2), format!("whom {}", number % 3));
        let visit = VisitId::new(&format!("visit-{}", number % 2)).expect("letters and figures");
        match number % 13 {
            0 | 1 => Self::Undone { event: id(target) },
            2 => Self::ToolLent { tool, count: 2, whom },
            3 => Self::ToolReturned { tool, count: 1, whom },
            4 => Self::ToolBought { tool, count: 1, price_cents: None },
            5 => Self::DevicePaired { device: device("tablet"), name: format!("{number}") },
            6 => Self::DeviceRevoked { device: device("tablet") },
            7 => Self::LetterGiven { letter: "A".into(), vehicle: stream_of(StreamKind::Vehicle) },
            8 => {
                let until = (!number.is_multiple_of(3)).then(|| format!("2027-03-0{}T17:00", number % 9 + 1));
                Self::VisitPromised { visit, until }
            }
            9 => {
                let on = (!number.is_multiple_of(3)).then(|| format!("2027-03-0{}", number % 9 + 1));
                Self::PartExpected { visit, part: format!("part {}", number % 2), on }
            }
            10 => Self::VisitGoesFirst { visit, is_first: !number.is_multiple_of(3) },
            11 => {
                let (day, to_min) = (DayOfWeek::Saturday, 500 + (number % 9) as u16);
                Self::HelperHoursSet { stretches: vec![OpenStretch { day, from_min: 480, to_min }] }
            }
            _ => Self::LetterReleased { letter: "A".into() },
        }
    }
}

impl NumberedBody for VehicleBody {
    fn of_number(number: u32, target: &str) -> Self {
        match number % 6 {
            0 => Self::Undone { event: id(target) },
            1 => Self::PlateClaimed { plate: Some(format!("{number}")) },
            2 => Self::PlateClaimed { plate: None },
            3 => Self::NameClaimed { name: format!("{number}") },
            4 => Self::KnownAs { own_id: format!("{number}") },
            _ => {
                let reading = OdometerValue { value: f64::from(number), unit: OdometerUnit::Kilometre };
                Self::OdometerClaimed { reading, date: None, read_by: None }
            }
        }
    }
}

impl NumberedBody for BookBody {
    fn of_number(number: u32, target: &str) -> Self {
        let event = id(&format!("claim-{}", number % 3));
        let claim = EventRef { stream: stream_of(StreamKind::Visit), event };
        let lesson = BookLesson::OffBefore { first: format!("p{}", number % 2), then: "q".into() };
        match number % 7 {
            5 => Self::LessonTaken { lesson, visits: number, words: "w".into() },
            6 => Self::LessonLeft { lesson, visits: number, words: "w".into() },
            0 => Self::Undone { event: id(target) },
            1 => Self::Edited { book: digest('a'), note: format!("{number}") },
            2 => Self::ClaimAdopted { claim },
            3 => Self::ClaimRefused { claim, reason: "no".into() },
            _ => Self::BookNoted { words: format!("{number}") },
        }
    }
}

fn stream_of(kind: StreamKind) -> StreamRef {
    StreamRef::new(kind, "s-1").expect("a good id")
}

fn event<B: StreamBody>(name: &str, round: u64, by: &str, body: B) -> Event<B> {
    let order = EventOrder { round, device: device(by), count: round };
    let stream = stream_of(B::KIND);
    Event { stream, id: id(name), order, person: PersonId::new("kim"), at_ms: 5, body }
}

fn events_of<B: NumberedBody>(numbers: &[u32]) -> Vec<Event<B>> {
    let made = numbers.iter().enumerate().map(|(at, number)| {
        let target = format!("e{}", number / 7 % (at as u32 + 1));
        let by = ["tablet", "phone", "laptop"][*number as usize % 3];
        event(&format!("e{at}"), at as u64 / 2 + 1, by, B::of_number(number / 3, &target))
    });
    made.collect()
}

/// Any order, twice, at once or resumed: one state; an event and its taking back leave the state as it was.
fn check_history_laws<S: StreamFold>(numbers: &[u32], turn: usize) -> Result<(), TestCaseError>
where
    S::Body: NumberedBody,
    AnyEvent: From<Event<S::Body>>,
{
    let events = events_of::<S::Body>(numbers);
    let stream = stream_of(S::Body::KIND);
    let state: S = replay_events(events.iter().cloned());
    let mut arriving = events.clone();
    arriving.rotate_left(turn % events.len().max(1));
    arriving.extend(events.iter().rev().step_by(2).cloned());
    let mut history = EventHistory::<S>::new(stream.clone()).with_checkpoints_every(3);
    for event in arriving {
        prop_assert_ne!(history.insert(event), InsertOutcome::Elsewhere);
    }
    prop_assert_eq!(history.state(), &state);
    let (kept, _) = order_canonically(events.iter().cloned());
    prop_assert_eq!(history.events(), &kept[..]);
    let text = history.take_snapshot().to_json().expect("a state is plain data");
    let resumed = EventHistory::resume_from(StateSnapshot::<S>::from_json(&text).expect("its own text"));
    prop_assert_eq!(resumed.state(), &state);

    let next = history.next_order(&device("tablet"));
    let said = S::Body::of_number(turn as u32 * 7 + 1, "e0");
    let (round, is_undoing) = (next.round, said.undone_event().is_some());
    history.insert(event("said", round, "tablet", said));
    let undone = S::Body::of_number(0, "said");
    history.insert(event("undone", round + 1, "tablet", undone));
    if !is_undoing {
        prop_assert_eq!(history.state(), &state, "taken back is as before");
    }
    for event in events {
        let any = AnyEvent::from(event);
        let text = any.to_json().expect("plain data");
        prop_assert_eq!(AnyEvent::read_json(&stream, &text), Ok(any), "disk and wire give it back");
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn one_history_holds_for_all_four_folds(
        numbers in proptest::collection::vec(any::<u32>(), 0..24), turn in 0..24_usize,
    ) {
        check_history_laws::<Visit>(&numbers, turn)?;
        check_history_laws::<WorkshopRecord>(&numbers, turn)?;
        check_history_laws::<VehicleRecord>(&numbers, turn)?;
        check_history_laws::<BookRecord>(&numbers, turn)?;
    }
}

#[test]
fn a_plate_that_was_taken_back_lets_the_one_before_stand() {
    let claim = |plate: &str| VehicleBody::PlateClaimed { plate: Some(plate.into()) };
    let mut events = vec![event("e1", 1, "tablet", claim("AB 1")), event("e2", 2, "phone", claim("AB 7"))];
    let state: VehicleRecord = replay_events(events.clone());
    assert_eq!((state.plate(), state.plates.len()), (Some("AB 7"), 2), "no claim is lost");
    events.push(event("e3", 3, "tablet", VehicleBody::Undone { event: id("e2") }));
    let state: VehicleRecord = replay_events(events);
    assert_eq!(state.plate(), Some("AB 1"));
}

#[test]
fn an_odometer_is_read_as_people_write_it() {
    let km = |value| Some(OdometerValue { value, unit: OdometerUnit::Kilometre });
    for (text, wanted) in [
        ("412,300 km", km(412_300.0)),
        ("241 300 km", km(241_300.0)),
        ("1 241 300 km", km(1_241_300.0)),
        ("98.5 km", km(98.5)),
        ("98,5 km", km(98.5)),
        ("1,234.5 km", km(1_234.5)),
        ("7 h", Some(OdometerValue { value: 7.0, unit: OdometerUnit::Hour })),
        ("12 miles", Some(OdometerValue { value: 12.0, unit: OdometerUnit::Mile })),
        ("12,34,56 km", None),
        ("many km", None),
        ("12", None),
        ("-5 km", None),
    ] {
        assert_eq!(OdometerValue::parse_words(text), wanted, "{text}");
    }
}

#[test]
fn lent_tools_come_back_to_zero_and_more_than_lent_is_counted_apart() {
    let (tool, whom) = (String::from("socket-10"), String::from("Ada"));
    let lent = WorkshopBody::ToolLent { tool: tool.clone(), count: 2, whom: whom.clone() };
    let back = WorkshopBody::ToolReturned { tool, count: 3, whom };
    let state: WorkshopRecord =
        replay_events([event("e1", 1, "tablet", lent), event("e2", 2, "tablet", back)]);
    let known = &state.tools["socket-10"];
    assert!(known.lent.is_empty());
    assert_eq!(known.back_unasked, 1);
}

#[test]
fn the_last_word_on_a_visits_dates_stands_and_undoing_it_brings_back_the_one_before() {
    let visit = VisitId::new("A1").expect("letters and figures");
    let promise = |until: Option<&str>| WorkshopBody::VisitPromised {
        visit: visit.clone(),
        until: until.map(str::to_owned),
    };
    let part = |on: Option<&str>| WorkshopBody::PartExpected {
        visit: visit.clone(),
        part: "pump".into(),
        on: on.map(str::to_owned),
    };
    let bodies = [
        promise(Some("2027-03-03T17:00")),
        part(Some("2027-03-02")),
        promise(Some("2027-03-04T12:00")),
        part(None),
        WorkshopBody::VisitGoesFirst { visit: visit.clone(), is_first: true },
        WorkshopBody::Undone { event: id("e3") },
    ];
    let events = bodies.into_iter().enumerate().map(|(at, body)| {
        let count = at as u64 + 1;
        event(&format!("e{count}"), count, "tablet", body)
    });
    let state: WorkshopRecord = replay_events(events);
    let dates = &state.visit_dates[&visit];
    assert_eq!(dates.promise.as_deref(), Some("2027-03-03T17:00"));
    assert_eq!(dates.parts.get("pump"), Some(&None), "it is here");
    assert!(dates.is_first);
}

#[test]
fn dates_that_are_none_are_held_back() {
    let visit = VisitId::new("A1").expect("letters and figures");
    let late = OpenStretch { day: DayOfWeek::Monday, from_min: 600, to_min: 1_441 };
    for body in [
        WorkshopBody::VisitPromised { visit: visit.clone(), until: Some("2027-03-03".into()) },
        WorkshopBody::PartExpected { visit: visit.clone(), part: "pump".into(), on: Some("soon".into()) },
        WorkshopBody::PartExpected { visit, part: " ".into(), on: None },
        WorkshopBody::HelperHoursSet { stretches: vec![late] },
    ] {
        let bad = event("e1", 1, "tablet", body);
        let taken = record::accept_event(&bad.stream, &bad);
        assert!(matches!(taken, Err(NeedsAttention::Broken(_))), "{:?}", bad.body);
    }
}

#[test]
fn the_last_word_on_a_claim_stands() {
    let claim = EventRef { stream: stream_of(StreamKind::Visit), event: id("c1") };
    let adopted = BookBody::ClaimAdopted { claim: claim.clone() };
    let refused = BookBody::ClaimRefused { claim: claim.clone(), reason: "misread".into() };
    let state: BookRecord =
        replay_events([event("e1", 1, "tablet", adopted), event("e2", 2, "tablet", refused)]);
    assert_eq!(state.adopted_claims().count(), 0);
    assert_eq!(state.refused_claims().collect::<Vec<_>>(), [(&claim, "misread")]);
}

#[test]
fn the_last_word_on_a_lesson_stands_and_can_be_taken_back() {
    let lesson = |seconds| BookLesson::LiftTime { part: "cover".into(), seconds };
    let left = BookBody::LessonLeft { lesson: lesson(60), visits: 3, words: "one".into() };
    let taken = BookBody::LessonTaken { lesson: lesson(90), visits: 5, words: "two".into() };
    let both = [event("e1", 1, "tablet", left), event("e2", 2, "tablet", taken)];
    let state: BookRecord = replay_events(both.clone());
    let word = &state.lessons[&lesson(1).topic()];
    assert_eq!((word.is_taken, word.visits, word.words.as_str()), (true, 5, "two"));
    let undone = event("e3", 3, "tablet", BookBody::Undone { event: id("e2") });
    let state: BookRecord = replay_events(both.into_iter().chain([undone]));
    let word = &state.lessons[&lesson(1).topic()];
    assert_eq!((word.is_taken, word.visits), (false, 3));
    for broken in [lesson(0), BookLesson::OffBefore { first: "a".into(), then: "a".into() }] {
        let bad = event("e1", 1, "t", BookBody::LessonTaken { lesson: broken, visits: 1, words: "w".into() });
        assert!(matches!(record::accept_event(&bad.stream, &bad), Err(NeedsAttention::Broken(_))));
    }
}

#[test]
fn what_has_no_shape_is_held_back_in_every_kind_of_stream() {
    let reading = DriverReading {
        driver: "d".into(),
        joint: "j".into(),
        step: 1,
        torque_n_m: -1.0,
        fastener: 1,
        date: String::new(),
        purpose: DriverReadingPurpose::Calibration,
    };
    let bad = event("e1", 1, "tablet", WorkshopBody::DriverRead { reading });
    let stream = bad.stream.clone();
    assert!(matches!(record::accept_event(&stream, &bad), Err(NeedsAttention::Broken(_))));
    let name = VehicleBody::NameClaimed { name: " ".into() };
    let bad = event("e1", 1, "tablet", name);
    assert!(matches!(record::accept_event(&bad.stream, &bad), Err(NeedsAttention::Broken(_))));
    let mut wrong = event("e1", 1, "tablet", BookBody::BookNoted { words: "w".into() });
    wrong.stream.kind = StreamKind::Visit;
    assert!(matches!(record::accept_event(&wrong.stream, &wrong), Err(NeedsAttention::Broken(_))));
    let good = AnyEvent::from(event("e1", 1, "tablet", BookBody::BookNoted { words: "w".into() }));
    let other = good.to_json().expect("plain data").replace("traywright-event/1", "traywright-event/9");
    let read = AnyEvent::read_json(good.stream(), &other);
    assert!(matches!(read, Err(NeedsAttention::Unreadable(_))), "{read:?}");
}

#[test]
fn own_counts_that_have_not_come_are_known_and_survive_a_saved_state() {
    let order = |count: u64| EventOrder { round: count, device: device("phone"), count };
    let mut history = EventHistory::<Visit>::new(StreamRef::new(StreamKind::Visit, "A1").unwrap());
    for count in [1, 2, 6, 4, 9] {
        history.insert(Event {
            stream: history.stream().clone(),
            id: id(&format!("e{count}")),
            order: order(count),
            person: None,
            at_ms: 0,
            body: VisitBody::Resumed,
        });
    }
    let phone = device("phone");
    let missing = |history: &EventHistory, written| history.device_counts().missing_up_to(&phone, written);
    assert_eq!(missing(&history, 9), [(3, 3), (5, 5), (7, 8)]);
    assert_eq!(missing(&history, 11), [(3, 3), (5, 5), (7, 8), (10, 11)]);
    let text = history.take_snapshot().to_json().unwrap();
    let again = EventHistory::resume_from(StateSnapshot::from_json(&text).unwrap());
    assert_eq!(missing(&again, 9), missing(&history, 9));
    let nobody = device("tablet");
    assert_eq!(history.device_counts().missing_up_to(&nobody, 2), [(1, 2)]);
}

#[test]
fn rounds_and_times_out_of_sense_are_refused_at_the_door() {
    let order = |round, count| EventOrder { round, device: device("phone"), count };
    let now = 1_800_000_000_000;
    assert!(record::check_sense(&order(58, 9), now, 57).is_ok());
    assert!(record::check_sense(&order(57 + record::MAX_ROUNDS_AHEAD, 9), now, 57).is_ok());
    for (round, count, at_ms) in
        [(1_000_000_000_000, 1, now), (1, 10_000_000, now), (1, 1, 0), (1, 1, i64::MAX), (1, 1, i64::MIN)]
    {
        assert!(record::check_sense(&order(round, count), at_ms, 57).is_err(), "{round} {count} {at_ms}");
    }
}
