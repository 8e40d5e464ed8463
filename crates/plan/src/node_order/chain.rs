//! The best stack for each node of a fixed order, by dynamic programming along the chain.
//!
//! Layer `i` holds, for each choice `c` of the node that was the last to put a stack in hand, the least seconds so far:
//! `f(i, c) = min over c' of f(i−1, c') + swap(last(c'), first(c)) + inside(c)`. Nodes without choices pass the layer on unchanged.

use super::problem::{MAX_CHOICES, NodeOrderProblem};

/// One layer of the chain: the last node that put a stack in hand, and the least seconds by its choice.
#[derive(Debug, Clone, Copy, PartialEq)]
struct ChoiceLayer {
    /// The node; `None` before the first, when `hand` is in hand.
    holder: Option<usize>,
    hand: u16,
    /// Least seconds by choice, less the least of all.
    over_s: [f64; MAX_CHOICES],
}

impl ChoiceLayer {
    const fn start(hand: u16) -> Self {
        Self { holder: None, hand, over_s: [0.0; MAX_CHOICES] }
    }

    /// The least seconds to have a stack in hand, over the cheapest choice so far.
    fn least_swap_s(&self, problem: &NodeOrderProblem, first: u16) -> f64 {
        let Some(holder) = self.holder else { return problem.stacks.swap_s(self.hand, first) };
        let choices = problem.nodes[holder].choices.iter();
        let all = choices.zip(self.over_s).map(|(c, over_s)| over_s + problem.stacks.swap_s(c.last, first));
        all.fold(f64::INFINITY, f64::min)
    }

    /// The layer after one more node, which has choices.
    fn after_node(&self, problem: &NodeOrderProblem, node: usize) -> Self {
        let mut over_s = [0.0; MAX_CHOICES];
        let mut least_s = f64::INFINITY;
        for (choice, slot_s) in problem.nodes[node].choices.iter().zip(&mut over_s) {
            *slot_s = self.least_swap_s(problem, choice.first) + choice.inside_s;
            least_s = least_s.min(*slot_s);
        }
        over_s.iter_mut().for_each(|s| *s -= least_s);
        Self { holder: Some(node), hand: self.hand, over_s }
    }
}

/// The stacks for an order that cost the least set-up and work; `None` for nodes without choices. What is in hand at the start is one of the stacks.
#[must_use]
pub fn best_stack_choices(problem: &NodeOrderProblem, order: &[usize], hand: u16) -> Vec<Option<usize>> {
    let mut layers: Vec<(usize, ChoiceLayer)> = Vec::new();
    let mut layer = ChoiceLayer::start(hand);
    for node in order.iter().copied().filter(|n| !problem.nodes[*n].choices.is_empty()) {
        layer = layer.after_node(problem, node);
        layers.push((node, layer));
    }
    let mut choices = vec![None; problem.nodes.len()];
    let mut wanted: Option<u16> = None;
    for (node, layer) in layers.iter().rev() {
        let to_next = |hand: u16| wanted.map_or(0.0, |first| problem.stacks.swap_s(hand, first));
        let all = problem.nodes[*node].choices.iter().zip(layer.over_s);
        let best = all.enumerate().min_by(|(_, (a, a_s)), (_, (b, b_s))| {
            (a_s + to_next(a.last)).total_cmp(&(b_s + to_next(b.last)))
        });
        if let Some((at, (choice, _))) = best {
            choices[*node] = Some(at);
            wanted = Some(choice.first);
        }
    }
    choices
}
