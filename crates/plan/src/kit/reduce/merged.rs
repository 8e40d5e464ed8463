//! Rows with the same alternatives become one row, with the costs added; costs that no answer avoids become fixed.
//!
//! The alternatives must also stand in the same order of cost: then the cheapest that a kit holds is the same in every one of
//! the rows, and the least of the sums is the sum of the least. In different orders it is not: with costs 0, 4 and 4, 0 a
//! kit that holds both alternatives pays nothing, their sums 4, 4 would say 4.

use std::collections::BTreeMap;

use crate::kit::cover::{Alternative, Cover, Row};

/// Applies the rule; true if a row went.
pub fn reduce(cover: &mut Cover) -> bool {
    let before = cover.rows.len();
    let mut merged: BTreeMap<Vec<Vec<u32>>, Vec<u64>> = BTreeMap::new();
    for row in core::mem::take(&mut cover.rows) {
        let least = row.alternatives.iter().map(|a| a.cost).min().unwrap_or(0);
        cover.fixed += least;
        let mut pairs: Vec<_> = row.alternatives.into_iter().map(|a| (a.cost - least, a.items)).collect();
        pairs.sort();
        let (costs, items): (Vec<_>, Vec<_>) = pairs.into_iter().unzip();
        add(merged.entry(items).or_default(), costs);
    }
    cover.rows = merged.into_iter().map(|(items, costs)| row(items, costs)).collect();
    cover.rows.len() < before
}

fn add(sum: &mut Vec<u64>, costs: Vec<u64>) {
    if sum.is_empty() {
        *sum = costs;
        return;
    }
    for (s, c) in sum.iter_mut().zip(costs) {
        *s += c;
    }
}

fn row(items: Vec<Vec<u32>>, costs: Vec<u64>) -> Row {
    Row::new(items.into_iter().zip(costs).map(|(items, cost)| Alternative { cost, items }).collect())
}
