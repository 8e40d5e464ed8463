//! Every set of items, one after the other: slow, obvious, exact. The yardstick of the tests.

use crate::cut::{self, ClosureProblem, is_valid_closure};
use crate::ways;

/// More items than this are not enumerated.
pub const MAX_ITEMS_ENUMERATED: usize = 22;

/// All sets of `items` items; none beyond [`MAX_ITEMS_ENUMERATED`].
fn sets_of_items(items: usize) -> impl Iterator<Item = Vec<bool>> {
    let ends = if items <= MAX_ITEMS_ENUMERATED { 1_u32 << items } else { 0 };
    (0..ends).map(move |mask| (0..items).map(|i| mask >> i & 1 == 1).collect())
}

/// The best value of all closures, with every closure that has it; `None` if there is no closure.
#[must_use]
pub fn best_closures(problem: &ClosureProblem) -> Option<(i64, Vec<Vec<bool>>)> {
    let allowed = sets_of_items(problem.items().len()).filter(|set| is_valid_closure(problem, set));
    best_sets(allowed.map(|set| (problem.value(&set), set)))
}

/// The best value of all sets that can be worked one item after the other, with every such set.
#[must_use]
pub fn best_sequences(problem: &ways::WaysProblem) -> Option<(i64, Vec<Vec<bool>>)> {
    let allowed = sets_of_items(problem.items().len())
        .filter(|set| problem.keeps_fixed(set) && can_be_worked(problem, set));
    best_sets(allowed.map(|set| (problem.value(&set), set)))
}

/// Whether the items of a set can be worked one after the other, each when its needs and those of one of its ways are done.
fn can_be_worked(problem: &ways::WaysProblem, set: &[bool]) -> bool {
    let mut done = vec![false; set.len()];
    loop {
        let met = |needs: &[u32], done: &[bool]| needs.iter().all(|n| done[*n as usize]);
        let ready = |at: &usize| {
            let item = &problem.items()[*at];
            let way = item.ways.is_empty() || item.ways.iter().any(|way| met(way, &done));
            set[*at] && !done[*at] && way && met(&item.needs, &done)
        };
        match (0..set.len()).find(ready) {
            Some(at) => done[at] = true,
            None => return done == set,
        }
    }
}

fn best_sets(sets: impl Iterator<Item = (i64, Vec<bool>)>) -> Option<(i64, Vec<Vec<bool>>)> {
    let mut best: Option<(i64, Vec<Vec<bool>>)> = None;
    for (value, set) in sets {
        match &mut best {
            Some((most, _)) if value < *most => {}
            Some((most, all)) if value == *most => all.push(set),
            _ => best = Some((value, vec![set])),
        }
    }
    best
}

/// The margin of an item by solving once more with its choice turned round.
#[must_use]
pub fn margin_by_enumeration(problem: &ClosureProblem, chosen: &[bool], item: usize) -> Option<i64> {
    let (value, _) = best_closures(problem)?;
    let turned = if chosen[item] { cut::ForcedChoice::Out } else { cut::ForcedChoice::In };
    let mut items = problem.items().to_vec();
    if items[item].fixed != cut::ForcedChoice::Free {
        return None;
    }
    items[item].fixed = turned;
    let other = ClosureProblem::new(items).ok().and_then(|p| best_closures(&p))?;
    Some(value - other.0)
}
