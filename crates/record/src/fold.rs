//! What a kind of stream has to say of its events and its state; everything else is the same for all four.

use core::fmt::Debug;

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::{ContentDigest, Event, EventId, StreamKind, StreamRef};

/// What the events of one kind of stream say.
pub trait StreamBody: Debug + Clone + PartialEq + Serialize + DeserializeOwned {
    /// The kind of stream.
    const KIND: StreamKind;

    /// The event of the same stream that this one takes back, if it is a taking back.
    fn undone_event(&self) -> Option<&EventId>;

    /// Events of the same stream that it names, the one that it takes back included.
    fn named_events(&self) -> Vec<&EventId>;

    /// Other streams that it names.
    fn named_streams(&self) -> Vec<&StreamRef>;

    /// Documents that it names.
    fn named_documents(&self) -> Vec<&ContentDigest>;

    /// What in it cannot be, whatever the state; `None` for a body with a shape.
    fn find_broken_field(&self) -> Option<String>;

    /// Whether it counts although it was taken back: what replaces it is a later event of its kind.
    fn stands_always(&self) -> bool {
        false
    }
}

/// The state that the events of a stream make.
///
/// Order and taking back are not decided here: [`crate::EventHistory`] folds [`StreamFold::evolve`] over the events that
/// stand, in their order, and [`crate::replay_events`] is its definition.
pub trait StreamFold: Debug + Clone + Default + PartialEq + Serialize + DeserializeOwned {
    /// What its events say.
    type Body: StreamBody;

    /// The shape of the state; it rises whenever a field changes, because a saved state is never migrated.
    const STATE_FORMAT: &'static str;

    /// Applies one event that counts; records what it says and never fails.
    fn evolve(&mut self, event: &Event<Self::Body>);
}

/// The event of a state's stream.
pub(crate) type EventOf<S> = Event<<S as StreamFold>::Body>;
