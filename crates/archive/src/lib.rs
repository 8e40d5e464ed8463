//! The journal on disk: streams of events that are only ever added, documents by their content, backup and repair.
//!
//! # What is promised
//! [`EventArchive::append_events`] returns when its events are on disk: a killed process or a pulled plug loses none of them. An event
//! sent twice is kept once. Nothing can change or remove an event: triggers refuse it, and each event carries the hash of
//! the one before it in its stream, so that a change made behind SQLite's back shows.
//!
//! # How
//! One SQLite file in write-ahead mode with `synchronous = FULL` (the log is forced to disk at each commit), STRICT tables,
//! and migrations that only grow. One transaction an append, however many events it holds. Saved states are a cache: they may
//! be thrown away at any time, replay is what counts.
//!
//! # Range
//! One machine, a local file system: the write-ahead log does not work on a network share, and a copy of the main file
//! alone is not a backup; [`back_up_archive`] is.
//!
//! # Sources
//! SQLite documentation, "Write-Ahead Logging", "PRAGMA synchronous", "STRICT Tables", "Online Backup API". FIPS 180-4
//! (SHA-256).

mod append;
mod carve;
mod chain;
mod check;
mod copy;
mod error;
mod file_work;
mod local;
mod lock;
mod place;
mod read;
mod rescue;
mod saved;
mod schema;
mod sqlite;
mod tail;
mod visit_file;

use std::path::Path;

use record::{AnyEvent, ContentDigest, DeviceId, StreamKind, StreamRef};

pub use chain::content_digest;
pub use check::{ArchiveHealth, check_archive, check_newest_events};
pub use copy::{CopyReport, back_up_archive, find_backed_up_place, note_backup, restore_backup};
pub use error::ArchiveError;
pub use lock::{JournalHolder, JournalLock, LockOutcome};
pub use place::JournalPlace;
pub use rescue::{RescueReport, recover_archive};
pub use schema::FORMAT;
pub use sqlite::SqliteArchive;
pub use tail::{StreamShortfall, StreamTip};
pub use visit_file::{TransferReport, export_visit, import_visit};

/// What became of a submitted event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AppendOutcome {
    /// It is on disk, at this place in the order of arrival.
    New(u64),
    /// It was there already, at this place.
    Known(u64),
    /// Another event has its id; this one is set aside, see [`EventArchive::list_asides`].
    Clashing,
}

/// An event and its place in the order of arrival.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptEvent {
    /// Counted through all streams from 1.
    pub position: u64,
    /// The event.
    pub event: AnyEvent,
}

/// One stream in the archive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ArchivedStream {
    /// Which.
    pub stream: StreamRef,
    /// Number of its events.
    pub events: u64,
    /// Place of its newest event.
    pub last: u64,
}

/// A book, a store, a plan or a picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ArchivedDocument {
    /// Media type: `application/json`, `image/jpeg`.
    pub media: String,
    /// Content.
    pub bytes: Vec<u8>,
}

/// Something a device sent that is not one of our events; kept until a person has handled it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptAside {
    /// Counted from 1; 0 for one not yet kept.
    pub number: u64,
    /// Who sent it.
    pub device: String,
    /// When it came, milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
    /// What was sent.
    pub text: String,
    /// Why it could not be taken.
    pub reason: String,
    /// Whether a person has seen to it.
    pub settled: bool,
}

/// The key of a device; it never leaves the file, and no event holds it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceKey {
    /// The device.
    pub device: DeviceId,
    /// SHA-256 of its key, so that the file does not hold the key itself.
    pub key: ContentDigest,
}

/// A saved state for a quick start.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SavedState {
    /// Place of the newest event it includes.
    pub position: u64,
    /// The state, in whatever form its format number says.
    pub bytes: Vec<u8>,
}

/// Where events and documents are kept.
pub trait EventArchive {
    /// Adds events; on disk when it returns. A resend is reported as [`AppendOutcome::Known`].
    ///
    /// # Errors
    /// [`ArchiveError`] when the disk refuses, [`ArchiveError::Unacceptable`] where one of them is too large to be read again;
    /// then none of them counts as kept.
    fn append_events(&mut self, events: &[AnyEvent]) -> Result<Vec<AppendOutcome>, ArchiveError>;

