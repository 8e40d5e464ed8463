//! Iterated descent: a small random exchange, descent around it, and back if that was no good.

use units::math;

use crate::anneal::Cooling;
use crate::descend::{Queue, descend};
use crate::dice::Dice;
use crate::followers::Near;
use crate::net::Net;
use crate::tour::{Cuts, Tour};
use crate::work::Work;

/// Longest segment of a random exchange.
const LONGEST: usize = 30;
/// Draws of a random exchange before it is given up.
const DRAWS: usize = 20;
/// What a scan of third cuts counts for, in tries of the annealing.
const TRIES_PER_SCAN: u64 = 2;

/// Iterates until so many tries are spent; leaves the best order seen.
pub(crate) fn iterate(
    tour: &mut Tour,
    net: &Net,
    near: &Near,
    dice: &mut Dice,
    cooling: Cooling,
    work: &mut Work,
) {
    let mut queue = Queue::new(net.n);
    let mut log = Vec::new();
    (0..net.n as u32).for_each(|node| queue.push(node));
    let mut spent = descend(tour, net, near, &mut queue, &mut log) * TRIES_PER_SCAN;
    let (mut best, mut best_value) = (tour.order.clone(), tour.value);
    let mut halted = work.spend(spent);
    while spent < cooling.tries && !halted {
        log.clear();
        let before = tour.value;
        let heat = cooling.hot_cost * (1.0 - spent as f64 / cooling.tries as f64);
        if let Some(cuts) = kick(tour, net, dice) {
            let change = tour.change(cuts);
            queue.push_ends(tour, cuts);
            tour.exchange(cuts, change);
            log.push(cuts);
        }
        let used = descend(tour, net, near, &mut queue, &mut log) * TRIES_PER_SCAN;
        let worse = tour.value - before;
        if worse > 0 && worse as f64 > -heat * math::ln(dice.share()) {
            undo(tour, &log, before);
        } else if tour.value < best_value {
            best_value = tour.value;
            best.copy_from_slice(&tour.order);
        }
        spent += used;
        halted = work.spend(used);
    }
    if best_value < tour.value {
        tour.set(&best, best_value);
    }
}

fn undo(tour: &mut Tour, log: &[Cuts], value: i64) {
    for cuts in log.iter().rev() {
        tour.exchange(Tour::undoing(*cuts), 0);
    }
    tour.value = value;
}

/// A random exchange of short segments that the precedence allows.
fn kick(tour: &Tour, net: &Net, dice: &mut Dice) -> Option<Cuts> {
    if net.n < 4 {
        return None;
    }
    let longest = LONGEST.min(net.n / 2);
    for _ in 0..DRAWS {
        let i = 1 + dice.below(net.n - 3);
        let j = i + 1 + dice.below(longest.min(net.n - 2 - i));
        let k = j + 1 + dice.below(longest.min(net.n - 1 - j));
        if tour.may((i, j, k)) {
            return Some((i, j, k));
        }
    }
    None
}
