//! Accesses: the space round the holes, and the other side where it is held.

use super::shared::note_items;
use super::{Names, Unknown, fixing};
use crate::limits;
use crate::names::Index;
use crate::row::Row;
use crate::rules::names as rule;
use crate::spot::Spot;
use crate::words;
use model::{Access, AccessBend, CounterHold, OpeningId, Segment, SideRoom, Sight, StationId, Swing};

/// What an access may refer to.
pub(super) struct Around<'a> {
    pub(super) names: &'a Names,
    pub(super) labels: &'a Index,
    pub(super) holes: usize,
    pub(super) ways: &'a Index,
}

pub(super) fn access(row: Row<'_>, around: &Around<'_>) -> (Access, Spot) {
    let row = row.starting_here();
    let mut holes: Vec<u16> = if row.has("holes") {
        let named = row.names("holes", around.labels, &rule::B122);
        named.into_iter().filter_map(|(position, _)| u16::try_from(position).ok()).collect()
    } else {
        drop(row.maybe("holes"));
        (0..around.holes).filter_map(|position| u16::try_from(position).ok()).collect()
    };
    holes.sort_unstable();
    let way = row.name_if("way", around.ways, &rule::B121);
    let counter_hold = counter_hold(&row, around.names);
    let access = Access {
        holes,
        way: way.and_then(|w| u16::try_from(w).ok()),
        counter_hold,
        ..space(&row, around.names)
    };
    (access, row.finish())
}

/// What both sides have: everything but holes, way and the other side.
fn space(row: &Row<'_>, names: &Names) -> Access {
    let openings = row.names("drop_over", &names.openings, Unknown::OPENING);
    Access {
        holes: Vec::new(),
        way: None,
        station: row.name_if("station", &names.stations, Unknown::STATION).map(StationId::new),
        corridor: corridor(row),
        bends: bends(row),
        headroom: row.quantity("headroom", limits::body()),
        swings: swings(row),
        side: side(row),
        sight: row.choice_if("sight", words::SIGHTS).unwrap_or(Sight::Seen),
        drop_over: openings.into_iter().map(|(index, _)| OpeningId::new(index)).collect(),
        counter_hold: None,
    }
}

fn corridor(row: &Row<'_>) -> Vec<Segment> {
    let read = |row: Row<'_>| {
        let length = row.quantity_if("length", limits::body());
        let segment = Segment { length, clear: row.quantity("clear", limits::body()) };
        (segment, row.finish())
    };
    // Asked for as a key that must be there first, so that its absence is told; then as rows.
    let given = row.need("corridor");
    if !given.is_given() {
        return Vec::new();
    }
    let tabs = row.at_most("corridor", given.list(), limits::LIST_MAX);
    let rows = tabs.into_iter().map(|tab| Row::new(tab, "segment", row.desk));
    let (segments, spots) = rows.map(read).unzip();
    note_items(row, "corridor", spots);
    segments
}

fn bends(row: &Row<'_>) -> Vec<AccessBend> {
    let read = |row: Row<'_>| {
        let at = row.quantity("at", limits::body_or_nothing());
        (AccessBend { at, angle: row.quantity("angle", limits::angle()) }, row.finish())
    };
    let (bends, spots) = row.rows("bends", "bend").into_iter().map(read).unzip();
    note_items(row, "bends", spots);
    bends
}

fn swings(row: &Row<'_>) -> Vec<Swing> {
    let read = |row: Row<'_>| {
        let radius = row.quantity("radius", limits::body());
        (Swing { radius, arc: row.quantity("arc", limits::angle()) }, row.finish())
    };
    let (swings, spots) = row.rows("swings", "swing").into_iter().map(read).unzip();
    note_items(row, "swings", spots);
    swings
}

fn side(row: &Row<'_>) -> Option<SideRoom> {
    let inner = row.row("side", "side")?;
    let radial = inner.quantity("radial", limits::body());
    let room = SideRoom {
        radial,
        height: inner.quantity("height", limits::body()),
        reach: inner.quantity_if("reach", limits::body()).unwrap_or(radial),
        headroom: inner.quantity_if("headroom", limits::body_or_nothing()).unwrap_or_default(),
        swings: swings(&inner),
    };
    row.note("side", inner.finish());
    Some(room)
}

fn counter_hold(row: &Row<'_>, names: &Names) -> Option<CounterHold> {
    let inner = row.row("counter_hold", "counter_hold")?;
    let drive = fixing::drive(&inner, inner.need("drive"));
    let grip_height = inner.quantity("grip_height", limits::body());
    let table = inner.need("access").table();
    let access = table.map(|tab| {
        let row = Row::new(tab, "held_access", row.desk);
        let access = space(&row, names);
        (access, row.finish())
    });
    let hold = access.map(|(access, spot)| {
        inner.note("access", spot);
        CounterHold { drive, grip_height, access: Box::new(access) }
    });
    row.note("counter_hold", inner.finish());
    hold
}
