//! One visit at hand: its book, store and plan, and the state that its events make.

use archive::{AppendOutcome, EventArchive, SavedState};
use model::plan::Plan;
use model::{Book, Store};
use record::{
    DeviceId, Event, EventBody, EventHistory, InsertOutcome, JournalCommand, StateSnapshot, Visit, VisitId,
    decide,
};

use super::{WorkshopError, bundle};

/// Format of saved states; another one is not read but made anew.
const SAVED: u32 = 1;

/// Events kept at hand besides the state, for those that arrive late; older ones are read from the archive when asked.
const AT_HAND: usize = 1_000;

/// Events after which the state is saved again.
const SAVE_EVERY: u64 = 500;

/// Events taken in at once when many are read.
const AT_ONCE: usize = 2_000;

/// One visit at hand.
pub struct LiveVisit {
    book: Book,
    store: Store,
    plan: Plan,
    history: EventHistory,
    /// Place in the archive of the newest event that the history holds.
    position: u64,
    /// Events since the state was saved.
    unsaved: u64,
}

impl LiveVisit {
    /// A visit that has not begun.
    pub(super) fn new(id: VisitId, book: Book, store: Store, plan: Plan) -> Self {
        Self { book, store, plan, history: EventHistory::new(id), position: 0, unsaved: 0 }
    }

    /// Reads a visit: the saved state, then the events since.
    pub(super) fn read_visit(archive: &dyn EventArchive, id: &VisitId) -> Result<Self, WorkshopError> {
        let saved = archive.find_saved_state(id, SAVED)?.and_then(|saved| {
            let snapshot = StateSnapshot::from_json(core::str::from_utf8(&saved.bytes).ok()?)?;
            Some((EventHistory::resume_from(snapshot), saved.position))
        });
        let before = saved.as_ref().map_or(0, |(history, _)| history.event_count());
        let (mut history, position) = match saved {
            Some((history, position)) => catch_up(archive, history, position)?,
            None => catch_up(archive, EventHistory::new(id.clone()), 0)?,
        };
        let unsaved = history.event_count().saturating_sub(before);
        if history.event_count() == 0 {
            return Err(WorkshopError::NoVisit(id.to_string()));
        }
        let (opened, planned) = (history.visit().opened.clone(), history.visit().planned.clone());
        let Some((opened, planned)) = opened.zip(planned) else {
            return Err(WorkshopError::NoVisit(format!("{id} whose beginning has arrived")));
        };
        trim_history(&mut history);
        Ok(Self {
            book: bundle::book_of_document(archive, &opened.book)?,
            store: bundle::store_of_document(archive, &opened.store)?,
            plan: bundle::plan_of_document(archive, &planned.plan)?,
            history,
            position,
            unsaved,
        })
    }

    /// The book.
    #[must_use]
    pub const fn book(&self) -> &Book {
        &self.book
    }

    /// The tool store.
    #[must_use]
    pub const fn store(&self) -> &Store {
        &self.store
    }

    /// The plan that is worked by now.
    #[must_use]
    pub const fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The events at hand and the state.
    #[must_use]
    pub const fn history(&self) -> &EventHistory {
        &self.history
    }

    /// The state.
    #[must_use]
    pub fn state(&self) -> &Visit {
        self.history.visit()
    }

    /// What would be written for a command.
    pub(super) fn decide_command(
        &self,
        device: &DeviceId,
        command: &JournalCommand,
    ) -> Result<Vec<EventBody>, WorkshopError> {
        let command = match command {
            JournalCommand::UndoLast { .. } => JournalCommand::UndoLast { device: device.clone() },
            other => other.clone(),
        };
        Ok(decide(self.state(), &self.book, &self.plan, command)?)
    }

    /// Takes in events that the archive has kept.
    pub(super) fn take_in_events(
        &mut self,
        archive: &mut dyn EventArchive,
        events: Vec<Event>,
        kept: &[AppendOutcome],
    ) -> Result<(), WorkshopError> {
        for (event, kept) in events.into_iter().zip(kept) {
            let AppendOutcome::New(position) = *kept else { continue };
            self.unsaved += 1;
            let plan = match &event.body {
                EventBody::Planned { plan, .. } => Some(plan.clone()),
                _ => None,
            };
            if self.history.insert(event) == InsertOutcome::NeedsAll {
                (self.history, self.position) = read_whole_history(archive, &self.history.id().clone())?;
            }
            self.position = self.position.max(position);
            if plan.is_some()
                && let Some(planned) = &self.history.visit().planned
            {
                self.plan = bundle::plan_of_document(archive, &planned.plan)?;
            }
        }
        self.save_if_due(archive)
    }

    /// Saves the state where many events have come since, and lets go of old ones.
    pub(super) fn save_if_due(&mut self, archive: &mut dyn EventArchive) -> Result<(), WorkshopError> {
        trim_history(&mut self.history);
        if self.unsaved >= SAVE_EVERY { self.save_state(archive) } else { Ok(()) }
    }

    /// Saves the state.
    pub(super) fn save_state(&mut self, archive: &mut dyn EventArchive) -> Result<(), WorkshopError> {
        if self.unsaved > 0 {
            let bytes = serde_json::to_vec(&self.history.take_snapshot()).expect("a state is plain data");
            let saved = SavedState { position: self.position, bytes };
            archive.put_saved_state(self.history.id(), SAVED, &saved)?;
            self.unsaved = 0;
        }
        Ok(())
    }
}

/// Lets go of old events where there are many.
fn trim_history(history: &mut EventHistory) {
    if history.events().len() > 2 * AT_HAND {
        history.drop_old_events(AT_HAND);
    }
}

/// The events since a state; all of them at once where one goes before what is at hand.
fn catch_up(
    archive: &dyn EventArchive,
    history: EventHistory,
    mut position: u64,
) -> Result<(EventHistory, u64), WorkshopError> {
    let id = history.id().clone();
    let (mut history, mut some) = (Some(history), Vec::new());
    archive.read_events(&id, position, &mut |kept| {
        position = kept.position;
        some.push(kept.event);
        if some.len() == AT_ONCE {
            history = history.take().and_then(|history| take_in_batch(history, core::mem::take(&mut some)));
        }
        history.is_some()
    })?;
    match history.and_then(|history| take_in_batch(history, some)) {
        Some(history) => Ok((history, position)),
        None => read_whole_history(archive, &id),
    }
}

fn take_in_batch(history: EventHistory, some: Vec<Event>) -> Option<EventHistory> {
    let mut history = history.with_all_events(some)?;
    trim_history(&mut history);
    Some(history)
}

fn read_whole_history(
    archive: &dyn EventArchive,
    id: &VisitId,
) -> Result<(EventHistory, u64), WorkshopError> {
    let (mut events, mut position) = (Vec::new(), 0);
    archive.read_events(id, 0, &mut |kept| {
        position = kept.position;
        events.push(kept.event);
        true
    })?;
    Ok((EventHistory::from_events(id.clone(), events), position))
}
