//! The undoings among the events of a visit, and what they take back.

use std::collections::{BTreeMap, BTreeSet};

use crate::{Event, EventId, EventOrder, StreamBody};

/// All undoings, by their place and by what they name.
#[derive(Debug, Clone, Default)]
pub(super) struct Undoings {
    by_place: BTreeMap<(EventOrder, EventId), EventId>,
    /// How many undoings name an event.
    named: BTreeMap<EventId, usize>,
}

impl Undoings {
    /// Notes an event, if it is an undoing.
    pub fn note_event<B: StreamBody>(&mut self, event: &Event<B>) {
        if let Some(target) = event.body.undone_event() {
            self.by_place.insert((event.order.clone(), event.id.clone()), target.clone());
            *self.named.entry(target.clone()).or_default() += 1;
        }
    }

    /// Forgets an event that lost its id to another content.
    pub fn forget_event<B: StreamBody>(&mut self, loser: &Event<B>) {
        if let Some(target) = self.by_place.remove(&(loser.order.clone(), loser.id.clone()))
            && let Some(count) = self.named.get_mut(&target)
        {
            *count -= 1;
            if *count == 0 {
                self.named.remove(&target);
            }
        }
    }

    /// Whether any undoing names an event.
    pub fn names_event(&self, event: &EventId) -> bool {
        self.named.contains_key(event)
    }

    /// Whether the event of an id and place is an undoing itself.
    pub fn holds_event(&self, order: &EventOrder, event: &EventId) -> bool {
        self.by_place.contains_key(&(order.clone(), event.clone()))
    }

    /// The events that are taken back; the same rule as [`crate::void`], asked of the undoings alone.
    pub fn void_events(&self, places: &BTreeMap<EventId, EventOrder>) -> BTreeSet<EventId> {
        let mut void = BTreeSet::new();
        for (own, target) in self.by_place.iter().rev() {
            let stands = !void.contains(&own.1);
            let earlier = places.get(target).is_some_and(|order| (order, target) < (&own.0, &own.1));
            if stands && earlier {
                void.insert(target.clone());
            }
        }
        void
    }
}
