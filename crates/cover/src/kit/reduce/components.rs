//! Rows that share no item, not even through other rows, are solved apart; and items are numbered anew.

use std::collections::BTreeMap;

use crate::kit::cover::{Alternative, Cap, Cover, Row};

/// A part of a cover that shares no item with the rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// The part, with its own item numbers and nothing taken yet.
    pub cover: Cover,
    /// The number in the whole of each of its items.
    pub items: Vec<u32>,
}

/// The components of a cover, by their lowest items; a cover with caps is one.
#[must_use]
pub fn components(cover: &Cover) -> Vec<Component> {
    if !cover.caps.is_empty() {
        return if cover.rows.is_empty() { Vec::new() } else { vec![compacted(cover)] };
    }
    let mut group: Vec<u32> = (0..cover.weights.len() as u32).collect();
    for row in &cover.rows {
        let mut items = row.alternatives.iter().flat_map(|a| &a.items);
        let Some(first) = items.next() else { continue };
        items.for_each(|i| join(&mut group, *first, *i));
    }
    let mut rows: BTreeMap<u32, Vec<&Row>> = BTreeMap::new();
    for row in &cover.rows {
        if let Some(first) = row.alternatives.iter().find_map(|a| a.items.first()) {
            rows.entry(root(&group, *first)).or_default().push(row);
        }
    }
    rows.into_values().map(|rows| component(cover, &rows)).collect()
}

/// The whole cover with only the items that still stand in rows.
#[must_use]
pub fn compacted(cover: &Cover) -> Component {
    component(cover, &cover.rows.iter().collect::<Vec<&Row>>())
}

fn root(group: &[u32], mut item: u32) -> u32 {
    while group[item as usize] != item {
        item = group[item as usize];
    }
    item
}

fn join(group: &mut [u32], a: u32, b: u32) {
    let (a, b) = (root(group, a), root(group, b));
    group[a.max(b) as usize] = a.min(b);
}

fn component(cover: &Cover, rows: &[&Row]) -> Component {
    let mut items: Vec<u32> =
        rows.iter().flat_map(|r| &r.alternatives).flat_map(|a| a.items.iter().copied()).collect();
    items.sort_unstable();
    items.dedup();
    let mut number = vec![u32::MAX; cover.weights.len()];
    items.iter().zip(0..).for_each(|(item, new)| number[*item as usize] = new);
    let own = |a: &Alternative| Alternative {
        cost: a.cost,
        items: a.items.iter().map(|i| number[*i as usize]).collect(),
    };
    let row = |r: &&Row| {
        let prices = r.price_cost.iter().filter(|(i, _)| number[*i as usize] != u32::MAX);
        Row {
            alternatives: r.alternatives.iter().map(own).collect(),
            price_cost: prices.map(|(i, price)| (number[*i as usize], *price)).collect(),
        }
    };
    let only = |amounts: &[u64]| items.iter().map(|i| amounts[*i as usize]).collect::<Vec<u64>>();
    let caps = cover.caps.iter().map(|cap| Cap { amounts: only(&cap.amounts), most: cap.most }).collect();
    let mut part = Cover::new(only(&cover.weights), rows.iter().map(row).collect());
    part.caps = caps;
    Component { cover: part, items }
}
