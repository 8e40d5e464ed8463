//! One event as every device and the disk know it: who, when, in which order, and what.

use core::fmt;

use serde::{Deserialize, Serialize};

use crate::EventBody;

/// A name of 26 letters and figures (Crockford's base 32, as the open ULID form writes 128 bits).
macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
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

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

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

/// Where an event stands among all of its visit: the same on every device, whichever arrived first.
///
/// `round` is one more than the highest round that the device had seen (Lamport, Time, clocks and the ordering of events
/// in a distributed system, Communications of the ACM 21, 1978), so an event stands after all that its writer knew of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct EventOrder {
    /// The logical clock.
    pub round: u64,
    /// The writer.
    pub device: DeviceId,
    /// Counts the writer's events of this visit.
    pub sequence: u64,
}

/// An event.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// Its name.
    pub id: EventId,
    /// The visit it belongs to.
    pub visit: VisitId,
    /// Its place in the defined order.
    pub order: EventOrder,
    /// What the writer's clock said, milliseconds since 1970-01-01 UTC; a claim, never used for order.
    pub at_ms: i64,
    /// What happened.
    pub body: EventBody,
}
