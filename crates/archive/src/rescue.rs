//! What can be saved of a damaged file, into a new one that work goes on with.
//!
//! **Method.** The damaged file is never touched. Its rows are found by their shape ([`crate::carve`]), also where the file is cut
//! off or its log is torn. An event is saved where its text and a hash agree, its own or the one that its neighbour names,
//! whatever happened to those before it; one that does not is kept aside as text. A document that is not what its name says is
//! kept under that name, marked, and never shown. Keys, settings and things set aside are read by SQLite from a copy that is
//! filled up to its full length.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use record::AnyEvent;
use rusqlite::{Connection, OpenFlags, params};

use crate::carve::{CarvedRows, carve_rows};
use crate::chain::{self, ChainHash};
use crate::file_work::{PartFile, file_error, require_free};
use crate::local::execute_write;
use crate::place::with_ending;
use crate::read::EventRow;
use crate::{
    ArchiveError, ArchivedDocument, EventArchive, KeptAside, SqliteArchive, check_archive, local, tail,
};

/// Begins the media type of a document that is not what its name says.
pub(crate) const DAMAGED_MEDIA: &str = "damaged; ";

/// Events written in one go.
const AT_ONCE: usize = 1_000;

/// What a rescue saved, and what it could not.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct RescueReport {
    /// Events saved.
    pub events: u64,
    /// Documents saved.
    pub documents: u64,
    /// Documents that were changed: kept under their name, marked, never shown.
    pub marked_documents: u64,
    /// Events that were changed: kept aside as text.
    pub asides: u64,
    /// Where something is missing, one line each.
    pub holes: Vec<String>,
    /// What else is wrong with the damaged file.
    pub faults: Vec<String>,
}

impl RescueReport {
    /// Whether all was there and sound.
    #[must_use]
    pub const fn is_well(&self) -> bool {
        self.faults.is_empty() && self.holes.is_empty() && self.asides == 0 && self.marked_documents == 0
    }
}

/// Copies all that can be saved of a damaged file into a new one, and says what is missing.
///
/// # Errors
/// [`ArchiveError`] when the new file is there already or cannot be written, or the damaged one is not there or holds nothing of ours.
pub fn recover_archive(damaged: &Path, into: &Path) -> Result<RescueReport, ArchiveError> {
    require_free(into)?;
    if !damaged.is_file() {
        return Err(ArchiveError::NoFile(damaged.to_owned()));
    }
    let file = std::fs::read(damaged).map_err(file_error(damaged))?;
    let log = std::fs::read(with_ending(damaged, "-wal")).unwrap_or_default();
    let CarvedRows { events, documents } = carve_rows(&file, &log);
    let copy = PaddedCopy::make(&file, &log, into)?;
    let old = copy.open();
    if events.is_empty() && documents.is_empty() && old.as_ref().is_err() {
        return Err(ArchiveError::NotOurs(damaged.to_owned()));
    }
    let part = PartFile::begin(into);
    let mut new = SqliteArchive::open(part.path())?;
    let mut report = RescueReport::default();
    match &old {
        Ok(old) => copy_beside_events(old, &mut new, &mut report)?,
        Err(error) => report.faults.push(error.to_string()),
    }
    save_documents(documents, &new, &mut report)?;
    save_events(events, &mut new, &mut report)?;
    tell_missing_entries(damaged, &new, &mut report)?;
    new.close_as_one_file()?;
    part.put_in_place()?;
    Ok(report)
}

/// A copy of the damaged file, filled up with zeros to the length that its header gives, so that SQLite opens it.
struct PaddedCopy {
    path: PathBuf,
}

