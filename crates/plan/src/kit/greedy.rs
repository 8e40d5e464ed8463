//! A good kit fast: greedy building, dropping what is not needed, and taking pieces out to build again without them.

use std::collections::BTreeMap;

use super::cover::{Cover, holds};

/// Rounds of taking each item out once.
const MOST_ROUNDS: usize = 4;

/// Adds items until every row is satisfied, then those that save more than they weigh; items in `barred` stay out.
///
/// `None` where the barred items leave a row unsatisfied.
#[must_use]
pub fn completed(cover: &Cover, mut kit: Vec<bool>, barred: &[bool]) -> Option<Vec<bool>> {
    while cover.rows.iter().any(|r| !r.is_satisfied(&kit)) {
        let item = most_wanted(cover, &kit, barred)?;
        kit[item as usize] = true;
    }
    while let Some(items) = best_saving(cover, &kit, barred) {
        items.iter().for_each(|i| kit[*i as usize] = true);
    }
    Some(kit)
}

/// The item that brings the most unsatisfied rows the furthest for its weight.
fn most_wanted(cover: &Cover, kit: &[bool], barred: &[bool]) -> Option<u32> {
    let mut credit: BTreeMap<u32, f64> = BTreeMap::new();
    for row in cover.rows.iter().filter(|r| !r.is_satisfied(kit)) {
        let mut best: BTreeMap<u32, f64> = BTreeMap::new();
        for alternative in &row.alternatives {
            let missing = missing(&alternative.items, kit);
            if missing.iter().any(|i| barred[*i as usize]) {
                continue;
            }
            let weight: u64 = missing.iter().map(|i| cover.weights[*i as usize]).sum();
            let share = 1.0 / weight.max(1) as f64;
            for item in missing {
                let entry = best.entry(item).or_default();
                *entry = entry.max(share);
            }
        }
        if best.is_empty() {
            return None;
        }
        for (item, share) in best {
            *credit.entry(item).or_default() += share;
        }
    }
    let value = |(item, credit): (u32, f64)| (item, credit / cover.weights[item as usize].max(1) as f64);
    let better = |a: &(u32, f64), b: &(u32, f64)| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0));
    credit.into_iter().map(value).max_by(better).map(|(item, _)| item)
}

fn missing(items: &[u32], kit: &[bool]) -> Vec<u32> {
    items.iter().copied().filter(|i| !kit[*i as usize]).collect()
}

/// The missing items of one alternative that save most beyond their weight, over all rows.
fn best_saving(cover: &Cover, kit: &[bool], barred: &[bool]) -> Option<Vec<u32>> {
    let mut savings: BTreeMap<Vec<u32>, u64> = BTreeMap::new();
    for row in cover.rows.iter().filter(|r| !r.is_free()) {
        let now = row.cost(kit)?;
        let mut here: BTreeMap<Vec<u32>, u64> = BTreeMap::new();
        for alternative in row.alternatives.iter().filter(|a| a.cost < now) {
            let missing = missing(&alternative.items, kit);
            if !missing.iter().any(|i| barred[*i as usize]) {
                let entry = here.entry(missing).or_default();
                *entry = (*entry).max(now - alternative.cost);
            }
        }
        for (items, saving) in here {
            *savings.entry(items).or_default() += saving;
        }
    }
    let net = |items: &[u32], saving: u64| {
        saving.saturating_sub(items.iter().map(|i| cover.weights[*i as usize]).sum::<u64>())
    };
    let worth = savings.into_iter().map(|(items, saving)| (net(&items, saving), items));
    worth.filter(|(net, _)| *net > 0).max().map(|(_, items)| items)
}

/// Drops items, heaviest first, whose absence does not raise the value.
#[must_use]
pub fn pruned(cover: &Cover, mut kit: Vec<bool>) -> Vec<bool> {
    let places = cover.places();
    let mut items: Vec<u32> = (0..kit.len() as u32).filter(|i| kit[*i as usize]).collect();
    items.sort_by_key(|i| (core::cmp::Reverse(cover.weights[*i as usize]), places[*i as usize].len(), *i));
    for item in items {
        if drop_saves(cover, &mut kit, item, &places[item as usize]) {
            kit[item as usize] = false;
        }
    }
    kit
}

/// Whether the rows that an item stands in cost no more than its weight without it.
fn drop_saves(cover: &Cover, kit: &mut [bool], item: u32, places: &[(usize, usize)]) -> bool {
    let mut rows: Vec<usize> = places
        .iter()
        .filter(|(r, a)| holds(kit, &cover.rows[*r].alternatives[*a].items))
        .map(|p| p.0)
        .collect();
    rows.dedup();
    let cost = |kit: &[bool]| rows.iter().map(|r| cover.rows[*r].cost(kit)).sum::<Option<u64>>();
    let with = cost(kit);
    kit[item as usize] = false;
    let without = cost(kit);
    kit[item as usize] = true;
    matches!((with, without), (Some(with), Some(without)) if without <= with + cover.weights[item as usize])
}

/// A good kit: built, pruned, then improved by taking each item out and building again without it.
#[must_use]
pub fn good(cover: &Cover) -> Vec<bool> {
    let nothing = cover.empty_kit();
    let built = completed(cover, nothing.clone(), &nothing).unwrap_or_else(|| vec![true; nothing.len()]);
    let mut best = pruned(cover, built);
    for _ in 0..MOST_ROUNDS {
        let before = cover.value(&best);
        for item in 0..best.len() {
            if best[item] {
                best = better_without(cover, best, item);
            }
        }
        if cover.value(&best) == before {
            break;
        }
    }
    best
}

fn better_without(cover: &Cover, kit: Vec<bool>, item: usize) -> Vec<bool> {
    let mut barred = cover.empty_kit();
    barred[item] = true;
    let mut other = kit.clone();
    other[item] = false;
    let Some(other) = completed(cover, other, &barred).map(|k| pruned(cover, k)) else { return kit };
    let is_better = matches!((cover.value(&other), cover.value(&kit)), (Some(o), Some(k)) if o < k);
    if is_better { other } else { kit }
}
