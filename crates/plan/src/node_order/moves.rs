//! Where to cut: exchanges that bring a node right behind one that is cheap to go on from, and short random ones.
//!
//! Swapping two neighbouring segments keeps the direction within each, so the precedence holds if no node of the left one
//! comes before one of the right one, which direct successors alone can decide (Gambardella and Dorigo, An ant colony system
//! hybridized with a new local search for the sequential ordering problem, INFORMS J. Computing 12 (2000) 237-255).
//!
//! An exchange that the precedence forbids is made as far as it can be (ours): what of the left segment has to come before
//! the right one stays in front of it, or what of the right segment has to come behind the left one stays behind it. So
//! a whole visit to a station joins another one though something between them has to be done first.

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::Rng;

use super::problem::NodeOrderProblem;
use super::tour::NodeOrderTour;

/// Cheapest followers that are kept of each node.
const MAX_FOLLOWERS: usize = 12;
/// Longest stretch of the order that one exchange touches.
const MAX_STRETCH: usize = 240;
/// One exchange in this many is cut at random.
const RANDOM_ONE_IN: usize = 5;
/// Of the exchanges that the precedence forbids, one in this many is made as far as it can be.
const FORBIDDEN_ONE_IN: usize = 3;
/// A segment grows by one more node with the chance `1 − 1/GROWTH`.
const GROWTH: usize = 4;
/// One segment in this many has any length.
const ANY_LENGTH_ONE_IN: usize = 4;

/// Three cuts: `[left, middle)` and `[middle, right)` change places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct StretchCuts {
    pub(super) left: usize,
    pub(super) middle: usize,
    pub(super) right: usize,
}

/// A new order of the pieces of a stretch.
#[derive(Debug, Default)]
pub(super) struct StretchChange {
    pub(super) left: usize,
    pub(super) pieces: Vec<(usize, usize)>,
    /// Room: the places of a segment that have to stay.
    stay: Vec<bool>,
}

impl StretchChange {
    /// Makes it the exchange, as far as the precedence allows; false where nothing is left of it.
    pub(super) fn set_exchange(
        &mut self,
        problem: &NodeOrderProblem,
        tour: &NodeOrderTour,
        cuts: StretchCuts,
        dice: &mut NodeOrderDice,
    ) -> bool {
        let StretchCuts { left, middle, right } = cuts;
        self.left = left;
        self.pieces.clear();
        if allows_exchange(problem, tour, cuts) {
            self.pieces.extend([(middle, right), (left, middle)]);
            return true;
        }
        if dice.draw_below(FORBIDDEN_ONE_IN) > 0 {
            return false;
        }
        if dice.draw_below(2) == 0 {
            self.stay_in_front(problem, tour, cuts)
        } else {
            self.stay_behind(problem, tour, cuts)
        }
    }

    /// Nodes of the left segment that must come before the right one stay in front of it; the rest goes behind.
    fn stay_in_front(
        &mut self,
        problem: &NodeOrderProblem,
        tour: &NodeOrderTour,
        StretchCuts { left, middle, right }: StretchCuts,
    ) -> bool {
        self.stay.clear();
        self.stay.resize(middle - left, false);
        for at in (left..middle).rev() {
            self.stay[at - left] = problem.after[tour.order[at]].iter().any(|n| {
                let then = tour.place[*n];
                (middle..right).contains(&then) || (at < then && then < middle && self.stay[then - left])
            });
        }
        self.split_segment(left, middle, true);
        self.pieces.push((middle, right));
        self.split_segment(left, middle, false)
    }

    /// What of the right segment comes after the left one stays behind it; the rest goes in front.
    fn stay_behind(
        &mut self,
        problem: &NodeOrderProblem,
        tour: &NodeOrderTour,
        StretchCuts { left, middle, right }: StretchCuts,
    ) -> bool {
        self.stay.clear();
        self.stay.resize(right - middle, false);
        for at in middle..right {
            self.stay[at - middle] = problem.before[tour.order[at]].iter().any(|n| {
                let then = tour.place[*n];
                (left..middle).contains(&then) || (middle <= then && then < at && self.stay[then - middle])
            });
        }
        let moves = self.split_segment(middle, right, false);
        self.pieces.push((left, middle));
        self.split_segment(middle, right, true);
        moves
    }

    /// Adds the runs of a segment that stay, or those that do not; true if there are any.
    fn split_segment(&mut self, from: usize, to: usize, stay: bool) -> bool {
        let before = self.pieces.len();
        let mut at = from;
        while at < to {
            let run = self.stay[at - from..].iter().take_while(|s| **s == stay).count();
            if run > 0 {
                self.pieces.push((at, at + run));
            }
            at += run;
            at += self.stay[at - from..].iter().take_while(|s| **s != stay).count();
        }
        self.pieces.len() > before
    }
}

