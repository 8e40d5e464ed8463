//! Simulated annealing over exchanges of segments that bring a node right behind one it is cheap to come from.

use units::math;

use crate::dice::Dice;
use crate::followers::Near;
use crate::net::Net;
use crate::tour::{Cuts, Tour};
use crate::work::Work;

/// A segment grows by one more node with the chance `1 − 1/GROWTH`.
const GROWTH: usize = 5;
/// One segment in this many has any length.
const ANY_LENGTH_ONE_IN: usize = 6;
/// Entries of the table of logarithms that stands for the draw of a threshold.
const DRAWS: usize = 4096;
/// Tries at one temperature.
const COOL_EVERY: u64 = 256;

/// From how hot to how cold, in how many tries.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cooling {
    pub(crate) hot_cost: f64,
    pub(crate) cold_cost: f64,
    pub(crate) tries: u64,
}

/// Cools a tour; leaves the best order seen in it. False when stopped early.
pub(crate) fn anneal(
    tour: &mut Tour,
    net: &Net,
    near: &Near,
    dice: &mut Dice,
    cooling: Cooling,
    work: &mut Work,
) -> bool {
    let thresholds: Vec<f64> = (0..DRAWS).map(|at| -math::ln((at as f64 + 0.5) / DRAWS as f64)).collect();
    let steps = (cooling.tries / COOL_EVERY).max(1);
    let factor = math::pow(cooling.cold_cost / cooling.hot_cost, 1.0 / steps as f64);
    let mut heat = cooling.hot_cost;
    let (mut best, mut best_value) = (tour.order.clone(), tour.value);
    let mut stopped = false;
    for _ in 0..steps {
        if work.spend(COOL_EVERY) {
            stopped = true;
            break;
        }
        for _ in 0..COOL_EVERY {
            let Some(cuts) = draw(tour, net, near, dice) else { continue };
            let change = tour.change(cuts);
            if change > 0 && change as f64 > heat * thresholds[dice.below(DRAWS)] {
                continue;
            }
            if !tour.may(cuts) {
                continue;
            }
            if change > 0 && tour.value < best_value {
                best_value = tour.value;
                best.copy_from_slice(&tour.order);
            }
            tour.exchange(cuts, change);
        }
        heat *= factor;
    }
    if best_value < tour.value {
        tour.set(&best, best_value);
    }
    !stopped
}

/// Cuts of an exchange that puts a near node right behind another, the third cut at random.
fn draw(tour: &Tour, net: &Net, near: &Near, dice: &mut Dice) -> Option<Cuts> {
    let node = dice.below(net.n - 1);
    let onward = &near.onward[node];
    let next = onward[dice.below(onward.len())] as usize;
    let (at, to) = (tour.place[node] as usize, tour.place[next] as usize);
    if to == at + 1 {
        return None;
    }
    if to > at {
        let is_last = to == net.n - 1;
        if at > 0 && (is_last || dice.below(2) == 0) {
            return Some((at + 1 - length(dice, at), at + 1, to));
        }
        return (!is_last).then(|| (at + 1, to, to + length(dice, net.n - 1 - to)));
    }
    let short = length(dice, at - to);
    let middle = if dice.below(2) == 0 { at + 1 - short } else { to + short };
    Some((to, middle, at + 1))
}

/// A length from 1 to `most`, short ones mostly.
fn length(dice: &mut Dice, most: usize) -> usize {
    if dice.below(ANY_LENGTH_ONE_IN) == 0 {
        return 1 + dice.below(most);
    }
    let mut length = 1;
    while length < most && dice.below(GROWTH) > 0 {
        length += 1;
    }
    length
}
