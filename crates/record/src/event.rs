//! One event as every device and the disk know it: of which stream, who, when, in which order, and what.

use serde::{Deserialize, Serialize};

use crate::{StreamRef, VisitBody};

/// A name of 26 letters and figures (Crockford's base 32, as the open ULID form writes 128 bits).
macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(String);

        impl $name {
            /// The id, where the text is one: 1 to 40 letters, figures or hyphens.
            #[must_use]
            pub fn new(text: &str) -> Option<Self> {
                let fits = (1..=40).contains(&text.len())
                    && text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
                fits.then(|| Self(text.to_owned()))
            }

            /// The id as text.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl core::fmt::Display for $name {
            fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

pub(crate) use id;

id! {
    /// An event; made by the device, so that the same event sent twice counts once.
    EventId
}
id! {
    /// One vehicle's stay.
    VisitId
}
id! {
    /// A computer, tablet or phone that writes events.
    DeviceId
}
id! {
    /// Somebody who works in the workshop.
    PersonId
}

/// The place of an event among all of its stream: the same on every device, whichever arrived first.
///
/// `round` is one more than the highest round that the device had seen (Lamport, Time, clocks and the ordering of events
/// in a distributed system, Communications of the ACM 21, 1978), so an event comes after all that its writer knew of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct EventOrder {
    /// The logical clock.
    pub round: u64,
    /// The writer.
    pub device: DeviceId,
    /// Counts the writer's events of this stream.
    pub count: u64,
}

impl EventOrder {
    /// The place after this one, of the same writer.
    #[must_use]
    pub fn next_of_device(&self) -> Self {
        Self {
            round: self.round.saturating_add(1),
            device: self.device.clone(),
            count: self.count.saturating_add(1),
        }
    }
}

/// The one format word of all events, on the wire and on disk.
pub const EVENT_FORMAT: &str = "traywright-event/1";

/// An event; a visit's, where the kind of its body is not said.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "format", rename = "traywright-event/1")]
pub struct Event<B = VisitBody> {
    /// The stream it belongs to.
    pub stream: StreamRef,
    /// Its name.
    pub id: EventId,
    /// Its place in the defined order.
    pub order: EventOrder,
    /// Who answers for it; `None`: nobody was named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub person: Option<PersonId>,
    /// What the writer's clock showed, milliseconds since 1970-01-01 UTC; a claim, never used for order.
    pub at_ms: i64,
    /// What happened.
    pub body: B,
}
