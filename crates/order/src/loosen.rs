//! Loosening: some stretches of an order are loosened, all other nodes keep their order, and a beam finds the best of what is left.
//!
//! # Question
//! Which order is the best of those that differ from the present one only in the places of some nodes? The nodes that are kept
//! form a chain; with the chain added to the precedence few beginnings are possible, so that a narrow beam cuts little away
//! or nothing at all. Where the precedence is tight this moves dozens of nodes at once, far apart and in concert, and what the
//! guide of the whole problem says of the cost to come holds for the loosened one too, because its orders are fewer.
//!
//! # Method
//! A node is drawn, a stretch round it is loosened, and another round a node near it, and so on. The beam looks for an order
//! that costs no more than the present one; one that costs the same is taken over too, so that the search drifts on.
//!
//! # Assumptions and range
//! Stretches of [`LENGTH`] nodes and beams of [`WIDTH`] beginnings (from trials). Where the precedence is loose the beam cuts
//! too much away to be worth its time.
//!
//! # Source
//! P. Shaw, "Using constraint programming and local search methods to solve vehicle routing problems", CP 1998, LNCS 1520,
//! 417–431: letting go what belongs together and searching it to the end. From memory; a chain with a beam is ours.

use crate::beam::{BeamInputs, run_beam};
use crate::dice::OrderDice;
use crate::followers::NearNodes;
use crate::guide::PriceGuide;
use crate::net::SequencingNet;
use crate::problem::SequencingProblem;
use crate::tour::NodeTour;
use crate::work::TryCounter;

/// Maximum number of stretches loosened at once.
const MAX_LOOSENED_STRETCHES: usize = 3;
/// Nodes of a stretch.
const LENGTH: usize = 25;
/// Beginnings of one length that a beam keeps.
const WIDTH: usize = 1024;
/// Pairs of nodes in setting up a problem that count for one try.
const PAIRS_PER_TRY: u64 = 4;

/// Loosens and puts back until the work is used up; the tour never becomes worse.
pub(crate) fn loosen_tour(
    tour: &mut NodeTour,
    net: &SequencingNet,
    near: &NearNodes,
    guide: &PriceGuide,
    dice: &mut OrderDice,
    work: &mut TryCounter,
) {
    let set_up = (net.n * net.n) as u64 / PAIRS_PER_TRY + 1;
    while net.n > 3 && !work.spend_tries(set_up) {
        let is_out = release_stretches(tour, near, dice);
        let Some(loosened) = chain_kept_nodes(net, &tour.order, &is_out) else { return };
        let found = run_beam(BeamInputs { net: &loosened, guide }, WIDTH, tour.value + 1, work);
        if let Some(order) = found.order {
            tour.set_order(&order, net.order_value(&order));
        }
    }
}

/// The nodes of some stretches near each other.
fn release_stretches(tour: &NodeTour, near: &NearNodes, dice: &mut OrderDice) -> Vec<bool> {
    let mut is_out = vec![false; tour.order.len()];
    let mut node = tour.order[1 + dice.below(tour.order.len() - 2)];
    for _ in 0..MAX_LOOSENED_STRETCHES {
        let from = (tour.place[node as usize] as usize).saturating_sub(LENGTH / 2);
        tour.order.iter().skip(from).take(LENGTH).for_each(|node| is_out[*node as usize] = true);
        let list = &near.onward[node as usize];
        if list.is_empty() {
            break;
        }
        node = list[dice.below(list.len())];
    }
    is_out
}

/// The net with the nodes that are kept in a chain.
fn chain_kept_nodes(net: &SequencingNet, order: &[u32], is_out: &[bool]) -> Option<SequencingNet> {
    let n = net.n;
    let kept: Vec<usize> = order.iter().map(|node| *node as usize).filter(|node| !is_out[*node]).collect();
    let chain = kept.windows(2).map(|pair| (pair[0], pair[1]));
    let given = (0..n).flat_map(|a| net.next[a].iter().map(move |b| (a, *b as usize)));
    let costs = (0..n * n).map(|at| net.cost((at / n) as u32, (at % n) as u32)).collect();
    let problem = SequencingProblem::new(n, costs, &chain.chain(given).collect::<Vec<_>>()).ok()?;
    Some(SequencingNet::new(&problem)).filter(|loosened| loosened.n == n)
}

#[cfg(test)]
mod tests {
    use core::sync::atomic::AtomicBool;

    use super::*;
    use crate::assign::assignment_of_net;
    use crate::plain;

    #[test]
    fn what_is_kept_keeps_its_order_and_what_is_let_go_is_free() {
        let problem = SequencingProblem::new(5, vec![1; 25], &[(0, 3)]).unwrap();
        let net = SequencingNet::new(&problem);
        let order = net.to_net_order(&[4, 0, 1, 3, 2]);
        let mut is_out = vec![false; net.n];
        is_out[order[3] as usize] = true;
        let loosened = chain_kept_nodes(&net, &order, &is_out).unwrap();
        assert!(loosened.after.has(order[1] as usize, order[2] as usize));
        assert!(loosened.after.has(order[1] as usize, order[5] as usize));
        assert!(!loosened.after.has(order[3] as usize, order[4] as usize));
        assert!(loosened.after.has(order[2] as usize, order[4] as usize), "0 comes before 3 as it did");
    }

    #[test]
    fn a_tour_never_becomes_worse_and_comes_to_the_best_where_all_is_let_go() {
        let mut dice = OrderDice::new(31, 0, 0);
        let halt = AtomicBool::new(false);
        for _ in 0..20 {
            let costs = (0..64).map(|_| dice.below(100) as i64).collect();
            let problem = SequencingProblem::new(8, costs, &[(0, 3), (3, 6), (5, 2), (2, 7)]).unwrap();
            let (_, best) = plain::solve_by_all_orders(&problem).unwrap();
            let net = SequencingNet::new(&problem);
            let guide = PriceGuide::of_prices(&assignment_of_net(&net));
            let near = NearNodes::new(&net, &guide, net.n);
            let mut tour = NodeTour::new(&net, net.to_net_order(&[0, 1, 3, 4, 5, 2, 6, 7]));
            loosen_tour(&mut tour, &net, &near, &guide, &mut dice, &mut TryCounter::new(20_000, &halt, None));
            assert!(problem.allows(&net.to_problem_order(&tour.order)));
            assert_eq!((tour.value, net.order_value(&tour.order)), (best, best));
        }
    }
}
