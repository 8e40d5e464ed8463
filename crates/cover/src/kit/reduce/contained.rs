//! Alternatives that another alternative of the same row beats go.
//!
//! Let `a` and `b` satisfy one row. If `cost(a) + weight(a \ b) ≤ cost(b)`, a kit that uses `b` may add what `a` has
//! beyond it and use `a`, at no greater value, and every other row is at least as well off. With costs of 0 this says
//! that an alternative which contains another one goes. Items that count in a cap are never bought on top.

use crate::kit::kit_cover::{KitCover, RowAlternative};

/// Applies the rule; true if anything went.
pub fn drop_contained(cover: &mut KitCover) -> bool {
    let mut rows = core::mem::take(&mut cover.rows);
    let mut changed = false;
    for row in &mut rows {
        let before = row.alternatives.len();
        row.alternatives = unbeaten_alternatives(cover, core::mem::take(&mut row.alternatives));
        changed |= row.alternatives.len() < before;
    }
    cover.rows = rows;
    changed
}

/// A winner costs less, or as much with fewer items, so it is earlier in this order.
fn unbeaten_alternatives(cover: &KitCover, mut all: Vec<RowAlternative>) -> Vec<RowAlternative> {
    all.sort_by(|a, b| (a.cost, a.items.len(), &a.items).cmp(&(b.cost, b.items.len(), &b.items)));
    let mut kept: Vec<RowAlternative> = Vec::new();
    for b in all {
        // Those kept so far cost no more.
        let beats = |a: &RowAlternative| cover.is_light_beyond(&a.items, &b.items, b.cost - a.cost);
        if !kept.iter().any(beats) {
            kept.push(b);
        }
    }
    kept.sort();
    kept
}
