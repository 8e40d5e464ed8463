//! All events of one stream with the state that they make, kept up to date as events arrive in any order.
//!
//! An event that goes to the end is applied at once. Anything else (an event from a device that was away, an undoing, one
//! id with two contents) changes the past: the state is folded anew from the last checkpoint before the change. The state
//! is always that of [`crate::replay`]; the laws compare them.

mod checkpoints;
mod device_counts;
mod long;
mod undoing;

use std::collections::{BTreeMap, BTreeSet};

use checkpoints::Checkpoints;
use undoing::Undoings;

pub use device_counts::{CountRange, DeviceCounts};

use crate::canon::{goes_first, is_folded, is_same_event, order_canonically};
use crate::fold::EventOf;
use crate::{DeviceId, EventId, EventOrder, StateSnapshot, StreamBody, StreamFold, StreamRef, Visit};

/// Events between two checkpoints.
pub const CHECKPOINT_INTERVAL: usize = 1_000;

/// What came of an arriving event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum InsertOutcome {
    /// It is new and went to the end.
    Appended,
    /// It is new and was inserted before others, or undoes one; the state was folded anew.
    Merged,
    /// It is known already.
    Again,
    /// Its id is known with another content; the canonical one of the two is kept, the other is in [`EventHistory::doubles`].
    Different,
    /// It belongs to another stream and was left out.
    Elsewhere,
    /// It precedes the snapshot that this history starts from; all events have to be read.
    NeedsAll,
}

/// All events of one stream and its state; a visit's, where the state is not named.
#[derive(Debug, Clone)]
pub struct EventHistory<S: StreamFold = Visit> {
    stream: StreamRef,
    base: Option<StateSnapshot<S>>,
    events: Vec<EventOf<S>>,
    places: BTreeMap<EventId, EventOrder>,
    undoings: Undoings,
    void: BTreeSet<EventId>,
    doubles: Vec<EventOf<S>>,
    counts: DeviceCounts,
    checkpoints: Checkpoints<S>,
    state: S,
}

impl<S: StreamFold> EventHistory<S> {
    /// A stream without events.
    #[must_use]
    pub fn new(stream: impl Into<StreamRef>) -> Self {
        Self {
            stream: stream.into(),
            base: None,
            events: Vec::new(),
            places: BTreeMap::new(),
            undoings: Undoings::default(),
            void: BTreeSet::new(),
            doubles: Vec::new(),
            counts: DeviceCounts::default(),
            checkpoints: Checkpoints::every_events(CHECKPOINT_INTERVAL),
            state: S::default(),
        }
    }

    /// All events of a stream at once, in any order; those of other streams are left out.
    #[must_use]
    pub fn from_events(stream: impl Into<StreamRef>, events: impl IntoIterator<Item = EventOf<S>>) -> Self {
        let mut history = Self::new(stream);
        let (kept, doubles) = order_canonically(events.into_iter().filter(|e| e.stream == history.stream));
        kept.iter().for_each(|e| history.note_event(e));
        doubles.iter().for_each(|e| history.note_count(&e.order));
        (history.events, history.doubles) = (kept, doubles);
        history.void = history.undoings.void_events(&history.places);
        history.fold_from(0);
        history
    }

    /// Goes on from a snapshot; what lies before it is not at hand.
    #[must_use]
    pub fn resume_from(snapshot: StateSnapshot<S>) -> Self {
        let mut history = Self::new(snapshot.stream.clone());
        history.state = snapshot.state.clone();
        history.counts.clone_from(&snapshot.counts);
        history.doubles.clone_from(&snapshot.doubles);
        history.base = Some(snapshot);
        history
    }

    /// The same with another distance between checkpoints, at least 1.
    #[must_use]
    pub fn with_checkpoints_every(mut self, step: usize) -> Self {
        self.checkpoints = Checkpoints::every_events(step);
        self.fold_from(0);
        self
    }

    /// The stream.
    #[must_use]
    pub fn stream(&self) -> &StreamRef {
        &self.stream
    }

    /// The state.
    #[must_use]
    pub fn state(&self) -> &S {
        &self.state
    }

    /// The events in canonical order, each once, those taken back included.
    #[must_use]
    pub fn events(&self) -> &[EventOf<S>] {
        &self.events
    }

    /// Whether an event is taken back.
    #[must_use]
    pub fn is_void(&self, event: &EventId) -> bool {
        self.void.contains(event)
    }

    /// Events that lost their id to another content; each is a fault of a device, to be shown.
    #[must_use]
    pub fn doubles(&self) -> &[EventOf<S>] {
        &self.doubles
    }

    /// Number of events, those before the snapshot included.
    #[must_use]
    pub fn event_count(&self) -> u64 {
        self.base.as_ref().map_or(0, |b| b.count) + self.events.len() as u64
    }

    /// What has come of each device, by its own count.
    #[must_use]
    pub const fn device_counts(&self) -> &DeviceCounts {
        &self.counts
    }

    /// The highest round of all events, 0 for none.
    #[must_use]
    pub fn last_round(&self) -> u64 {
        self.last_place().map_or(0, |(order, _)| order.round)
    }

    /// The place of the next event that a device writes.
    #[must_use]
    pub fn next_order(&self, device: &DeviceId) -> EventOrder {
        let round = self.last_place().map_or(1, |(order, _)| order.round.saturating_add(1));
        let count = self.counts.highest_of(device).saturating_add(1);
        EventOrder { round, device: device.clone(), count }
    }

