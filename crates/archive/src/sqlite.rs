//! The file: how it is opened and how SQLite is configured.

use std::path::{Path, PathBuf};

use record::{AnyEvent, ContentDigest, DeviceId, StreamKind, StreamRef};
use rusqlite::{Connection, OpenFlags};

use crate::append::StreamTips;
use crate::tail::{StreamShortfall, StreamTip, TailFile};
use crate::{
    AppendOutcome, ArchiveError, ArchivedDocument, ArchivedStream, DeviceKey, EventArchive, JournalPlace,
    KeptAside, KeptEvent, SavedState, append, local, read, saved, schema, tail,
};

/// How long a writer waits for another one, ms.
const PATIENCE_MS: u64 = 5_000;

/// Prepared statements kept; more than there are.
const MAX_STATEMENTS: usize = 48;

/// An archive in one SQLite file.
#[derive(Debug)]
pub struct SqliteArchive {
    pub(crate) connection: Connection,
    path: PathBuf,
    pub(crate) place: JournalPlace,
    pub(crate) tail: TailFile,
    /// How streams end, as far as it is known: by the second small file at the opening, then by what was written.
    pub(crate) tips: StreamTips,
    is_to_read: bool,
}

/// A pipe or a device is not opened: it would wait for whoever writes there.
fn require_file_or_nothing(path: &Path) -> Result<(), ArchiveError> {
    match std::fs::metadata(path) {
        Ok(data) if !data.is_file() => Err(ArchiveError::NotOurs(path.to_owned())),
        Ok(_) | Err(_) => Ok(()),
    }
}

impl SqliteArchive {
    /// Opens or makes the file at a path.
    ///
    /// # Errors
    /// [`ArchiveError`] when the file is not ours, is newer than this program, or cannot be opened.
    pub fn open(path: &Path) -> Result<Self, ArchiveError> {
        require_file_or_nothing(path)?;
        let mut connection = Connection::open(path).map_err(ArchiveError::while_doing("opened"))?;
        configure_connection(&connection).map_err(|cause| open_error(path, cause))?;
        if !schema::is_ours(&connection).map_err(|cause| open_error(path, cause))? {
            return Err(ArchiveError::NotOurs(path.to_owned()));
        }
        schema::migrate_schema(&mut connection)?;
        Ok(Self::of_connection(connection, path, false))
    }

    fn of_connection(connection: Connection, path: &Path, is_to_read: bool) -> Self {
        let place = JournalPlace::of_opened(path);
        let tail = TailFile::beside(place.path());
        let tips = tail::read_held_tips(&connection, place.path());
        Self { connection, path: path.to_owned(), place, tail, tips, is_to_read }
    }

    /// Opens an existing file to read alone; other readers and the one writer go on meanwhile.
    ///
    /// # Errors
    /// [`ArchiveError`] as for [`SqliteArchive::open`].
    pub fn open_to_read(path: &Path) -> Result<Self, ArchiveError> {
        if !path.exists() {
            return Err(ArchiveError::NoFile(path.to_owned()));
        }
        require_file_or_nothing(path)?;
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags)
            .map_err(ArchiveError::while_doing("opened for reading"))?;
        connection
            .busy_timeout(core::time::Duration::from_millis(PATIENCE_MS))
            .map_err(ArchiveError::while_doing("opened for reading"))?;
        connection.set_prepared_statement_cache_capacity(MAX_STATEMENTS);
        if !schema::is_ours(&connection).map_err(|cause| open_error(path, cause))? {
            return Err(ArchiveError::NotOurs(path.to_owned()));
        }
        Ok(Self::of_connection(connection, path, true))
    }

    /// An archive in memory, for tests and dry runs.
    ///
    /// # Errors
    /// [`ArchiveError`] when there is no memory.
    pub fn in_memory() -> Result<Self, ArchiveError> {
        let mut connection = Connection::open_in_memory().map_err(ArchiveError::while_doing("opened"))?;
        schema::migrate_schema(&mut connection)?;
        let (path, tips) = (PathBuf::new(), StreamTips::new());
        let (place, tail) = (JournalPlace::in_memory(), TailFile::beside(&path));
        Ok(Self { connection, path, place, tail, tips, is_to_read: false })
    }

    /// Closes it as one file, without a log beside it, so that it can be moved.
    pub(crate) fn close_as_one_file(self) -> Result<(), ArchiveError> {
        let Self { connection, tail, .. } = self;
        tail.remove();
        connection
            .pragma_update_and_check(None, "journal_mode", "delete", |_| Ok(()))
            .map_err(ArchiveError::while_doing("closed"))?;
        connection.close().map_err(|(_, cause)| ArchiveError::Refused { doing: "closed", cause })
    }

    /// Whether it was opened to read alone.
    #[must_use]
    pub const fn is_to_read(&self) -> bool {
        self.is_to_read
    }

    /// Where the file lies and which file it is, to ask whether it still is.
    #[must_use]
    pub const fn place(&self) -> &JournalPlace {
        &self.place
    }

    /// How a stream ends; `None`: it has no event.
    ///
    /// # Errors
    /// [`ArchiveError`] when the file cannot be read.
    pub fn find_stream_tip(&self, stream: &StreamRef) -> Result<Option<StreamTip>, ArchiveError> {
        let newest =
            tail::newest_event(&self.connection, stream).map_err(ArchiveError::while_doing("read"))?;
        match (self.tips.get(stream), newest) {
            (Some(known), Some((place, _))) if known.place == place => Ok(Some(known.clone())),
            (_, None) => Ok(None),
            (_, Some(_)) => tail::newest_tip(&self.connection, stream),
        }
    }

    /// Whether the archive holds the event that a tip names, and so all before it.
    ///
    /// # Errors
    /// [`ArchiveError`] when the file cannot be read.
    pub fn holds_tip(&self, stream: &StreamRef, tip: &StreamTip) -> Result<bool, ArchiveError> {
        tail::holds_tip(&self.connection, stream, tip)
    }

    /// Streams that were longer, or other, than they are now, by the second small file beside the journal.
    ///
    /// # Errors
    /// [`ArchiveError`] when the journal cannot be read.
    pub fn find_shortfalls(&self) -> Result<Vec<StreamShortfall>, ArchiveError> {
        tail::find_shortfalls(&self.connection, self.place.path())
    }

    /// Makes the second small file say what the journal holds now: after its shortfalls were told, and where it is long.
    ///
    /// # Errors
    /// [`ArchiveError`] when it cannot be written.
    pub fn renew_tail(&mut self, has_shortfalls: bool) -> Result<(), ArchiveError> {
        if self.path.as_os_str().is_empty() || self.is_to_read {
            return Ok(());
        }
        if has_shortfalls {
            return tail::write_tail(&self.connection, self.place.path());
        }
        tail::tidy_tail(&self.connection, self.place.path(), &mut self.tail)
    }

    /// Forces to disk what the second small file says; asked once a second while the journal rests.
    pub fn force_tail(&mut self) {
        self.tail.force();
    }

    /// Writes something beside the events, where the journal is still the file that was opened.
    fn write_beside<T>(
        &self,
        write: impl FnOnce(&Connection) -> Result<T, ArchiveError>,
    ) -> Result<T, ArchiveError> {
        self.place.check()?;
        let written = write(&self.connection)?;
        self.place.check().map(|()| written)
    }

    /// Where the file lies; empty in memory.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }
}

