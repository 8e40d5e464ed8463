//! The four kinds of streams, and how an event of one stream is named in another.

use core::fmt;

use serde::{Deserialize, Serialize};

use crate::event::id;
use crate::{EventId, VisitId};

/// What a stream is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StreamKind {
    /// People, devices, hours, tools, trays and letters of one workshop.
    Workshop,
    /// One vehicle over all its visits.
    Vehicle,
    /// One vehicle's stay.
    Visit,
    /// One engine's book as it grows.
    Book,
}

impl StreamKind {
    /// All kinds, in their order.
    pub const ALL: [Self; 4] = [Self::Workshop, Self::Vehicle, Self::Visit, Self::Book];

    /// The word used on the wire and on disk.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Workshop => "workshop",
            Self::Vehicle => "vehicle",
            Self::Visit => "visit",
            Self::Book => "book",
        }
    }

    /// The kind of a word.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.as_str() == word)
    }
}

impl fmt::Display for StreamKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

id! {
    /// A stream among those of its kind.
    StreamId
}
id! {
    /// A vehicle, whatever it is called and whichever plate it carries.
    VehicleId
}

/// A stream.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct StreamRef {
    /// What it is about.
    pub kind: StreamKind,
    /// Which one.
    pub id: StreamId,
}

impl StreamRef {
    /// A stream of a kind; `None` where the text is not an id.
    #[must_use]
    pub fn new(kind: StreamKind, id: &str) -> Option<Self> {
        Some(Self { kind, id: StreamId::new(id)? })
    }

    /// The visit, where it is one.
    #[must_use]
    pub fn visit_id(&self) -> Option<VisitId> {
        if self.kind == StreamKind::Visit { VisitId::new(self.id.as_str()) } else { None }
    }

    /// The vehicle, where it is one.
    #[must_use]
    pub fn vehicle_id(&self) -> Option<VehicleId> {
        if self.kind == StreamKind::Vehicle { VehicleId::new(self.id.as_str()) } else { None }
    }

    /// Whether its id is one; what a device sends may hold any text.
    pub(crate) fn has_good_id(&self) -> bool {
        StreamId::new(self.id.as_str()).is_some()
    }
}

impl fmt::Display for StreamRef {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.kind, self.id)
    }
}

impl From<&VisitId> for StreamRef {
    fn from(visit: &VisitId) -> Self {
        Self { kind: StreamKind::Visit, id: StreamId(visit.as_str().to_owned()) }
    }
}

impl From<VisitId> for StreamRef {
    fn from(visit: VisitId) -> Self {
        Self::from(&visit)
    }
}

impl From<&VehicleId> for StreamRef {
    fn from(vehicle: &VehicleId) -> Self {
        Self { kind: StreamKind::Vehicle, id: StreamId(vehicle.as_str().to_owned()) }
    }
}

/// An event of another stream; inside one stream its [`EventId`] is enough.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct EventRef {
    /// The stream that holds it.
    pub stream: StreamRef,
    /// Which of its events.
    pub event: EventId,
}
