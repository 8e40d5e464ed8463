//! Iterated descent: a small random exchange, descent around it, and back if that was no good.

use units::math;

use crate::anneal::CoolingRange;
use crate::descend::{NodeWorklist, descend_by_exchanges};
use crate::dice::OrderDice;
use crate::followers::NearNodes;
use crate::net::SequencingNet;
use crate::tour::{NodeTour, SegmentCuts};
use crate::work::TryCounter;

/// Longest segment of a random exchange.
const MAX_KICK_SEGMENT: usize = 30;
/// Draws of a random exchange before it is given up.
const DRAWS: usize = 20;
/// What a scan of third cuts counts for, in tries of the annealing.
const TRIES_PER_SCAN: u64 = 2;

/// Iterates until its tries are spent; leaves the best order seen.
pub(crate) fn iterate_descent(
    tour: &mut NodeTour,
    net: &SequencingNet,
    near: &NearNodes,
    dice: &mut OrderDice,
    cooling: CoolingRange,
    work: &mut TryCounter,
) {
    let mut queue = NodeWorklist::new(net.n);
    let mut log = Vec::new();
    (0..net.n as u32).for_each(|node| queue.push(node));
    let mut spent = descend_by_exchanges(tour, net, near, &mut queue, &mut log) * TRIES_PER_SCAN;
    let (mut best, mut best_value) = (tour.order.clone(), tour.value);
    let mut halted = work.spend_tries(spent);
    while spent < cooling.tries && !halted {
        log.clear();
        let before = tour.value;
        let heat = cooling.hot_cost * (1.0 - spent as f64 / cooling.tries as f64);
        if let Some(cuts) = draw_random_cuts(tour, net, dice) {
            let change = tour.change_exchanged(cuts);
            queue.push_ends(tour, cuts);
            tour.exchange_segments(cuts, change);
            log.push(cuts);
        }
        let used = descend_by_exchanges(tour, net, near, &mut queue, &mut log) * TRIES_PER_SCAN;
        let worse = tour.value - before;
        if worse > 0 && worse as f64 > -heat * math::ln(dice.next_share()) {
            undo_exchanges(tour, &log, before);
        } else if tour.value < best_value {
            best_value = tour.value;
            best.copy_from_slice(&tour.order);
        }
        spent += used;
        halted = work.spend_tries(used);
    }
    if best_value < tour.value {
        tour.set_order(&best, best_value);
    }
}

fn undo_exchanges(tour: &mut NodeTour, log: &[SegmentCuts], value: i64) {
    for cuts in log.iter().rev() {
        tour.exchange_segments(NodeTour::undoing_cuts(*cuts), 0);
    }
    tour.value = value;
}

/// A random exchange of short segments that the precedence allows.
fn draw_random_cuts(tour: &NodeTour, net: &SequencingNet, dice: &mut OrderDice) -> Option<SegmentCuts> {
    if net.n < 4 {
        return None;
    }
    let longest = MAX_KICK_SEGMENT.min(net.n / 2);
    for _ in 0..DRAWS {
        let i = 1 + dice.below(net.n - 3);
        let j = i + 1 + dice.below(longest.min(net.n - 2 - i));
        let k = j + 1 + dice.below(longest.min(net.n - 1 - j));
        if tour.may_exchange((i, j, k)) {
            return Some((i, j, k));
        }
    }
    None
}
