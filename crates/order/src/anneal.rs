//! Simulated annealing over exchanges of segments that bring a node right behind one it is cheap to come from.

use units::math;

use crate::dice::OrderDice;
use crate::followers::NearNodes;
use crate::net::SequencingNet;
use crate::tour::{NodeTour, SegmentCuts};
use crate::work::TryCounter;

/// A segment grows by one more node with the chance `1 − 1/GROWTH`.
const GROWTH: usize = 5;
/// One segment in this many has any length.
const ANY_LENGTH_ONE_IN: usize = 6;
/// One draw in this many turns a segment round where the precedence is loose.
const TURN_ONE_IN: usize = 3;
/// Longest segment turned round where the way back costs something else.
const MAX_TURN_LENGTH: usize = 25;
/// Entries of the table of logarithms that replaces the draw of a threshold.
const DRAWS: usize = 4096;
/// Tries at one temperature.
const COOL_EVERY: u64 = 256;

/// From how hot to how cold, in how many tries.
#[derive(Debug, Clone, Copy)]
pub(crate) struct CoolingRange {
    pub(crate) hot_cost: f64,
    pub(crate) cold_cost: f64,
    pub(crate) tries: u64,
}

/// The end of a cooling, as a share of its start; colder moves little (assumption, from trials).
const COLD_SHARE: f64 = 0.1;
/// At this temperature a rise by one unit is kept once in a thousand tries or so; colder gains nothing.
const LEAST_COLD_COST: f64 = 0.15;

impl CoolingRange {
    /// From a temperature down to where hardly anything moves.
    pub(crate) fn from_hot(hot_cost: f64, tries: u64) -> Self {
        Self { hot_cost, cold_cost: (hot_cost * COLD_SHARE).max(LEAST_COLD_COST), tries }
    }
}

/// One change of an order.
#[derive(Debug, Clone, Copy)]
enum SegmentMove {
    /// Two neighbouring segments change places.
    Exchange(SegmentCuts),
    /// A segment is turned round; good where nothing is ordered within it and the way back costs the same.
    Turn(usize, usize),
    /// An exchange that turns the left segment round.
    LeftTurned(SegmentCuts),
    /// An exchange that turns the right segment round.
    RightTurned(SegmentCuts),
}

impl SegmentMove {
    fn cost_change(self, tour: &NodeTour) -> i64 {
        match self {
            Self::Exchange(cuts) => tour.change_exchanged(cuts),
            Self::Turn(i, k) => tour.change_turned(i, k),
            Self::LeftTurned(cuts) => tour.change_left_turned(cuts),
            Self::RightTurned(cuts) => tour.change_right_turned(cuts),
        }
    }

    fn is_allowed(self, tour: &NodeTour) -> bool {
        match self {
            Self::Exchange(cuts) => tour.may_exchange(cuts),
            Self::Turn(i, k) => tour.may_turn(i, k),
            Self::LeftTurned(cuts) => tour.may_turn(cuts.0, cuts.1) && tour.may_exchange(cuts),
            Self::RightTurned(cuts) => tour.may_turn(cuts.1, cuts.2) && tour.may_exchange(cuts),
        }
    }

    fn apply_to(self, tour: &mut NodeTour, change: i64) {
        match self {
            Self::Exchange(cuts) => tour.exchange_segments(cuts, change),
            Self::Turn(i, k) => tour.turn_segment(i, k, change),
            Self::LeftTurned((i, j, k)) => {
                tour.exchange_segments((i, j, k), change);
                tour.turn_segment(i + k - j, k, 0);
            }
            Self::RightTurned((i, j, k)) => {
                tour.exchange_segments((i, j, k), change);
                tour.turn_segment(i, i + k - j, 0);
            }
        }
    }
}

/// Cools a tour; leaves the best order seen in it.
pub(crate) fn anneal_tour(
    tour: &mut NodeTour,
    net: &SequencingNet,
    near: &NearNodes,
    dice: &mut OrderDice,
    cooling: CoolingRange,
    work: &mut TryCounter,
) {
    let thresholds: Vec<f64> = (0..DRAWS).map(|at| -math::ln((at as f64 + 0.5) / DRAWS as f64)).collect();
    let steps = (cooling.tries / COOL_EVERY).max(1);
    let factor = math::pow(cooling.cold_cost / cooling.hot_cost, 1.0 / steps as f64);
    let mut heat = cooling.hot_cost;
    let (mut best, mut best_value) = (tour.order.clone(), tour.value);
    for _ in 0..steps {
        if work.spend_tries(COOL_EVERY) {
            break;
        }
        for _ in 0..COOL_EVERY {
            let Some(step) = draw_move(tour, net, near, dice) else { continue };
            let change = step.cost_change(tour);
            if change > 0 && change as f64 > heat * thresholds[dice.below(DRAWS)] {
                continue;
            }
            if !step.is_allowed(tour) {
                continue;
            }
            if change > 0 && tour.value < best_value {
                best_value = tour.value;
                best.copy_from_slice(&tour.order);
            }
            step.apply_to(tour, change);
        }
        heat *= factor;
    }
    if best_value < tour.value {
        tour.set_order(&best, best_value);
    }
}

