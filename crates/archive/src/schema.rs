//! The tables and how they grew: each migration is run once, in order, and none is ever changed.

use rusqlite::{Connection, TransactionBehavior};

use crate::ArchiveError;

/// Marks a file as ours: "Tray" in ASCII.
const APPLICATION: i32 = 0x5472_6179;

/// The first format that this program reads; those before it held visits alone.
const FIRST_FORMAT: u32 = 2;

/// One step of growth each, the first to [`FIRST_FORMAT`], each further one to the next.
const MIGRATIONS: &[&str] = &["
    CREATE TABLE event (
        position INTEGER PRIMARY KEY,
        id       TEXT NOT NULL UNIQUE,
        kind     TEXT NOT NULL CHECK (kind IN ('workshop', 'vehicle', 'visit', 'book')),
        stream   TEXT NOT NULL,
        text     TEXT NOT NULL CHECK (json_valid(text)),
        previous BLOB NOT NULL CHECK (length(previous) = 32),
        hash     BLOB NOT NULL CHECK (length(hash) = 32)
    ) STRICT;
    CREATE INDEX event_of_stream ON event (kind, stream, position);
    CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END;
    CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'an event is never removed'); END;

    CREATE TABLE document (
        name  TEXT PRIMARY KEY CHECK (length(name) = 64),
        media TEXT NOT NULL,
        bytes BLOB NOT NULL
    ) STRICT;
    CREATE TRIGGER document_is_never_changed BEFORE UPDATE ON document
        BEGIN SELECT RAISE(ABORT, 'a document is never changed'); END;
    CREATE TRIGGER document_is_never_removed BEFORE DELETE ON document
        BEGIN SELECT RAISE(ABORT, 'a document is never removed'); END;

    CREATE TABLE aside (
        number  INTEGER PRIMARY KEY,
        device  TEXT NOT NULL,
        at_ms   INTEGER NOT NULL,
        text    TEXT NOT NULL,
        reason  TEXT NOT NULL,
        settled INTEGER NOT NULL CHECK (settled IN (0, 1))
    ) STRICT;
    CREATE TRIGGER aside_is_never_removed BEFORE DELETE ON aside
        BEGIN SELECT RAISE(ABORT, 'what was set aside is never removed'); END;

    CREATE TABLE saved (
        kind     TEXT NOT NULL,
        stream   TEXT NOT NULL,
        format   INTEGER NOT NULL,
        position INTEGER NOT NULL,
        bytes    BLOB NOT NULL,
        PRIMARY KEY (kind, stream, format)
    ) STRICT;
    CREATE TABLE device_key (
        device TEXT PRIMARY KEY,
        key    TEXT NOT NULL CHECK (length(key) = 64)
    ) STRICT;
    CREATE TABLE setting (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
"];

/// The format that this program writes.
pub const FORMAT: u32 = FIRST_FORMAT - 1 + MIGRATIONS.len() as u32;

/// Brings a file to [`FORMAT`], in one transaction.
pub(crate) fn migrate_schema(connection: &mut Connection) -> Result<(), ArchiveError> {
    let doing = ArchiveError::while_doing;
    let found: u32 =
        connection.pragma_query_value(None, "user_version", |row| row.get(0)).map_err(doing("opened"))?;
    if found > FORMAT {
        return Err(ArchiveError::Newer { found });
    }
    if (1..FIRST_FORMAT).contains(&found) {
        return Err(ArchiveError::Older { found });
    }
    if found == FORMAT {
        return Ok(());
    }
    let done = found.saturating_sub(FIRST_FORMAT - 1) as usize;
    let growing = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(doing("opened for writing"))?;
    for step in &MIGRATIONS[done..] {
        growing.execute_batch(step).map_err(doing("brought to this format"))?;
    }
    growing.pragma_update(None, "application_id", APPLICATION).map_err(doing("marked"))?;
    growing.pragma_update(None, "user_version", FORMAT).map_err(doing("marked"))?;
    growing.commit().map_err(doing("brought to this format"))
}

/// Whether a file is ours, or new and empty.
pub(crate) fn is_ours(connection: &Connection) -> rusqlite::Result<bool> {
    let mark: i32 = connection.pragma_query_value(None, "application_id", |row| row.get(0))?;
    let tables: u32 = connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    Ok(mark == APPLICATION || tables == 0)
}
