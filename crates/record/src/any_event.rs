//! An event of any of the four kinds of streams, as it lies on disk and travels.

use crate::{
    BookBody, ContentDigest, Event, EventId, EventOrder, NeedsAttention, StreamBody, StreamKind, StreamRef,
    VehicleBody, VisitBody, WorkshopBody, read_event,
};

/// An event of any kind of stream.
#[derive(Debug, Clone, PartialEq)]
pub enum AnyEvent {
    /// Of a workshop.
    Workshop(Event<WorkshopBody>),
    /// Of a vehicle.
    Vehicle(Event<VehicleBody>),
    /// Of a visit.
    Visit(Event<VisitBody>),
    /// Of a book.
    Book(Event<BookBody>),
}

/// Asks the event inside for something that all kinds have.
macro_rules! of_any {
    ($any:expr, $event:ident => $what:expr) => {
        match $any {
            AnyEvent::Workshop($event) => $what,
            AnyEvent::Vehicle($event) => $what,
            AnyEvent::Visit($event) => $what,
            AnyEvent::Book($event) => $what,
        }
    };
}

impl AnyEvent {
    /// Reads an event of a stream and lets it in, as [`read_event`] does.
    ///
    /// # Errors
    ///
    /// Why a person has to look at it.
    pub fn read_json(stream: &StreamRef, text: &str) -> Result<Self, NeedsAttention> {
        Ok(match stream.kind {
            StreamKind::Workshop => Self::Workshop(read_event(stream, text)?),
            StreamKind::Vehicle => Self::Vehicle(read_event(stream, text)?),
            StreamKind::Visit => Self::Visit(read_event(stream, text)?),
            StreamKind::Book => Self::Book(read_event(stream, text)?),
        })
    }

    /// Reads an event by the stream that it names itself, as a rescue finds it.
    ///
    /// # Errors
    ///
    /// Why a person has to look at it.
    pub fn read_alone(text: &str) -> Result<Self, NeedsAttention> {
        #[derive(serde::Deserialize)]
        struct NamedStream {
            stream: StreamRef,
        }
        let named: NamedStream = serde_json::from_str(text)
            .map_err(|error| NeedsAttention::Unreadable(crate::describe_json_error(&error)))?;
        Self::read_json(&named.stream, text)
    }

    /// The event as one line of JSON; `None` where a figure in it is no number.
    #[must_use]
    pub fn to_json(&self) -> Option<String> {
        of_any!(self, event => serde_json::to_string(event).ok())
    }

    /// Its name.
    #[must_use]
    pub fn id(&self) -> &EventId {
        of_any!(self, event => &event.id)
    }

    /// The stream it belongs to.
    #[must_use]
    pub fn stream(&self) -> &StreamRef {
        of_any!(self, event => &event.stream)
    }

    /// Its place in the defined order.
    #[must_use]
    pub fn order(&self) -> &EventOrder {
        of_any!(self, event => &event.order)
    }

    /// What the writer's clock showed, milliseconds since 1970-01-01 UTC.
    #[must_use]
    pub fn at_ms(&self) -> i64 {
        of_any!(self, event => event.at_ms)
    }

    /// Documents that it names.
    #[must_use]
    pub fn named_documents(&self) -> Vec<&ContentDigest> {
        of_any!(self, event => event.body.named_documents())
    }

    /// Other streams that it names.
    #[must_use]
    pub fn named_streams(&self) -> Vec<&StreamRef> {
        of_any!(self, event => event.body.named_streams())
    }
}

/// Turns an event of one kind into one of any kind, and back.
macro_rules! kind_of_any {
    ($body:ident, $kind:ident) => {
        impl From<Event<$body>> for AnyEvent {
            fn from(event: Event<$body>) -> Self {
                Self::$kind(event)
            }
        }

        impl TryFrom<AnyEvent> for Event<$body> {
            type Error = AnyEvent;

            fn try_from(any: AnyEvent) -> Result<Self, AnyEvent> {
                if let AnyEvent::$kind(event) = any { Ok(event) } else { Err(any) }
            }
        }
    };
}

kind_of_any!(WorkshopBody, Workshop);
kind_of_any!(VehicleBody, Vehicle);
kind_of_any!(VisitBody, Visit);
kind_of_any!(BookBody, Book);
