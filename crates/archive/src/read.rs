//! Reading events back.

use record::{DeviceId, Event, EventId, EventOrder, VisitId};
use rusqlite::{Connection, Row, params};

use crate::append::sqlite_integer;
use crate::{ArchiveError, ArchivedVisit, KeptEvent};

/// A row of the event table, its texts not yet understood.
pub(crate) struct EventRow {
    pub(crate) position: u64,
    pub(crate) id: String,
    pub(crate) visit: String,
    pub(crate) round: u64,
    pub(crate) device: String,
    pub(crate) sequence: u64,
    pub(crate) at_ms: i64,
    pub(crate) body: String,
    pub(crate) previous: [u8; 32],
    pub(crate) hash: [u8; 32],
}

/// The columns of [`Raw`], in its order.
pub(crate) const COLUMNS: &str = "position, id, visit, round, device, sequence, at_ms, body, previous, hash";

impl EventRow {
    pub(crate) fn from_row(row: &Row<'_>) -> rusqlite::Result<Self> {
        Ok(Self {
            position: row.get::<_, i64>(0)?.unsigned_abs(),
            id: row.get(1)?,
            visit: row.get(2)?,
            round: row.get::<_, i64>(3)?.unsigned_abs(),
            device: row.get(4)?,
            sequence: row.get::<_, i64>(5)?.unsigned_abs(),
            at_ms: row.get(6)?,
            body: row.get(7)?,
            previous: row.get(8)?,
            hash: row.get(9)?,
        })
    }

    /// The event, or why there is none.
    pub(crate) fn to_event(&self) -> Result<Event, ArchiveError> {
        let fail = |reason: String| ArchiveError::Unreadable { position: self.position, reason };
        let id = EventId::new(&self.id).ok_or_else(|| fail(format!("`{}` is no id", self.id)))?;
        let visit = VisitId::new(&self.visit).ok_or_else(|| fail(format!("`{}` is no id", self.visit)))?;
        let device =
            DeviceId::new(&self.device).ok_or_else(|| fail(format!("`{}` is no id", self.device)))?;
        let body = serde_json::from_str(&self.body).map_err(|e| fail(e.to_string()))?;
        let order = EventOrder { round: self.round, device, sequence: self.sequence };
        Ok(Event { id, visit, order, at_ms: self.at_ms, body })
    }
}

pub(crate) fn read_events(
    connection: &Connection,
    visit: &VisitId,
    after: u64,
    each: &mut dyn FnMut(KeptEvent) -> bool,
) -> Result<(), ArchiveError> {
    let doing = ArchiveError::while_doing;
    let mut statement = connection
        .prepare_cached(&format!(
            "SELECT {COLUMNS} FROM event WHERE visit = ?1 AND position > ?2 ORDER BY position"
        ))
        .map_err(doing("read"))?;
    let rows = statement
        .query_map(params![visit.as_str(), sqlite_integer(after)], EventRow::from_row)
        .map_err(doing("read"))?;
    for row in rows {
        let raw = row.map_err(doing("read"))?;
        if !each(KeptEvent { position: raw.position, event: raw.to_event()? }) {
            break;
        }
    }
    Ok(())
}

pub(crate) fn list_visits(connection: &Connection) -> Result<Vec<ArchivedVisit>, ArchiveError> {
    let doing = ArchiveError::while_doing;
    let mut statement = connection
        .prepare_cached(
            "SELECT visit, count(*), max(position) FROM event GROUP BY visit ORDER BY min(position)",
        )
        .map_err(doing("read"))?;
    let rows = statement
        .query_map([], |row| Ok((row.get::<_, String>(0)?, row.get::<_, i64>(1)?, row.get::<_, i64>(2)?)))
        .map_err(doing("read"))?;
    let mut lines = Vec::new();
    for row in rows {
        let (visit, events, last) = row.map_err(doing("read"))?;
        let Some(visit) = VisitId::new(&visit) else {
            return Err(ArchiveError::Damaged(format!("`{visit}` is no id of a visit")));
        };
        lines.push(ArchivedVisit { visit, events: events.unsigned_abs(), last: last.unsigned_abs() });
    }
    Ok(lines)
}