impl PaddedCopy {
    fn make(file: &[u8], log: &[u8], into: &Path) -> Result<Self, ArchiveError> {
        let copy = Self { path: with_ending(into, ".damaged-copy") };
        let mut bytes = file.to_vec();
        let number = |at: usize, count: usize| {
            file.get(at..at + count)
                .map_or(0, |n| n.iter().fold(0, |sum, byte| sum << 8 | usize::from(*byte)))
        };
        let (page, pages) = (number(16, 2).max(512), number(28, 4));
        // A length that is itself damaged is not believed.
        let length = page.saturating_mul(pages).min(file.len().saturating_mul(64).max(1 << 26));
        bytes.resize(length.max(file.len()), 0);
        std::fs::write(&copy.path, bytes).map_err(file_error(&copy.path))?;
        if !log.is_empty() {
            let path = with_ending(&copy.path, "-wal");
            std::fs::write(&path, log).map_err(file_error(&path))?;
        }
        Ok(copy)
    }

    fn open(&self) -> Result<SqliteArchive, ArchiveError> {
        // Opened to write first, so that SQLite itself brings in what its log holds.
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE;
        Connection::open_with_flags(&self.path, flags)
            .and_then(|connection| connection.query_row("SELECT count(*) FROM sqlite_schema", [], |_| Ok(())))
            .map_err(ArchiveError::while_doing("opened"))?;
        SqliteArchive::open_to_read(&self.path)
    }
}

impl Drop for PaddedCopy {
    fn drop(&mut self) {
        for ending in ["", "-wal", "-shm"] {
            // It is a copy; one that is left hurts nothing.
            let _ = std::fs::remove_file(with_ending(&self.path, ending));
        }
    }
}

/// Settings, keys of devices and things set aside; what cannot be read is named and left.
fn copy_beside_events(
    old: &SqliteArchive,
    new: &mut SqliteArchive,
    report: &mut RescueReport,
) -> Result<(), ArchiveError> {
    match check_archive(old) {
        Ok(health) => report.faults.extend(health.faults),
        Err(error) => report.faults.push(error.to_string()),
    }
    match old.list_device_keys() {
        Ok(keys) => keys.iter().try_for_each(|key| new.put_device_key(key))?,
        Err(error) => report.faults.push(format!("keys of devices: {error}; pair the devices again")),
    }
    match old.list_asides() {
        Ok(asides) => asides.iter().try_for_each(|aside| new.set_aside(aside).map(drop))?,
        Err(error) => report.faults.push(format!("things set aside: {error}")),
    }
    match local::list_settings(&old.connection) {
        Ok(settings) => settings.iter().try_for_each(|(key, value)| new.put_setting(key, value))?,
        Err(error) => report.faults.push(format!("settings: {error}")),
    }
    Ok(())
}

fn save_documents(
    found: Vec<(String, ArchivedDocument)>,
    new: &SqliteArchive,
    report: &mut RescueReport,
) -> Result<(), ArchiveError> {
    let (mut sound, mut changed) = (BTreeSet::new(), BTreeMap::new());
    for (name, document) in found {
        let real = chain::content_digest(&document.bytes).to_string();
        if real == name {
            local::put_document(&new.connection, &document)?;
            sound.insert(name);
        } else {
            changed.entry(name).or_insert(document);
        }
    }
    for (name, document) in changed {
        let is_name = record::ContentDigest::new(&name).is_some();
        if sound.contains(&name) || !is_name {
            continue;
        }
        let marked = document.media.strip_prefix(DAMAGED_MEDIA).unwrap_or(&document.media);
        execute_write(
            &new.connection,
            "INSERT INTO document (name, media, bytes) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
            params![name, format!("{DAMAGED_MEDIA}{marked}"), document.bytes],
        )?;
        report.holes.push(format!("document {name} was changed: kept, marked, and never shown"));
        report.marked_documents += 1;
    }
    report.documents = sound.len() as u64;
    Ok(())
}

