//! The file: how it is opened and what is asked of SQLite.

use std::path::{Path, PathBuf};

use journal::{Digest, Event, VisitId};
use rusqlite::{Connection, OpenFlags};

use crate::{
    Appended, Archive, Aside, Device, Document, Kept, Saved, StoreError, VisitLine, append, local, read,
    schema,
};

/// How long a writer waits for another one, ms.
const PATIENCE_MS: u64 = 5_000;

/// Prepared statements kept; more than there are.
const STATEMENTS: usize = 48;

/// An archive in one SQLite file.
#[derive(Debug)]
pub struct Sqlite {
    pub(crate) connection: Connection,
    path: PathBuf,
}

impl Sqlite {
    /// Opens or makes the file at a path.
    ///
    /// # Errors
    /// [`StoreError`] when the file is not ours, is newer than this program, or cannot be opened.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let mut connection = Connection::open(path).map_err(StoreError::while_doing("opened"))?;
        settle(&connection).map_err(|cause| not_ours(path, cause))?;
        if !schema::is_ours(&connection).map_err(|cause| not_ours(path, cause))? {
            return Err(StoreError::NotOurs(path.to_owned()));
        }
        schema::migrate(&mut connection)?;
        Ok(Self { connection, path: path.to_owned() })
    }

    /// Opens an existing file to read alone; other readers and the one writer go on meanwhile.
    ///
    /// # Errors
    /// [`StoreError`] as for [`Sqlite::open`].
    pub fn open_to_read(path: &Path) -> Result<Self, StoreError> {
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags)
            .map_err(StoreError::while_doing("opened for reading"))?;
        connection
            .busy_timeout(core::time::Duration::from_millis(PATIENCE_MS))
            .map_err(StoreError::while_doing("opened for reading"))?;
        connection.set_prepared_statement_cache_capacity(STATEMENTS);
        if !schema::is_ours(&connection).map_err(|cause| not_ours(path, cause))? {
            return Err(StoreError::NotOurs(path.to_owned()));
        }
        Ok(Self { connection, path: path.to_owned() })
    }

    /// An archive in memory, for tests and dry runs.
    ///
    /// # Errors
    /// [`StoreError`] when there is no memory.
    pub fn in_memory() -> Result<Self, StoreError> {
        let mut connection = Connection::open_in_memory().map_err(StoreError::while_doing("opened"))?;
        schema::migrate(&mut connection)?;
        Ok(Self { connection, path: PathBuf::new() })
    }

    /// Where the file lies; empty in memory.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }
}

fn settle(connection: &Connection) -> rusqlite::Result<()> {
    connection.busy_timeout(core::time::Duration::from_millis(PATIENCE_MS))?;
    connection.set_prepared_statement_cache_capacity(STATEMENTS);
    connection.pragma_update_and_check(None, "journal_mode", "wal", |_| Ok(()))?;
    connection.pragma_update(None, "synchronous", "full")?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "cell_size_check", true)
}

fn not_ours(path: &Path, cause: rusqlite::Error) -> StoreError {
    match cause.sqlite_error_code() {
        Some(rusqlite::ErrorCode::NotADatabase) => StoreError::NotOurs(path.to_owned()),
        _ => StoreError::Refused { doing: "opened", cause },
    }
}

impl Archive for Sqlite {
    fn append(&mut self, events: &[Event]) -> Result<Vec<Appended>, StoreError> {
        append::append(&mut self.connection, events)
    }

    fn read(
        &self,
        visit: &VisitId,
        after: u64,
        each: &mut dyn FnMut(Kept) -> bool,
    ) -> Result<(), StoreError> {
        read::read(&self.connection, visit, after, each)
    }

    fn visits(&self) -> Result<Vec<VisitLine>, StoreError> {
        read::visits(&self.connection)
    }

    fn put_document(&mut self, document: &Document) -> Result<Digest, StoreError> {
        local::put_document(&self.connection, document)
    }

    fn document(&self, name: &Digest) -> Result<Option<Document>, StoreError> {
        local::document(&self.connection, name)
    }

    fn put_saved(&mut self, visit: &VisitId, format: u32, saved: &Saved) -> Result<(), StoreError> {
        local::put_saved(&self.connection, visit, format, saved)
    }

    fn saved(&self, visit: &VisitId, format: u32) -> Result<Option<Saved>, StoreError> {
        local::saved(&self.connection, visit, format)
    }

    fn set_aside(&mut self, aside: &Aside) -> Result<u64, StoreError> {
        local::set_aside(&self.connection, aside)
    }

    fn asides(&self) -> Result<Vec<Aside>, StoreError> {
        local::asides(&self.connection)
    }

    fn settle_aside(&mut self, number: u64) -> Result<(), StoreError> {
        local::settle_aside(&self.connection, number)
    }

    fn put_device(&mut self, device: &Device) -> Result<(), StoreError> {
        local::put_device(&self.connection, device)
    }

    fn devices(&self) -> Result<Vec<Device>, StoreError> {
        local::devices(&self.connection)
    }

    fn setting(&self, key: &str) -> Result<Option<String>, StoreError> {
        local::setting(&self.connection, key)
    }

    fn put_setting(&mut self, key: &str, value: &str) -> Result<(), StoreError> {
        local::put_setting(&self.connection, key, value)
    }
}
