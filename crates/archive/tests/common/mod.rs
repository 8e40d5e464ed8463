//! Events to write in tests.

use record::{AnyEvent, DeviceId, Event, EventId, EventOrder, EventPlace, VisitBody, VisitId};

/// An id of letters and figures.
pub fn visit(text: &str) -> VisitId {
    VisitId::new(text).expect("letters and figures")
}

/// The `number`-th note of a device.
pub fn note(visit: &VisitId, device: &str, number: u64) -> AnyEvent {
    AnyEvent::Visit(Event {
        id: EventId::new(&format!("{visit}-{device}-{number}")).expect("letters and figures"),
        stream: visit.into(),
        order: EventOrder {
            round: number,
            device: DeviceId::new(device).expect("letters and figures"),
            count: number,
        },
        person: None,
        at_ms: 1_800_000_000_000 + i64::try_from(number).expect("small"),
        body: VisitBody::Noted { words: format!("note {number} of {device}"), at: EventPlace::default() },
    })
}
