//! What stands beside the events: documents, saved states, things set aside, devices, settings.

use journal::{DeviceId, Digest, VisitId};
use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::append::signed;
use crate::{Aside, Device, Document, Saved, StoreError, chain};

pub(crate) fn put_document(connection: &Connection, document: &Document) -> Result<Digest, StoreError> {
    let name = chain::name_of(&document.bytes);
    write(
        connection,
        "INSERT INTO document (name, media, bytes) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
        params![name.as_str(), document.media, document.bytes],
    )?;
    Ok(name)
}

pub(crate) fn document(connection: &Connection, name: &Digest) -> Result<Option<Document>, StoreError> {
    one(connection, "SELECT media, bytes FROM document WHERE name = ?1", params![name.as_str()], |row| {
        Ok(Document { media: row.get(0)?, bytes: row.get(1)? })
    })
}

pub(crate) fn put_saved(
    connection: &Connection,
    visit: &VisitId,
    format: u32,
    saved: &Saved,
) -> Result<(), StoreError> {
    write(
        connection,
        "INSERT INTO saved (visit, format, position, bytes) VALUES (?1, ?2, ?3, ?4)
         ON CONFLICT (visit, format) DO UPDATE SET position = ?3, bytes = ?4",
        params![visit.as_str(), format, signed(saved.position), saved.bytes],
    )
}

pub(crate) fn saved(
    connection: &Connection,
    visit: &VisitId,
    format: u32,
) -> Result<Option<Saved>, StoreError> {
    let text = "SELECT position, bytes FROM saved WHERE visit = ?1 AND format = ?2";
    one(connection, text, params![visit.as_str(), format], |row| {
        Ok(Saved { position: row.get::<_, i64>(0)?.unsigned_abs(), bytes: row.get(1)? })
    })
}

pub(crate) fn set_aside(connection: &Connection, aside: &Aside) -> Result<u64, StoreError> {
    write(
        connection,
        "INSERT INTO aside (device, at_ms, text, reason, settled) VALUES (?1, ?2, ?3, ?4, ?5)",
        params![aside.device, aside.at_ms, aside.text, aside.reason, aside.settled],
    )?;
    Ok(connection.last_insert_rowid().unsigned_abs())
}

pub(crate) fn asides(connection: &Connection) -> Result<Vec<Aside>, StoreError> {
    many(
        connection,
        "SELECT number, device, at_ms, text, reason, settled FROM aside ORDER BY number",
        |row| {
            Ok(Aside {
                number: row.get::<_, i64>(0)?.unsigned_abs(),
                device: row.get(1)?,
                at_ms: row.get(2)?,
                text: row.get(3)?,
                reason: row.get(4)?,
                settled: row.get(5)?,
            })
        },
    )
}

pub(crate) fn settle_aside(connection: &Connection, number: u64) -> Result<(), StoreError> {
    write(connection, "UPDATE aside SET settled = 1 WHERE number = ?1", params![signed(number)])
}

pub(crate) fn put_device(connection: &Connection, device: &Device) -> Result<(), StoreError> {
    write(
        connection,
        "INSERT INTO device (id, name, key, paired_ms, revoked_ms) VALUES (?1, ?2, ?3, ?4, ?5)
         ON CONFLICT (id) DO UPDATE SET name = ?2, key = ?3, paired_ms = ?4, revoked_ms = ?5",
        params![device.id.as_str(), device.name, device.key.as_str(), device.paired_ms, device.revoked_ms],
    )
}

pub(crate) fn devices(connection: &Connection) -> Result<Vec<Device>, StoreError> {
    let text = "SELECT id, name, key, paired_ms, revoked_ms FROM device ORDER BY paired_ms, id";
    let rows = many(connection, text, |row| {
        let (id, key): (String, String) = (row.get(0)?, row.get(2)?);
        let ids = DeviceId::new(&id).zip(Digest::new(&key));
        let (name, paired_ms, revoked_ms) = (row.get(1)?, row.get(3)?, row.get(4)?);
        Ok(ids.map(|(id, key)| Device { id, name, key, paired_ms, revoked_ms }))
    })?;
    Ok(rows.into_iter().flatten().collect())
}

pub(crate) fn setting(connection: &Connection, key: &str) -> Result<Option<String>, StoreError> {
    one(connection, "SELECT value FROM setting WHERE key = ?1", params![key], |row| row.get(0))
}

pub(crate) fn put_setting(connection: &Connection, key: &str, value: &str) -> Result<(), StoreError> {
    write(
        connection,
        "INSERT INTO setting (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = ?2",
        params![key, value],
    )
}

fn write(connection: &Connection, text: &str, values: impl rusqlite::Params) -> Result<(), StoreError> {
    connection
        .prepare_cached(text)
        .and_then(|mut statement| statement.execute(values))
        .map(drop)
        .map_err(StoreError::while_doing("written"))
}

fn one<T>(
    connection: &Connection,
    text: &str,
    values: impl rusqlite::Params,
    of: impl FnOnce(&Row<'_>) -> rusqlite::Result<T>,
) -> Result<Option<T>, StoreError> {
    connection
        .prepare_cached(text)
        .and_then(|mut statement| statement.query_row(values, of).optional())
        .map_err(StoreError::while_doing("read"))
}

fn many<T>(
    connection: &Connection,
    text: &str,
    of: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
) -> Result<Vec<T>, StoreError> {
    connection
        .prepare_cached(text)
        .and_then(|mut statement| statement.query_map([], of)?.collect())
        .map_err(StoreError::while_doing("read"))
}
