//! The canonical order of a stream's events, which of them count once, and which are taken back.
//!
//! * Order: by [`crate::Order`], then by id where a broken device gave one place twice.
//! * An event that arrives twice counts once. The same id with other content is a fault of a device: of two, the one
//!   that comes first by order, then by content as text, is kept, whichever arrived first, and the difference is reported.
//! * An event is void if an undoing that is not void itself, and is later, names it; so the latest undoing is judged
//!   first. An undoing that names a later event or itself does nothing.
//! * An event that [`StreamBody::stands_always`] is folded although it is void.

use std::collections::{BTreeMap, BTreeSet};

use crate::fold::EventOf;
use crate::{Event, EventId, StreamBody, StreamFold};

/// The content of an event as text that is equal for equal content, including NaN.
#[must_use]
pub fn content_text<B: StreamBody>(event: &Event<B>) -> String {
    serde_json::to_string(event).unwrap_or_else(|_| format!("{event:?}"))
}

/// Whether the first of two events with one id goes before the second.
#[must_use]
pub fn goes_first<B: StreamBody>(a: &Event<B>, b: &Event<B>) -> bool {
    (&a.order, content_text(a)) < (&b.order, content_text(b))
}

/// Whether two events with one id say the same.
#[must_use]
pub fn is_same_event<B: StreamBody>(a: &Event<B>, b: &Event<B>) -> bool {
    a == b || content_text(a) == content_text(b)
}

/// Events in canonical order, each id once, and those that lost their id to another content.
#[must_use]
pub fn order_canonically<B: StreamBody>(
    events: impl IntoIterator<Item = Event<B>>,
) -> (Vec<Event<B>>, Vec<Event<B>>) {
    let mut by_id: BTreeMap<EventId, Event<B>> = BTreeMap::new();
    let mut doubles = Vec::new();
    for event in events {
        let Some(known) = by_id.get_mut(&event.id) else {
            by_id.insert(event.id.clone(), event);
            continue;
        };
        if !is_same_event(known, &event) {
            let loser = if goes_first(&event, known) { core::mem::replace(known, event) } else { event };
            doubles.push(loser);
        }
    }
    let mut kept: Vec<Event<B>> = by_id.into_values().collect();
    kept.sort_by(|a, b| (&a.order, &a.id).cmp(&(&b.order, &b.id)));
    (kept, sorted_once(doubles))
}

/// Sorted by content, each once.
fn sorted_once<B: StreamBody>(mut doubles: Vec<Event<B>>) -> Vec<Event<B>> {
    doubles.sort_by_cached_key(content_text::<B>);
    doubles.dedup_by(|a, b| is_same_event(a, b));
    doubles
}

/// The events that are taken back, of a list in canonical order.
#[must_use]
pub fn find_void_events<B: StreamBody>(events: &[Event<B>]) -> BTreeSet<EventId> {
    let places: BTreeMap<&EventId, usize> = events.iter().enumerate().map(|(at, e)| (&e.id, at)).collect();
    let mut void = BTreeSet::new();
    for (at, event) in events.iter().enumerate().rev() {
        if let Some(target) = event.body.undone_event()
            && !void.contains(&event.id)
            && places.get(target).is_some_and(|t| *t < at)
        {
            void.insert(target.clone());
        }
    }
    void
}

/// Whether an event is folded: it is not taken back, or it counts whatever was taken back.
pub(crate) fn is_folded<B: StreamBody>(event: &Event<B>, void: &BTreeSet<EventId>) -> bool {
    event.body.stands_always() || !void.contains(&event.id)
}

/// The state by definition: the fold over all events that count, in canonical order.
#[must_use]
pub fn replay_events<S: StreamFold>(events: impl IntoIterator<Item = EventOf<S>>) -> S {
    let (events, _) = order_canonically(events);
    let void = find_void_events(&events);
    let mut state = S::default();
    events.iter().filter(|e| is_folded(e, &void)).for_each(|e| state.evolve(e));
    state
}
