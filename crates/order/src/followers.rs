//! For each node the few that are best to go on to, and the few that are best to come from, by reduced cost.

use crate::guide::PriceGuide;
use crate::net::SequencingNet;

/// The nearest on either side of each node, nearest first.
#[derive(Debug)]
pub(crate) struct NearNodes {
    pub(crate) onward: Vec<Vec<u32>>,
    pub(crate) backward: Vec<Vec<u32>>,
}

impl NearNodes {
    pub(crate) fn new(net: &SequencingNet, guide: &PriceGuide, most: usize) -> Self {
        let over = |a: usize, b: usize| guide.reduced_cost(net, a as u32, b as u32);
        let (mut onward, mut backward) = (vec![Vec::new(); net.n], vec![Vec::new(); net.n]);
        for node in 0..net.n {
            onward[node] = nearest_nodes(
                net.arcs.related_nodes(node).map(|b| (over(node, b), b as u32)).collect(),
                most,
            );
            let from = (0..net.n).filter(|a| net.arcs.has(*a, node));
            backward[node] = nearest_nodes(from.map(|a| (over(a, node), a as u32)).collect(), most);
        }
        Self { onward, backward }
    }
}

fn nearest_nodes(mut all: Vec<(i64, u32)>, most: usize) -> Vec<u32> {
    all.sort_unstable();
    all.truncate(most);
    all.into_iter().map(|(_, node)| node).collect()
}
