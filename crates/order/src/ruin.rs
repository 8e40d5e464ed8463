//! Ruin and recreate: a few nodes that have to do with each other are taken out and put back one by one.
//!
//! An exchange of segments never takes a node past one that it is tied to. Where the precedence ties nodes in pairs or
//! small groups, the whole group has to move at once; taking it out does that. Each node goes back to its cheapest
//! place between the last of its predecessors and the first of its successors; now and then a place is overlooked, so
//! that not every try ends the same. Worse orders are kept as in annealing.
//!
//! Sources: G. Schrimpf et al., "Record breaking optimization results using the ruin and recreate principle", Journal of
//! Computational Physics 159 (2000) 139–171; J. Christiaens, G. Vanden Berghe, "Slack induction by string removals for
//! vehicle routing problems", Transportation Science 54 (2020) 417–433 (the overlooked places). From memory.

use units::math;

use crate::anneal::Cooling;
use crate::dice::Dice;
use crate::followers::Near;
use crate::net::Net;
use crate::tour::Tour;
use crate::work::Work;

/// Most nodes taken out at once.
const MOST_OUT: usize = 12;
/// One place in this many is overlooked.
const OVERLOOKED_ONE_IN: usize = 60;
/// Places looked at in the time of one try of the annealing.
const PLACES_PER_TRY: u64 = 6;

/// Room that is used again in every try.
struct Room {
    order: Vec<u32>,
    out: Vec<u32>,
    is_out: Vec<bool>,
}

/// Takes out and puts back until the tries are spent; leaves the best order seen. False when stopped early.
pub(crate) fn ruin(
    tour: &mut Tour,
    net: &Net,
    near: &Near,
    dice: &mut Dice,
    cooling: Cooling,
    work: &mut Work,
) -> bool {
    if net.n < 5 {
        return true;
    }
    let mut room = Room { order: tour.order.clone(), out: Vec::new(), is_out: vec![false; net.n] };
    let (mut best, mut best_value) = (tour.order.clone(), tour.value);
    let mut spent = 0;
    let mut halted = false;
    let ratio = math::ln(cooling.cold_cost / cooling.hot_cost);
    let mut heat = cooling.hot_cost;
    let mut turn = 0_u32;
    while spent < cooling.tries && !halted {
        if turn.is_multiple_of(64) {
            heat = cooling.hot_cost * math::exp(ratio * spent as f64 / cooling.tries as f64);
        }
        turn = turn.wrapping_add(1);
        choose(tour, net, near, dice, &mut room);
        let (value, places) = recreate(tour, net, dice, &mut room);
        let worse = value - tour.value;
        if worse <= 0 || (worse as f64) < -heat * math::ln(dice.share()) {
            tour.set(&room.order, value);
            if value < best_value {
                best_value = value;
                best.copy_from_slice(&room.order);
            }
        }
        let used = places / PLACES_PER_TRY + 1;
        spent += used;
        halted = work.spend(used);
    }
    if best_value < tour.value {
        tour.set(&best, best_value);
    }
    !halted
}

/// Chooses the nodes to take out: each near an earlier one by place, by cost or by precedence.
fn choose(tour: &Tour, net: &Net, near: &Near, dice: &mut Dice, room: &mut Room) {
    room.out.clear();
    room.is_out.fill(false);
    let inner = net.n - 2;
    let wanted = (1 + dice.below(MOST_OUT)).min(inner);
    take(room, net, 1 + dice.below(inner) as u32);
    let kind = dice.below(4);
    for _ in 0..4 * wanted {
        if room.out.len() >= wanted {
            break;
        }
        let from = room.out[dice.below(room.out.len())] as usize;
        let mixed = if kind == 3 { dice.below(3) } else { kind };
        let at = tour.place[from] as usize;
        let node = match mixed {
            0 => tour.order[(at + 1 + dice.below(3)).min(net.n - 1)],
            1 if dice.below(2) == 0 => near.onward[from][dice.below(near.onward[from].len())],
            1 => near.backward[from][dice.below(near.backward[from].len())],
            _ => {
                let tied = if dice.below(2) == 0 { &net.next[from] } else { &net.previous[from] };
                tied[dice.below(tied.len())]
            }
        };
        let node = if mixed == 2 && (node == 0 || node as usize == net.n - 1) {
            near.onward[from][dice.below(near.onward[from].len())]
        } else {
            node
        };
        take(room, net, node);
    }
}

fn take(room: &mut Room, net: &Net, node: u32) {
    let is_inner = node != 0 && (node as usize) < net.n - 1;
    if is_inner && !std::mem::replace(&mut room.is_out[node as usize], true) {
        room.out.push(node);
    }
}

/// Puts the nodes back in random turn; the value of the new order and the places looked at.
fn recreate(tour: &Tour, net: &Net, dice: &mut Dice, room: &mut Room) -> (i64, u64) {
    room.order.clear();
    room.order.extend(tour.order.iter().copied().filter(|node| !room.is_out[*node as usize]));
    let mut value = tour.value;
    // What closing the gaps saves is what the shorter order costs less.
    value += net.value(&room.order) - tour.value;
    for at in (1..room.out.len()).rev() {
        room.out.swap(at, dice.below(at + 1));
    }
    let mut places = room.order.len() as u64;
    for at in 0..room.out.len() {
        let node = room.out[at];
        let (place, rise, looked) = cheapest(net, &room.order, node, dice);
        room.order.insert(place, node);
        value += rise;
        places += looked;
    }
    (value, places)
}

/// The cheapest place of a node between its predecessors and successors, what it costs, and the places looked at.
fn cheapest(net: &Net, order: &[u32], node: u32, dice: &mut Dice) -> (usize, i64, u64) {
    let node_at = node as usize;
    let low = order.iter().rposition(|other| net.before.has(node_at, *other as usize)).unwrap_or(0) + 1;
    let high = order[low..]
        .iter()
        .position(|other| net.after.has(node_at, *other as usize))
        .map_or(low, |d| low + d);
    let mut best = (low, i64::MAX);
    for place in low..=high {
        let (a, b) = (order[place - 1], order[place]);
        let rise = net.cost(a, node) + net.cost(node, b) - net.cost(a, b);
        if rise < best.1 && (best.1 == i64::MAX || dice.below(OVERLOOKED_ONE_IN) > 0) {
            best = (place, rise);
        }
    }
    (best.0, best.1, (order.len() + high - low) as u64)
}
