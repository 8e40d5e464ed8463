//! What a stream accepts: every well-formed event, whether or not the rules would allow it.
//!
//! A device may have been away for days; what it saw is a fact and is kept. Only what cannot be read as an event of this
//! stream is held back for a person to look at, and that is kept beside the journal, not thrown away.

use core::fmt;

use serde::Deserialize;

use crate::{
    ContentDigest, DeviceId, EVENT_FORMAT, Event, EventId, EventOrder, PersonId, StreamBody, StreamRef,
    describe_json_error,
};

/// The highest round that is believed; a device that counts beyond it is broken, and would force every
/// other device's counter up to its limit. (Assumption: a million events a day for a thousand years.)
pub const MAX_ROUNDS: u64 = 1_000_000_000_000;

/// How far a round or count may be ahead of all that its stream holds; one event far ahead would push every later one up with
/// it. (Assumption: a device that was away writes less than this in one visit.)
pub const MAX_ROUNDS_AHEAD: u64 = 100_000;

/// Times that a writer's clock may show, milliseconds since 1970-01-01 UTC: the years 2000 to 2199.
const SENSIBLE_TIMES_MS: core::ops::Range<i64> = 946_684_800_000..7_258_118_400_000;

/// Maximum number of bytes of one event as JSON. (Assumption: a long note; pictures are named by their digest.)
pub const MAX_EVENT_BYTES: usize = 64 * 1024;

/// Why an event is held back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NeedsAttention {
    /// It names another stream.
    OtherStream(StreamRef),
    /// It is no event that this program can read.
    Unreadable(String),
    /// It reads, but something in it cannot be.
    Broken(String),
}

impl fmt::Display for NeedsAttention {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OtherStream(stream) => write!(f, "it belongs to another stream, {stream}"),
            Self::Unreadable(why) => write!(f, "it cannot be read: {why}"),
            Self::Broken(why) => write!(f, "it contains an impossible value: {why}"),
        }
    }
}

/// Whether an event is let into a stream.
///
/// # Errors
///
/// Why a person has to look at it.
pub fn accept_event<B: StreamBody>(stream: &StreamRef, event: &Event<B>) -> Result<(), NeedsAttention> {
    if event.stream != *stream {
        return Err(NeedsAttention::OtherStream(event.stream.clone()));
    }
    match find_broken_event(event) {
        Some(why) => Err(NeedsAttention::Broken(why)),
        None => Ok(()),
    }
}

/// Whether an event's JSON has at most [`MAX_EVENT_BYTES`] bytes; a longer one could not be read again.
///
/// # Errors
///
/// [`NeedsAttention::Broken`] with its size in bytes.
pub fn check_event_size(text: &str) -> Result<(), NeedsAttention> {
    if text.len() > MAX_EVENT_BYTES {
        let why = format!("it is {} bytes long; at most {MAX_EVENT_BYTES} are taken", text.len());
        return Err(NeedsAttention::Broken(why));
    }
    Ok(())
}

/// Whether round, count and time of an event make sense beside a stream whose highest round is `last_round`; asked at the
/// door alone, so that what is on disk can be read for ever.
///
/// # Errors
///
/// [`NeedsAttention::Broken`] with what is out of sense.
pub fn check_sense(order: &EventOrder, at_ms: i64, last_round: u64) -> Result<(), NeedsAttention> {
    let most = last_round.saturating_add(MAX_ROUNDS_AHEAD);
    if order.round > most || order.count > most {
        let why = format!(
            "round {} and count {} are far ahead of round {last_round}, the last one here",
            order.round, order.count
        );
        return Err(NeedsAttention::Broken(why));
    }
    if !SENSIBLE_TIMES_MS.contains(&at_ms) {
        let why = String::from(
            "its time lies before the year 2000 or after 2199; set the clock of the device that wrote it",
        );
        return Err(NeedsAttention::Broken(why));
    }
    Ok(())
}

/// Reads an event as a device sent it, and lets it in.
///
/// # Errors
///
/// Why a person has to look at it.
pub fn read_event<B: StreamBody>(stream: &StreamRef, text: &str) -> Result<Event<B>, NeedsAttention> {
    check_event_size(text)?;
    let event: Event<B> = parse_event(text)?;
    accept_event(stream, &event).map(|()| event)
}

/// The word that says how an event is written.
#[derive(Deserialize)]
struct FormatWord {
    format: String,
}

fn parse_event<B: StreamBody>(text: &str) -> Result<Event<B>, NeedsAttention> {
    let unreadable = |error: serde_json::Error| NeedsAttention::Unreadable(describe_json_error(&error));
    let word: FormatWord = serde_json::from_str(text).map_err(unreadable)?;
    if word.format != EVENT_FORMAT {
        let why = format!("its format is “{}”, this program reads {EVENT_FORMAT}", word.format);
        return Err(NeedsAttention::Unreadable(why));
    }
    serde_json::from_str(text).map_err(unreadable)
}

fn find_broken_event<B: StreamBody>(event: &Event<B>) -> Option<String> {
    if event.stream.kind != B::KIND {
        return Some(format!("an event of a {} in the stream of a {}", B::KIND, event.stream.kind));
    }
    let ids = [&event.id].into_iter().chain(event.body.named_events());
    if let Some(id) = ids.into_iter().find(|id| EventId::new(id.as_str()).is_none()) {
        return Some(format!("“{id}” is not a valid event id"));
    }
    let streams = [&event.stream].into_iter().chain(event.body.named_streams());
    if let Some(stream) = streams.into_iter().find(|stream| !stream.has_good_id()) {
        return Some(format!("the {stream} has no valid id"));
    }
    let device = &event.order.device;
    if DeviceId::new(device.as_str()).is_none() {
        return Some(format!("“{device}” is not a valid device id"));
    }
    if let Some(person) = event.person.as_ref().filter(|p| PersonId::new(p.as_str()).is_none()) {
        return Some(format!("“{person}” is not a valid person id"));
    }
    if event.order.round > MAX_ROUNDS || event.order.count > MAX_ROUNDS {
        return Some(format!(
            "round {} or count {} is above {MAX_ROUNDS}",
            event.order.round, event.order.count
        ));
    }
    event
        .body
        .named_documents()
        .into_iter()
        .find_map(find_bad_digest)
        .or_else(|| event.body.find_broken_field())
}

fn find_bad_digest(digest: &ContentDigest) -> Option<String> {
    ContentDigest::new(digest.as_str())
        .is_none()
        .then(|| format!("“{digest}” is not a valid document name (64 lower-case hexadecimal digits)"))
}
