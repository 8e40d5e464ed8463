//! Ruin and recreate: short stretches of the order that lie near each other are taken out and put back one node at a time.
//!
//! Nodes taken out leave an order that still respects the precedence, and each finds a place between the last of its
//! forerunners and the first of its followers, so no try is ever refused. Where whole stretches are held apart by the
//! precedence (a pick-up here and a delivery there) this moves what exchanges of segments cannot.
//!
//! Sources: J. Christiaens, G. Vanden Berghe, "Slack induction by string removals for vehicle routing problems",
//! Transportation Science 54 (2020) 417–433: adjacent strings, greedy insertion with blinks, annealed acceptance. From memory.

use units::math;

use crate::anneal::CoolingRange;
use crate::dice::OrderDice;
use crate::followers::NearNodes;
use crate::net::SequencingNet;
use crate::tour::NodeTour;
use crate::work::TryCounter;

/// Maximum number of stretches taken out at once.
const MAX_RUINED_STRETCHES: usize = 4;
/// Longest stretch taken out.
const MAX_RUINED_LENGTH: usize = 8;
/// One place in this many is passed over unseen.
const BLINK_ONE_IN: usize = 64;
/// Places looked at that count for one try of the annealing.
const PLACES_PER_TRY: u64 = 16;

/// An order being built.
struct MendedOrder<'n> {
    net: &'n SequencingNet,
    order: Vec<u32>,
    out: Vec<u32>,
    is_out: Vec<bool>,
    looks: u64,
}

/// Takes out and puts back until its tries are spent; leaves the best order seen.
pub(crate) fn recreate_tour(
    tour: &mut NodeTour,
    net: &SequencingNet,
    near: &NearNodes,
    dice: &mut OrderDice,
    cooling: CoolingRange,
    work: &mut TryCounter,
) {
    let mut now = (tour.order.clone(), tour.value);
    let mut best = now.clone();
    let mut mending = MendedOrder {
        net,
        order: Vec::with_capacity(net.n),
        out: Vec::new(),
        is_out: vec![false; net.n],
        looks: 0,
    };
    let factor = cooling.cold_cost / cooling.hot_cost;
    let mut spent = 0;
    let mut halted = net.n < 4;
    while spent < cooling.tries && !halted {
        let heat = cooling.hot_cost * math::pow(factor, spent as f64 / cooling.tries as f64);
        mending.ruin_stretches(&now.0, tour, near, dice);
        mending.mend_order(dice);
        let value = net.order_value(&mending.order);
        if (value as f64) < now.1 as f64 - heat * math::ln(dice.next_share()) {
            now.0.copy_from_slice(&mending.order);
            now.1 = value;
            tour.set_order(&now.0, value);
            if value < best.1 {
                best.0.copy_from_slice(&now.0);
                best.1 = value;
            }
        }
        let used = core::mem::take(&mut mending.looks) / PLACES_PER_TRY + 1;
        spent += used;
        halted = work.spend_tries(used);
    }
    tour.set_order(&best.0, best.1);
}

