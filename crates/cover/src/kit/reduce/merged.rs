//! Rows with the same alternatives become one row, with the costs added; costs that no answer avoids become fixed.
//!
//! The alternatives must also be in the same order of cost: then the cheapest that a kit holds is the same in every one of
//! the rows, and the least of the sums is the sum of the least. In different orders it is not: with costs 0, 4 and 4, 0 a
//! kit that holds both alternatives pays nothing, their sums 4, 4 would say 4.

use std::collections::BTreeMap;

use crate::kit::kit_cover::{KitCover, KitRow, RowAlternative};

/// Costs of the alternatives, and prices, of rows that become one.
#[derive(Default)]
struct MergedRowCosts {
    costs: Vec<u64>,
    price_cost: Vec<(u32, f64)>,
}

/// Applies the rule; true if a row went.
pub fn merge_equal_rows(cover: &mut KitCover) -> bool {
    let before = cover.rows.len();
    let mut merged: BTreeMap<Vec<Vec<u32>>, Vec<MergedRowCosts>> = BTreeMap::new();
    for row in core::mem::take(&mut cover.rows) {
        let least = row.alternatives.iter().map(|a| a.cost).min().unwrap_or(0);
        cover.fixed += least;
        let pairs = row.alternatives.into_iter().map(|a| (a.cost - least, a.items));
        let (costs, items): (Vec<_>, Vec<_>) = pairs.unzip();
        merged.entry(items).or_default().push(MergedRowCosts { costs, price_cost: row.price_cost });
    }
    cover.rows = merged.into_iter().map(|(items, sums)| build_merged_row(items, &sums)).collect();
    cover.rows.len() < before
}

fn build_merged_row(items: Vec<Vec<u32>>, sums: &[MergedRowCosts]) -> KitRow {
    let cost = |at: usize| sums.iter().map(|sum| sum.costs[at]).sum();
    let alternatives =
        items.into_iter().enumerate().map(|(at, items)| RowAlternative { cost: cost(at), items }).collect();
    let mut row = KitRow::new(alternatives);
    sums.iter().for_each(|sum| row.add_prices(&sum.price_cost));
    row
}