    /// The state with its place, to start from another time.
    #[must_use]
    pub fn take_snapshot(&self) -> StateSnapshot<S> {
        let (order, event) =
            self.last_place().map_or((None, None), |(o, e)| (Some(o.clone()), Some(e.clone())));
        StateSnapshot {
            format: S::STATE_FORMAT.into(),
            stream: self.stream.clone(),
            state: self.state.clone(),
            order,
            event,
            count: self.event_count(),
            counts: self.counts.clone(),
            doubles: self.doubles.clone(),
        }
    }

    /// Takes an event in; the same event twice counts once.
    pub fn insert(&mut self, event: EventOf<S>) -> InsertOutcome {
        if event.stream != self.stream {
            return InsertOutcome::Elsewhere;
        }
        if self.lies_before_base(&event) {
            return InsertOutcome::NeedsAll;
        }
        let Some(order) = self.places.get(&event.id).cloned() else {
            return self.place_event(event, usize::MAX);
        };
        let at = self.position_for(&order, &event.id);
        let known = &self.events[at];
        if is_same_event(known, &event) || self.doubles.iter().any(|d| is_same_event(d, &event)) {
            return InsertOutcome::Again;
        }
        if goes_first(&event, known) {
            let loser = self.events.remove(at);
            self.undoings.forget_event(&loser);
            self.keep_double(loser);
            self.place_event(event, at);
        } else {
            self.note_count(&event.order);
            self.keep_double(event);
        }
        InsertOutcome::Different
    }

    fn keep_double(&mut self, double: EventOf<S>) {
        self.doubles.push(double);
        self.doubles.sort_by_cached_key(crate::canon::content_text::<S::Body>);
    }

    /// Whether the event itself, or what it takes back, lies before what is at hand.
    fn lies_before_base(&self, event: &EventOf<S>) -> bool {
        let Some(base) = &self.base else { return false };
        let last = base.order.as_ref().zip(base.event.as_ref());
        let early = last.is_some_and(|(order, id)| (&event.order, &event.id) <= (order, id));
        let undoes_early = event.body.undone_event().is_some_and(|undone| !self.places.contains_key(undone));
        early || undoes_early
    }

    /// Puts an event into its place; `changed` is the first other place that changed.
    fn place_event(&mut self, event: EventOf<S>, changed: usize) -> InsertOutcome {
        self.note_event(&event);
        let at = self.position_for(&event.order, &event.id);
        let at_end = at == self.events.len();
        let turned = if at_end && changed == usize::MAX && !self.undoings.names_event(&event.id) {
            self.turned_by_last(&event)
        } else {
            None
        };
        let is_quiet = at_end && changed == usize::MAX && turned.is_some();
        self.events.insert(at, event);
        let turned = turned.unwrap_or_else(|| self.judge_undoings());
        let first = changed.min(at).min(turned);
        if is_quiet && first == at {
            self.apply_at(at);
            return InsertOutcome::Appended;
        }
        self.fold_from(first);
        InsertOutcome::Merged
    }

    /// The first place whose event becomes void or valid because of an event at the end that nothing undoes,
    /// `usize::MAX` for none; `None` where an undoing takes back another undoing, so that all have to be judged anew.
    fn turned_by_last(&mut self, event: &EventOf<S>) -> Option<usize> {
        let Some(target) = event.body.undone_event() else { return Some(usize::MAX) };
        let Some(order) = self.places.get(target).filter(|_| *target != event.id) else {
            return Some(usize::MAX);
        };
        if self.undoings.holds_event(order, target) {
            return None;
        }
        let is_new = self.void.insert(target.clone());
        Some(if is_new { self.place_of(target).unwrap_or(usize::MAX) } else { usize::MAX })
    }

    /// Judges all undoings; gives the first place at which standing turned, `usize::MAX` for none.
    fn judge_undoings(&mut self) -> usize {
        let void = self.undoings.void_events(&self.places);
        let turned = void.symmetric_difference(&self.void).filter_map(|id| self.place_of(id)).min();
        self.void = void;
        turned.unwrap_or(usize::MAX)
    }

    fn note_event(&mut self, event: &EventOf<S>) {
        self.places.insert(event.id.clone(), event.order.clone());
        self.undoings.note_event(event);
        self.note_count(&event.order);
    }

    fn note_count(&mut self, order: &EventOrder) {
        self.counts.note_order(order);
    }

    fn position_for(&self, order: &EventOrder, id: &EventId) -> usize {
        self.events.partition_point(|e| (&e.order, &e.id) < (order, id))
    }

    fn place_of(&self, id: &EventId) -> Option<usize> {
        self.places.get(id).map(|order| self.position_for(order, id))
    }

    fn last_place(&self) -> Option<(&EventOrder, &EventId)> {
        let base = self.base.as_ref().and_then(|b| b.order.as_ref().zip(b.event.as_ref()));
        self.events.last().map(|e| (&e.order, &e.id)).or(base)
    }

    /// Folds from the last checkpoint that does not hold the event at `first` or a later one.
    fn fold_from(&mut self, first: usize) {
        let base = || self.base.as_ref().map(|b| b.state.clone()).unwrap_or_default();
        let (from, state) = self.checkpoints.back_to(first).unwrap_or_else(|| (0, base()));
        self.state = state;
        for at in from..self.events.len() {
            self.apply_at(at);
        }
    }

    /// Applies the event at a place to the state of all before it.
    fn apply_at(&mut self, at: usize) {
        if is_folded(&self.events[at], &self.void) {
            self.state.evolve(&self.events[at]);
        }
        self.checkpoints.keep_if_due(at + 1, &self.state);
    }
}
