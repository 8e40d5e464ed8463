//! Every kind of event of a workshop as it is stored: what was written once is read back for ever.

use record::workshop::{
    DayOfWeek, DriverReading, DriverReadingPurpose, LengthClaim, LengthUnit, OpenStretch,
};
use record::{
    AnyEvent, Event, EventOrder, PersonId, StreamBody, StreamKind, StreamRef, VisitId, WorkshopBody as B,
};

use crate::common::{device, id};

/// One event a line; a line is never changed, only added.
const STORED: &str = include_str!("../data/workshop_events.jsonl");

fn people_and_devices() -> Vec<B> {
    let person = || PersonId::new("person-1").expect("an id");
    vec![
        B::PersonAdded { person: person(), name: "Kim".into() },
        B::PersonRenamed { person: person(), name: "Kim B".into() },
        B::DevicePaired { device: device("tablet"), name: "tablet".into() },
        B::DeviceRenamed { device: device("tablet"), name: "big one".into() },
        B::DeviceTaken { device: device("tablet"), by: Some(person()) },
        B::DeviceTaken { device: device("tablet"), by: None },
        B::DeviceRevoked { device: device("tablet") },
    ]
}

fn dates() -> Vec<B> {
    let visit = || VisitId::new("visit-1").expect("an id");
    let stretches = || {
        let days = [DayOfWeek::Monday, DayOfWeek::Saturday];
        days.map(|day| OpenStretch { day, from_min: 480, to_min: 720 }).to_vec()
    };
    vec![
        B::HoursSet { stretches: stretches() },
        B::HelperHoursSet { stretches: stretches() },
        B::HelperHoursSet { stretches: Vec::new() },
        B::HolidaySet { date: "2027-03-05".into(), name: "day lost".into() },
        B::HolidayDropped { date: "2027-03-05".into() },
        B::VisitPromised { visit: visit(), until: Some("2027-03-03T17:00".into()) },
        B::VisitPromised { visit: visit(), until: None },
        B::PartExpected { visit: visit(), part: "water-pump".into(), on: Some("2027-03-03".into()) },
        B::PartExpected { visit: visit(), part: "water-pump".into(), on: None },
        B::VisitGoesFirst { visit: visit(), is_first: true },
    ]
}

fn things() -> Vec<B> {
    let tool = || String::from("socket-10");
    let length = |value| LengthClaim { value, unit: LengthUnit::Millimetre };
    let reading = DriverReading {
        driver: "red".into(),
        joint: "M6 dry".into(),
        step: 3,
        torque_n_m: 4.5,
        fastener: 1,
        date: "2026-03-14".into(),
        purpose: DriverReadingPurpose::Check,
    };
    let (date, next_due) = (String::from("2026-03-14"), Some(String::from("2027-03-14")));
    vec![
        B::ToolBought { tool: tool(), count: 2, price_cents: Some(450) },
        B::ToolLent { tool: tool(), count: 1, whom: "Ada".into() },
        B::ToolReturned { tool: tool(), count: 1, whom: "Ada".into() },
        B::ToolLost { tool: tool(), count: 1, words: "fell into the drain".into() },
        B::ToolCalibrated {
            tool: "wrench".into(),
            date,
            by: "Kim".into(),
            certificate: "7".into(),
            next_due,
        },
        B::LeverMeasured { wrench: "wrench".into(), lever: length(380.0), head_offset: length(0.0) },
        B::DriverRead { reading },
        B::TrayMade { tray: "1".into(), rows: 3, columns: 4 },
        B::TrayRetired { tray: "1".into() },
        B::LetterGiven {
            letter: "A".into(),
            vehicle: StreamRef::new(StreamKind::Vehicle, "vehicle-1").expect("an id"),
        },
        B::LetterReleased { letter: "A".into() },
        B::Undone { event: id("e1") },
        B::LabourRateSet { cents_per_hour: 7_250 },
        B::EstimateWordsSet { words: "binding for four weeks".into() },
        B::TimesSet { allowance_percent: 20, first_time_percent: 130 },
    ]
}

fn samples() -> Vec<AnyEvent> {
    let bodies = [people_and_devices(), dates(), things()].concat();
    let event = |(at, body)| {
        let count = at as u64 + 1;
        let order = EventOrder { round: count, device: device("tablet"), count };
        let person = PersonId::new("person-1").filter(|_| at % 2 == 0);
        let id = id(&format!("e{count}"));
        AnyEvent::from(Event { stream: shop(), id, order, person, at_ms: 1_700_000_000_000, body })
    };
    bodies.into_iter().enumerate().map(event).collect()
}

fn shop() -> StreamRef {
    StreamRef::new(B::KIND, "shop").expect("an id")
}

/// The kinds of bodies; a new one does not compile before it is here.
const fn kind_number(body: &B) -> usize {
    match body {
        B::PersonAdded { .. } => 0,
        B::PersonRenamed { .. } => 1,
        B::DevicePaired { .. } => 2,
        B::DeviceRenamed { .. } => 3,
        B::DeviceTaken { .. } => 4,
        B::DeviceRevoked { .. } => 5,
        B::HoursSet { .. } => 6,
        B::HolidaySet { .. } => 7,
        B::HolidayDropped { .. } => 8,
        B::HelperHoursSet { .. } => 9,
        B::VisitPromised { .. } => 10,
        B::PartExpected { .. } => 11,
        B::VisitGoesFirst { .. } => 12,
        B::ToolBought { .. } => 13,
        B::ToolLent { .. } => 14,
        B::ToolReturned { .. } => 15,
        B::ToolLost { .. } => 16,
        B::ToolCalibrated { .. } => 17,
        B::LeverMeasured { .. } => 18,
        B::DriverRead { .. } => 19,
        B::TrayMade { .. } => 20,
        B::TrayRetired { .. } => 21,
        B::LetterGiven { .. } => 22,
        B::LetterReleased { .. } => 23,
        B::Undone { .. } => 24,
        B::LabourRateSet { .. } => 25,
        B::EstimateWordsSet { .. } => 26,
        B::TimesSet { .. } => 27,
    }
}

#[test]
fn what_was_stored_of_a_workshop_is_read_back_and_written_the_same() {
    let stored: Vec<&str> = STORED.lines().collect();
    for (at, event) in samples().iter().enumerate() {
        let written = event.to_json().expect("plain data");
        assert_eq!(stored.get(at).copied(), Some(written.as_str()));
        assert_eq!(AnyEvent::read_json(&shop(), &written).as_ref(), Ok(event));
    }
    assert_eq!(stored.len(), samples().len());
}

#[test]
fn every_kind_of_event_of_a_workshop_is_stored() {
    let bodies = [people_and_devices(), dates(), things()].concat();
    let kinds: std::collections::BTreeSet<usize> = bodies.iter().map(kind_number).collect();
    assert_eq!(kinds.len(), 28);
}
