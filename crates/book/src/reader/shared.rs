//! What several kinds of tables have alike: needs, supplies, cautions, special tools.

use super::{BookNames, UnknownNameRules};
use crate::limits;
use crate::spot::ValueSpot;
use crate::table_reader::TableReader;
use crate::words;
use model::{Caution, ConditionId, Need, PartId, SpecialToolId, Supply};

/// Parts that must be off and conditions that must hold; their places go under `needs`.
pub(super) fn read_needs(row: &TableReader<'_>, names: &BookNames) -> Vec<Need> {
    let parts = row.resolve_names("off_first", &names.parts, UnknownNameRules::PART);
    let conditions = row.resolve_names("conditions", &names.conditions, UnknownNameRules::CONDITION);
    let spots = parts.iter().chain(&conditions).map(|(_, span)| ValueSpot::new(*span)).collect();
    row.note_place("needs", ValueSpot::of_list(row.span(), spots));
    let parts = parts.into_iter().map(|(index, _)| Need::Off(PartId::new(index)));
    let conditions = conditions.into_iter().map(|(index, _)| Need::Condition(ConditionId::new(index)));
    parts.chain(conditions).collect()
}

/// Things to buy.
pub(super) fn read_supplies(row: &TableReader<'_>, key: &'static str) -> Vec<Supply> {
    let (supplies, spots) = row.child_tables(key, "supply").into_iter().map(read_supply).unzip();
    note_item_places(row, key, spots);
    supplies
}

/// Notes the places of the items of a list.
pub(super) fn note_item_places(row: &TableReader<'_>, key: &'static str, spots: Vec<ValueSpot>) {
    if let Some(first) = spots.first() {
        row.note_place(key, ValueSpot::of_list(first.span, spots));
    }
}

fn read_supply(row: TableReader<'_>) -> (Supply, ValueSpot) {
    let supply = Supply {
        name: row.required_text("name"),
        count: row.optional_count("count").unwrap_or(1),
        price_cents: row.optional_price("price"),
        before_start: row.flag("before_start"),
    };
    (supply, row.finish())
}

/// Cautions, each with its signal word.
pub(super) fn read_cautions(row: &TableReader<'_>) -> Vec<Caution> {
    let read = |row: TableReader<'_>| {
        let caution = Caution {
            word: row.required_choice("word", words::SIGNAL_WORDS),
            text: row.required_text("text"),
        };
        drop(row.finish());
        caution
    };
    row.child_tables("cautions", "caution").into_iter().map(read).collect()
}

/// Tools that the book asks for by name.
pub(super) fn read_special_tools(row: &TableReader<'_>, names: &BookNames) -> Vec<SpecialToolId> {
    let tools = row.resolve_names("special_tools", &names.special_tools, UnknownNameRules::TOOL);
    tools.into_iter().map(|(index, _)| SpecialToolId::new(index)).collect()
}

/// A time that must be there.
pub(super) fn read_time(row: &TableReader<'_>, key: &'static str) -> units::Duration {
    row.required_quantity(key, limits::work_time_range())
}

/// A time that may be missing, which counts as none.
pub(super) fn read_optional_time(row: &TableReader<'_>, key: &'static str) -> units::Duration {
    row.optional_quantity(key, limits::work_time_range()).unwrap_or_default()
}
