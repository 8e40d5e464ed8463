//! What is let into a visit: every fact that has a shape, whatever the rules say of it.
//!
//! A device may have been away for days; what it saw is a fact and is kept. Only what cannot be read as an event of this
//! visit is held back for a person to look at, and that is kept beside the journal, not thrown away.

use core::fmt;

use crate::{ContentDigest, DeviceId, Event, EventBody, EventId, VisitId};

/// The highest round that is believed; a device that counts beyond it is broken, and would push all others to the end of
/// their clocks. (Assumption: a million events a day for a thousand years.)
pub const MAX_ROUNDS: u64 = 1_000_000_000_000;

/// Most bytes of one event as JSON. (Assumption: a long note; pictures are named by their digest.)
pub const MAX_EVENT_BYTES: usize = 64 * 1024;

/// Why an event is held back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NeedsAttention {
    /// It names another visit.
    OtherVisit(VisitId),
    /// It is no event that this program can read.
    Unreadable(String),
    /// It reads, but something in it cannot be.
    Broken(String),
}

impl fmt::Display for NeedsAttention {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OtherVisit(visit) => write!(f, "it belongs to another visit, {visit}"),
            Self::Unreadable(why) => write!(f, "it cannot be read: {why}"),
            Self::Broken(why) => write!(f, "something in it cannot be: {why}"),
        }
    }
}

/// Whether an event is let into a visit.
///
/// # Errors
///
/// Why a person has to look at it.
pub fn accept_event(visit: &VisitId, event: &Event) -> Result<(), NeedsAttention> {
    if event.visit != *visit {
        return Err(NeedsAttention::OtherVisit(event.visit.clone()));
    }
    match find_broken_field(event) {
        Some(why) => Err(NeedsAttention::Broken(why)),
        None => Ok(()),
    }
}

/// Reads an event as a device sent it, and lets it in.
///
/// # Errors
///
/// Why a person has to look at it.
pub fn read_event(visit: &VisitId, text: &str) -> Result<Event, NeedsAttention> {
    if text.len() > MAX_EVENT_BYTES {
        let why = format!("{} bytes, {MAX_EVENT_BYTES} at most", text.len());
        return Err(NeedsAttention::Broken(why));
    }
    let event: Event = serde_json::from_str(text).map_err(|e| NeedsAttention::Unreadable(e.to_string()))?;
    accept_event(visit, &event).map(|()| event)
}

fn find_broken_field(event: &Event) -> Option<String> {
    let ids = [&event.id].into_iter().chain(named_event(&event.body));
    if let Some(id) = ids.into_iter().find(|id| EventId::new(id.as_str()).is_none()) {
        return Some(format!("the event's name “{id}”"));
    }
    let device = &event.order.device;
    if DeviceId::new(device.as_str()).is_none() || VisitId::new(event.visit.as_str()).is_none() {
        return Some(format!("the name of the device “{device}” or of the visit"));
    }
    if event.order.round > MAX_ROUNDS || event.order.sequence > MAX_ROUNDS {
        return Some(format!("round {}, sequence {}", event.order.round, event.order.sequence));
    }
    find_broken_body(&event.body)
}

/// Events that a body names.
fn named_event(body: &EventBody) -> Option<&EventId> {
    match body {
        EventBody::TakenOut { put_in: event, .. }
        | EventBody::DealtWith { happening: event, .. }
        | EventBody::GivenUp { happening: event, .. }
        | EventBody::WaitOver { wait: event }
        | EventBody::Answered { finding: event, .. }
        | EventBody::LookedAgain { event, .. }
        | EventBody::Undone { event } => Some(event),
        _ => None,
    }
}

fn find_broken_body(body: &EventBody) -> Option<String> {
    let no_key = |key: &str| key.trim().is_empty().then(|| "a name is empty".to_owned());
    match body {
        EventBody::Opened { book, store, plan, .. } => {
            [book, store, plan].into_iter().find_map(find_bad_digest)
        }
        EventBody::Planned { plan, .. } => find_bad_digest(plan),
        EventBody::Pictured { picture, original, .. } => {
            [picture, original].into_iter().find_map(find_bad_digest)
        }
        EventBody::Marked { fixing, holes, .. } if holes.is_empty() => {
            Some(format!("no hole of “{fixing}” is named"))
        }
        EventBody::Marked { fixing, holes, .. } => {
            no_key(fixing).or_else(|| holes.iter().find_map(|w| no_key(&w.hole)))
        }
        EventBody::Renewed { fixing, holes } if holes.is_empty() => {
            Some(format!("no hole of “{fixing}” is named"))
        }
        EventBody::Renewed { fixing, holes } => {
            no_key(fixing).or_else(|| holes.iter().find_map(|h| no_key(h)))
        }
        EventBody::Settled { fastener, .. } => no_key(&fastener.fixing).or_else(|| no_key(&fastener.hole)),
        EventBody::PartOff { part: key }
        | EventBody::PartOn { part: key }
        | EventBody::Established { condition: key }
        | EventBody::Restored { condition: key }
        | EventBody::Capped { opening: key, .. }
        | EventBody::Uncapped { opening: key, .. }
        | EventBody::Task { task: key, .. }
        | EventBody::Extra { step: key, .. }
        | EventBody::Piece { piece: key, .. }
        | EventBody::Overridden { line: key, .. } => no_key(key),
        EventBody::Read { reading, .. } => {
            let figures = [Some(reading.value), reading.low, reading.high];
            let bad = figures.into_iter().flatten().any(|figure| !figure.is_finite());
            bad.then(|| format!("a figure of “{}” is no number", reading.what))
        }
        _ => None,
    }
}

fn find_bad_digest(digest: &ContentDigest) -> Option<String> {
    ContentDigest::new(digest.as_str()).is_none().then(|| format!("“{digest}” names no document"))
}
