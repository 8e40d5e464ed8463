//! Cheapest flow through a network by shortest paths, on whole numbers.
//!
//! # Method
//! The network is given without circles, its arcs leading from lower to higher nodes, so one sweep gives the initial
//! distances even with negative costs. Each round then sends as much as fits along a cheapest path from a node with
//! supply to one with demand; the distances, kept as potentials, make all costs of the residual network nonnegative, so that
//! Dijkstra's method finds the next path.
//!
//! # Sources
//! R. K. Ahuja, T. L. Magnanti, J. B. Orlin, "Network Flows", Prentice Hall 1993, section 9.7 (successive shortest paths).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// An arc and, at the next odd or even position, its reverse.
#[derive(Debug, Clone, Copy)]
struct CostArc {
    to: u32,
    left: i64,
    cost: i64,
}

/// A network of nodes in a row.
#[derive(Debug, Clone)]
pub(crate) struct CostNetwork {
    arcs: Vec<CostArc>,
    out: Vec<Vec<u32>>,
}

impl CostNetwork {
    pub(crate) fn new(nodes: usize) -> Self {
        Self { arcs: Vec::new(), out: vec![Vec::new(); nodes] }
    }

    /// Adds an arc from a lower node to a higher one; its number for [`Self::flow`].
    pub(crate) fn add_arc(&mut self, from: usize, to: usize, most: i64, cost: i64) -> usize {
        let at = self.arcs.len();
        self.out[from].push(at as u32);
        self.out[to].push(at as u32 + 1);
        self.arcs.push(CostArc { to: to as u32, left: most, cost });
        self.arcs.push(CostArc { to: from as u32, left: 0, cost: -cost });
        at
    }

    /// What flows through an arc.
    pub(crate) fn flow_through(&self, arc: usize) -> i64 {
        self.arcs[arc ^ 1].left
    }

    /// Sends all supplies (positive) to the demands (negative) at the least cost; their sum is zero and a path always exists.
    pub(crate) fn send_supplies(&mut self, mut supplies: Vec<i64>) {
        let mut potentials = self.sweep_distances(&supplies);
        loop {
            let (distances, via) = self.nearest_distances(&supplies, &potentials);
            let ends = (0..supplies.len()).filter(|n| supplies[*n] < 0 && distances[*n] < FAR);
            let Some(end) = ends.min_by_key(|n| (distances[*n] + potentials[*n], *n)) else { return };
            for (potential, distance) in potentials.iter_mut().zip(&distances) {
                *potential += *distance.min(&distances[end]);
            }
            self.push_along(&mut supplies, &via, end);
        }
    }

    /// Distances of all nodes from the nodes with supply, where arcs lead upward only; unreached ones count from nothing.
    fn sweep_distances(&self, supplies: &[i64]) -> Vec<i64> {
        let mut distances = vec![0; supplies.len()];
        for node in 0..supplies.len() {
            for arc in self.out[node].iter().map(|a| self.arcs[*a as usize]).filter(|a| a.left > 0) {
                let to = arc.to as usize;
                distances[to] = distances[to].min(distances[node] + arc.cost);
            }
        }
        distances
    }

    /// Shortest reduced distances from all nodes with supply, and the arc by which each node is reached.
    fn nearest_distances(&self, supplies: &[i64], potentials: &[i64]) -> (Vec<i64>, Vec<u32>) {
        let mut distances = vec![FAR; supplies.len()];
        let mut via = vec![NONE; supplies.len()];
        let mut open = BinaryHeap::new();
        let highest = potentials.iter().copied().max().unwrap_or(0);
        for node in (0..supplies.len()).filter(|n| supplies[*n] > 0) {
            distances[node] = highest - potentials[node];
            open.push(Reverse((distances[node], node)));
        }
        while let Some(Reverse((distance, node))) = open.pop() {
            if distance > distances[node] {
                continue;
            }
            for at in &self.out[node] {
                let arc = self.arcs[*at as usize];
                let to = arc.to as usize;
                let onward = distance + arc.cost + potentials[node] - potentials[to];
                if arc.left > 0 && onward < distances[to] {
                    distances[to] = onward;
                    via[to] = *at;
                    open.push(Reverse((onward, to)));
                }
            }
        }
        (distances, via)
    }

    /// Sends as much as fits along the way found.
    fn push_along(&mut self, supplies: &mut [i64], via: &[u32], end: usize) {
        let mut most = -supplies[end];
        let mut node = end;
        while via[node] != NONE {
            most = most.min(self.arcs[via[node] as usize].left);
            node = self.arcs[via[node] as usize ^ 1].to as usize;
        }
        most = most.min(supplies[node]);
        supplies[node] -= most;
        supplies[end] += most;
        let mut node = end;
        while via[node] != NONE {
            let at = via[node] as usize;
            self.arcs[at].left -= most;
            self.arcs[at ^ 1].left += most;
            node = self.arcs[at ^ 1].to as usize;
        }
    }
}

/// No distance.
const FAR: i64 = i64::MAX / 4;
/// No arc.
const NONE: u32 = u32::MAX;
