//! Stations, conditions, openings, special tools and tasks.

use super::shared::{cautions, needs, special_tools, supplies, time, time_if};
use super::{Keyed, Names, Unknown};
use crate::spot::Spot;
use crate::words;
use model::{Condition, Opening, SpecialTool, Station, StationId, Task};
use units::Force;

pub(super) fn station(keyed: Keyed<'_>) -> (Station, Spot) {
    let (row, key) = keyed.open();
    let most = Force::ZERO..=Force::from_n(1.0e6);
    let station = Station {
        key,
        title: row.text("title"),
        enter: time(&row, "enter"),
        hand_force: row.quantity_if("hand_force", most).unwrap_or(Force::from_n(model::rules::HAND_FORCE_N)),
        cautions: cautions(&row),
    };
    (station, row.finish())
}

pub(super) fn condition(keyed: Keyed<'_>, names: &Names) -> (Condition, Spot) {
    let (row, key) = keyed.open();
    let condition = Condition {
        key,
        title: row.text("title"),
        kind: row.choice("kind", words::CONDITION_KINDS),
        establish: row.text("establish"),
        restore: row.text_if("restore"),
        establish_time: time_if(&row, "establish_time"),
        restore_time: time_if(&row, "restore_time"),
        hold_up: time_if(&row, "hold_up"),
        needs: needs(&row, names),
        station: a_station(row.name("station", &names.stations, Unknown::STATION)),
        supplies: supplies(&row, "supplies"),
        cautions: cautions(&row),
        safety: row.flag("safety"),
    };
    (condition, row.finish())
}

/// A station by position; the first after a fault.
pub(super) fn a_station(position: Option<usize>) -> StationId {
    StationId::new(position.unwrap_or(0))
}

pub(super) fn opening(keyed: Keyed<'_>) -> (Opening, Spot) {
    let (row, key) = keyed.open();
    let opening = Opening {
        key,
        title: row.text("title"),
        cap: row.text_if("cap"),
        count: row.count("count").unwrap_or(1),
    };
    (opening, row.finish())
}

pub(super) fn special_tool(keyed: Keyed<'_>) -> (SpecialTool, Spot) {
    let (row, key) = keyed.open();
    let tool = SpecialTool {
        key,
        title: row.text("title"),
        specification: row.text("specification"),
        can_be_made: row.flag("can_be_made"),
    };
    (tool, row.finish())
}

pub(super) fn task(keyed: Keyed<'_>, names: &Names) -> (Task, Spot) {
    let (row, key) = keyed.open();
    let task = Task {
        key,
        title: row.text("title"),
        kind: row.choice("kind", words::TASK_KINDS),
        needs: needs(&row, names),
        work: time(&row, "work"),
        station: a_station(row.name("station", &names.stations, Unknown::STATION)),
        supplies: supplies(&row, "supplies"),
        special_tools: special_tools(&row, names),
        leaving: row.price("leaving"),
        cautions: cautions(&row),
        note: row.text_if("note"),
    };
    (task, row.finish())
}
