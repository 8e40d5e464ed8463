//! Long streams: many events taken in at once, and old ones dropped while their state is kept.

use std::collections::BTreeSet;

use super::{EventHistory, InsertOutcome};
use crate::canon::is_folded;
use crate::fold::EventOf;
use crate::{EventId, StateSnapshot, StreamBody, StreamFold};

impl<S: StreamFold> EventHistory<S> {
    /// Takes many events in at once and folds once; `None` where one of them is answered with
    /// [`crate::InsertOutcome::NeedsAll`].
    #[must_use]
    pub fn with_all_events(mut self, events: Vec<EventOf<S>>) -> Option<Self> {
        let ids: BTreeSet<&EventId> = events.iter().map(|event| &event.id).collect();
        let has_known = ids.len() < events.len() || ids.iter().any(|id| self.places.contains_key(*id));
        if has_known {
            let needs_all = |event| self.insert(event) == InsertOutcome::NeedsAll;
            return (!events.into_iter().any(needs_all)).then_some(self);
        }
        let mut first = usize::MAX;
        for event in events {
            if event.stream != self.stream {
                continue;
            }
            if self.lies_before_base(&event) {
                return None;
            }
            first = first.min(self.position_for(&event.order, &event.id));
            self.note_event(&event);
            let at = self.position_for(&event.order, &event.id);
            self.events.insert(at, event);
        }
        let turned = self.judge_undoings();
        self.fold_from(first.min(turned));
        Some(self)
    }

    /// Drops all events but about the last `keep`; the state, the counts and the next places stay as they are.
    ///
    /// An undoing is never separated from what it takes back. An event that belongs before what is left is answered with
    /// [`crate::InsertOutcome::NeedsAll`], as by a history that goes on from a snapshot.
    pub fn drop_old_events(&mut self, keep: usize) {
        let cut = self.find_cut(self.events.len().saturating_sub(keep));
        if cut == 0 {
            return;
        }
        let mut state = self.base.as_ref().map(|b| b.state.clone()).unwrap_or_default();
        let standing = self.events[..cut].iter().filter(|e| is_folded(e, &self.void));
        standing.for_each(|event| state.evolve(event));
        let last = &self.events[cut - 1];
        self.base = Some(StateSnapshot {
            format: S::STATE_FORMAT.into(),
            stream: self.stream.clone(),
            state,
            order: Some(last.order.clone()),
            event: Some(last.id.clone()),
            count: self.base.as_ref().map_or(0, |b| b.count) + cut as u64,
            counts: self.counts.clone(),
            doubles: self.doubles.clone(),
        });
        for event in self.events.drain(..cut) {
            self.places.remove(&event.id);
            self.undoings.forget_event(&event);
            self.void.remove(&event.id);
        }
        self.events.shrink_to_fit();
        self.checkpoints.forget_all();
    }

    /// The last place not after `wanted` that has no undoing on one side and what it takes back on the other.
    fn find_cut(&self, wanted: usize) -> usize {
        let mut cut = wanted;
        for (at, event) in self.events.iter().enumerate().rev() {
            if at < cut {
                break;
            }
            let place = |target: &EventId| self.place_of(target).unwrap_or(usize::MAX);
            if let Some(target) = event.body.undone_event() {
                cut = cut.min(place(target));
            }
        }
        cut
    }
}