impl MendedOrder<'_> {
    /// Takes some stretches near a node out of an order.
    fn ruin_stretches(&mut self, order: &[u32], tour: &NodeTour, near: &NearNodes, dice: &mut OrderDice) {
        self.out.clear();
        self.is_out.fill(false);
        let stretches = 1 + dice.below(MAX_RUINED_STRETCHES);
        let middle = order[1 + dice.below(order.len() - 2)];
        let mut node = middle;
        let with_kin = dice.below(2) == 0;
        for _ in 0..stretches {
            self.take_stretch(
                order,
                tour.place[node as usize] as usize,
                1 + dice.below(MAX_RUINED_LENGTH),
                dice,
            );
            let list = if dice.below(2) == 0 { &near.onward } else { &near.backward };
            let list = &list[middle as usize];
            if list.is_empty() {
                break;
            }
            node = list[dice.below(list.len())];
        }
        if with_kin {
            self.take_kin(dice);
        }
        self.order.clear();
        let is_out = &self.is_out;
        self.order.extend(order.iter().filter(|node| !is_out[**node as usize]));
        self.looks += order.len() as u64;
    }

    fn take_stretch(&mut self, order: &[u32], at: usize, length: usize, dice: &mut OrderDice) {
        let from = at.saturating_sub(dice.below(length)).max(1);
        for node in &order[from..(from + length).min(order.len() - 1)] {
            if !std::mem::replace(&mut self.is_out[*node as usize], true) {
                self.out.push(*node);
            }
        }
    }

    /// Takes out whoever comes directly before or after somebody taken out, where that is but one.
    fn take_kin(&mut self, dice: &mut OrderDice) {
        for at in 0..self.out.len() {
            let node = self.out[at] as usize;
            for kin in [&self.net.next[node], &self.net.previous[node]] {
                let Some(kin) = kin.get(dice.below(kin.len().max(1))) else { continue };
                let inner = *kin != 0 && *kin as usize != self.net.n - 1;
                if inner && !std::mem::replace(&mut self.is_out[*kin as usize], true) {
                    self.out.push(*kin);
                }
            }
        }
    }

    /// Puts everybody back in a random sequence, each where it costs least.
    fn mend_order(&mut self, dice: &mut OrderDice) {
        for left in (1..=self.out.len()).rev() {
            self.out.swap(left - 1, dice.below(left));
            let node = self.out[left - 1];
            let at = self.place_for(node, dice);
            self.order.insert(at, node);
        }
    }

    /// The cheapest place of those that the precedence allows.
    fn place_for(&mut self, node: u32, dice: &mut OrderDice) -> usize {
        let net = self.net;
        let (mut place, mut least) = (0, i64::MAX);
        for (at, pair) in self.order.windows(2).enumerate() {
            if net.before.has(node as usize, pair[0] as usize) {
                least = i64::MAX;
            }
            let rise = net.cost(pair[0], node) + net.cost(node, pair[1]) - net.cost(pair[0], pair[1]);
            if rise < least && (least == i64::MAX || dice.below(BLINK_ONE_IN) > 0) {
                (place, least) = (at + 1, rise);
            }
            if net.after.has(node as usize, pair[1] as usize) {
                self.looks += at as u64;
                return place;
            }
        }
        self.looks += self.order.len() as u64;
        place
    }
}

#[cfg(test)]
mod tests {
    use core::sync::atomic::AtomicBool;

    use super::*;
    use crate::assign::assignment_of_net;
    use crate::guide::PriceGuide;
    use crate::plain;
    use crate::problem::SequencingProblem;

    #[test]
    fn what_is_put_back_keeps_the_precedence_and_comes_to_the_best() {
        let mut dice = OrderDice::new(13, 0, 0);
        let halt = AtomicBool::new(false);
        for _ in 0..20 {
            let costs = (0..64).map(|_| dice.below(100) as i64).collect();
            let problem = SequencingProblem::new(8, costs, &[(0, 3), (3, 6), (5, 2), (2, 7)]).unwrap();
            let (_, best) = plain::solve_by_all_orders(&problem).unwrap();
            let net = SequencingNet::new(&problem);
            let near = NearNodes::new(&net, &PriceGuide::of_prices(&assignment_of_net(&net)), net.n);
            let mut tour = NodeTour::new(&net, net.to_net_order(&[0, 1, 3, 4, 5, 2, 6, 7]));
            let before = tour.value;
            let mut work = TryCounter::new(u64::MAX, &halt, None);
            recreate_tour(&mut tour, &net, &near, &mut dice, CoolingRange::from_hot(20.0, 20_000), &mut work);
            assert!(problem.allows(&net.to_problem_order(&tour.order)));
            assert_eq!(tour.value, net.order_value(&tour.order));
            assert!(tour.value <= before);
            assert_eq!(tour.value, best);
        }
    }
}
