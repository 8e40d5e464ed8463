//! What several kinds of tables have alike: needs, supplies, cautions, special tools.

use super::{Names, Unknown};
use crate::limits;
use crate::row::Row;
use crate::spot::Spot;
use crate::words;
use model::{Caution, ConditionId, Need, PartId, SpecialToolId, Supply};

/// Parts that must be off and conditions that must hold; their places go under `needs`.
pub(super) fn needs(row: &Row<'_>, names: &Names) -> Vec<Need> {
    let parts = row.names("off_first", &names.parts, Unknown::PART);
    let conditions = row.names("conditions", &names.conditions, Unknown::CONDITION);
    let spots = parts.iter().chain(&conditions).map(|(_, span)| Spot::new(*span)).collect();
    row.note("needs", Spot::list(row.span(), spots));
    let parts = parts.into_iter().map(|(index, _)| Need::Off(PartId::new(index)));
    let conditions = conditions.into_iter().map(|(index, _)| Need::Condition(ConditionId::new(index)));
    parts.chain(conditions).collect()
}

/// Things to buy.
pub(super) fn supplies(row: &Row<'_>, key: &'static str) -> Vec<Supply> {
    let (supplies, spots) = row.rows(key, "supply").into_iter().map(supply).unzip();
    note_items(row, key, spots);
    supplies
}

/// Notes the places of the items of a list.
pub(super) fn note_items(row: &Row<'_>, key: &'static str, spots: Vec<Spot>) {
    if let Some(first) = spots.first() {
        row.note(key, Spot::list(first.span, spots));
    }
}

fn supply(row: Row<'_>) -> (Supply, Spot) {
    let supply = Supply {
        name: row.text("name"),
        count: row.count("count").unwrap_or(1),
        price_cents: row.price("price"),
        before_start: row.flag("before_start"),
    };
    (supply, row.finish())
}

/// Cautions, each with its signal word.
pub(super) fn cautions(row: &Row<'_>) -> Vec<Caution> {
    let read = |row: Row<'_>| {
        let caution = Caution { word: row.choice("word", words::SIGNAL_WORDS), text: row.text("text") };
        drop(row.finish());
        caution
    };
    row.rows("cautions", "caution").into_iter().map(read).collect()
}

/// Tools that the book asks for by name.
pub(super) fn special_tools(row: &Row<'_>, names: &Names) -> Vec<SpecialToolId> {
    let tools = row.names("special_tools", &names.special_tools, Unknown::TOOL);
    tools.into_iter().map(|(index, _)| SpecialToolId::new(index)).collect()
}

/// A time that must be there.
pub(super) fn time(row: &Row<'_>, key: &'static str) -> units::Duration {
    row.quantity(key, limits::time())
}

/// A time that may be missing, which counts as none.
pub(super) fn time_if(row: &Row<'_>, key: &'static str) -> units::Duration {
    row.quantity_if(key, limits::time()).unwrap_or_default()
}
