//! Rows that share no item, not even through other rows, are solved apart.

use std::collections::BTreeMap;

use crate::kit::cover::{Alternative, Cover, Row};

/// A part of a cover that shares no item with the rest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Component {
    /// The part, with its own item numbers.
    pub cover: Cover,
    /// The number in the whole of each of its items.
    pub items: Vec<u32>,
}

/// The components of a cover, by their lowest items.
#[must_use]
pub fn components(cover: &Cover) -> Vec<Component> {
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
    let number: BTreeMap<u32, u32> = items.iter().copied().zip(0..).collect();
    let own =
        |a: &Alternative| Alternative { cost: a.cost, items: a.items.iter().map(|i| number[i]).collect() };
    let rows = rows.iter().map(|r| Row::new(r.alternatives.iter().map(own).collect())).collect();
    let weights = items.iter().map(|i| cover.weights[*i as usize]).collect();
    Component { cover: Cover::new(weights, rows), items }
}
