//! Directed graphs in the small: components that hold a circle, and the shortest circle in one.

use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, VecDeque};

/// Nodes by number, each with those that it leads to.
pub(super) struct DirectedGraph(Vec<Vec<usize>>);

impl DirectedGraph {
    pub(super) const fn new(edges: Vec<Vec<usize>>) -> Self {
        Self(edges)
    }
    pub(super) const fn len(&self) -> usize {
        self.0.len()
    }
    pub(super) fn edges_from(&self, node: usize) -> &[usize] {
        &self.0[node]
    }

    /// The same nodes with the edges between kept ones only.
    pub(super) fn restricted_to(&self, kept: &[bool]) -> Self {
        let edges = |node: usize| {
            let ends = self.0[node].iter().copied();
            if kept[node] { ends.filter(|end| kept[*end]).collect() } else { Vec::new() }
        };
        Self((0..self.len()).map(edges).collect())
    }

    fn reversed(&self) -> Self {
        let mut back = vec![Vec::new(); self.len()];
        for (node, ends) in self.0.iter().enumerate() {
            ends.iter().for_each(|end| back[*end].push(node));
        }
        Self(back)
    }

    /// All nodes, each after those that it leads to as far as circles allow.
    fn finishing_order(&self) -> Vec<usize> {
        let mut seen = vec![false; self.len()];
        let mut order = Vec::with_capacity(self.len());
        for root in 0..self.len() {
            let mut stack = vec![(root, 0)];
            if core::mem::replace(&mut seen[root], true) {
                continue;
            }
            while let Some((node, next)) = stack.pop() {
                let Some(end) = self.0[node].get(next) else {
                    order.push(node);
                    continue;
                };
                stack.push((node, next + 1));
                if !core::mem::replace(&mut seen[*end], true) {
                    stack.push((*end, 0));
                }
            }
        }
        order
    }
}

/// The sets of nodes that can all reach each other, those of one node without a loop left out; each sorted.
pub(super) fn circular_components(graph: &DirectedGraph) -> Vec<Vec<usize>> {
    let back = graph.reversed();
    let mut seen = vec![false; graph.len()];
    let mut found = Vec::new();
    for root in graph.finishing_order().into_iter().rev() {
        let mut component = Vec::new();
        let mut stack = vec![root];
        while let Some(node) = stack.pop() {
            if !core::mem::replace(&mut seen[node], true) {
                component.push(node);
                stack.extend(&back.0[node]);
            }
        }
        let loops = component.len() > 1 || component.iter().any(|n| graph.edges_from(*n).contains(n));
        if loops {
            component.sort_unstable();
            found.push(component);
        }
    }
    found.sort_unstable();
    found
}

/// The shortest circle through the first node of a component that [`components`] gave, from that node on.
pub(super) fn shortest_circle(graph: &DirectedGraph, component: &[usize]) -> Vec<usize> {
    let start = component[0];
    let mut from: BTreeMap<usize, usize> = BTreeMap::new();
    let mut queue = VecDeque::from([start]);
    while let Some(node) = queue.pop_front() {
        for end in graph.edges_from(node).iter().copied().filter(|end| component.binary_search(end).is_ok()) {
            if end == start {
                return trace_circle(&from, start, node);
            }
            if let Entry::Vacant(entry) = from.entry(end) {
                entry.insert(node);
                queue.push_back(end);
            }
        }
    }
    vec![start]
}

/// The nodes from the start to the last one.
fn trace_circle(from: &BTreeMap<usize, usize>, start: usize, last: usize) -> Vec<usize> {
    let mut circle = vec![last];
    let mut node = last;
    while node != start
        && let Some(before) = from.get(&node).copied()
    {
        circle.push(before);
        node = before;
    }
    circle.reverse();
    circle
}
