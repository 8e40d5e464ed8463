//! How long the journal is, in a second small file beside it.
//!
//! **Question.** Was the end of the journal lost: cut off, its write-ahead log gone, an older copy put in its place?
//!
//! **Method.** After each commit the count and the newest hash of each stream that it touched are added as one line to
//! `JOURNAL.tail`; the file is forced to disk once a second and at rest. A line carries its own check. The journal is forced
//! before the line is written, so the file never says more than the journal holds, unless the journal lost something.
//!
//! **Range.** What was written in the last second before a pulled plug may be missing here, never in the journal. The hash of
//! an entry stands for all entries before it ([`crate::chain`]), so one comparison a stream is enough.

use std::collections::BTreeMap;
use std::fs::{File, OpenOptions};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use record::{ContentDigest, StreamKind, StreamRef};
use rusqlite::{Connection, OptionalExtension, params};

use crate::append::sqlite_integer;
use crate::chain::{self, ChainHash};
use crate::place::{identify_file, identify_open_file, with_ending};
use crate::{ArchiveError, file_work};

/// How long a line may wait until it is forced to disk.
const FORCE_EVERY: Duration = Duration::from_secs(1);

/// Size from which the file is written anew with one line a stream.
const MAX_TAIL_BYTES: u64 = 512 * 1024;

/// Figures of the check at the end of a line.
const CHECK_FIGURES: usize = 16;

/// How long a stream is and how it ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StreamTip {
    /// Number of its events.
    pub count: u64,
    /// Place of its newest event in the order of arrival.
    pub place: u64,
    /// Hash of its newest event, which stands for all before it.
    pub tip: ContentDigest,
}

/// A stream of which the journal no longer holds all that it once had.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StreamShortfall {
    /// Which.
    pub stream: StreamRef,
    /// Number of events that it had.
    pub had: u64,
    /// Number of events that it has now.
    pub has: u64,
}

impl core::fmt::Display for StreamShortfall {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let Self { stream, had, has } = self;
        if has < had {
            return write!(f, "{stream} had {had} entries and has {has}: {} missing", had - has);
        }
        write!(f, "{stream} had {had} entries, and the {has} that it has now are not all the same ones")
    }
}

/// The tip of an event's place and hash.
pub(crate) fn tip_of_hash(count: u64, place: u64, hash: &ChainHash) -> StreamTip {
    StreamTip { count, place, tip: chain::digest_of_hash(hash) }
}

/// The second small file.
#[derive(Debug)]
pub(crate) struct TailFile {
    path: PathBuf,
    file: Option<File>,
    is_forced: bool,
    forced_at: Instant,
}

impl TailFile {
    /// Beside a journal; nothing is opened yet.
    pub(crate) fn beside(journal: &Path) -> Self {
        let path = if journal.as_os_str().is_empty() { PathBuf::new() } else { tail_path(journal) };
        Self { path, file: None, is_forced: true, forced_at: Instant::now() }
    }

    /// Notes how streams end now. A tail that cannot be written hurts no entry: the journal itself has been forced.
    pub(crate) fn note_tips(&mut self, tips: &BTreeMap<StreamRef, StreamTip>) {
        if self.path.as_os_str().is_empty() || tips.is_empty() {
            return;
        }
        let text: String = tips.iter().map(|(stream, tip)| tail_line(stream, tip)).collect();
        if self.file.is_none() {
            self.file = OpenOptions::new().append(true).create(true).open(&self.path).ok();
        }
        let written = self.file.as_mut().is_some_and(|file| file.write_all(text.as_bytes()).is_ok());
        self.is_forced &= !written;
        if self.forced_at.elapsed() > FORCE_EVERY {
            self.force();
        }
    }

    /// Forces what was written to disk.
    pub(crate) fn force(&mut self) {
        if !self.is_forced
            && let Some(file) = &self.file
        {
            self.is_forced = file.sync_data().is_ok();
        }
        // Another program may have written it anew; the next line goes into the file that has the name.
        if self.file.as_ref().is_some_and(|file| identify_open_file(file) != identify_file(&self.path)) {
            self.file = None;
        }
        self.forced_at = Instant::now();
    }

    /// Takes it away: a backup or a visit's file has no second file beside it.
    pub(crate) fn remove(mut self) {
        if self.file.take().is_some() {
            // A file that is left says nothing that is wrong.
            let _ = std::fs::remove_file(&self.path);
        }
    }

    /// Whether it has grown so much that one line a stream is wanted again.
    fn is_long(&self) -> bool {
        std::fs::metadata(&self.path).is_ok_and(|meta| meta.len() > MAX_TAIL_BYTES)
    }
}

impl Drop for TailFile {
    fn drop(&mut self) {
        self.force();
    }
}

/// Where the tail of a journal lies.
pub(crate) fn tail_path(journal: &Path) -> PathBuf {
    with_ending(journal, ".tail")
}

fn tail_line(stream: &StreamRef, tip: &StreamTip) -> String {
    let said = format!("{} {} {} {} {}", stream.kind, stream.id, tip.count, tip.place, tip.tip);
    let check = chain::content_digest(said.as_bytes());
    format!("{said} {}\n", &check.as_str()[..CHECK_FIGURES])
}

