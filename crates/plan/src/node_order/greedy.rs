//! A first order: always the ready node that costs the least to turn to.
//!
//! What starts a wait for others goes first, the sooner the longer the wait; what would have to wait is put off.

use super::chain::ChoiceLayer;
use super::problem::NodeOrderProblem;

/// An order that respects the precedence.
#[must_use]
pub(super) fn greedy_order(problem: &NodeOrderProblem) -> Vec<usize> {
    let starts_s = waits_started(problem);
    let mut waits: Vec<usize> = problem.before.iter().map(Vec::len).collect();
    let mut ready: Vec<usize> = (0..waits.len()).filter(|n| waits[*n] == 0).collect();
    let mut order = Vec::with_capacity(waits.len());
    let mut layer = ChoiceLayer::START;
    let mut clock = GreedyClock { now_s: 0.0, ready_s: vec![0.0; waits.len()] };
    while !ready.is_empty() {
        let previous = order.last().copied();
        let score_s = |node: usize| {
            let step_s = layer.after_node(problem, previous, node).step_s - least_work_s(problem, node);
            step_s + (clock.ready_s[node] - clock.now_s).max(0.0) - starts_s[node]
        };
        let scores = ready.iter().enumerate().map(|(at, node)| (score_s(*node), *node, at));
        let best = scores.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let Some((_, node, at)) = best else { break };
        ready.swap_remove(at);
        layer = layer.after_node(problem, previous, node);
        clock.pass_node(problem, node, layer.step_s);
        order.push(node);
        for next in &problem.after[node] {
            waits[*next] -= 1;
            if waits[*next] == 0 {
                ready.push(*next);
            }
        }
    }
    order
}

struct GreedyClock {
    now_s: f64,
    ready_s: Vec<f64>,
}

impl GreedyClock {
    fn pass_node(&mut self, problem: &NodeOrderProblem, node: usize, step_s: f64) {
        self.now_s = self.now_s.max(self.ready_s[node]) + step_s;
        for lag in problem.lags.iter().filter(|l| l.from.contains(&node)) {
            for to in &lag.to {
                self.ready_s[*to] = self.ready_s[*to].max(self.now_s + lag.wait_s);
            }
        }
    }
}

fn least_work_s(problem: &NodeOrderProblem, node: usize) -> f64 {
    let it = &problem.nodes[node];
    let inside_s = it.choices.iter().map(|c| c.inside_s).reduce(f64::min).unwrap_or(0.0);
    it.fixed_s + inside_s
}

/// How long others wait for each node.
fn waits_started(problem: &NodeOrderProblem) -> Vec<f64> {
    let mut started_s = vec![0.0; problem.nodes.len()];
    for lag in &problem.lags {
        for node in &lag.from {
            started_s[*node] += lag.wait_s;
        }
    }
    started_s
}
