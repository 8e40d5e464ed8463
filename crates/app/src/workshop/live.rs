//! One visit at hand: its book, store and plan, and the state that its events make.

use archive::{EventArchive, SavedState};
use model::plan::Plan;
use model::{Book, Store};
use record::visit::SeenEngine;
use record::{
    DeviceId, Event, EventHistory, InsertOutcome, StateSnapshot, StreamRef, Visit, VisitBody, VisitCommand,
    VisitId, decide,
};

use super::texts::{NamedTexts, VisitTexts};
use super::{WorkshopError, grown};

/// Format of saved states; another one is not read but made anew.
const SAVED: u32 = 4;

/// Events kept at hand besides the state, for those that arrive late; older ones are read from the archive when asked.
const AT_HAND: usize = 1_000;

/// Events after which the state is saved again.
const SAVE_EVERY: u64 = 500;

/// Events taken in at once when many are read.
const AT_ONCE: usize = 2_000;

/// One visit at hand; book, store and plan are there where it has them and they can be read.
pub struct LiveVisit {
    texts: VisitTexts,
    /// The documents that the texts were read from.
    read_from: NamedTexts,
    /// The book with what was seen taken in, where something was.
    grown: Option<Book>,
    /// What was seen when it was grown.
    grown_of: SeenEngine,
    history: EventHistory,
    /// Place in the archive of the newest event that the history holds.
    position: u64,
    /// Events since the state was saved.
    unsaved: u64,
}

impl LiveVisit {
    /// A visit that has not begun.
    pub(super) fn new(id: &VisitId) -> Self {
        let (texts, read_from) = (VisitTexts::default(), NamedTexts::default());
        let history = EventHistory::new(id);
        Self {
            texts,
            read_from,
            grown: None,
            grown_of: SeenEngine::default(),
            history,
            position: 0,
            unsaved: 0,
        }
    }

    /// Reads a visit: the saved state, then the events since.
    pub(super) fn read_visit(archive: &dyn EventArchive, id: &VisitId) -> Result<Self, WorkshopError> {
        let saved = archive.find_saved_state(&id.into(), SAVED)?.and_then(|saved| {
            let snapshot = StateSnapshot::from_json(core::str::from_utf8(&saved.bytes).ok()?)?;
            Some((EventHistory::resume_from(snapshot), saved.position))
        });
        let before = saved.as_ref().map_or(0, |(history, _)| history.event_count());
        let (mut history, position) = match saved {
            Some((history, position)) => read_on(archive, history, position)?,
            None => read_on(archive, EventHistory::new(id), 0)?,
        };
        let unsaved = history.event_count().saturating_sub(before);
        if history.event_count() == 0 {
            return Err(WorkshopError::NoVisit(id.to_string()));
        }
        trim_history(&mut history);
        let (texts, read_from) = (VisitTexts::default(), NamedTexts::default());
        let (grown, grown_of) = (None, SeenEngine::default());
        let mut live = Self { texts, read_from, grown, grown_of, history, position, unsaved };
        live.read_texts(archive)?;
        Ok(live)
    }

    /// The visit's id.
    #[must_use]
    pub fn id(&self) -> VisitId {
        self.history.stream().visit_id().expect("the stream of a visit")
    }

    /// The book with what was seen in this visit taken in, where there is one that can be read.
    #[must_use]
    pub fn book(&self) -> Option<&Book> {
        self.grown.as_ref().or(self.texts.book.as_ref())
    }

    /// The book as it was before anything was seen in this visit.
    #[must_use]
    pub(super) const fn base_book(&self) -> Option<&Book> {
        self.texts.book.as_ref()
    }

    /// The tool store, where there is one that can be read.
    #[must_use]
    pub const fn store(&self) -> Option<&Store> {
        self.texts.store.as_ref()
    }

    /// The plan that is worked by now, or the last one that can be read.
    #[must_use]
    pub const fn plan(&self) -> Option<&Plan> {
        self.texts.plan.as_ref()
    }

    /// Book, store and plan, where the visit has all three.
    #[must_use]
    pub fn planned_texts(&self) -> Option<(&Book, &Store, &Plan)> {
        Some((self.book()?, self.store()?, self.plan()?))
    }

    /// Book, store and plan.
    ///
    /// # Errors
    /// [`WorkshopError::Missing`] with what is missing and what to do.
    pub fn require_planned_texts(&self) -> Result<(&Book, &Store, &Plan), WorkshopError> {
        self.planned_texts().ok_or_else(|| WorkshopError::Missing(self.missing_words()))
    }

    /// What the visit has not, and what to do about it; empty where it has book, store and plan.
    #[must_use]
    pub fn missing_words(&self) -> String {
        self.texts.missing_words()
    }