fn read_line(line: &str) -> Option<(StreamRef, StreamTip)> {
    let (said, check) = line.rsplit_once(' ')?;
    if chain::content_digest(said.as_bytes()).as_str()[..CHECK_FIGURES] != *check {
        return None;
    }
    let words: Vec<&str> = said.split(' ').collect();
    let [kind, id, count, place, tip] = words[..] else { return None };
    let stream = StreamRef::new(StreamKind::from_word(kind)?, id)?;
    let tip = ContentDigest::new(tip)?;
    Some((stream, StreamTip { count: count.parse().ok()?, place: place.parse().ok()?, tip }))
}

/// What the file says, the longest length of each stream; lines that are torn or changed say nothing.
pub(crate) fn read_tail(journal: &Path) -> BTreeMap<StreamRef, StreamTip> {
    let bytes = std::fs::read(tail_path(journal)).unwrap_or_default();
    let mut tips: BTreeMap<StreamRef, StreamTip> = BTreeMap::new();
    for line in bytes.split(|byte| *byte == b'\n') {
        let Some((stream, tip)) = core::str::from_utf8(line).ok().and_then(read_line) else { continue };
        if tips.get(&stream).is_none_or(|known| known.place <= tip.place) {
            tips.insert(stream, tip);
        }
    }
    tips
}

/// Streams that were longer, or other, when the tail was written.
pub(crate) fn find_shortfalls(
    connection: &Connection,
    journal: &Path,
) -> Result<Vec<StreamShortfall>, ArchiveError> {
    let mut shortfalls = Vec::new();
    for (stream, was) in read_tail(journal) {
        let has = count_events(connection, &stream).map_err(ArchiveError::while_doing("read"))?;
        if has < was.count || !holds_tip(connection, &stream, &was)? {
            shortfalls.push(StreamShortfall { stream, had: was.count, has });
        }
    }
    Ok(shortfalls)
}

/// The tips of the tail whose event is there, by its place and not by any list: a list that ends before is damaged.
pub(crate) fn read_held_tips(connection: &Connection, journal: &Path) -> BTreeMap<StreamRef, StreamTip> {
    let said = read_tail(journal).into_iter();
    said.filter(|(stream, tip)| holds_tip(connection, stream, tip).unwrap_or(false)).collect()
}

/// Writes the tail anew, one line a stream.
pub(crate) fn write_tail(connection: &Connection, journal: &Path) -> Result<(), ArchiveError> {
    let mut text = String::new();
    for kind in StreamKind::ALL {
        for line in crate::read::list_streams(connection, kind)? {
            let tip = newest_tip(connection, &line.stream)?;
            text.extend(tip.map(|tip| tail_line(&line.stream, &tip)));
        }
    }
    let mut part = file_work::PartFile::begin(&tail_path(journal));
    part.write_bytes(text.as_bytes())?;
    part.put_in_place()
}

/// Writes it anew where there is none yet, or where it has grown long.
pub(crate) fn tidy_tail(
    connection: &Connection,
    journal: &Path,
    tail: &mut TailFile,
) -> Result<(), ArchiveError> {
    if tail.is_long() || !tail_path(journal).exists() {
        write_tail(connection, journal)?;
        tail.file = None;
    }
    Ok(())
}

/// Whether the journal holds the event that a tip names, and so all before it.
pub(crate) fn holds_tip(
    connection: &Connection,
    stream: &StreamRef,
    tip: &StreamTip,
) -> Result<bool, ArchiveError> {
    let found = connection
        .prepare_cached("SELECT hash FROM event WHERE position = ?1 AND kind = ?2 AND stream = ?3")
        .and_then(|mut statement| {
            statement
                .query_row(
                    params![sqlite_integer(tip.place), stream.kind.as_str(), stream.id.as_str()],
                    |row| row.get::<_, ChainHash>(0),
                )
                .optional()
        })
        .map_err(ArchiveError::while_doing("read"))?;
    Ok(found.is_some_and(|hash| chain::digest_of_hash(&hash) == tip.tip))
}

/// Number of events of a stream.
pub(crate) fn count_events(connection: &Connection, stream: &StreamRef) -> rusqlite::Result<u64> {
    connection
        .prepare_cached("SELECT count(*) FROM event WHERE kind = ?1 AND stream = ?2")?
        .query_row([stream.kind.as_str(), stream.id.as_str()], |row| row.get::<_, i64>(0))
        .map(i64::unsigned_abs)
}

/// How a stream ends; `None`: it has no event.
pub(crate) fn newest_tip(
    connection: &Connection,
    stream: &StreamRef,
) -> Result<Option<StreamTip>, ArchiveError> {
    let doing = ArchiveError::while_doing;
    let Some((place, hash)) = newest_event(connection, stream).map_err(doing("read"))? else {
        return Ok(None);
    };
    let count = count_events(connection, stream).map_err(doing("read"))?;
    Ok(Some(tip_of_hash(count, place, &hash)))
}

/// Place and hash of a stream's newest event.
pub(crate) fn newest_event(
    connection: &Connection,
    stream: &StreamRef,
) -> rusqlite::Result<Option<(u64, ChainHash)>> {
    connection
        .prepare_cached(
            "SELECT position, hash FROM event WHERE kind = ?1 AND stream = ?2 ORDER BY position DESC LIMIT 1",
        )?
        .query_row([stream.kind.as_str(), stream.id.as_str()], |row| {
            Ok((row.get::<_, i64>(0)?.unsigned_abs(), row.get(1)?))
        })
        .optional()
}
