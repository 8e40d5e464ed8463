//! An item that is in every alternative of a row is taken; rows with nothing left to choose go.

use crate::kit::kit_cover::{KitCover, KitRow};

/// Applies the rule; false where a row has no alternative left or a cap does not allow what is forced.
#[must_use]
pub fn take_forced_items(cover: &mut KitCover) -> bool {
    if cover.rows.iter().any(|row| row.alternatives.is_empty()) {
        return false;
    }
    let mut needed = cover.empty_kit();
    for item in cover.rows.iter().flat_map(common_items) {
        needed[item as usize] = true;
    }
    let fits = !needed.contains(&true) || cover.take_items(&needed);
    drop_settled_rows(cover);
    fits
}

/// Items in all alternatives of a row.
fn common_items(row: &KitRow) -> Vec<u32> {
    let Some((first, rest)) = row.alternatives.split_first() else { return Vec::new() };
    let everywhere = |i: &u32| rest.iter().all(|a| a.items.binary_search(i).is_ok());
    first.items.iter().copied().filter(everywhere).collect()
}

/// Drops rows whose cheapest alternative asks for nothing.
fn drop_settled_rows(cover: &mut KitCover) {
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
}
