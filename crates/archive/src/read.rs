//! Reading events back; each is compared with its hash and with the event before it, so that a changed one is never shown.

use record::{AnyEvent, StreamKind, StreamRef};
use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::append::sqlite_integer;
use crate::chain::{self, ChainHash};
use crate::{ArchiveError, ArchivedStream, KeptEvent};

/// A row of the event table, its texts not yet understood.
pub(crate) struct EventRow {
    pub(crate) position: u64,
    pub(crate) id: String,
    pub(crate) kind: String,
    pub(crate) stream: String,
    pub(crate) text: String,
    pub(crate) previous: [u8; 32],
    pub(crate) hash: [u8; 32],
}

/// The columns of [`EventRow`], in its order.
pub(crate) const COLUMNS: &str = "position, id, kind, stream, text, previous, hash";

impl EventRow {
    pub(crate) fn from_row(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            position: row.get::<_, i64>(0)?.unsigned_abs(),
            id: row.get(1)?,
            kind: row.get(2)?,
            stream: row.get(3)?,
            text: row.get(4)?,
            previous: row.get(5)?,
            hash: row.get(6)?,
        })
    }

    /// "visit 01ARZ…".
    pub(crate) fn stream_words(&self) -> String {
        format!("{} {}", self.kind, self.stream)
    }

    /// Whether its text is the one that its hash was made of.
    pub(crate) fn is_as_written(&self) -> bool {
        chain::next_hash(&self.previous, &self.text) == self.hash
    }

    /// The event, where it follows from the one before it and is what was written; `None`: that one is not known.
    pub(crate) fn to_event_after(&self, previous: Option<&ChainHash>) -> Result<AnyEvent, ArchiveError> {
        let fail = |reason: &str| ArchiveError::Unreadable { position: self.position, reason: reason.into() };
        let event = self.to_event()?;
        if previous.is_some_and(|previous| self.previous != *previous) {
            return Err(fail("it does not match the event before it"));
        }
        if !self.is_as_written() {
            return Err(fail("it has been changed since it was written"));
        }
        Ok(event)
    }

    /// The event, or why there is none.
    pub(crate) fn to_event(&self) -> Result<AnyEvent, ArchiveError> {
        let fail = |reason: String| ArchiveError::Unreadable { position: self.position, reason };
        let stream = stream_of_columns(&self.kind, &self.stream)
            .ok_or_else(|| fail(format!("`{}` is not a stream", self.stream_words())))?;
        let event = AnyEvent::read_json(&stream, &self.text).map_err(|why| fail(why.to_string()))?;
        if event.id().as_str() != self.id {
            return Err(fail(format!("it is called {} and says that it is {}", self.id, event.id())));
        }
        Ok(event)
    }
}

fn stream_of_columns(kind: &str, stream: &str) -> Option<StreamRef> {
    StreamRef::new(StreamKind::from_word(kind)?, stream)
}

pub(crate) fn read_events(
    connection: &Connection,
    stream: &StreamRef,
    after: u64,
    each: &mut dyn FnMut(KeptEvent) -> bool,
) -> Result<(), ArchiveError> {
    let doing = ArchiveError::while_doing;
    let mut statement = connection
        .prepare_cached(&format!(
            "SELECT {COLUMNS} FROM event WHERE kind = ?1 AND stream = ?2 AND position > ?3 ORDER BY position"
        ))
        .map_err(doing("read"))?;
    let rows = statement
        .query_map(
            params![stream.kind.as_str(), stream.id.as_str(), sqlite_integer(after)],
            EventRow::from_row,
        )
        .map_err(doing("read"))?;
    let mut previous = hash_up_to(connection, stream, after).map_err(doing("read"))?;
    for row in rows {
        let raw = row.map_err(doing("read"))?;
        let event = raw.to_event_after(Some(&previous))?;
        previous = raw.hash;
        if !each(KeptEvent { position: raw.position, event }) {
            break;
        }
    }
    Ok(())
}

/// The hash of a stream's last event up to a place.
fn hash_up_to(connection: &Connection, stream: &StreamRef, place: u64) -> rusqlite::Result<ChainHash> {
    let found = connection
        .prepare_cached(
            "SELECT hash FROM event WHERE kind = ?1 AND stream = ?2 AND position <= ?3
             ORDER BY position DESC LIMIT 1",
        )?
        .query_row(params![stream.kind.as_str(), stream.id.as_str(), sqlite_integer(place)], |row| row.get(0))
        .optional()?;
    Ok(found.unwrap_or(chain::START))
}

pub(crate) fn list_streams(
    connection: &Connection,
    kind: StreamKind,
) -> Result<Vec<ArchivedStream>, ArchiveError> {
    let doing = ArchiveError::while_doing;
    let mut statement = connection
        .prepare_cached(
            "SELECT stream, count(*), max(position) FROM event WHERE kind = ?1 GROUP BY stream ORDER BY min(position)",
        )
        .map_err(doing("read"))?;
    let rows = statement
        .query_map([kind.as_str()], |row| {
            Ok((row.get::<_, String>(0)?, row.get::<_, i64>(1)?, row.get::<_, i64>(2)?))
        })
        .map_err(doing("read"))?;
    let mut lines = Vec::new();
    for row in rows {
        let (id, events, last) = row.map_err(doing("read"))?;
        let Some(stream) = StreamRef::new(kind, &id) else {
            return Err(ArchiveError::Damaged(format!("`{id}` is not a valid id of a {kind}")));
        };
        lines.push(ArchivedStream { stream, events: events.unsigned_abs(), last: last.unsigned_abs() });
    }
    Ok(lines)
}
