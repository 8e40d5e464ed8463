//! Among kits with the same number of pieces, a quicker one: one piece exchanged at a time, while that saves time.

use std::collections::BTreeSet;

use super::cover::{Cover, Row};
use effort::Budget;

/// Rounds over all pieces of the kit.
const MOST_ROUNDS: usize = 6;

/// A kit with as many items and no more cost in its rows.
#[must_use]
pub fn quicker(cover: &Cover, mut kit: Vec<bool>, budget: &Budget) -> Vec<bool> {
    for _ in 0..MOST_ROUNDS {
        let mut changed = false;
        for item in 0..kit.len() as u32 {
            if budget.watch.stop() {
                return kit;
            }
            changed |= kit[item as usize] && exchange(cover, &mut kit, item);
        }
        if !changed {
            break;
        }
    }
    kit
}

/// Exchanges one item for the one that saves most, if any does.
fn exchange(cover: &Cover, kit: &mut [bool], item: u32) -> bool {
    let touched: Vec<&Row> =
        cover.rows.iter().filter(|r| r.alternatives.iter().any(|a| a.items.contains(&item))).collect();
    let Some(before) = cover.value(kit) else { return false };
    kit[item as usize] = false;
    let broken: Vec<&&Row> = touched.iter().filter(|r| !r.is_satisfied(kit)).collect();
    let mut candidates: Option<BTreeSet<u32>> = None;
    for row in broken {
        let mends = mends(row, kit);
        candidates = Some(match candidates {
            Some(so_far) => so_far.intersection(&mends).copied().collect(),
            None => mends,
        });
    }
    let mut best = (before, item);
    for other in candidates.unwrap_or_default() {
        kit[other as usize] = true;
        if let Some(value) = cover.value(kit).filter(|v| *v < best.0) {
            best = (value, other);
        }
        kit[other as usize] = false;
    }
    kit[best.1 as usize] = true;
    best.1 != item
}

/// Items each of which alone makes a row satisfied.
fn mends(row: &Row, kit: &[bool]) -> BTreeSet<u32> {
    let missing = |items: &[u32]| {
        let mut absent = items.iter().copied().filter(|i| !kit[*i as usize]);
        absent.next().filter(|_| absent.next().is_none())
    };
    row.alternatives.iter().filter_map(|a| missing(&a.items)).collect()
}
