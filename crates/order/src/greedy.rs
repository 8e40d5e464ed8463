//! A first order: always on to the free node of least reduced cost.

use crate::assign::AssignmentBound;
use crate::net::SequencingNet;

/// The greedy order of a net.
pub(crate) fn build_greedy_order(net: &SequencingNet, prices: &AssignmentBound) -> Vec<u32> {
    let mut waits: Vec<usize> = net.previous.iter().map(Vec::len).collect();
    let mut free = vec![0_u32];
    let mut order: Vec<u32> = Vec::with_capacity(net.n);
    while !free.is_empty() {
        let over =
            |node: u32| order.last().map_or(0, |last| net.cost(*last, node) - prices.enter[node as usize]);
        let Some(at) = (0..free.len()).min_by_key(|at| (over(free[*at]), free[*at])) else { break };
        let node = free.swap_remove(at);
        for next in &net.next[node as usize] {
            waits[*next as usize] -= 1;
            if waits[*next as usize] == 0 {
                free.push(*next);
            }
        }
        order.push(node);
    }
    order
}
