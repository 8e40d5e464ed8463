//! Every order, one by one: slow, obvious, and right; the yardstick of the fast method.

use crate::problem::SequencingProblem;

/// Maximum number of nodes for which every order is looked at.
pub const MAX_NODES_ENUMERATED: usize = 9;

/// The best order and its cost, the first in the order of numbers among equals; `None` beyond [`MAX_NODES_ENUMERATED`] nodes.
#[must_use]
pub fn solve_by_all_orders(problem: &SequencingProblem) -> Option<(Vec<usize>, i64)> {
    if problem.count() > MAX_NODES_ENUMERATED {
        return None;
    }
    let mut best = None;
    extend_every_order(problem, &mut Vec::new(), &mut best);
    best
}

fn extend_every_order(
    problem: &SequencingProblem,
    order: &mut Vec<usize>,
    best: &mut Option<(Vec<usize>, i64)>,
) {
    if order.len() == problem.count() {
        let value = problem.order_value(order);
        if best.as_ref().is_none_or(|(_, least)| value < *least) {
            *best = Some((order.clone(), value));
        }
        return;
    }
    for node in 0..problem.count() {
        let is_left = |other: &usize| !order.contains(other);
        if is_left(&node) && !(0..problem.count()).filter(is_left).any(|b| problem.precedes(b, node)) {
            order.push(node);
            extend_every_order(problem, order, best);
            order.pop();
        }
    }
}
