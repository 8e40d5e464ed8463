//! Hopping from one order that no chain improves to the next: kicked, descended by chains, kept or taken back by a heat.
//!
//! A kick is two steps as the annealing draws them, so that most passages it puts in are near ones, then only the nodes
//! whose passages changed are looked at again. The order that comes of it is kept as the annealing keeps a step: always when it
//! is no worse, by chance when it is. Cooled slowly this reaches deeper than annealing of single steps where the
//! precedence is loose, because there each descent repairs far more than a step does.
//!
//! Source: O. Martin, S. W. Otto, E. W. Felten, "Large-step Markov chains for the traveling salesman problem", Complex
//! Systems 5 (1991) 299–326: kicks and descents under a temperature. From memory; kicks along near passages are ours.

use units::math;

use crate::anneal::{CoolingRange, kick_tour};
use crate::chain::{ExchangeChain, WeightedPassages};
use crate::descend::NodeWorklist;
use crate::dice::OrderDice;
use crate::followers::NearNodes;
use crate::net::SequencingNet;
use crate::tour::NodeTour;
use crate::work::TryCounter;

/// Steps of a kick.
const KICK_STEPS: usize = 2;
/// Draws of a kick before it is given up.
const KICK_DRAWS: u64 = 100;
/// The heat of a kick, as a multiple of the scale of the costs (assumption, from trials).
const KICK_SHARE: f64 = 8.0;
/// Nodes of an order whose copying counts for one try.
const NODES_PER_TRY: u64 = 4;

/// What the hopping goes by.
#[derive(Debug, Clone, Copy)]
pub(crate) struct HopInputs<'g> {
    pub(crate) net: &'g SequencingNet,
    pub(crate) near: &'g NearNodes,
    pub(crate) passages: &'g WeightedPassages<'g>,
    /// Maximum number of passages that a chain takes away.
    pub(crate) most_cuts: usize,
    /// The cost scale: the median reduced cost among near nodes.
    pub(crate) scale_cost: f64,
}

/// Hops until the tries of the cooling are spent, the heat falling evenly; leaves the best order seen.
pub(crate) fn hop_tour(
    tour: &mut NodeTour,
    ground: HopInputs,
    dice: &mut OrderDice,
    cooling: CoolingRange,
    work: &mut TryCounter,
) {
    let n = ground.net.n;
    let mut chain = ExchangeChain::new(ground.passages, ground.most_cuts);
    let mut queue = NodeWorklist::with_all_nodes(n);
    let (mut now, mut now_value) = (tour.order.clone(), tour.value);
    let (mut best, mut best_value) = (now.clone(), now_value);
    let (mut spent, mut draws) = (0, 0);
    loop {
        descend_by_chains(tour, &mut chain, &mut queue);
        let used = core::mem::take(&mut chain.looks) + draws + n as u64 / NODES_PER_TRY + 1;
        spent += used;
        let halted = work.spend_tries(used);
        let done = spent as f64 / cooling.tries as f64;
        let heat = cooling.hot_cost + (cooling.cold_cost - cooling.hot_cost) * done;
        let worse = tour.value - now_value;
        if worse > 0 && worse as f64 > -heat * math::ln(dice.next_share()) {
            tour.set_order(&now, now_value);
        } else {
            now.copy_from_slice(&tour.order);
            now_value = tour.value;
        }
        if now_value < best_value {
            best_value = now_value;
            best.copy_from_slice(&now);
        }
        if halted || spent >= cooling.tries {
            break;
        }
        draws = kick_and_requeue(tour, ground, &mut queue, dice);
    }
    tour.set_order(&best, best_value);
}

/// Chains from every node of the queue until none improves.
fn descend_by_chains(tour: &mut NodeTour, chain: &mut ExchangeChain, queue: &mut NodeWorklist) {
    while let Some(node) = queue.pop() {
        while chain.improve_around(tour, node, &mut |end| queue.push(end)) {}
    }
}

/// A kick; its ends are queued. How many steps were drawn for it.
fn kick_and_requeue(
    tour: &mut NodeTour,
    ground: HopInputs,
    queue: &mut NodeWorklist,
    dice: &mut OrderDice,
) -> u64 {
    let (mut draws, mut made) = (0, 0);
    while draws < KICK_DRAWS && made < KICK_STEPS {
        draws += 1;
        if let Some(ends) = kick_tour(tour, ground.net, ground.near, dice, KICK_SHARE * ground.scale_cost) {
            ends.into_iter().for_each(|end| queue.push(end));
            made += 1;
        }
    }
    draws
}

#[cfg(test)]
mod tests {
    use core::sync::atomic::AtomicBool;

    use super::*;
    use crate::assign::assignment_of_net;
    use crate::guide::PriceGuide;
    use crate::plain;
    use crate::problem::SequencingProblem;
    use crate::search::scale_cost;

    /// The best of small problems is found, whether ways back cost the same or not.
    fn check(even: bool) {
        let mut dice = OrderDice::new(19, u64::from(even), 0);
        let halt = AtomicBool::new(false);
        for _ in 0..20 {
            let mut costs: Vec<i64> = (0..64).map(|_| dice.below(100) as i64).collect();
            if even {
                (0..64).for_each(|at| costs[at] = costs[(at % 8) * 8 + at / 8]);
            }
            let problem = SequencingProblem::new(8, costs, &[(0, 3), (3, 6), (5, 2), (2, 7)]).unwrap();
            let (_, best) = plain::solve_by_all_orders(&problem).unwrap();
            let net = SequencingNet::new(&problem);
            let prices = assignment_of_net(&net);
            let guide = PriceGuide::of_prices(&prices);
            let near = NearNodes::new(&net, &guide, net.n);
            let passages = WeightedPassages::new(&net, &prices, net.n);
            let scale_cost = scale_cost(&net, &guide, &near);
            let ground = HopInputs { net: &net, near: &near, passages: &passages, most_cuts: 4, scale_cost };
            let mut tour = NodeTour::new(&net, net.to_net_order(&[0, 1, 3, 4, 5, 2, 6, 7]));
            let mut work = TryCounter::new(u64::MAX, &halt, None);
            hop_tour(&mut tour, ground, &mut dice, CoolingRange::from_hot(scale_cost, 20_000), &mut work);
            assert!(problem.allows(&net.to_problem_order(&tour.order)));
            assert_eq!(tour.value, net.order_value(&tour.order));
            assert_eq!(tour.value, best);
        }
    }

    #[test]
    fn the_best_of_small_problems_is_found() {
        check(false);
    }

    #[test]
    fn the_best_of_small_problems_is_found_where_ways_back_cost_the_same() {
        check(true);
    }
}
