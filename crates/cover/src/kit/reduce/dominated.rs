//! An item goes where one other item, no heavier in any sense, can replace it in every alternative that holds it.
//!
//! Take a best kit with `p`. If for each alternative `s` with `p` the same row has one within `(s \ p) ∪ {q}` that costs
//! no more, then `q` in place of `p` gives a kit of no greater value, and `p` is not needed.

use std::collections::BTreeSet;

use crate::kit::kit_cover::{KitCover, RowAlternative, items_beyond};

/// Applies the rule; true if an item went.
pub fn drop_dominated_items(cover: &mut KitCover) -> bool {
    let places = cover.item_places();
    let mut gone = cover.empty_kit();
    for p in 0..places.len() as u32 {
        gone[p as usize] = has_stand_in(cover, &gone, p, &places[p as usize]);
    }
    for row in &mut cover.rows {
        row.alternatives.retain(|a| !a.items.iter().any(|i| gone[*i as usize]));
    }
    gone.contains(&true)
}

/// Whether some item can replace one everywhere it is used.
fn has_stand_in(cover: &KitCover, gone: &[bool], p: u32, places: &[(usize, usize)]) -> bool {
    let alive = |a: &RowAlternative| !a.items.iter().any(|i| gone[*i as usize]);
    let places: Vec<(usize, usize)> =
        places.iter().copied().filter(|(r, a)| alive(&cover.rows[*r].alternatives[*a])).collect();
    let Some((first, rest)) = places.split_first() else { return false };
    let candidates: BTreeSet<u32> = stand_in_candidates(cover, gone, p, *first).into_iter().collect();
    candidates.iter().any(|q| rest.iter().all(|place| can_replace(cover, gone, p, *q, *place)))
}

/// Items whose adding makes another alternative of the row do without `p`.
fn stand_in_candidates(cover: &KitCover, gone: &[bool], p: u32, (row, at): (usize, usize)) -> Vec<u32> {
    let all = &cover.rows[row].alternatives;
    let others = all.iter().filter(|o| o.cost <= all[at].cost && !o.items.contains(&p));
    let added = others.filter_map(|o| single_member(items_beyond(&o.items, &all[at].items)));
    added.filter(|q| !gone[*q as usize] && cover.is_no_heavier(*q, p)).collect()
}

/// The single member of what is given.
fn single_member(mut items: impl Iterator<Item = u32>) -> Option<u32> {
    let first = items.next()?;
    items.next().is_none().then_some(first)
}

/// Whether the row has an alternative that costs no more, with `q` in place of `p` and nothing else new.
fn can_replace(cover: &KitCover, gone: &[bool], p: u32, q: u32, (row, at): (usize, usize)) -> bool {
    let all = &cover.rows[row].alternatives;
    all.iter().any(|o| {
        o.cost <= all[at].cost
            && o.items.iter().all(|i| *i != p && !gone[*i as usize])
            && items_beyond(&o.items, &all[at].items).all(|i| i == q)
    })
}
