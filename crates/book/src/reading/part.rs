//! Parts with their ways, and the fixings below them.

use super::basics::a_station;
use super::shared::{cautions, needs, note_items, special_tools, supplies, time};
use super::{Keyed, Names, Unknown, fixing, own_key};
use crate::limits;
use crate::names::Index;
use crate::row::Row;
use crate::spot::{Spot, Spots};
use crate::words;
use faults::Span;
use model::{Book, OpeningId, Part, PartId, RefitWait, StationId, Way};
use units::Mass;

/// What the fixings of the whole book share while they are read.
pub(super) struct Fixings {
    pub(super) keys: Index,
    pub(super) places: Vec<Span>,
}

/// Reads all parts and their fixings into the book.
pub(super) fn all(rows: Vec<Keyed<'_>>, names: &Names, book: &mut Book, spots: &mut Spots) {
    let mut fixings = Fixings { keys: Index::new("fixing"), places: Vec::new() };
    for (index, keyed) in rows.into_iter().enumerate() {
        let fixing_rows = keyed.row.rows("fixing", "fixing");
        let (part, ways, spot) = part(keyed, names);
        let mut holes_before_count = 0;
        for row in fixing_rows {
            let owner = fixing::Owner { part: PartId::new(index), ways: &ways, holes_before_count };
            let (key, span) = own_key(&row, "fixing", &mut fixings.keys, &fixings.places);
            fixings.places.push(span);
            let (fixing, spot) = fixing::fixing(Keyed { row, key }, names, &owner);
            holes_before_count += fixing.holes.len();
            book.fixings.push(fixing);
            spots.fixings.push(spot);
        }
        book.parts.push(part);
        spots.parts.push(spot);
    }
}

fn part(keyed: Keyed<'_>, names: &Names) -> (Part, Index, Spot) {
    let (row, key) = keyed.open();
    let (ways, way_index) = ways(&row, names);
    let openings = row.names("uncovers", &names.openings, Unknown::OPENING);
    let part = Part {
        key,
        title: row.text("title"),
        mass: row.quantity("mass", Mass::from_kg(-1.0)..=Mass::from_kg(1.0e6)),
        helper: row.flag("helper"),
        station: a_station(row.name("station", &names.stations, Unknown::STATION)),
        needs: needs(&row, names),
        ways,
        uncovers: openings.into_iter().map(|(index, _)| OpeningId::new(index)).collect(),
        lift_time: time(&row, "lift_time"),
        place_time: time(&row, "place_time"),
        renew_with: supplies(&row, "renew_with"),
        refit_waits: refit_waits(&row),
        special_tools: special_tools(&row, names),
        brittle: row.flag("brittle"),
        cautions: cautions(&row),
        tip: row.text_if("tip"),
    };
    (part, way_index, row.finish())
}

fn ways(row: &Row<'_>, names: &Names) -> (Vec<Way>, Index) {
    let mut index = Index::new("way");
    let (mut ways, mut spots, mut places) = (Vec::new(), Vec::new(), Vec::new());
    for row in row.rows("way", "way") {
        let (key, span) = own_key(&row, "way", &mut index, &places);
        places.push(span);
        let station = row.name_if("station", &names.stations, Unknown::STATION).map(StationId::new);
        let (title, needs) = (row.text("title"), needs(&row, names));
        ways.push(Way { key, title, needs, station });
        spots.push(row.finish());
    }
    note_items(row, "way", spots);
    (ways, index)
}

fn refit_waits(row: &Row<'_>) -> Vec<RefitWait> {
    let read = |row: Row<'_>| {
        let wait = RefitWait {
            title: row.text("title"),
            time: row.quantity("time", limits::time()),
            holds_back: row.choice("holds_back", words::HOLDS_BACK),
        };
        (wait, row.finish())
    };
    let (waits, spots) = row.rows("refit_wait", "refit_wait").into_iter().map(read).unzip();
    note_items(row, "refit_wait", spots);
    waits
}
