//! A stream that is read whole and kept at hand: the workshop's own, a vehicle's, a book's.

use archive::{ArchiveError, EventArchive};
use record::{AnyEvent, DeviceId, Event, EventHistory, EventId, PersonId, StreamBody, StreamFold, StreamRef};

use super::{WorkshopError, new_id, now_ms};

/// A stream at hand.
pub(crate) struct OwnStream<S: StreamFold> {
    history: EventHistory<S>,
    /// Place in the archive of the newest event that was looked at.
    position: u64,
    /// Events that are not what was written, each with its place; they are left out.
    faults: Vec<String>,
}

/// Who writes an event: the device, and the person who answers for it.
#[derive(Debug, Clone)]
pub(crate) struct EventWriter {
    pub(crate) device: DeviceId,
    pub(crate) person: Option<PersonId>,
}

impl<S: StreamFold> OwnStream<S>
where
    AnyEvent: From<Event<S::Body>>,
    Event<S::Body>: TryFrom<AnyEvent>,
{
    /// Reads a stream; one without events is a stream that has not begun.
    pub(crate) fn read_whole(archive: &dyn EventArchive, stream: StreamRef) -> Result<Self, WorkshopError> {
        let mut own = Self { history: EventHistory::new(stream), position: 0, faults: Vec::new() };
        own.follow(archive)?;
        Ok(own)
    }

    /// Takes in what the archive has of this stream since, whoever wrote it.
    pub(crate) fn follow(&mut self, archive: &dyn EventArchive) -> Result<(), WorkshopError> {
        let stream = self.history.stream().clone();
        let mut new = Vec::new();
        loop {
            let mut position = self.position;
            let read = archive.read_events(&stream, position, &mut |kept| {
                position = kept.position;
                new.extend(Event::<S::Body>::try_from(kept.event).ok());
                true
            });
            self.position = position;
            match read {
                Ok(()) => break,
                Err(ArchiveError::Unreadable { position, reason }) if position > self.position => {
                    self.faults.push(format!("{stream}: event {position} is left out: {reason}"));
                    self.position = position;
                }
                Err(error) => return Err(error.into()),
            }
        }
        if self.history.event_count() == 0 {
            self.history = EventHistory::from_events(stream, new);
        } else {
            new.into_iter().for_each(|event| _ = self.history.insert(event));
        }
        Ok(())
    }

    /// Events that are left out because they are not what was written.
    pub(crate) fn faults(&self) -> &[String] {
        &self.faults
    }

    /// The state.
    pub(crate) fn state(&self) -> &S {
        self.history.state()
    }

    /// Number of events.
    pub(crate) fn event_count(&self) -> u64 {
        self.history.event_count()
    }

    /// Events that say something, one after the other, at one time; nothing is written yet.
    pub(crate) fn make_events(&self, writer: &EventWriter, bodies: Vec<S::Body>) -> Vec<Event<S::Body>> {
        events_in_order(&self.history, writer, bodies)
    }

    /// Writes what is said to the archive, then to the state at hand.
    pub(crate) fn say(
        &mut self,
        archive: &mut dyn EventArchive,
        writer: &EventWriter,
        bodies: Vec<S::Body>,
    ) -> Result<(), WorkshopError> {
        self.follow(archive)?;
        let events = self.make_events(writer, bodies);
        let any: Vec<AnyEvent> = events.into_iter().map(AnyEvent::from).collect();
        archive.append_events(&any)?;
        self.follow(archive)
    }
}

/// The events of one decision: places one after the other, one time, so that it is taken back as one.
pub(super) fn events_in_order<S: StreamFold>(
    history: &EventHistory<S>,
    writer: &EventWriter,
    bodies: Vec<S::Body>,
) -> Vec<Event<S::Body>>
where
    S::Body: StreamBody,
{
    let mut order = history.next_order(&writer.device);
    let at_ms = now_ms();
    let mut events = Vec::with_capacity(bodies.len());
    for body in bodies {
        let id = EventId::new(&new_id()).expect("letters and figures");
        let (stream, person) = (history.stream().clone(), writer.person.clone());
        let next = order.next_of_device();
        events.push(Event { stream, id, order: core::mem::replace(&mut order, next), person, at_ms, body });
    }
    events
}
