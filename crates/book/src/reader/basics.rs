//! Stations, conditions, openings, special tools and tasks.

use super::shared::{
    read_cautions, read_needs, read_optional_time, read_special_tools, read_supplies, read_time,
};
use super::{BookNames, KeyedTable, UnknownNameRules};
use crate::spot::ValueSpot;
use crate::words;
use model::{Condition, Opening, SpecialTool, Station, StationId, Task};
use units::Force;

pub(super) fn read_station(keyed: KeyedTable<'_>) -> (Station, ValueSpot) {
    let (row, key) = keyed.start_reading();
    let most = Force::ZERO..=Force::from_n(1.0e6);
    let station = Station {
        key,
        title: row.required_text("title"),
        enter: read_time(&row, "enter"),
        hand_force: row
            .optional_quantity("hand_force", most)
            .unwrap_or(Force::from_n(model::rules::HAND_FORCE_N)),
        cautions: read_cautions(&row),
    };
    (station, row.finish())
}

pub(super) fn read_condition(keyed: KeyedTable<'_>, names: &BookNames) -> (Condition, ValueSpot) {
    let (row, key) = keyed.start_reading();
    let condition = Condition {
        key,
        title: row.required_text("title"),
        kind: row.required_choice("kind", words::CONDITION_KINDS),
        establish: row.required_text("establish"),
        restore: row.optional_text("restore"),
        establish_time: read_optional_time(&row, "establish_time"),
        restore_time: read_optional_time(&row, "restore_time"),
        hold_up: read_optional_time(&row, "hold_up"),
        needs: read_needs(&row, names),
        station: station_or_first(row.required_name("station", &names.stations, UnknownNameRules::STATION)),
        supplies: read_supplies(&row, "supplies"),
        cautions: read_cautions(&row),
        safety: row.flag("safety"),
    };
    (condition, row.finish())
}

/// A station by position; the first after a fault.
pub(super) fn station_or_first(position: Option<usize>) -> StationId {
    StationId::new(position.unwrap_or(0))
}

pub(super) fn read_opening(keyed: KeyedTable<'_>) -> (Opening, ValueSpot) {
    let (row, key) = keyed.start_reading();
    let opening = Opening {
        key,
        title: row.required_text("title"),
        cap: row.optional_text("cap"),
        count: row.optional_count("count").unwrap_or(1),
    };
    (opening, row.finish())
}

pub(super) fn read_special_tool(keyed: KeyedTable<'_>) -> (SpecialTool, ValueSpot) {
    let (row, key) = keyed.start_reading();
    let tool = SpecialTool {
        key,
        title: row.required_text("title"),
        specification: row.required_text("specification"),
        can_be_made: row.flag("can_be_made"),
    };
    (tool, row.finish())
}

pub(super) fn read_task(keyed: KeyedTable<'_>, names: &BookNames) -> (Task, ValueSpot) {
    let (row, key) = keyed.start_reading();
    let task = Task {
        key,
        title: row.required_text("title"),
        kind: row.required_choice("kind", words::TASK_KINDS),
        needs: read_needs(&row, names),
        work: read_time(&row, "work"),
        station: station_or_first(row.required_name("station", &names.stations, UnknownNameRules::STATION)),
        supplies: read_supplies(&row, "supplies"),
        special_tools: read_special_tools(&row, names),
        leaving: row.optional_price("leaving"),
        cautions: read_cautions(&row),
        note: row.optional_text("note"),
    };
    (task, row.finish())
}
