//! Rows that share no item, not even through other rows, are solved apart; and items are numbered anew.

use std::collections::BTreeMap;

use crate::kit::kit_cover::{AmountLimit, KitCover, KitRow, RowAlternative};

/// A part of a cover that shares no item with the rest.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverComponent {
    /// The part, with its own item numbers and nothing taken yet.
    pub cover: KitCover,
    /// The number in the whole of each of its items.
    pub items: Vec<u32>,
}

/// The components of a cover, by their lowest items; a cover with caps is one.
#[must_use]
pub fn split_components(cover: &KitCover) -> Vec<CoverComponent> {
    if !cover.caps.is_empty() {
        return if cover.rows.is_empty() { Vec::new() } else { vec![compact_cover(cover)] };
    }
    let mut group: Vec<u32> = (0..cover.weights.len() as u32).collect();
    for row in &cover.rows {
        let mut items = row.alternatives.iter().flat_map(|a| &a.items);
        let Some(first) = items.next() else { continue };
        items.for_each(|i| join_groups(&mut group, *first, *i));
    }
    let mut rows: BTreeMap<u32, Vec<&KitRow>> = BTreeMap::new();
    for row in &cover.rows {
        if let Some(first) = row.alternatives.iter().find_map(|a| a.items.first()) {
            rows.entry(group_root(&group, *first)).or_default().push(row);
        }
    }
    rows.into_values().map(|rows| extract_component(cover, &rows)).collect()
}

/// The whole cover with only the items that are still in rows.
#[must_use]
pub fn compact_cover(cover: &KitCover) -> CoverComponent {
    extract_component(cover, &cover.rows.iter().collect::<Vec<&KitRow>>())
}

fn group_root(group: &[u32], mut item: u32) -> u32 {
    while group[item as usize] != item {
        item = group[item as usize];
    }
    item
}

fn join_groups(group: &mut [u32], a: u32, b: u32) {
    let (a, b) = (group_root(group, a), group_root(group, b));
    group[a.max(b) as usize] = a.min(b);
}

fn extract_component(cover: &KitCover, rows: &[&KitRow]) -> CoverComponent {
    let mut items: Vec<u32> =
        rows.iter().flat_map(|r| &r.alternatives).flat_map(|a| a.items.iter().copied()).collect();
    items.sort_unstable();
    items.dedup();
    let mut number = vec![u32::MAX; cover.weights.len()];
    items.iter().zip(0..).for_each(|(item, new)| number[*item as usize] = new);
    let own = |a: &RowAlternative| RowAlternative {
        cost: a.cost,
        items: a.items.iter().map(|i| number[*i as usize]).collect(),
    };
    let row = |r: &&KitRow| {
        let prices = r.price_cost.iter().filter(|(i, _)| number[*i as usize] != u32::MAX);
        KitRow {
            alternatives: r.alternatives.iter().map(own).collect(),
            price_cost: prices.map(|(i, price)| (number[*i as usize], *price)).collect(),
        }
    };
    let only = |amounts: &[u64]| items.iter().map(|i| amounts[*i as usize]).collect::<Vec<u64>>();
    let caps =
        cover.caps.iter().map(|cap| AmountLimit { amounts: only(&cap.amounts), most: cap.most }).collect();
    let mut part = KitCover::new(only(&cover.weights), rows.iter().map(row).collect());
    part.caps = caps;
    CoverComponent { cover: part, items }
}
