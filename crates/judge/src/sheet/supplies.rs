//! What to have in hand: every part, consumable and one-time fastener with its number and for what, and nothing that nobody needs.

use crate::FoundViolations;
use crate::case::PlanCase;
use model::Supply;
use std::collections::{BTreeMap, BTreeSet};
use units::Money;

/// How many, whether before the start, and for what.
type SupplyNeed = (u32, bool, BTreeSet<String>);

/// J903: the supplies of tasks, parts and conditions, and J904: one new fastener for each that is used once.
pub(super) fn judge_supply_lines(case: &PlanCase, found: &mut FoundViolations) {
    let wanted = wanted_supplies(case);
    let mut said: BTreeMap<(String, Option<Money>), SupplyNeed> = BTreeMap::new();
    for line in &case.plan.readiness.supplies {
        let supply = &line.supply;
        let key = (supply.name.clone(), supply.price_cents);
        let need = (u32::from(supply.count), supply.before_start, line.wanted_by.iter().cloned().collect());
        if said.insert(key, need).is_some() {
            found.add("J903", "readiness", format!("`{}` is on the sheet twice", supply.name));
        }
    }
    for ((name, price), need) in &wanted {
        let code =
            if need.2.iter().any(|key| case.book.fixing_by_key(key).is_some()) { "J904" } else { "J903" };
        match said.get(&(name.clone(), *price)) {
            None => found.add(code, "readiness", format!("`{name}` is not on the sheet at its price")),
            Some(told) if told != need => {
                let words = format!("`{name}`: {}; the sheet says {}", need_words(need), need_words(told));
                found.add(code, "readiness", words);
            }
            Some(_) => {}
        }
    }
    for (name, _) in said.keys().filter(|key| !wanted.contains_key(*key)) {
        found.add(
            "J903",
            "readiness",
            format!("`{name}` is on the sheet, and nothing needs it at that price"),
        );
    }
}

fn need_words((count, before_start, by): &SupplyNeed) -> String {
    let when = if *before_start { "before the start" } else { "by the refit" };
    format!("{count} {when} for {}", by.iter().cloned().collect::<Vec<_>>().join(", "))
}

fn wanted_supplies(case: &PlanCase) -> BTreeMap<(String, Option<Money>), SupplyNeed> {
    let book = case.book;
    let tasks: BTreeSet<_> = case.tasks.iter().copied().collect();
    let tasks = tasks.into_iter().map(|id| book.task(id)).map(|task| (&task.supplies, &task.key));
    let parts = case.off.keys().map(|id| book.part(*id)).map(|part| (&part.renew_with, &part.key));
    let conditions = case.conditions.iter().map(|id| book.condition(*id));
    let conditions = conditions.map(|condition| (&condition.supplies, &condition.key));
    let mut all: Vec<(Supply, String)> = Vec::new();
    for (supplies, key) in tasks.chain(parts).chain(conditions) {
        all.extend(supplies.iter().map(|supply| (supply.clone(), key.clone())));
    }
    for fixing in case.fixings_off().map(|id| book.fixing(id)).filter(|fixing| fixing.one_time) {
        let size = fixing.size_words().map_or_else(String::new, |size| format!("{size} "));
        let name = format!("new {size}{} for {}", fixing.kind.spoken_word(), fixing.title);
        let count = u16::try_from(fixing.holes.len()).unwrap_or(u16::MAX);
        let supply = Supply { name, count, price_cents: fixing.price, before_start: true };
        all.push((supply, fixing.key.clone()));
    }
    let mut wanted: BTreeMap<(String, Option<Money>), SupplyNeed> = BTreeMap::new();
    for (supply, key) in all {
        let need = wanted.entry((supply.name, supply.price_cents)).or_default();
        need.0 += u32::from(supply.count);
        need.1 |= supply.before_start;
        need.2.insert(key);
    }
    wanted
}
