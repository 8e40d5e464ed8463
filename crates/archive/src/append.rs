//! Adding events: one transaction, each event chained to the one before it in its visit.

use std::collections::BTreeMap;

use record::{Event, VisitId};
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};

use crate::chain::{self, ChainHash};
use crate::{AppendOutcome, ArchiveError, KeptAside, local};

/// The newest hash of each visit that this transaction has touched.
type ChainTips = BTreeMap<VisitId, ChainHash>;

pub(crate) fn append_events(
    connection: &mut Connection,
    events: &[Event],
) -> Result<Vec<AppendOutcome>, ArchiveError> {
    let writing = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(ArchiveError::while_doing("opened for writing"))?;
    let mut tips = ChainTips::new();
    let mut results = Vec::with_capacity(events.len());
    for event in events {
        results.push(append_one(&writing, &mut tips, event)?);
    }
    writing.commit().map_err(ArchiveError::while_doing("written to disk"))?;
    Ok(results)
}

fn append_one(
    writing: &Transaction<'_>,
    tips: &mut ChainTips,
    event: &Event,
) -> Result<AppendOutcome, ArchiveError> {
    let body = serde_json::to_string(&event.body).expect("a body is plain data");
    if let Some(known) = find_known_event(writing, event).map_err(ArchiveError::while_doing("read"))? {
        return if known == (event.visit.as_str().to_owned(), body.clone()) {
            Ok(AppendOutcome::Known)
        } else {
            keep_clash_aside(writing, event, body)
        };
    }
    let previous = match tips.get(&event.visit) {
        Some(tip) => *tip,
        None => newest_hash(writing, &event.visit).map_err(ArchiveError::while_doing("read"))?,
    };
    let hash = chain::next_hash(&previous, event, &body);
    insert_event(writing, event, &body, &previous, &hash).map_err(ArchiveError::while_doing("written"))?;
    tips.insert(event.visit.clone(), hash);
    Ok(AppendOutcome::New(writing.last_insert_rowid().unsigned_abs()))
}

/// Visit and body of the event with the same id.
fn find_known_event(writing: &Transaction<'_>, event: &Event) -> rusqlite::Result<Option<(String, String)>> {
    writing
        .prepare_cached("SELECT visit, body FROM event WHERE id = ?1")?
        .query_row([event.id.as_str()], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()
}

fn keep_clash_aside(
    writing: &Transaction<'_>,
    event: &Event,
    body: String,
) -> Result<AppendOutcome, ArchiveError> {
    let aside = KeptAside {
        number: 0,
        device: event.order.device.to_string(),
        at_ms: event.at_ms,
        text: body,
        reason: format!("another event has the id {} already", event.id),
        settled: false,
    };
    local::set_aside(writing, &aside)?;
    Ok(AppendOutcome::Clashing)
}

/// The hash of a visit's newest event.
fn newest_hash(writing: &Transaction<'_>, visit: &VisitId) -> rusqlite::Result<ChainHash> {
    let newest = writing
        .prepare_cached("SELECT hash FROM event WHERE visit = ?1 ORDER BY position DESC LIMIT 1")?
        .query_row([visit.as_str()], |row| row.get::<_, ChainHash>(0))
        .optional()?;
    Ok(newest.unwrap_or(chain::START))
}

fn insert_event(
    writing: &Transaction<'_>,
    event: &Event,
    body: &str,
    previous: &ChainHash,
    hash: &ChainHash,
) -> rusqlite::Result<usize> {
    writing
        .prepare_cached(
            "INSERT INTO event (id, visit, round, device, sequence, at_ms, body, previous, hash)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        )?
        .execute(params![
            event.id.as_str(),
            event.visit.as_str(),
            sqlite_integer(event.order.round),
            event.order.device.as_str(),
            sqlite_integer(event.order.sequence),
            event.at_ms,
            body,
            previous,
            hash
        ])
}

/// SQLite counts to 2^63; a larger number of a broken clock stays the largest.
pub(crate) fn sqlite_integer(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}
