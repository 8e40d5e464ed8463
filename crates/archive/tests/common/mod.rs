//! Events to write in tests.

use record::{DeviceId, Event, EventBody, EventId, EventOrder, EventPlace, VisitId};

/// An id of letters and figures.
pub fn visit(text: &str) -> VisitId {
    VisitId::new(text).expect("letters and figures")
}

/// The `number`-th note of a device.
pub fn note(visit: &VisitId, device: &str, number: u64) -> Event {
    Event {
        id: EventId::new(&format!("{visit}-{device}-{number}")).expect("letters and figures"),
        visit: visit.clone(),
        order: EventOrder {
            round: number,
            device: DeviceId::new(device).expect("letters and figures"),
            sequence: number,
        },
        at_ms: 1_800_000_000_000 + i64::try_from(number).expect("small"),
        body: EventBody::Noted { words: format!("note {number} of {device}"), at: EventPlace::default() },
    }
}
