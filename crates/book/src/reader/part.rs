//! Parts with their ways, and the fixings below them.

use super::basics::station_or_first;
use super::shared::{
    note_item_places, read_cautions, read_needs, read_special_tools, read_supplies, read_time,
};
use super::{BookNames, KeyedTable, UnknownNameRules, fixing, read_own_key};
use crate::limits;
use crate::names::NameIndex;
use crate::spot::{BookSpots, ValueSpot};
use crate::table_reader::TableReader;
use crate::words;
use faults::SourceSpan;
use model::{Book, OpeningId, Part, PartId, RefitWait, StationId, Way};
use units::Mass;

/// What the fixings of the whole book share while they are read.
pub(super) struct FixingKeys {
    pub(super) keys: NameIndex,
    pub(super) places: Vec<SourceSpan>,
}

/// Reads all parts and their fixings into the book.
pub(super) fn read_all_parts(
    rows: Vec<KeyedTable<'_>>,
    names: &BookNames,
    book: &mut Book,
    spots: &mut BookSpots,
) {
    let mut fixings = FixingKeys { keys: NameIndex::new("fixing"), places: Vec::new() };
    for (index, keyed) in rows.into_iter().enumerate() {
        let fixing_rows = keyed.row.child_tables("fixing", "fixing");
        let (part, ways, spot) = read_part(keyed, names);
        let mut holes_before_count = 0;
        for row in fixing_rows {
            let owner = fixing::FixingOwner { part: PartId::new(index), ways: &ways, holes_before_count };
            let (key, span) = read_own_key(&row, "fixing", &mut fixings.keys, &fixings.places);
            fixings.places.push(span);
            let (fixing, spot) = fixing::read_fixing(KeyedTable { row, key }, names, &owner);
            holes_before_count += fixing.holes.len();
            book.fixings.push(fixing);
            spots.fixings.push(spot);
        }
        book.parts.push(part);
        spots.parts.push(spot);
    }
}

fn read_part(keyed: KeyedTable<'_>, names: &BookNames) -> (Part, NameIndex, ValueSpot) {
    let (row, key) = keyed.start_reading();
    let (ways, way_index) = read_ways(&row, names);
    let openings = row.resolve_names("uncovers", &names.openings, UnknownNameRules::OPENING);
    let part = Part {
        key,
        title: row.required_text("title"),
        mass: row.required_quantity("mass", Mass::from_kg(-1.0)..=Mass::from_kg(1.0e6)),
        helper: row.flag("helper"),
        station: station_or_first(row.required_name("station", &names.stations, UnknownNameRules::STATION)),
        needs: read_needs(&row, names),
        ways,
        uncovers: openings.into_iter().map(|(index, _)| OpeningId::new(index)).collect(),
        lift_time: read_time(&row, "lift_time"),
        place_time: read_time(&row, "place_time"),
        renew_with: read_supplies(&row, "renew_with"),
        refit_waits: read_refit_waits(&row),
        special_tools: read_special_tools(&row, names),
        brittle: row.flag("brittle"),
        cautions: read_cautions(&row),
        tip: row.optional_text("tip"),
    };
    (part, way_index, row.finish())
}

fn read_ways(row: &TableReader<'_>, names: &BookNames) -> (Vec<Way>, NameIndex) {
    let mut index = NameIndex::new("way");
    let (mut ways, mut spots, mut places) = (Vec::new(), Vec::new(), Vec::new());
    for row in row.child_tables("way", "way") {
        let (key, span) = read_own_key(&row, "way", &mut index, &places);
        places.push(span);
        let station =
            row.optional_name("station", &names.stations, UnknownNameRules::STATION).map(StationId::new);
        let (title, needs) = (row.required_text("title"), read_needs(&row, names));
        ways.push(Way { key, title, needs, station });
        spots.push(row.finish());
    }
    note_item_places(row, "way", spots);
    (ways, index)
}

fn read_refit_waits(row: &TableReader<'_>) -> Vec<RefitWait> {
    let read = |row: TableReader<'_>| {
        let wait = RefitWait {
            title: row.required_text("title"),
            time: row.required_quantity("time", limits::work_time_range()),
            holds_back: row.required_choice("holds_back", words::HOLDS_BACK),
        };
        (wait, row.finish())
    };
    let (waits, spots) = row.child_tables("refit_wait", "refit_wait").into_iter().map(read).unzip();
    note_item_places(row, "refit_wait", spots);
    waits
}
