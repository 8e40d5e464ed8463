//! Merging good orders: what two of them share is kept together, and only the rest is searched anew.
//!
//! Passages that two good orders share are likely to be in the best one too. The stretches between the others become
//! the nodes of a smaller problem, whose annealing costs less and reaches deeper; its answer is at least as good as the
//! first of the two. Where the precedence is loose and costs follow no geometry, this finds what one long annealing misses.
//!
//! Source: W. Cook, P. Seymour, "Tour merging via branch-decomposition", INFORMS Journal on Computing 15 (2003) 233–248:
//! the union of good tours holds a better one; from memory. Annealing what they do not share is ours.

use crate::anneal::{CoolingRange, anneal_tour};
use crate::assign::assignment_of_net;
use crate::dice::OrderDice;
use crate::followers::NearNodes;
use crate::guide::PriceGuide;
use crate::net::SequencingNet;
use crate::problem::SequencingProblem;
use crate::search::{FoundOrder, NEAR, scale_cost};
use crate::tour::NodeTour;
use crate::work::TryCounter;

/// Good orders kept.
const MAX_POOLED_ORDERS: usize = 8;
/// While the pool is not full, one draw in this many merges anyway.
const EARLY_ONE_IN: usize = 4;
/// Tries of an annealing, for each pair of nodes (assumption, from trials).
const TRIES_PER_PAIR: u64 = 300;
/// Two orders with fewer stretches than this share of the nodes are taken for the same.
const SAME_ONE_IN: usize = 16;
/// Fewest stretches worth a search.
const FEWEST: usize = 5;
/// What setting up a smaller problem counts for, in tries.
const SET_UP_TRIES: u64 = 1000;

/// Good orders of one worker, none twice, the best first.
#[derive(Debug, Clone, Default)]
pub(crate) struct OrderPool(Vec<FoundOrder>);

impl OrderPool {
    /// Takes an order in, unless it is there already; the worst goes from a full pool.
    pub(crate) fn add_order(&mut self, found: &FoundOrder) {
        if self.0.iter().any(|o| o.value == found.value && o.order == found.order) {
            return;
        }
        let at = self.0.partition_point(|o| o.value <= found.value);
        self.0.insert(at, found.clone());
        self.0.truncate(MAX_POOLED_ORDERS);
    }

    /// Whether the next draw merges; otherwise a new order is wanted.
    fn is_ripe(&self, dice: &mut OrderDice) -> bool {
        self.0.len() >= MAX_POOLED_ORDERS || (self.0.len() > 1 && dice.below(EARLY_ONE_IN) == 0)
    }
}

/// Merges and refills a pool until the work is at its end; the best order that came of it.
pub(crate) fn breed_orders(
    pool: &mut OrderPool,
    fresh: &mut dyn FnMut(u64, &mut OrderDice, &mut TryCounter) -> FoundOrder,
    net: &SequencingNet,
    dice: &mut OrderDice,
    work: &mut TryCounter,
) -> Option<FoundOrder> {
    let tries = TRIES_PER_PAIR * (net.n * net.n) as u64;
    while work.tries_left() > 0 && !work.is_stopped() {
        if pool.is_ripe(dice) {
            merge_orders(pool, net, dice, tries, work);
        } else {
            pool.add_order(&fresh(tries.min(work.tries_left()), dice, work));
        }
    }
    pool.0.first().cloned()
}

/// Merges two orders of a pool; the answer takes the place of the first, which it is not worse than.
fn merge_orders(
    pool: &mut OrderPool,
    net: &SequencingNet,
    dice: &mut OrderDice,
    tries: u64,
    work: &mut TryCounter,
) {
    work.spend_tries(SET_UP_TRIES);
    let first = dice.below(pool.0.len());
    let other = (first + 1 + dice.below(pool.0.len() - 1)) % pool.0.len();
    let all = shared_stretches(&pool.0[first].order, &pool.0[other].order);
    let small = contract_stretches(net, &all).map(|problem| SequencingNet::new(&problem));
    let Some(small) = small.filter(|small| small.n >= FEWEST + net.n / SAME_ONE_IN) else {
        pool.0.remove(first.max(other));
        return;
    };
    let guide = PriceGuide::of_prices(&assignment_of_net(&small));
    let near = NearNodes::new(&small, &guide, NEAR);
    let order: Vec<usize> = (0..all.len()).collect();
    let mut tour = NodeTour::new(&small, small.to_net_order(&order));
    let tries = (tries * (small.n * small.n) as u64).div_ceil((net.n * net.n) as u64).min(work.tries_left());
    let cooling = CoolingRange::from_hot(scale_cost(&small, &guide, &near) / 2.0, tries);
    anneal_tour(&mut tour, &small, &near, dice, cooling, work);
    let order: Vec<u32> =
        small.to_problem_order(&tour.order).into_iter().flat_map(|s| all[s].iter().copied()).collect();
    let found = FoundOrder { value: net.order_value(&order), order };
    if found.value <= pool.0[first].value {
        pool.0.remove(first);
        pool.add_order(&found);
    }
}

