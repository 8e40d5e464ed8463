//! Accesses: the space round the holes, and the other side where it is held.

use super::shared::note_item_places;
use super::{BookNames, UnknownNameRules, fixing};
use crate::limits;
use crate::names::NameIndex;
use crate::rules::names as rule;
use crate::spot::ValueSpot;
use crate::table_reader::TableReader;
use crate::words;
use model::{Access, AccessBend, CorridorSegment, CounterHold, OpeningId, SideRoom, Sight, StationId, Swing};

/// What an access may refer to.
pub(super) struct AccessReferences<'a> {
    pub(super) names: &'a BookNames,
    pub(super) labels: &'a NameIndex,
    pub(super) holes: usize,
    pub(super) ways: &'a NameIndex,
}

pub(super) fn read_access(row: TableReader<'_>, around: &AccessReferences<'_>) -> (Access, ValueSpot) {
    let row = row.forget_earlier_faults();
    let mut holes: Vec<u16> = if row.has("holes") {
        let named = row.resolve_names("holes", around.labels, &rule::B122);
        named.into_iter().filter_map(|(position, _)| u16::try_from(position).ok()).collect()
    } else {
        drop(row.optional_field("holes"));
        (0..around.holes).filter_map(|position| u16::try_from(position).ok()).collect()
    };
    holes.sort_unstable();
    let way = row.optional_name("way", around.ways, &rule::B121);
    let counter_hold = read_counter_hold(&row, around.names);
    let access = Access {
        holes,
        way: way.and_then(|w| u16::try_from(w).ok()),
        counter_hold,
        ..read_access_space(&row, around.names)
    };
    (access, row.finish())
}

/// What both sides have: everything but holes, way and the other side.
fn read_access_space(row: &TableReader<'_>, names: &BookNames) -> Access {
    let openings = row.resolve_names("drop_over", &names.openings, UnknownNameRules::OPENING);
    Access {
        holes: Vec::new(),
        way: None,
        station: row.optional_name("station", &names.stations, UnknownNameRules::STATION).map(StationId::new),
        corridor: read_corridor(row),
        bends: read_bends(row),
        headroom: row.required_quantity("headroom", limits::body_length_range()),
        swings: read_swings(row),
        side: read_side_room(row),
        sight: row.optional_choice("sight", words::SIGHTS).unwrap_or(Sight::Seen),
        drop_over: openings.into_iter().map(|(index, _)| OpeningId::new(index)).collect(),
        counter_hold: None,
    }
}

fn read_corridor(row: &TableReader<'_>) -> Vec<CorridorSegment> {
    let read = |row: TableReader<'_>| {
        let length = row.optional_quantity("length", limits::body_length_range());
        let segment =
            CorridorSegment { length, clear: row.required_quantity("clear", limits::body_length_range()) };
        (segment, row.finish())
    };
    // Asked for as a key that must be there first, so that its absence is told; then as rows.
    let given = row.required_field("corridor");
    if !given.is_given() {
        return Vec::new();
    }
    let tabs = row.cut_to_limit("corridor", given.read_tables(), limits::MAX_LIST_ITEMS);
    let rows = tabs.into_iter().map(|tab| TableReader::new(tab, "segment", row.desk));
    let (segments, spots) = rows.map(read).unzip();
    note_item_places(row, "corridor", spots);
    segments
}

fn read_bends(row: &TableReader<'_>) -> Vec<AccessBend> {
    let read = |row: TableReader<'_>| {
        let at = row.required_quantity("at", limits::body_or_zero_length_range());
        (AccessBend { at, angle: row.required_quantity("angle", limits::angle_range()) }, row.finish())
    };
    let (bends, spots) = row.child_tables("bends", "bend").into_iter().map(read).unzip();
    note_item_places(row, "bends", spots);
    bends
}

fn read_swings(row: &TableReader<'_>) -> Vec<Swing> {
    let read = |row: TableReader<'_>| {
        let radius = row.required_quantity("radius", limits::body_length_range());
        (Swing { radius, arc: row.required_quantity("arc", limits::angle_range()) }, row.finish())
    };
    let (swings, spots) = row.child_tables("swings", "swing").into_iter().map(read).unzip();
    note_item_places(row, "swings", spots);
    swings
}

fn read_side_room(row: &TableReader<'_>) -> Option<SideRoom> {
    let inner = row.child_table("side", "side")?;
    let radial = inner.required_quantity("radial", limits::body_length_range());
    let room = SideRoom {
        radial,
        height: inner.required_quantity("height", limits::body_length_range()),
        reach: inner.optional_quantity("reach", limits::body_length_range()).unwrap_or(radial),
        headroom: inner
            .optional_quantity("headroom", limits::body_or_zero_length_range())
            .unwrap_or_default(),
        swings: read_swings(&inner),
    };
    row.note_place("side", inner.finish());
    Some(room)
}

fn read_counter_hold(row: &TableReader<'_>, names: &BookNames) -> Option<CounterHold> {
    let inner = row.child_table("counter_hold", "counter_hold")?;
    let drive = fixing::read_drive(&inner, inner.required_field("drive"));
    let grip_height = inner.required_quantity("grip_height", limits::body_length_range());
    let table = inner.required_field("access").read_table();
    let access = table.map(|tab| {
        let row = TableReader::new(tab, "held_access", row.desk);
        let access = read_access_space(&row, names);
        (access, row.finish())
    });
    let hold = access.map(|(access, spot)| {
        inner.note_place("access", spot);
        CounterHold { drive, grip_height, access: Box::new(access) }
    });
    row.note_place("counter_hold", inner.finish());
    hold
}
