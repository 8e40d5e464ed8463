//! How often something has to begin anew in every order, by chains of the precedence.
//!
//! # Question
//! Some nodes are done at a station (about a part, with a piece in hand), others away from it. The precedence may put
//! one of the others between two of the first: then the station is entered twice in every order, however clever. How often at
//! least?
//!
//! # Method
//! Along a chain of the precedence every order has the nodes in the order of the chain. So the most beginnings on
//! any one chain are a bound, and they are found node by node: `in(v)` is the most beginnings on a chain that ends at `v` with
//! the thing going on, `out(v)` the most with it broken off. A node that is neither hands both on.
//!
//! ```text
//! on:    in(v)  = max(first, in(p), out(p) + 1)     out(v) = none
//! off:   out(v) = max(0, in(p), out(p))             in(v)  = none         over all p directly before v
//! ```
//!
//! The work grows with the pairs of the precedence. Beginnings of different things are different seconds, so their bounds add up.
//!
//! # Worked example
//! `a ≺ b ≺ c`, `a` and `c` at the bench, `b` below the car: the bench is entered twice, below the car once.
//!
//! # Sources
//! Ours; that nodes of a chain keep their order is the definition of precedence.

use super::problem::NodeOrderProblem;

/// How a node affects a condition such as being at a station.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum NodeEffect {
    /// It is going on when the node starts, and may be when it ends.
    On,
    /// It is going on when the node starts, and broken off when it ends.
    Ends,
    /// It is broken off when the node ends.
    Off,
    /// Nothing.
    Nothing,
}

/// The most beginnings of a thing on any chain; `going` is whether it goes on before the first node.
pub(super) fn count_beginnings(
    problem: &NodeOrderProblem,
    rising: &[usize],
    going: bool,
    says: impl Fn(usize) -> NodeEffect,
) -> u32 {
    // `None` where no chain ends so.
    let mut on: Vec<Option<u32>> = vec![None; rising.len()];
    let mut off: Vec<Option<u32>> = vec![None; rising.len()];
    let mut most = 0;
    for node in rising.iter().copied() {
        let before = &problem.before[node];
        // Before the first node of a chain there is the start.
        let start = |is: bool| is.then_some(0);
        let was_on = before.iter().filter_map(|p| on[*p]).max().max(start(going));
        let was_off = before.iter().filter_map(|p| off[*p]).max().max(start(!going));
        let begun = was_on.max(was_off.map(|count| count + 1));
        (on[node], off[node]) = match says(node) {
            NodeEffect::On => (begun, None),
            NodeEffect::Ends => (None, begun),
            NodeEffect::Off => (None, was_on.max(was_off)),
            NodeEffect::Nothing => (was_on, was_off),
        };
        most = most.max(on[node].unwrap_or(0)).max(off[node].unwrap_or(0));
    }
    most
}

/// The nodes in an order that respects the precedence.
pub(super) fn rising_nodes(problem: &NodeOrderProblem) -> Vec<usize> {
    let mut waits: Vec<usize> = problem.before.iter().map(Vec::len).collect();
    let mut order: Vec<usize> = (0..waits.len()).filter(|n| waits[*n] == 0).collect();
    let mut at = 0;
    while let Some(node) = order.get(at).copied() {
        at += 1;
        for next in &problem.after[node] {
            waits[*next] -= 1;
            if waits[*next] == 0 {
                order.push(*next);
            }
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::node_order::{StackSets, WorkNode};

    fn chain(stations: &[u16]) -> NodeOrderProblem {
        let node = |station: &u16| WorkNode {
            station: *station,
            leaves: *station,
            part: None,
            fixed_s: 0.0,
            choices: Vec::new(),
        };
        let pairs: Vec<(usize, usize)> = (1..stations.len()).map(|n| (n - 1, n)).collect();
        NodeOrderProblem::new(
            stations.iter().map(node).collect(),
            &pairs,
            Vec::new(),
            vec![0.0; 3],
            StackSets::default(),
        )
        .unwrap()
    }

    #[test]
    fn a_chain_tells_how_often_each_station_is_entered() {
        let problem = chain(&[1, 0, 1, 1, 2, 1]);
        let at = |station: u16| {
            let says =
                |n: usize| if problem.nodes[n].station == station { NodeEffect::On } else { NodeEffect::Off };
            count_beginnings(&problem, &rising_nodes(&problem), station == 0, says)
        };
        assert_eq!((at(0), at(1), at(2)), (1, 3, 1));
    }
}
