//! A state with its place among the events, so that a program starts without reading all of them.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::{DeviceId, Event, EventId, EventOrder, Visit, VisitId};

/// The state after the first `count` events.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StateSnapshot {
    /// [`StateSnapshot::FORMAT`]; another one is not read but made anew from the events.
    pub format: String,
    /// The visit.
    pub id: VisitId,
    /// Its state.
    pub visit: Visit,
    /// The place of the last event in it; `None`: there is no event yet.
    pub order: Option<EventOrder>,
    /// The last event in it.
    pub event: Option<EventId>,
    /// Number of events in it.
    pub count: u64,
    /// The highest sequence of each device.
    pub sequences: BTreeMap<DeviceId, u64>,
    /// Events that lost their id to another content.
    pub doubles: Vec<Event>,
}

impl StateSnapshot {
    /// The shape of the state; it rises whenever a field of the state changes, for a snapshot is never migrated.
    pub const FORMAT: &str = "traywright-snapshot/2";

    /// Reads a snapshot; `None` where it is of another shape or broken, which costs time and nothing else.
    #[must_use]
    pub fn from_json(text: &str) -> Option<Self> {
        serde_json::from_str::<Self>(text).ok().filter(|s| s.format == Self::FORMAT)
    }

    /// Writes a snapshot as one line of JSON; `None` where a reading holds no number.
    #[must_use]
    pub fn to_json(&self) -> Option<String> {
        serde_json::to_string(self).ok()
    }
}