/// The stretches of an order that another has too.
fn shared_stretches(order: &[u32], other: &[u32]) -> Vec<Vec<u32>> {
    let mut then = vec![u32::MAX; order.len()];
    other.windows(2).for_each(|pair| then[pair[0] as usize] = pair[1]);
    let mut all: Vec<Vec<u32>> = Vec::new();
    let mut expected = u32::MAX;
    for node in order {
        match all.last_mut() {
            Some(stretch) if expected == *node => stretch.push(*node),
            _ => all.push(vec![*node]),
        }
        expected = then[*node as usize];
    }
    all
}

/// The problem with stretches for nodes.
fn contract_stretches(net: &SequencingNet, all: &[Vec<u32>]) -> Option<SequencingProblem> {
    let ends: Vec<(u32, u32)> = all.iter().filter_map(|s| Some((*s.first()?, *s.last()?))).collect();
    let passages = ends.iter().flat_map(|(_, a)| ends.iter().map(move |(b, _)| (*a, *b)));
    let costs = passages.map(|(a, b)| net.cost(a, b)).collect();
    let mut number = vec![0; net.n];
    for (at, stretch) in all.iter().enumerate() {
        stretch.iter().for_each(|node| number[*node as usize] = at);
    }
    let lifted = |a: usize| net.next[a].iter().map(move |b| (a, *b as usize));
    let pairs: Vec<(usize, usize)> =
        (0..net.n).flat_map(lifted).map(|(a, b)| (number[a], number[b])).filter(|(a, b)| a != b).collect();
    SequencingProblem::new(all.len(), costs, &pairs).ok()
}

#[cfg(test)]
mod tests {
    use core::sync::atomic::AtomicBool;

    use super::*;

    #[test]
    fn what_two_orders_share_stays_together() {
        let shared = shared_stretches(&[0, 1, 2, 3, 4, 5], &[0, 3, 4, 1, 2, 5]);
        assert_eq!(shared, [vec![0], vec![1, 2], vec![3, 4], vec![5]]);
        assert_eq!(shared_stretches(&[0, 1, 2], &[0, 1, 2]), [vec![0, 1, 2]]);
    }

    #[test]
    fn merging_never_loses_what_it_had_and_keeps_the_precedence() {
        let mut dice = OrderDice::new(9, 0, 0);
        let halt = AtomicBool::new(false);
        let mut better = 0;
        for _ in 0..20 {
            let count = 24;
            let costs = (0..count * count).map(|_| dice.below(1000) as i64).collect();
            let problem =
                SequencingProblem::new(count, costs, &[(0, 5), (5, 9), (2, 3), (7, 1), (20, 11)]).unwrap();
            let net = SequencingNet::new(&problem);
            let order = |by: &[usize]| {
                let order = net.to_net_order(by);
                FoundOrder { value: net.order_value(&order), order }
            };
            let first = [0, 2, 5, 7, 20];
            let others = (0..count).filter(|node| !first.contains(node));
            let rising: Vec<usize> = first.into_iter().chain(others).collect();
            let mut turned = rising.clone();
            turned[6..].chunks_exact_mut(2).for_each(|pair| pair.swap(0, 1));
            assert!(problem.allows(&rising) && problem.allows(&turned));
            let mut pool = OrderPool::default();
            [rising, turned].iter().for_each(|by| pool.add_order(&order(by)));
            let before = pool.0[0].value;
            merge_orders(&mut pool, &net, &mut dice, 20_000, &mut TryCounter::new(u64::MAX, &halt, None));
            for found in &pool.0 {
                assert!(problem.allows(&net.to_problem_order(&found.order)));
                assert_eq!(found.value, net.order_value(&found.order));
            }
            assert!(pool.0[0].value <= before);
            better += usize::from(pool.0[0].value < before);
        }
        assert!(better > 5, "{better}");
    }
}
