//! An item that stands in every alternative of a row is taken; rows with nothing left to choose go.

use crate::kit::cover::{Cover, Row};

/// Applies the rule; true if an item was taken or a row went.
pub fn reduce(cover: &mut Cover) -> bool {
    let mut needed = cover.empty_kit();
    for item in cover.rows.iter().flat_map(common) {
        needed[item as usize] = true;
    }
    let taken: Vec<u32> = (0..needed.len() as u32).filter(|i| needed[*i as usize]).collect();
    cover.fixed += taken.iter().map(|i| cover.weights[*i as usize]).sum::<u64>();
    for alternative in cover.rows.iter_mut().flat_map(|r| &mut r.alternatives) {
        alternative.items.retain(|i| !needed[*i as usize]);
    }
    let took = !taken.is_empty();
    cover.taken.extend(taken);
    settle(cover) || took
}

/// Items in all alternatives of a row.
fn common(row: &Row) -> Vec<u32> {
    let Some((first, rest)) = row.alternatives.split_first() else { return Vec::new() };
    let everywhere = |i: &u32| rest.iter().all(|a| a.items.binary_search(i).is_ok());
    first.items.iter().copied().filter(everywhere).collect()
}

/// Drops rows whose cheapest alternative asks for nothing.
fn settle(cover: &mut Cover) -> bool {
    let before = cover.rows.len();
    let mut fixed = 0;
    cover.rows.retain(|row| {
        let least = row.alternatives.iter().map(|a| a.cost).min().unwrap_or(0);
        let settled = row.alternatives.iter().any(|a| a.items.is_empty() && a.cost == least);
        if settled {
            fixed += least;
        }
        !settled
    });
    cover.fixed += fixed;
    cover.rows.len() < before
}