/// Whether the precedence lets the two segments change places.
fn allows_exchange(
    problem: &NodeOrderProblem,
    tour: &NodeOrderTour,
    StretchCuts { left, middle, right }: StretchCuts,
) -> bool {
    if middle - left <= right - middle {
        let goes_right = |n: &usize| (middle..right).contains(&tour.place[*n]);
        tour.order[left..middle].iter().all(|n| !problem.after[*n].iter().any(goes_right))
    } else {
        let goes_left = |n: &usize| (left..middle).contains(&tour.place[*n]);
        tour.order[middle..right].iter().all(|n| !problem.before[*n].iter().any(goes_left))
    }
}

/// Random numbers by the seed alone.
pub(super) struct NodeOrderDice(pub(super) Pcg64Mcg);

impl NodeOrderDice {
    /// A number below `count`, which is at least 1.
    pub(super) fn draw_below(&mut self, count: usize) -> usize {
        ((u128::from(self.0.next_u64()) * count as u128) >> 64) as usize
    }

    /// A number above 0 and at most 1.
    pub(super) fn draw_share(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) + 1) as f64 / (1_u64 << 53) as f64
    }

    /// A length from 1 to `most`, short ones mostly.
    fn draw_segment_length(&mut self, most: usize) -> usize {
        if self.draw_below(ANY_LENGTH_ONE_IN) == 0 {
            return 1 + self.draw_below(most);
        }
        let mut length = 1;
        while length < most && self.draw_below(GROWTH) > 0 {
            length += 1;
        }
        length
    }
}

/// For each node the nodes that are cheapest to go on to.
pub(crate) struct CheapestFollowers(Vec<Vec<u32>>);

impl CheapestFollowers {
    /// The nodes that are cheapest to go on to from a node, cheapest first.
    pub(crate) fn followers_of(&self, node: usize) -> &[u32] {
        &self.0[node]
    }

    pub(crate) fn new(problem: &NodeOrderProblem) -> Self {
        let count = problem.nodes.len();
        Self((0..count).map(|node| cheapest_followers(problem, node)).collect())
    }
}

fn cheapest_followers(problem: &NodeOrderProblem, node: usize) -> Vec<u32> {
    let may = |next: &usize| *next != node && !problem.precedes(*next, node);
    let mut all: Vec<(f64, u32)> =
        (0..problem.nodes.len()).filter(may).map(|n| (link_s(problem, node, n), n as u32)).collect();
    let by_cost = |a: &(f64, u32), b: &(f64, u32)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
    if all.len() > MAX_FOLLOWERS {
        all.select_nth_unstable_by(MAX_FOLLOWERS - 1, by_cost);
        all.truncate(MAX_FOLLOWERS);
    }
    all.sort_by(by_cost);
    all.into_iter().map(|(_, n)| n).collect()
}

/// The least set-up from one node to another.
fn link_s(problem: &NodeOrderProblem, from: usize, to: usize) -> f64 {
    let turn_s = problem.turn_s(Some(from), to);
    let (a, b) = (&problem.nodes[from].choices, &problem.nodes[to].choices);
    let swaps = a.iter().flat_map(|a| b.iter().map(|b| problem.stacks.swap_s(a.last, b.first)));
    turn_s + swaps.reduce(f64::min).unwrap_or(0.0)
}

/// The next exchange to try, if the dice gave one.
pub(super) fn draw_cuts(
    tour: &NodeOrderTour,
    followers: &CheapestFollowers,
    dice: &mut NodeOrderDice,
) -> Option<StretchCuts> {
    let count = tour.order.len();
    let cuts = if dice.draw_below(RANDOM_ONE_IN) == 0 {
        random_cuts(count, dice)?
    } else {
        let node = dice.draw_below(count);
        let near = &followers.0[node];
        let next = near[dice.draw_below(near.len().max(1)).min(near.len().checked_sub(1)?)] as usize;
        joining_cuts(tour, node, next, dice)?
    };
    (cuts.right - cuts.left <= MAX_STRETCH).then_some(cuts)
}

fn random_cuts(count: usize, dice: &mut NodeOrderDice) -> Option<StretchCuts> {
    let left = dice.draw_below(count.checked_sub(1)?);
    let most = MAX_STRETCH / 2;
    let middle = left + dice.draw_segment_length(most.min(count - 1 - left));
    let right = middle + dice.draw_segment_length(most.min(count - middle));
    Some(StretchCuts { left, middle, right })
}

/// The cuts that bring `next` right behind `node`.
fn joining_cuts(
    tour: &NodeOrderTour,
    node: usize,
    next: usize,
    dice: &mut NodeOrderDice,
) -> Option<StretchCuts> {
    let (at, to) = (tour.place[node], tour.place[next]);
    if to > at + 1 {
        let right = to + dice.draw_segment_length((tour.order.len() - to).min(MAX_STRETCH / 2));
        return Some(StretchCuts { left: at + 1, middle: to, right });
    }
    if to < at {
        let middle = at + 1 - dice.draw_segment_length((at - to).min(MAX_STRETCH / 2));
        return Some(StretchCuts { left: to, middle, right: at + 1 });
    }
    None
}
