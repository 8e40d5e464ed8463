//! Exact for small problems: dynamic programming over sets of done nodes, and, plainer still, every order in turn.
//!
//! `best(D, n, c)` is the least seconds to have done the set `D` with node `n` last and choice `c` the last to put a stack in
//! hand; precedence leaves few sets. Waits depend on the clock, which a set does not know, so problems with waits are
//! left to [`try_every_order`].

use std::collections::BTreeMap;

use model::{OutcomeUnit, SolverOutcome, SolverStanding};

use super::bound::node_order_bound_s;
use super::chain::{EvaluatedNodeOrder, evaluate_node_order};
use super::problem::{EMPTY_HAND, NodeOrderProblem};
use super::solve::NodeOrderAnswer;

/// Done nodes as bits, last node, stack in hand.
type DoneSetKey = (u32, usize, u16);
/// Seconds so far, the key before, and the choice taken.
type DoneSetEntry = (f64, Option<DoneSetKey>, Option<usize>);

/// The best order by dynamic programming; for at most 20 nodes and without regard to waits.
#[must_use]
pub fn solve_by_sets(problem: &NodeOrderProblem) -> NodeOrderAnswer {
    let count = problem.nodes.len().min(20);
    let mut layers: Vec<BTreeMap<DoneSetKey, DoneSetEntry>> = vec![first_layer(problem, count)];
    for _ in 1..count {
        let last = layers.last().map(|l| next_layer(problem, count, l)).unwrap_or_default();
        layers.push(last);
    }
    let effort = layers.iter().map(|l| l.len() as u64).sum();
    let order = read_back(&layers);
    let EvaluatedNodeOrder { choices, busy_s, .. } = evaluate_node_order(problem, &order);
    let outcome = SolverOutcome {
        standing: SolverStanding::Proven,
        value: busy_s,
        bound: busy_s,
        unit: OutcomeUnit::Seconds,
        effort,
    };
    NodeOrderAnswer { order, choices, outcome }
}

fn is_ready(problem: &NodeOrderProblem, done: u32, node: usize) -> bool {
    done >> node & 1 == 0 && problem.before[node].iter().all(|b| done >> b & 1 == 1)
}

fn first_layer(problem: &NodeOrderProblem, count: usize) -> BTreeMap<DoneSetKey, DoneSetEntry> {
    let mut layer = BTreeMap::new();
    for node in (0..count).filter(|n| is_ready(problem, 0, *n)) {
        extend_layer(problem, &mut layer, (0.0, 0, None, EMPTY_HAND), None, node);
    }
    layer
}

fn next_layer(
    problem: &NodeOrderProblem,
    count: usize,
    layer: &BTreeMap<DoneSetKey, DoneSetEntry>,
) -> BTreeMap<DoneSetKey, DoneSetEntry> {
    let mut next = BTreeMap::new();
    for (key, (cost_s, ..)) in layer {
        let (done, last, hand) = *key;
        for node in (0..count).filter(|n| is_ready(problem, done, *n)) {
            extend_layer(problem, &mut next, (*cost_s, done, Some(last), hand), Some(*key), node);
        }
    }
    next
}

/// Adds one node in all its choices to what was done.
fn extend_layer(
    problem: &NodeOrderProblem,
    layer: &mut BTreeMap<DoneSetKey, DoneSetEntry>,
    (cost_s, done, last, hand): (f64, u32, Option<usize>, u16),
    from: Option<DoneSetKey>,
    node: usize,
) {
    let it = &problem.nodes[node];
    let base_s = cost_s + problem.turn_s(last, node) + it.fixed_s;
    let mut put = |hand: u16, cost_s: f64, choice: Option<usize>| {
        let entry = layer.entry((done | 1 << node, node, hand)).or_insert((f64::INFINITY, None, None));
        if cost_s < entry.0 {
            *entry = (cost_s, from, choice);
        }
    };
    if it.choices.is_empty() {
        put(hand, base_s, None);
    }
    for (at, choice) in it.choices.iter().enumerate() {
        put(choice.last, base_s + problem.stacks.swap_s(hand, choice.first) + choice.inside_s, Some(at));
    }
}

fn read_back(layers: &[BTreeMap<DoneSetKey, DoneSetEntry>]) -> Vec<usize> {
    let last = layers.last().and_then(|l| l.iter().min_by(|a, b| a.1.0.total_cmp(&b.1.0)));
    let mut key = last.map(|(key, _)| *key);
    let mut order = Vec::new();
    for layer in layers.iter().rev() {
        let Some(here) = key else { break };
        order.push(here.1);
        key = layer.get(&here).and_then(|e| e.1);
    }
    order.reverse();
    order
}

/// The best order by looking at each one, waits included; the work grows with the number of orders.
///
/// With waits the answer counts as found, not as proven: stacks are chosen for the least set-up and work, and other
/// stacks might hide more of their time in a wait.
#[must_use]
pub fn try_every_order(problem: &NodeOrderProblem) -> NodeOrderAnswer {
    let mut best: Option<(Vec<usize>, EvaluatedNodeOrder)> = None;
    let mut effort = 0;
    grow_orders(problem, &mut Vec::new(), &mut |order| {
        effort += 1;
        let found = evaluate_node_order(problem, order);
        if best.as_ref().is_none_or(|(_, b)| found.total_s() < b.total_s() - 1.0e-9) {
            best = Some((order.to_vec(), found));
        }
    });
    let nothing = || (Vec::new(), evaluate_node_order(problem, &[]));
    let (order, found) = best.unwrap_or_else(nothing);
    let value = found.total_s();
    let bound = if problem.lags.is_empty() { value } else { node_order_bound_s(problem).min(value) };
    let standing = if value - bound <= 1.0e-6 { SolverStanding::Proven } else { SolverStanding::Found };
    let outcome = SolverOutcome { standing, value, bound, unit: OutcomeUnit::Seconds, effort };
    NodeOrderAnswer { order, choices: found.choices, outcome }
}

fn grow_orders(problem: &NodeOrderProblem, order: &mut Vec<usize>, look: &mut impl FnMut(&[usize])) {
    if order.len() == problem.nodes.len() {
        return look(order);
    }
    for node in 0..problem.nodes.len() {
        let ready = !order.contains(&node) && problem.before[node].iter().all(|b| order.contains(b));
        if ready {
            order.push(node);
            grow_orders(problem, order, look);
            order.pop();
        }
    }
}
