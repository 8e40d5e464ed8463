//! One visit at hand: its book, store and plan, and the state that its events make.

use journal::{Body, Command, DeviceId, Event, History, Inserted, Snapshot, Visit, VisitId, decide};
use model::plan::Plan;
use model::{Book, Store};
use store::{Appended, Archive, Saved};

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
pub struct Live {
    book: Book,
    store: Store,
    plan: Plan,
    history: History,
    /// Place in the archive of the newest event that the history holds.
    position: u64,
    /// Events since the state was saved.
    unsaved: u64,
}

impl Live {
    /// A visit that has not begun.
    pub(super) fn new(id: VisitId, book: Book, store: Store, plan: Plan) -> Self {
        Self { book, store, plan, history: History::new(id), position: 0, unsaved: 0 }
    }

    /// Reads a visit: the saved state, then the events since.
    pub(super) fn read(archive: &dyn Archive, id: &VisitId) -> Result<Self, WorkshopError> {
        let saved = archive.saved(id, SAVED)?.and_then(|saved| {
            let snapshot = Snapshot::read(core::str::from_utf8(&saved.bytes).ok()?)?;
            Some((History::resume(snapshot), saved.position))
        });
        let before = saved.as_ref().map_or(0, |(history, _)| history.count());
        let (mut history, position) = match saved {
            Some((history, position)) => catch_up(archive, history, position)?,
            None => catch_up(archive, History::new(id.clone()), 0)?,
        };
        let unsaved = history.count().saturating_sub(before);
        if history.count() == 0 {
            return Err(WorkshopError::NoVisit(id.to_string()));
        }
        let (opened, planned) = (history.visit().opened.clone(), history.visit().planned.clone());
        let Some((opened, planned)) = opened.zip(planned) else {
            return Err(WorkshopError::NoVisit(format!("{id} whose beginning has arrived")));
        };
        trim(&mut history);
        Ok(Self {
            book: bundle::book(archive, &opened.book)?,
            store: bundle::store(archive, &opened.store)?,
            plan: bundle::plan(archive, &planned.plan)?,
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
    pub const fn history(&self) -> &History {
        &self.history
    }

    /// The state.
    #[must_use]
    pub fn state(&self) -> &Visit {
        self.history.visit()
    }

    /// What would be written for a command.
    pub(super) fn decide(&self, device: &DeviceId, command: &Command) -> Result<Vec<Body>, WorkshopError> {
        let command = match command {
            Command::UndoLast { .. } => Command::UndoLast { device: device.clone() },
            other => other.clone(),
        };
        Ok(decide(self.state(), &self.book, &self.plan, command)?)
    }

    /// Takes in events that the archive has kept.
    pub(super) fn follow(
        &mut self,
        archive: &mut dyn Archive,
        events: Vec<Event>,
        kept: &[Appended],
    ) -> Result<(), WorkshopError> {
        for (event, kept) in events.into_iter().zip(kept) {
            let Appended::New(position) = *kept else { continue };
            self.unsaved += 1;
            let plan = match &event.body {
                Body::Planned { plan, .. } => Some(plan.clone()),
                _ => None,
            };
            if self.history.insert(event) == Inserted::NeedsAll {
                (self.history, self.position) = read_all(archive, &self.history.id().clone())?;
            }
            self.position = self.position.max(position);
            if plan.is_some()
                && let Some(planned) = &self.history.visit().planned
            {
                self.plan = bundle::plan(archive, &planned.plan)?;
            }
        }
        self.save_if_due(archive)
    }

    /// Saves the state where many events have come since, and lets go of old ones.
    pub(super) fn save_if_due(&mut self, archive: &mut dyn Archive) -> Result<(), WorkshopError> {
        trim(&mut self.history);
        if self.unsaved >= SAVE_EVERY { self.save(archive) } else { Ok(()) }
    }

    /// Saves the state.
    pub(super) fn save(&mut self, archive: &mut dyn Archive) -> Result<(), WorkshopError> {
        if self.unsaved > 0 {
            let bytes = serde_json::to_vec(&self.history.snapshot()).expect("a state is plain data");
            let saved = Saved { position: self.position, bytes };
            archive.put_saved(self.history.id(), SAVED, &saved)?;
            self.unsaved = 0;
        }
        Ok(())
    }
}

/// Lets go of old events where there are many.
fn trim(history: &mut History) {
    if history.events().len() > 2 * AT_HAND {
        history.let_go(AT_HAND);
    }
}

/// The events since a state; all of them at once where one goes before what is at hand.
fn catch_up(
    archive: &dyn Archive,
    history: History,
    mut position: u64,
) -> Result<(History, u64), WorkshopError> {
    let id = history.id().clone();
    let (mut history, mut some) = (Some(history), Vec::new());
    archive.read(&id, position, &mut |kept| {
        position = kept.position;
        some.push(kept.event);
        if some.len() == AT_ONCE {
            history = history.take().and_then(|history| with_some(history, core::mem::take(&mut some)));
        }
        history.is_some()
    })?;
    match history.and_then(|history| with_some(history, some)) {
        Some(history) => Ok((history, position)),
        None => read_all(archive, &id),
    }
}

fn with_some(history: History, some: Vec<Event>) -> Option<History> {
    let mut history = history.with_all(some)?;
    trim(&mut history);
    Some(history)
}

fn read_all(archive: &dyn Archive, id: &VisitId) -> Result<(History, u64), WorkshopError> {
    let (mut events, mut position) = (Vec::new(), 0);
    archive.read(id, 0, &mut |kept| {
        position = kept.position;
        events.push(kept.event);
        true
    })?;
    Ok((History::of(id.clone(), events), position))
}
