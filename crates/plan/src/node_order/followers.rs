//! The nodes that are cheap to go on to from each node: where a search looks first.

use super::problem::NodeOrderProblem;

/// Cheapest followers that are kept of each node.
const MAX_FOLLOWERS: usize = 12;

/// For each node the nodes that are cheapest to go on to.
#[derive(Debug, Clone, PartialEq)]
pub struct CheapestFollowers(Vec<Vec<u32>>);

impl CheapestFollowers {
    /// The nodes that are cheapest to go on to from a node, cheapest first.
    #[must_use]
    pub fn followers_of(&self, node: usize) -> &[u32] {
        &self.0[node]
    }

    /// The followers of a problem's nodes.
    #[must_use]
    pub fn new(problem: &NodeOrderProblem) -> Self {
        let count = problem.nodes.len();
        Self((0..count).map(|node| cheapest_followers(problem, node)).collect())
    }
}

fn cheapest_followers(problem: &NodeOrderProblem, node: usize) -> Vec<u32> {
    let may = |next: &usize| *next != node && !problem.precedes(*next, node);
    let mut all: Vec<(f64, u32)> =
        (0..problem.nodes.len()).filter(may).map(|n| (link_s(problem, node, n), n as u32)).collect();
    let by_cost = |a: &(f64, u32), b: &(f64, u32)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
    if all.len() > MAX_FOLLOWERS {
        all.select_nth_unstable_by(MAX_FOLLOWERS - 1, by_cost);
        all.truncate(MAX_FOLLOWERS);
    }
    all.sort_by(by_cost);
    all.into_iter().map(|(_, n)| n).collect()
}

/// The least set-up from one node to another.
fn link_s(problem: &NodeOrderProblem, from: usize, to: usize) -> f64 {
    let turn_s = problem.turn_s(Some(from), to);
    let (a, b) = (&problem.nodes[from].choices, &problem.nodes[to].choices);
    let swaps = a.iter().flat_map(|a| b.iter().map(|b| problem.stacks.swap_s(a.last, b.first)));
    turn_s + swaps.reduce(f64::min).unwrap_or(0.0)
}
