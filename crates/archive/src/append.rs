//! Adding events: one transaction, each event chained to the one before it in its stream.

use std::collections::BTreeMap;

use record::{AnyEvent, StreamRef, check_event_size};
use rusqlite::{OptionalExtension, Transaction, TransactionBehavior, params};

use crate::chain::{self, ChainHash};
use crate::tail::{self, StreamTip};
use crate::{AppendOutcome, ArchiveError, ArchivedDocument, KeptAside, SqliteArchive, local};

/// How each stream ends that this transaction has touched.
pub(crate) type StreamTips = BTreeMap<StreamRef, StreamTip>;

/// Keeps documents and events, all of them or none; an event that could not be read again is refused before anything is
/// written. Nothing is acknowledged where the journal is no longer the file that was opened.
pub(crate) fn append_events(
    archive: &mut SqliteArchive,
    documents: &[ArchivedDocument],
    events: &[AnyEvent],
) -> Result<Vec<AppendOutcome>, ArchiveError> {
    let texts = events.iter().map(write_out_event).collect::<Result<Vec<String>, ArchiveError>>()?;
    let SqliteArchive { connection, place, tail, tips: known, .. } = archive;
    let writing = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(ArchiveError::while_doing("opened for writing"))?;
    // Whoever puts another file in the place holds the write lock of the old one meanwhile, so it is asked behind the lock.
    place.check()?;
    for document in documents {
        local::put_document(&writing, document)?;
    }
    let mut tips = StreamTips::new();
    let mut results = Vec::with_capacity(events.len());
    for (event, text) in events.iter().zip(texts) {
        results.push(append_one(&writing, known, &mut tips, event, text)?);
    }
    writing.commit().map_err(ArchiveError::while_doing("written to disk"))?;
    place.check()?;
    tail.note_tips(&tips);
    known.append(&mut tips);
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
    known: &StreamTips,
    tips: &mut StreamTips,
    event: &AnyEvent,
    text: String,
) -> Result<AppendOutcome, ArchiveError> {
    let doing = ArchiveError::while_doing;
    if let Some((place, there)) = find_known_event(writing, event).map_err(doing("read"))? {
        let is_same = there == text;
        return if is_same {
            Ok(AppendOutcome::Known(place))
        } else {
            keep_clash_aside(writing, event, text)
        };
    }
    let stream = event.stream();
    let (count, previous) = match tips.get(stream) {
        Some(tip) => (tip.count, chain::hash_of_digest(&tip.tip)),
        None => end_of_stream(writing, known.get(stream), stream)?,
    };
    let hash = chain::next_hash(&previous, &text);
    insert_event(writing, event, &text, &previous, &hash).map_err(doing("written"))?;
    let place = writing.last_insert_rowid().unsigned_abs();
    tips.insert(stream.clone(), tail::tip_of_hash(count + 1, place, &hash));
    Ok(AppendOutcome::New(place))
}

/// Place and text of the event with the same id.
fn find_known_event(writing: &Transaction<'_>, event: &AnyEvent) -> rusqlite::Result<Option<(u64, String)>> {
    writing
        .prepare_cached("SELECT position, text FROM event WHERE id = ?1")?
        .query_row([event.id().as_str()], |row| Ok((row.get::<_, i64>(0)?.unsigned_abs(), row.get(1)?)))
        .optional()
}

/// Number of events of a stream and the hash of its newest one; counted only where another program has written since.
fn end_of_stream(
    writing: &Transaction<'_>,
    known: Option<&StreamTip>,
    stream: &StreamRef,
) -> Result<(u64, ChainHash), ArchiveError> {
    let doing = ArchiveError::while_doing;
    let newest = tail::newest_event(writing, stream).map_err(doing("read"))?;
    let (place, hash) = newest.unwrap_or((0, chain::START));
    match known {
        Some(known) if known.place == place => Ok((known.count, hash)),
        Some(known) if known.place > place => {
            let words = format!("the list of the entries of {stream} ends before entry {}", known.place);
            Err(ArchiveError::Damaged(words))
        }
        _ => Ok((tail::count_events(writing, stream).map_err(doing("read"))?, hash)),
    }
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