    /// Hands a stream's events to `each` in the order of arrival, from the one after `position`, until it says `false`.
    ///
    /// # Errors
    /// [`ArchiveError`] when an event cannot be read.
    fn read_events(
        &self,
        stream: &StreamRef,
        after: u64,
        each: &mut dyn FnMut(KeptEvent) -> bool,
    ) -> Result<(), ArchiveError>;

    /// All streams of a kind, in the order of their first event.
    ///
    /// # Errors
    /// [`ArchiveError`] when the file cannot be read.
    fn list_streams(&self, kind: StreamKind) -> Result<Vec<ArchivedStream>, ArchiveError>;

    /// Keeps a document under the name of its content.
    ///
    /// # Errors
    /// [`ArchiveError`] when the disk refuses.
    fn put_document(&mut self, document: &ArchivedDocument) -> Result<ContentDigest, ArchiveError>;

    /// A document by its name; its content is compared with the name each time.
    ///
    /// # Errors
    /// [`ArchiveError::ChangedDocument`], or when the file cannot be read.
    fn find_document(&self, name: &ContentDigest) -> Result<Option<ArchivedDocument>, ArchiveError>;

    /// Saves a state of a stream, in the place of an older one of the same format.
    ///
    /// # Errors
    /// [`ArchiveError`] when the disk refuses.
    fn put_saved_state(
        &mut self,
        stream: &StreamRef,
        format: u32,
        saved: &SavedState,
    ) -> Result<(), ArchiveError>;

    /// The saved state of a stream in a format.
    ///
    /// # Errors
    /// [`ArchiveError`] when the file cannot be read.
    fn find_saved_state(&self, stream: &StreamRef, format: u32) -> Result<Option<SavedState>, ArchiveError>;

    /// Keeps something that could not be taken as an event.
    ///
    /// # Errors
    /// [`ArchiveError`] when the disk refuses.
    fn set_aside(&mut self, aside: &KeptAside) -> Result<u64, ArchiveError>;

    /// Everything set aside, oldest first.
    ///
    /// # Errors
    /// [`ArchiveError`] when the file cannot be read.
    fn list_asides(&self) -> Result<Vec<KeptAside>, ArchiveError>;

    /// Says that a person has seen to it.
    ///
    /// # Errors
    /// [`ArchiveError`] when the disk refuses.
    fn settle_aside(&mut self, number: u64) -> Result<(), ArchiveError>;

    /// Keeps the key of a device, in the place of an older one.
    ///
    /// # Errors
    /// [`ArchiveError`] when the disk refuses.
    fn put_device_key(&mut self, key: &DeviceKey) -> Result<(), ArchiveError>;

    /// Removes the key of a device: it opens nothing any more, whatever its stream says.
    ///
    /// # Errors
    /// [`ArchiveError`] when the disk refuses.
    fn remove_device_key(&mut self, device: &DeviceId) -> Result<(), ArchiveError>;

    /// The keys of all devices that have one.
    ///
    /// # Errors
    /// [`ArchiveError`] when the file cannot be read.
    fn list_device_keys(&self) -> Result<Vec<DeviceKey>, ArchiveError>;

    /// A setting of this installation.
    ///
    /// # Errors
    /// [`ArchiveError`] when the file cannot be read.
    fn find_setting(&self, key: &str) -> Result<Option<String>, ArchiveError>;

    /// Keeps a setting of this installation.
    ///
    /// # Errors
    /// [`ArchiveError`] when the disk refuses.
    fn put_setting(&mut self, key: &str, value: &str) -> Result<(), ArchiveError>;
}

/// The archive at a path, made when there is none.
///
/// # Errors
/// [`ArchiveError`] when the file is not ours, is newer than this program, or cannot be opened.
pub fn open_archive(path: &Path) -> Result<SqliteArchive, ArchiveError> {
    SqliteArchive::open(path)
}
