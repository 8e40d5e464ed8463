//! The file: how it is opened and how SQLite is configured.

use std::path::{Path, PathBuf};

use record::{AnyEvent, ContentDigest, DeviceId, StreamKind, StreamRef};
use rusqlite::{Connection, OpenFlags};

use crate::{
    AppendOutcome, ArchiveError, ArchivedDocument, ArchivedStream, DeviceKey, EventArchive, KeptAside,
    KeptEvent, SavedState, append, local, read, schema,
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
}

impl SqliteArchive {
    /// Opens or makes the file at a path.
    ///
    /// # Errors
    /// [`ArchiveError`] when the file is not ours, is newer than this program, or cannot be opened.
    pub fn open(path: &Path) -> Result<Self, ArchiveError> {
        let mut connection = Connection::open(path).map_err(ArchiveError::while_doing("opened"))?;
        configure_connection(&connection).map_err(|cause| open_error(path, cause))?;
        if !schema::is_ours(&connection).map_err(|cause| open_error(path, cause))? {
            return Err(ArchiveError::NotOurs(path.to_owned()));
        }
        schema::migrate_schema(&mut connection)?;
        Ok(Self { connection, path: path.to_owned() })
    }

    /// Opens an existing file to read alone; other readers and the one writer go on meanwhile.
    ///
    /// # Errors
    /// [`ArchiveError`] as for [`SqliteArchive::open`].
    pub fn open_to_read(path: &Path) -> Result<Self, ArchiveError> {
        if !path.exists() {
            return Err(ArchiveError::NoFile(path.to_owned()));
        }
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
        Ok(Self { connection, path: path.to_owned() })
    }

    /// An archive in memory, for tests and dry runs.
    ///
    /// # Errors
    /// [`ArchiveError`] when there is no memory.
    pub fn in_memory() -> Result<Self, ArchiveError> {
        let mut connection = Connection::open_in_memory().map_err(ArchiveError::while_doing("opened"))?;
        schema::migrate_schema(&mut connection)?;
        Ok(Self { connection, path: PathBuf::new() })
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
        append::append_events(&mut self.connection, &[], events)
    }

    fn read_events(
        &self,
        stream: &StreamRef,
        after: u64,
        each: &mut dyn FnMut(KeptEvent) -> bool,
    ) -> Result<(), ArchiveError> {
        read::read_events(&self.connection, stream, after, each)
    }

    fn list_streams(&self, kind: StreamKind) -> Result<Vec<ArchivedStream>, ArchiveError> {
        read::list_streams(&self.connection, kind)
    }

    fn put_document(&mut self, document: &ArchivedDocument) -> Result<ContentDigest, ArchiveError> {
        local::put_document(&self.connection, document)
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
        local::put_saved_state(&self.connection, stream, format, saved)
    }

    fn find_saved_state(&self, stream: &StreamRef, format: u32) -> Result<Option<SavedState>, ArchiveError> {
        local::find_saved_state(&self.connection, stream, format)
    }

    fn set_aside(&mut self, aside: &KeptAside) -> Result<u64, ArchiveError> {
        local::set_aside(&self.connection, aside)
    }

    fn list_asides(&self) -> Result<Vec<KeptAside>, ArchiveError> {
        local::list_asides(&self.connection)
    }

    fn settle_aside(&mut self, number: u64) -> Result<(), ArchiveError> {
        local::settle_aside(&self.connection, number)
    }

    fn put_device_key(&mut self, key: &DeviceKey) -> Result<(), ArchiveError> {
        local::put_device_key(&self.connection, key)
    }

    fn remove_device_key(&mut self, device: &DeviceId) -> Result<(), ArchiveError> {
        local::remove_device_key(&self.connection, device)
    }

    fn list_device_keys(&self) -> Result<Vec<DeviceKey>, ArchiveError> {
        local::list_device_keys(&self.connection)
    }

    fn find_setting(&self, key: &str) -> Result<Option<String>, ArchiveError> {
        local::find_setting(&self.connection, key)
    }

    fn put_setting(&mut self, key: &str, value: &str) -> Result<(), ArchiveError> {
        local::put_setting(&self.connection, key, value)
    }
}