/// Makes a step of the annealing at a heat, if the one drawn is kept and allowed; the nodes at its cuts.
pub(crate) fn kick_tour(
    tour: &mut NodeTour,
    net: &SequencingNet,
    near: &NearNodes,
    dice: &mut OrderDice,
    heat_cost: f64,
) -> Option<[u32; 6]> {
    let step = draw_move(tour, net, near, dice)?;
    let change = step.cost_change(tour);
    if change as f64 > -heat_cost * math::ln(dice.next_share()) || !step.is_allowed(tour) {
        return None;
    }
    let (i, j, k) = match step {
        SegmentMove::Turn(i, k) => (i, i + 1, k),
        SegmentMove::Exchange(cuts) | SegmentMove::LeftTurned(cuts) | SegmentMove::RightTurned(cuts) => cuts,
    };
    let ends = [i - 1, i, j - 1, j, k - 1, k].map(|at| tour.order[at]);
    step.apply_to(tour, change);
    Some(ends)
}

/// Cuts of an exchange that puts a near node right behind another, the third cut at random.
fn draw_move(
    tour: &NodeTour,
    net: &SequencingNet,
    near: &NearNodes,
    dice: &mut OrderDice,
) -> Option<SegmentMove> {
    let node = dice.below(net.n - 1);
    let onward = &near.onward[node];
    // The smaller of two draws: what is near is tried more often.
    let rank = dice.below(onward.len());
    let next = onward[rank.min(dice.below(onward.len()))] as usize;
    let (at, to) = (tour.place[node] as usize, tour.place[next] as usize);
    if to == at + 1 {
        return None;
    }
    if net.is_loose && dice.below(TURN_ONE_IN) == 0 {
        return draw_turned(net, dice, at, to);
    }
    Some(SegmentMove::Exchange(if to < at {
        (to, middle_cut(tour, near, dice, at, to), at + 1)
    } else if at > 0 && (to == net.n - 1 || dice.below(2) == 0) {
        (first_cut(tour, near, dice, at, to), at + 1, to)
    } else if to < net.n - 1 {
        (at + 1, to, last_cut(tour, near, dice, at, to))
    } else {
        return None;
    }))
}

/// In half of all cases the place of a random near neighbour of the node at `place`; else `None`.
fn drawn_near(tour: &NodeTour, lists: &[Vec<u32>], place: usize, dice: &mut OrderDice) -> Option<usize> {
    let list = &lists[tour.order[place] as usize];
    if list.is_empty() || dice.below(2) == 0 {
        return None;
    }
    let rank = dice.below(list.len());
    Some(tour.place[list[rank.min(dice.below(list.len()))] as usize] as usize)
}

/// The cut between two segments that go from `to` to `at`: so that a second new passage is near too, or at random.
fn middle_cut(tour: &NodeTour, near: &NearNodes, dice: &mut OrderDice, at: usize, to: usize) -> usize {
    let from_behind = dice.below(2) == 0;
    let drawn = if from_behind {
        drawn_near(tour, &near.backward, at + 1, dice).map(|place| place + 1)
    } else {
        drawn_near(tour, &near.onward, to - 1, dice)
    };
    drawn.filter(|cut| to < *cut && *cut <= at).unwrap_or_else(|| {
        let short = draw_length(dice, at - to);
        if from_behind { at + 1 - short } else { to + short }
    })
}

/// The first cut where the left segment ends at `at` and the right one ends before `to`.
fn first_cut(tour: &NodeTour, near: &NearNodes, dice: &mut OrderDice, at: usize, to: usize) -> usize {
    let drawn = if dice.below(2) == 0 {
        drawn_near(tour, &near.onward, to - 1, dice)
    } else {
        drawn_near(tour, &near.backward, at + 1, dice).map(|place| place + 1)
    };
    drawn.filter(|cut| 0 < *cut && *cut <= at).unwrap_or_else(|| at + 1 - draw_length(dice, at))
}

/// The last cut where the left segment starts behind `at` and the right one at `to`.
fn last_cut(tour: &NodeTour, near: &NearNodes, dice: &mut OrderDice, at: usize, to: usize) -> usize {
    let last = tour.order.len() - 1;
    let drawn = if dice.below(2) == 0 {
        drawn_near(tour, &near.backward, at + 1, dice).map(|place| place + 1)
    } else {
        drawn_near(tour, &near.onward, to - 1, dice)
    };
    drawn.filter(|cut| to < *cut && *cut <= last).unwrap_or_else(|| to + draw_length(dice, last - to))
}

/// A step that brings the node at `to` right behind the node at `at` and turns a segment round.
fn draw_turned(net: &SequencingNet, dice: &mut OrderDice, at: usize, to: usize) -> Option<SegmentMove> {
    let most = if net.is_even { net.n } else { MAX_TURN_LENGTH };
    let last = net.n - 1;
    match dice.below(3) {
        0 => (at < to && to < last && to - at <= most).then_some(SegmentMove::Turn(at + 1, to + 1)),
        1 if at < to => {
            let most = most.min(to - at - 1);
            (to < last && most > 0)
                .then(|| SegmentMove::RightTurned((at + 1, to + 1 - draw_length(dice, most), to + 1)))
        }
        1 => (to > 0)
            .then(|| SegmentMove::LeftTurned((to + 1 - draw_length(dice, most.min(to)), to + 1, at + 1))),
        _ if at < to => {
            let most = most.min(to - at - 1);
            (at > 0 && most > 0).then(|| SegmentMove::LeftTurned((at, at + draw_length(dice, most), to)))
        }
        _ => (to > 0 && at < last)
            .then(|| SegmentMove::RightTurned((to, at, at + draw_length(dice, most.min(last - at))))),
    }
}

/// A length from 1 to `most`, short ones mostly.
fn draw_length(dice: &mut OrderDice, most: usize) -> usize {
    if dice.below(ANY_LENGTH_ONE_IN) == 0 {
        return 1 + dice.below(most);
    }
    let mut length = 1;
    while length < most && dice.below(GROWTH) > 0 {
        length += 1;
    }
    length
}
