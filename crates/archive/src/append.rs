//! Adding events: one transaction, each event chained to the one before it in its stream.

use std::collections::BTreeMap;

use record::{AnyEvent, StreamRef, check_event_size};
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};

use crate::chain::{self, ChainHash};
use crate::{AppendOutcome, ArchiveError, ArchivedDocument, KeptAside, local};

/// The newest hash of each stream that this transaction has touched.
type ChainTips = BTreeMap<StreamRef, ChainHash>;

/// Keeps documents and events, all of them or none; an event that could not be read again is refused before anything is
/// written.
pub(crate) fn append_events(
    connection: &mut Connection,
    documents: &[ArchivedDocument],
    events: &[AnyEvent],
) -> Result<Vec<AppendOutcome>, ArchiveError> {
    let texts = events.iter().map(write_out_event).collect::<Result<Vec<String>, ArchiveError>>()?;
    let writing = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(ArchiveError::while_doing("opened for writing"))?;
    for document in documents {
        local::put_document(&writing, document)?;
    }
    let mut tips = ChainTips::new();
    let mut results = Vec::with_capacity(events.len());
    for (event, text) in events.iter().zip(texts) {
        results.push(append_one(&writing, &mut tips, event, text)?);
    }
    writing.commit().map_err(ArchiveError::while_doing("written to disk"))?;
    Ok(results)
}

/// The text of an event as it goes to disk.
fn write_out_event(event: &AnyEvent) -> Result<String, ArchiveError> {
    let text = event.to_json().expect("an event is plain data");
    match check_event_size(&text) {
        Ok(()) => Ok(text),
        Err(why) => Err(ArchiveError::Unacceptable { event: event.id().to_string(), why }),
    }
}

fn append_one(
    writing: &Transaction<'_>,
    tips: &mut ChainTips,
    event: &AnyEvent,
    text: String,
) -> Result<AppendOutcome, ArchiveError> {
    if let Some(known) = find_known_event(writing, event).map_err(ArchiveError::while_doing("read"))? {
        return if known == text { Ok(AppendOutcome::Known) } else { keep_clash_aside(writing, event, text) };
    }
    let stream = event.stream();
    let previous = match tips.get(stream) {
        Some(tip) => *tip,
        None => newest_hash(writing, stream).map_err(ArchiveError::while_doing("read"))?,
    };
    let hash = chain::next_hash(&previous, &text);
    insert_event(writing, event, &text, &previous, &hash).map_err(ArchiveError::while_doing("written"))?;
    tips.insert(stream.clone(), hash);
    Ok(AppendOutcome::New(writing.last_insert_rowid().unsigned_abs()))
}

/// The text of the event with the same id.
fn find_known_event(writing: &Transaction<'_>, event: &AnyEvent) -> rusqlite::Result<Option<String>> {
    writing
        .prepare_cached("SELECT text FROM event WHERE id = ?1")?
        .query_row([event.id().as_str()], |row| row.get(0))
        .optional()
}

fn keep_clash_aside(
    writing: &Transaction<'_>,
    event: &AnyEvent,
    text: String,
) -> Result<AppendOutcome, ArchiveError> {
    let aside = KeptAside {
        number: 0,
        device: event.order().device.to_string(),
        at_ms: event.at_ms(),
        text,
        reason: format!("another event already has the id {}", event.id()),
        settled: false,
    };
    local::set_aside(writing, &aside)?;
    Ok(AppendOutcome::Clashing)
}

/// The hash of a stream's newest event.
fn newest_hash(writing: &Transaction<'_>, stream: &StreamRef) -> rusqlite::Result<ChainHash> {
    let newest = writing
        .prepare_cached(
            "SELECT hash FROM event WHERE kind = ?1 AND stream = ?2 ORDER BY position DESC LIMIT 1",
        )?
        .query_row([stream.kind.as_str(), stream.id.as_str()], |row| row.get::<_, ChainHash>(0))
        .optional()?;
    Ok(newest.unwrap_or(chain::START))
}

fn insert_event(
    writing: &Transaction<'_>,
    event: &AnyEvent,
    text: &str,
    previous: &ChainHash,
    hash: &ChainHash,
) -> rusqlite::Result<usize> {
    let stream = event.stream();
    writing
        .prepare_cached(
            "INSERT INTO event (id, kind, stream, text, previous, hash) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .execute(params![event.id().as_str(), stream.kind.as_str(), stream.id.as_str(), text, previous, hash])
}

/// SQLite counts to 2^63; a larger number of a broken clock stays the largest.
pub(crate) fn sqlite_integer(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}
