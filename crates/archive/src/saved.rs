//! Saved states: a cache that says of which events it was made, and is thrown away when the archive says otherwise.
//!
//! A state lies on disk behind one line: its own digest, and count and newest hash of the events that it holds. A flipped bit
//! changes the digest; a journal that was cut, restored or rescued no longer holds that hash at that place.

use record::StreamRef;
use rusqlite::{Connection, params};

use crate::append::sqlite_integer;
use crate::local::{execute_write, query_one};
use crate::tail::{self, StreamTip};
use crate::{ArchiveError, SavedState, chain};

/// The first word of a state on disk.
const WORD: &str = "state/1";

/// Saves a state; one of events that the archive does not hold is not kept.
pub(crate) fn put_saved_state(
    connection: &Connection,
    stream: &StreamRef,
    format: u32,
    saved: &SavedState,
) -> Result<(), ArchiveError> {
    let Some((count, tip)) = tip_at(connection, stream, saved.position)? else { return Ok(()) };
    let key = state_key(stream, format, saved.position, count, tip.tip.as_str());
    let mut bytes = format!("{WORD} {} {count} {}\n", digest_of(&key, &saved.bytes), tip.tip).into_bytes();
    bytes.extend_from_slice(&saved.bytes);
    execute_write(
        connection,
        "INSERT INTO saved (kind, stream, format, position, bytes) VALUES (?1, ?2, ?3, ?4, ?5)
         ON CONFLICT (kind, stream, format) DO UPDATE SET position = ?4, bytes = ?5",
        params![stream.kind.as_str(), stream.id.as_str(), format, sqlite_integer(saved.position), bytes],
    )
}

/// A saved state that is whole and that the archive agrees with.
pub(crate) fn find_saved_state(
    connection: &Connection,
    stream: &StreamRef,
    format: u32,
) -> Result<Option<SavedState>, ArchiveError> {
    let text = "SELECT position, bytes FROM saved WHERE kind = ?1 AND stream = ?2 AND format = ?3";
    let found =
        query_one(connection, text, params![stream.kind.as_str(), stream.id.as_str(), format], |row| {
            Ok(SavedState { position: row.get::<_, i64>(0)?.unsigned_abs(), bytes: row.get(1)? })
        });
    // A cache that cannot be read costs time and nothing else.
    let Ok(Some(SavedState { position, bytes })) = found else { return Ok(None) };
    let Some((digest, count, tip, state)) = split_header(&bytes) else { return Ok(None) };
    let key = state_key(stream, format, position, count, tip);
    if digest != digest_of(&key, state) {
        return Ok(None);
    }
    let agrees =
        tip_at(connection, stream, position)?.is_some_and(|(now, at)| now == count && at.tip.as_str() == tip);
    Ok(agrees.then(|| SavedState { position, bytes: state.to_vec() }))
}

/// Count and tip of a stream up to the event at a place; `None`: that event is not of this stream.
fn tip_at(
    connection: &Connection,
    stream: &StreamRef,
    position: u64,
) -> Result<Option<(u64, StreamTip)>, ArchiveError> {
    let values = params![stream.kind.as_str(), stream.id.as_str(), sqlite_integer(position)];
    let text = "SELECT hash, (SELECT count(*) FROM event WHERE kind = ?1 AND stream = ?2 AND position <= ?3)
                FROM event WHERE kind = ?1 AND stream = ?2 AND position = ?3";
    query_one(connection, text, values, |row| {
        let count = row.get::<_, i64>(1)?.unsigned_abs();
        Ok((count, tail::tip_of_hash(count, position, &row.get(0)?)))
    })
}

fn state_key(stream: &StreamRef, format: u32, position: u64, count: u64, tip: &str) -> String {
    format!("{stream} {format} {position} {count} {tip}\n")
}

fn digest_of(key: &str, state: &[u8]) -> String {
    chain::content_digest(&[key.as_bytes(), state].concat()).to_string()
}

/// Digest, count, tip, and the state behind them.
fn split_header(bytes: &[u8]) -> Option<(&str, u64, &str, &[u8])> {
    let end = bytes.iter().position(|byte| *byte == b'\n')?;
    let words: Vec<&str> = core::str::from_utf8(&bytes[..end]).ok()?.split(' ').collect();
    let [WORD, digest, count, tip] = words[..] else { return None };
    Some((digest, count.parse().ok()?, tip, &bytes[end + 1..]))
}