    /// Texts of the visit that cannot be read, each with why.
    #[must_use]
    pub fn unreadable_texts(&self) -> &[String] {
        &self.texts.unreadable
    }

    /// Reads book, store and plan anew where the state names others than those at hand.
    fn read_texts(&mut self, archive: &dyn EventArchive) -> Result<(), WorkshopError> {
        let named = NamedTexts::of_state(self.history.state());
        let are_new = named != self.read_from;
        if are_new {
            self.texts = VisitTexts::read_named(archive, &named)?;
            self.read_from = named;
        }
        let state = self.history.state();
        if are_new || state.seen != self.grown_of {
            self.grown = grown::grow_for_visit(self.texts.book.as_ref(), state).and_then(|grown| grown.book);
            self.grown_of = state.seen.clone();
        }
        Ok(())
    }

    /// The events at hand and the state.
    #[must_use]
    pub const fn history(&self) -> &EventHistory {
        &self.history
    }

    /// The state.
    #[must_use]
    pub fn state(&self) -> &Visit {
        self.history.state()
    }

    /// What would be written for a command.
    pub(super) fn decide_command(
        &self,
        device: &DeviceId,
        command: &VisitCommand,
    ) -> Result<Vec<VisitBody>, WorkshopError> {
        let command = match command {
            VisitCommand::UndoLast { .. } => VisitCommand::UndoLast { device: device.clone() },
            other => other.clone(),
        };
        Ok(decide(self.state(), self.book(), self.plan(), command)?)
    }

    /// Takes in what the archive has of this visit since it was last asked, whoever wrote it: the state follows from the
    /// archive alone and never goes past an event that it has not seen.
    pub(super) fn catch_up(&mut self, archive: &mut dyn EventArchive) -> Result<(), WorkshopError> {
        let stream = self.history.stream().clone();
        let (mut new, mut position) = (Vec::new(), self.position);
        archive.read_events(&stream, position, &mut |kept| {
            position = kept.position;
            new.extend(Event::<VisitBody>::try_from(kept.event).ok());
            true
        })?;
        if new.is_empty() {
            return Ok(());
        }
        self.unsaved += new.len() as u64;
        let needs_all = new.into_iter().any(|event| self.history.insert(event) == InsertOutcome::NeedsAll);
        self.position = position;
        if needs_all {
            (self.history, self.position) = read_whole_history(archive, &stream)?;
        }
        self.read_texts(archive)?;
        self.save_if_due(archive);
        Ok(())
    }

    /// Saves the state where many events have come since, and drops old ones. A state that cannot be saved costs time at the
    /// next start and nothing else.
    pub(super) fn save_if_due(&mut self, archive: &mut dyn EventArchive) {
        trim_history(&mut self.history);
        if self.unsaved >= SAVE_EVERY {
            let _ = self.save_state(archive);
        }
    }

    /// Saves the state.
    pub(super) fn save_state(&mut self, archive: &mut dyn EventArchive) -> Result<(), WorkshopError> {
        if self.unsaved > 0 {
            let bytes = serde_json::to_vec(&self.history.take_snapshot()).expect("a state is plain data");
            let saved = SavedState { position: self.position, bytes };
            archive.put_saved_state(self.history.stream(), SAVED, &saved)?;
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
fn read_on(
    archive: &dyn EventArchive,
    history: EventHistory,
    mut position: u64,
) -> Result<(EventHistory, u64), WorkshopError> {
    let stream = history.stream().clone();
    let (mut history, mut some) = (Some(history), Vec::new());
    archive.read_events(&stream, position, &mut |kept| {
        position = kept.position;
        some.extend(Event::<VisitBody>::try_from(kept.event).ok());
        if some.len() == AT_ONCE {
            history = history.take().and_then(|history| take_in_batch(history, core::mem::take(&mut some)));
        }
        history.is_some()
    })?;
    match history.and_then(|history| take_in_batch(history, some)) {
        Some(history) => Ok((history, position)),
        None => read_whole_history(archive, &stream),
    }
}

fn take_in_batch(history: EventHistory, some: Vec<Event>) -> Option<EventHistory> {
    let mut history = history.with_all_events(some)?;
    trim_history(&mut history);
    Some(history)
}

fn read_whole_history(
    archive: &dyn EventArchive,
    stream: &StreamRef,
) -> Result<(EventHistory, u64), WorkshopError> {
    let (mut events, mut position) = (Vec::new(), 0);
    archive.read_events(stream, 0, &mut |kept| {
        position = kept.position;
        events.extend(Event::<VisitBody>::try_from(kept.event).ok());
        true
    })?;
    Ok((EventHistory::from_events(stream.clone(), events), position))
}
