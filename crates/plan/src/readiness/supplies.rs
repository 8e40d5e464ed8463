//! Supplies: parts, consumables and one-time fasteners of a scope, each named once with everything that needs it.

use std::collections::{BTreeMap, BTreeSet};

use model::plan::SupplyLine;
use model::{Book, Fixing, Supply};
use units::Money;

use crate::scope::PlanScope;

/// What to have in hand, wanted before the start first, then by name.
pub(super) fn supply_lines(book: &Book, scope: &PlanScope) -> Vec<SupplyLine> {
    let mut merged: BTreeMap<(String, Option<Money>), (Supply, BTreeSet<String>)> = BTreeMap::new();
    for (supply, by) in wanted_supplies(book, scope) {
        let key = (supply.name.clone(), supply.price_cents);
        let nothing = || (Supply { count: 0, ..supply.clone() }, BTreeSet::new());
        let (sum, wanted_by) = merged.entry(key).or_insert_with(nothing);
        sum.count = sum.count.saturating_add(supply.count);
        sum.before_start |= supply.before_start;
        wanted_by.insert(by);
    }
    let line =
        |(supply, by): (Supply, BTreeSet<String>)| SupplyLine { supply, wanted_by: by.into_iter().collect() };
    let mut lines: Vec<SupplyLine> = merged.into_values().map(line).collect();
    lines.sort_by_key(|l| !l.supply.before_start);
    lines
}

fn wanted_supplies(book: &Book, scope: &PlanScope) -> Vec<(Supply, String)> {
    let tasks = scope.tasks.iter().map(|id| book.task(*id)).map(|t| (&t.supplies, &t.key));
    let parts = scope.parts.iter().map(|(id, _)| book.part(*id)).map(|p| (&p.renew_with, &p.key));
    let conditions = scope.conditions.iter().map(|id| book.condition(*id)).map(|c| (&c.supplies, &c.key));
    let named = tasks.chain(parts).chain(conditions);
    let mut all: Vec<(Supply, String)> =
        named.flat_map(|(list, key)| list.iter().map(move |s| (s.clone(), key.clone()))).collect();
    let off = super::rescue::fixings_off(book, scope);
    all.extend(off.into_iter().filter(|f| f.one_time).map(|f| (renewed_supply(f), f.key.clone())));
    all
}

fn renewed_supply(fixing: &Fixing) -> Supply {
    let size = fixing.size_words().map_or_else(String::new, |size| format!("{size} "));
    Supply {
        name: format!("new {size}{} for {}", fixing.kind.spoken_word(), fixing.title),
        count: u16::try_from(fixing.holes.len()).unwrap_or(u16::MAX),
        price_cents: fixing.price,
        before_start: true,
    }
}
