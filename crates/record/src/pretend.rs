//! The state as it would be after events that nobody has written.

use crate::{DeviceId, Event, EventId, EventOrder, StreamFold, Visit, VisitBody, VisitId};

/// Rounds between the plan in force and events that are pretended: more than anybody writes in one visit.
const ROUNDS_AHEAD: u64 = 1_000_000;

/// The device and the visit of events that are pretended.
pub(crate) const PRETENDED: &str = "pretended";

/// Applies events to a copy of the state without writing them; they come after all that was written.
pub fn apply_pretended_events(visit: &mut Visit, bodies: &[VisitBody]) {
    let (Some(device), Some(of)) = (DeviceId::new(PRETENDED), VisitId::new(PRETENDED)) else {
        return;
    };
    let planned = visit.planned.as_ref().map_or(0, |p| p.stamp.order.round);
    let round = planned.saturating_add(ROUNDS_AHEAD);
    for (at, body) in bodies.iter().enumerate() {
        let Some(id) = EventId::new(&format!("pretended-{at}")) else { continue };
        let order =
            EventOrder { round: round.saturating_add(at as u64), device: device.clone(), count: at as u64 };
        visit.evolve(&Event { stream: (&of).into(), id, order, person: None, at_ms: 0, body: body.clone() });
    }
}
