//! Descent by the best exchange of segments around the nodes of a queue, until no node promises a gain.
//!
//! Of the three new passages of an improving exchange at least one is cheaper than an old passage at the same node. So
//! for each node in the queue only the near nodes cheaper than its present neighbour are tried as the new neighbour,
//! and for each all third cuts; the precedence ends each scan.

use crate::followers::NearNodes;
use crate::net::SequencingNet;
use crate::tour::{NodeTour, SegmentCuts};

/// Nodes whose surroundings have changed.
#[derive(Debug)]
pub(crate) struct NodeWorklist {
    nodes: Vec<u32>,
    waiting: Vec<bool>,
}

impl NodeWorklist {
    pub(crate) fn new(count: usize) -> Self {
        Self { nodes: Vec::with_capacity(count), waiting: vec![false; count] }
    }

    /// All nodes.
    pub(crate) fn with_all_nodes(count: usize) -> Self {
        Self { nodes: (0..count as u32).collect(), waiting: vec![true; count] }
    }

    pub(crate) fn push(&mut self, node: u32) {
        if !std::mem::replace(&mut self.waiting[node as usize], true) {
            self.nodes.push(node);
        }
    }

    pub(crate) fn pop(&mut self) -> Option<u32> {
        let node = self.nodes.pop()?;
        self.waiting[node as usize] = false;
        Some(node)
    }

    /// The six nodes at the ends of two segments.
    pub(crate) fn push_ends(&mut self, tour: &NodeTour, (i, j, k): SegmentCuts) {
        for at in [i - 1, i, j - 1, j, k - 1, k] {
            self.push(tour.order[at]);
        }
    }
}

/// Descends until the queue is empty; every exchange made is added to the log. Counts the scans.
pub(crate) fn descend_by_exchanges(
    tour: &mut NodeTour,
    net: &SequencingNet,
    near: &NearNodes,
    queue: &mut NodeWorklist,
    log: &mut Vec<SegmentCuts>,
) -> u64 {
    let mut scans = 1;
    while let Some(node) = queue.pop() {
        while let Some((cuts, change)) = best_around(tour, net, near, node, &mut scans) {
            queue.push_ends(tour, cuts);
            tour.exchange_segments(cuts, change);
            log.push(cuts);
        }
    }
    scans
}

/// The best improving exchange that gives a node a near neighbour.
fn best_around(
    tour: &NodeTour,
    net: &SequencingNet,
    near: &NearNodes,
    node: u32,
    scans: &mut u64,
) -> Option<(SegmentCuts, i64)> {
    let at = tour.place[node as usize] as usize;
    let mut best = ((0, 0, 0), 0);
    if at + 1 < net.n {
        let present = net.cost(node, tour.order[at + 1]);
        for next in &near.onward[node as usize] {
            let gain = present - net.cost(node, *next);
            if gain > 0 {
                *scans += 1;
                scan_cuts(tour, net, at, tour.place[*next as usize] as usize, &mut best);
            }
        }
    }
    if at > 0 {
        let present = net.cost(tour.order[at - 1], node);
        for from in &near.backward[node as usize] {
            let gain = present - net.cost(*from, node);
            if gain > 0 {
                *scans += 1;
                scan_cuts(tour, net, tour.place[*from as usize] as usize, at, &mut best);
            }
        }
    }
    (best.1 < 0).then_some(best)
}

/// All exchanges that bring the node at `to` right behind the node at `at`.
fn scan_cuts(tour: &NodeTour, net: &SequencingNet, at: usize, to: usize, best: &mut (SegmentCuts, i64)) {
    let mut weigh = |cuts: SegmentCuts| {
        let change = tour.change_exchanged(cuts);
        if change < best.1 {
            *best = (cuts, change);
        }
    };
    if to < at {
        scan_back(tour, net, at, to, weigh);
        return;
    }
    for k in to + 1..net.n {
        if any_within(tour, &net.previous[tour.order[k - 1] as usize], at + 1, to) {
            break;
        }
        weigh((at + 1, to, k));
    }
    for i in (1..=at).rev() {
        if any_within(tour, &net.next[tour.order[i] as usize], at + 1, to) {
            break;
        }
        weigh((i, at + 1, to));
    }
}

/// Whether any of some nodes is within `from..to`.
fn any_within(tour: &NodeTour, nodes: &[u32], from: usize, to: usize) -> bool {
    nodes.iter().any(|node| {
        let place = tour.place[*node as usize] as usize;
        from <= place && place < to
    })
}

/// The segments `to..j` and `j..at + 1` for every `j` that puts no node behind one of its successors.
fn scan_back(tour: &NodeTour, net: &SequencingNet, at: usize, to: usize, mut weigh: impl FnMut(SegmentCuts)) {
    let mut reach = 0;
    for j in to + 1..=at {
        for next in &net.next[tour.order[j - 1] as usize] {
            let place = tour.place[*next as usize] as usize;
            if place <= at {
                reach = reach.max(place);
            }
        }
        if reach < j {
            weigh((to, j, at + 1));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assign::assignment_of_net;
    use crate::dice::OrderDice;
    use crate::guide::PriceGuide;
    use crate::problem::SequencingProblem;

    #[test]
    fn no_exchange_improves_where_the_descent_ends() {
        let mut dice = OrderDice::new(5, 0, 0);
        for _ in 0..20 {
            let count = 12;
            let costs = (0..count * count).map(|_| dice.below(1000) as i64).collect();
            let problem = SequencingProblem::new(count, costs, &[(0, 5), (5, 9), (2, 3), (7, 1)]).unwrap();
            let net = SequencingNet::new(&problem);
            let near = NearNodes::new(&net, &PriceGuide::of_prices(&assignment_of_net(&net)), net.n);
            let start = [0, 2, 4, 5, 7, 6, 8, 3, 1, 9, 10, 11];
            let mut tour = NodeTour::new(&net, net.to_net_order(&start));
            let mut queue = NodeWorklist::new(net.n);
            (0..net.n as u32).for_each(|node| queue.push(node));
            descend_by_exchanges(&mut tour, &net, &near, &mut queue, &mut Vec::new());
            assert!(problem.allows(&net.to_problem_order(&tour.order)));
            for i in 1..net.n - 2 {
                for j in i + 1..net.n - 1 {
                    for k in j + 1..net.n {
                        let cuts = (i, j, k);
                        assert!(
                            !tour.may_exchange(cuts) || tour.change_exchanged(cuts) >= 0,
                            "{cuts:?} {:?}",
                            tour.order
                        );
                    }
                }
            }
        }
    }
}