fn configure_connection(connection: &Connection) -> rusqlite::Result<()> {
    connection.busy_timeout(core::time::Duration::from_millis(PATIENCE_MS))?;
    connection.set_prepared_statement_cache_capacity(MAX_STATEMENTS);
    connection.pragma_update_and_check(None, "journal_mode", "wal", |_| Ok(()))?;
    connection.pragma_update(None, "synchronous", "full")?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "cell_size_check", true)
}

fn open_error(path: &Path, cause: rusqlite::Error) -> ArchiveError {
    match cause.sqlite_error_code() {
        Some(rusqlite::ErrorCode::NotADatabase) => ArchiveError::NotOurs(path.to_owned()),
        _ => ArchiveError::Refused { doing: "opened", cause },
    }
}

impl EventArchive for SqliteArchive {
    fn append_events(&mut self, events: &[AnyEvent]) -> Result<Vec<AppendOutcome>, ArchiveError> {
        append::append_events(self, &[], events)
    }

    fn read_events(
        &self,
        stream: &StreamRef,
        after: u64,
        each: &mut dyn FnMut(KeptEvent) -> bool,
    ) -> Result<(), ArchiveError> {
        let (mut last, mut is_through) = (after, true);
        read::read_events(&self.connection, stream, after, &mut |kept| {
            last = kept.position;
            is_through = each(kept);
            is_through
        })?;
        match self.tips.get(stream) {
            Some(known) if is_through && known.place > last => Err(ArchiveError::Unreadable {
                position: known.place,
                reason: format!("the list of the entries of {stream} is damaged and ends before it"),
            }),
            _ => Ok(()),
        }
    }

    fn list_streams(&self, kind: StreamKind) -> Result<Vec<ArchivedStream>, ArchiveError> {
        read::list_streams(&self.connection, kind)
    }

    fn put_document(&mut self, document: &ArchivedDocument) -> Result<ContentDigest, ArchiveError> {
        self.write_beside(|connection| local::put_document(connection, document))
    }

    fn find_document(&self, name: &ContentDigest) -> Result<Option<ArchivedDocument>, ArchiveError> {
        local::find_document(&self.connection, name)
    }

    fn put_saved_state(
        &mut self,
        stream: &StreamRef,
        format: u32,
        saved: &SavedState,
    ) -> Result<(), ArchiveError> {
        if self.is_to_read {
            return Ok(());
        }
        saved::put_saved_state(&self.connection, stream, format, saved)
    }

    fn find_saved_state(&self, stream: &StreamRef, format: u32) -> Result<Option<SavedState>, ArchiveError> {
        saved::find_saved_state(&self.connection, stream, format)
    }

    fn set_aside(&mut self, aside: &KeptAside) -> Result<u64, ArchiveError> {
        self.write_beside(|connection| local::set_aside(connection, aside))
    }

    fn list_asides(&self) -> Result<Vec<KeptAside>, ArchiveError> {
        local::list_asides(&self.connection)
    }

    fn settle_aside(&mut self, number: u64) -> Result<(), ArchiveError> {
        self.write_beside(|connection| local::settle_aside(connection, number))
    }

    fn put_device_key(&mut self, key: &DeviceKey) -> Result<(), ArchiveError> {
        self.write_beside(|connection| local::put_device_key(connection, key))
    }

    fn remove_device_key(&mut self, device: &DeviceId) -> Result<(), ArchiveError> {
        self.write_beside(|connection| local::remove_device_key(connection, device))
    }

    fn list_device_keys(&self) -> Result<Vec<DeviceKey>, ArchiveError> {
        local::list_device_keys(&self.connection)
    }

    fn find_setting(&self, key: &str) -> Result<Option<String>, ArchiveError> {
        local::find_setting(&self.connection, key)
    }

    fn put_setting(&mut self, key: &str, value: &str) -> Result<(), ArchiveError> {
        self.write_beside(|connection| local::put_setting(connection, key, value))
    }
}
