//! A state with its place among the events, so that a program starts without reading all of them.

use serde::{Deserialize, Serialize};

use crate::fold::EventOf;
use crate::{DeviceCounts, EventId, EventOrder, StreamFold, StreamRef, Visit};

/// The state after the first `count` events.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(bound = "")]
pub struct StateSnapshot<S: StreamFold = Visit> {
    /// [`StreamFold::STATE_FORMAT`]; another one is not read but made anew from the events.
    pub format: String,
    /// The stream.
    pub stream: StreamRef,
    /// Its state.
    pub state: S,
    /// The place of the last event in it; `None`: there is no event yet.
    pub order: Option<EventOrder>,
    /// The last event in it.
    pub event: Option<EventId>,
    /// Number of events in it.
    pub count: u64,
    /// What has come of each device.
    pub counts: DeviceCounts,
    /// Events that lost their id to another content.
    pub doubles: Vec<EventOf<S>>,
}

impl<S: StreamFold> StateSnapshot<S> {
    /// Reads a snapshot; `None` where it is of another shape or broken, which costs time and nothing else.
    #[must_use]
    pub fn from_json(text: &str) -> Option<Self> {
        serde_json::from_str::<Self>(text).ok().filter(|s| s.format == S::STATE_FORMAT)
    }

    /// Writes a snapshot as one line of JSON; `None` where a reading holds no number.
    #[must_use]
    pub fn to_json(&self) -> Option<String> {
        serde_json::to_string(self).ok()
    }
}