fn save_events(
    mut rows: Vec<EventRow>,
    new: &mut SqliteArchive,
    report: &mut RescueReport,
) -> Result<(), ArchiveError> {
    rows.sort_by(|a, b| (a.position, &a.id, &a.text).cmp(&(b.position, &b.id, &b.text)));
    rows.dedup_by(|a, b| a.text == b.text && a.hash == b.hash && a.previous == b.previous);
    let named: BTreeSet<ChainHash> = rows.iter().map(|row| row.previous).collect();
    let hashes: BTreeSet<ChainHash> = rows.iter().map(|row| row.hash).collect();
    let mut last = BTreeMap::<String, ChainHash>::new();
    let mut broken = Vec::new();
    let (mut sound, mut known, mut doubtful) = (Vec::new(), BTreeSet::new(), Vec::new());
    for row in rows {
        let before = last.insert(row.stream_words(), row.hash);
        match verify_alone(&row, before, &named) {
            Some(event) => {
                if row.previous != chain::START && !hashes.contains(&row.previous) {
                    broken.push((row.stream_words(), row.position));
                }
                known.insert(row.id.clone());
                sound.push((row.position, event));
            }
            None => doubtful.push(row),
        }
    }
    report.holes.extend(find_breaks(&broken));
    let mut seen = BTreeSet::new();
    sound.retain(|(_, event)| seen.insert(event.id().clone()));
    for some in sound.chunks(AT_ONCE) {
        let events: Vec<AnyEvent> = some.iter().map(|(_, event)| event.clone()).collect();
        new.append_events(&events)?;
    }
    report.events = sound.len() as u64;
    tell_missing_documents(sound.iter().map(|(_, event)| event), new, report)?;
    for row in doubtful {
        if !known.insert(row.id.clone()) {
            continue;
        }
        let reason =
            format!("{}: event {} was changed since it was written", row.stream_words(), row.position);
        report.holes.push(format!("{reason}: kept aside as text"));
        let aside = KeptAside {
            number: 0,
            device: String::from("rescue"),
            at_ms: 0,
            text: row.text,
            reason,
            settled: false,
        };
        new.set_aside(&aside)?;
        report.asides += 1;
    }
    Ok(())
}

/// Where the event before one is missing, one line each; how many are missing the second small file says, where there is one.
fn find_breaks(broken: &[(String, u64)]) -> impl Iterator<Item = String> {
    broken
        .iter()
        .map(|(stream, place)| format!("{stream}: the entry before event {place} is missing or changed"))
}

/// Says which documents are named by saved events and were not found at all.
fn tell_missing_documents<'a>(
    events: impl Iterator<Item = &'a AnyEvent>,
    new: &SqliteArchive,
    report: &mut RescueReport,
) -> Result<(), ArchiveError> {
    let names: BTreeSet<_> = events.flat_map(AnyEvent::named_documents).collect();
    for name in names {
        if matches!(new.find_document(name), Ok(None)) {
            report.holes.push(format!("document {name} is named by an entry and was not found"));
        }
    }
    Ok(())
}

/// The event of a row, where its text agrees with its own hashes or with what its neighbours say of them.
fn verify_alone(row: &EventRow, before: Option<ChainHash>, named: &BTreeSet<ChainHash>) -> Option<AnyEvent> {
    let by_own = chain::next_hash(&row.previous, &row.text);
    let by_neighbour = || before.is_some_and(|before| chain::next_hash(&before, &row.text) == row.hash);
    let is_sound = by_own == row.hash || named.contains(&by_own) || by_neighbour();
    if is_sound { AnyEvent::read_alone(&row.text).ok() } else { None }
}

/// Says of each stream how much is missing, where the second small file beside the damaged one knows how long it was.
fn tell_missing_entries(
    damaged: &Path,
    new: &SqliteArchive,
    report: &mut RescueReport,
) -> Result<(), ArchiveError> {
    for (stream, was) in tail::read_tail(damaged) {
        let has = tail::count_events(&new.connection, &stream).map_err(ArchiveError::while_doing("read"))?;
        if has < was.count {
            let line = tail::StreamShortfall { stream, had: was.count, has };
            report.holes.push(line.to_string());
        }
    }
    Ok(())
}
