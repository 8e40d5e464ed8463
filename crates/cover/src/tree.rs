//! Branch and bound over any kind of subproblem: dive first, then take up the part with the lowest bound.

use std::collections::BTreeMap;

use crate::search::CoverSearch;

/// Waiting parts above which the deepest is taken up instead of the lowest, so that memory stays bounded.
const MAX_WAITING_PARTS: usize = 3000;
/// Steps of the local search between two turns of the tree.
const STEPS_A_TURN: u64 = 1_000;

/// A subproblem that can prove itself hopeless or fall into two.
pub trait TreeSubproblem: Sized {
    /// Shrinks, raises the bound and offers what it finds; `None` once nothing better than the best is left in it.
    fn tightened(self, search: &mut CoverSearch) -> Option<Self>;
    /// No answer within this part costs less.
    fn bound(&self) -> u64;
    /// The two halves, the more promising first.
    fn split_in_two(self) -> [Self; 2];
}

/// A search for better answers without proof, that can be taken up again.
pub trait LocalImprover {
    /// Searches for a number of steps and offers what it finds.
    fn improve_answer(&mut self, search: &mut CoverSearch, steps: u64);
}

/// Tree and local search in turns, each with its share of the work, until the proof or the end of the effort; returns
/// the bound.
pub fn take_turns<P: TreeSubproblem>(
    root: P,
    local: &mut impl LocalImprover,
    local_fraction: f64,
    search: &mut CoverSearch,
) -> u64 {
    let mut tree = SearchTree::new(root);
    let (mut in_tree, mut in_local) = (0_u64, 0_u64);
    while !search.is_over() {
        let before = search.visits();
        if in_local as f64 <= local_fraction * (in_local + in_tree) as f64 {
            local.improve_answer(search, STEPS_A_TURN);
            in_local += (search.visits() - before).max(1);
        } else {
            if !tree.step_tree(search) {
                break;
            }
            in_tree += search.visits() - before;
        }
    }
    tree.bound(search.upper)
}

/// Where a part waits: lowest bound first, then deepest, then first come.
type WaitingPlace = (u64, core::cmp::Reverse<u32>, u64);

/// Parts waiting to be looked at.
struct SearchTree<P> {
    waiting: BTreeMap<WaitingPlace, P>,
    dive: Option<(u32, P)>,
    made: u64,
}

impl<P: TreeSubproblem> SearchTree<P> {
    /// A tree that is its root alone.
    #[must_use]
    const fn new(root: P) -> Self {
        Self { waiting: BTreeMap::new(), dive: Some((0, root)), made: 0 }
    }

    /// No answer that was not offered yet costs less; `upper` when no part is left.
    #[must_use]
    fn bound(&self, upper: u64) -> u64 {
        let waiting = self.waiting.first_key_value().map(|(place, _)| place.0);
        let dive = self.dive.as_ref().map(|(_, part)| part.bound());
        waiting.into_iter().chain(dive).min().map_or(upper, |bound| bound.min(upper))
    }

    /// Looks at one part; false when none is left.
    fn step_tree(&mut self, search: &mut CoverSearch) -> bool {
        let Some((depth, part)) = self.take_next(search.upper) else { return false };
        if let Some(part) = part.tightened(search) {
            if search.is_over() {
                self.dive = Some((depth, part));
                return true;
            }
            let [first, second] = part.split_in_two();
            self.made += 1;
            self.waiting.insert((second.bound(), core::cmp::Reverse(depth + 1), self.made), second);
            self.dive = Some((depth + 1, first));
        }
        true
    }

    /// The next part that may hold something better than `upper`.
    fn take_next(&mut self, upper: u64) -> Option<(u32, P)> {
        if let Some(part) = self.dive.take().filter(|(_, part)| part.bound() < upper) {
            return Some(part);
        }
        loop {
            let place = if self.waiting.len() > MAX_WAITING_PARTS {
                self.deepest_place()
            } else {
                self.lowest_place()
            }?;
            let part = self.waiting.remove(&place)?;
            if place.0 < upper {
                return Some((place.1.0, part));
            }
        }
    }

    fn lowest_place(&self) -> Option<WaitingPlace> {
        self.waiting.first_key_value().map(|(place, _)| *place)
    }

    fn deepest_place(&self) -> Option<WaitingPlace> {
        self.waiting.keys().max_by_key(|place| (place.1.0, core::cmp::Reverse(place.0))).copied()
    }
}
