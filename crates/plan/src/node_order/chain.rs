//! The cost of a fixed order: the best stack for each node by dynamic programming along the chain, then the waits.
//!
//! Layer `i` holds, for each choice `c` of the node that was the last to put a stack in hand, the least seconds so far:
//! `f(i, c) = min over c' of f(i−1, c') + swap(last(c'), first(c)) + inside(c)`. Nodes without choices pass the layer on unchanged.
//! Each layer is kept less its least value, which goes into the step's increment: so a change in the order touches the
//! layers near it only.

// symbol: events = node, condition and second
// symbol: waited = node and seconds waited before it

use super::problem::{EMPTY_HAND, MAX_CHOICES, NodeOrderProblem};

/// No node has put a stack in hand yet.
const NOBODY: u32 = u32::MAX;

/// One layer of the chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ChoiceLayer {
    /// Node whose choices the layer is about.
    holder: u32,
    /// Least seconds by choice, less the least of all.
    over_s: [f64; MAX_CHOICES],
    /// By how much the node raised the least of all.
    pub(super) step_s: f64,
}

impl ChoiceLayer {
    pub(super) const START: Self = Self { holder: NOBODY, over_s: [0.0; MAX_CHOICES], step_s: 0.0 };

    /// The least seconds to have a stack in hand, over the cheapest choice so far.
    fn least_swap_s(&self, problem: &NodeOrderProblem, first: u16) -> f64 {
        if self.holder == NOBODY {
            return problem.stacks.swap_s(EMPTY_HAND, first);
        }
        let choices = problem.nodes[self.holder as usize].choices.iter();
        let all = choices.zip(self.over_s).map(|(c, over_s)| over_s + problem.stacks.swap_s(c.last, first));
        all.fold(f64::INFINITY, f64::min)
    }

    /// The layer after one more node.
    pub(super) fn after_node(
        &self,
        problem: &NodeOrderProblem,
        previous: Option<usize>,
        node: usize,
    ) -> Self {
        let it = &problem.nodes[node];
        let turn_s = problem.turn_s(previous, node) + it.fixed_s;
        if it.choices.is_empty() {
            return Self { step_s: turn_s, ..*self };
        }
        let mut over_s = [0.0; MAX_CHOICES];
        let mut least_s = f64::INFINITY;
        for (choice, slot_s) in it.choices.iter().zip(&mut over_s) {
            *slot_s = self.least_swap_s(problem, choice.first) + choice.inside_s;
            least_s = least_s.min(*slot_s);
        }
        over_s.iter_mut().for_each(|s| *s -= least_s);
        Self { holder: node as u32, over_s, step_s: turn_s + least_s }
    }

    /// Whether two layers make no difference to the rest of the chain.
    pub(super) fn is_like(&self, other: &Self, problem: &NodeOrderProblem) -> bool {
        if self.holder != other.holder {
            return false;
        }
        let count = if self.holder == NOBODY { 0 } else { problem.nodes[self.holder as usize].choices.len() };
        (0..count).all(|c| (self.over_s[c] - other.over_s[c]).abs() < 1.0e-9)
    }
}

/// An order with the best choice of each node, and what it costs.
#[derive(Debug, Clone, PartialEq)]
pub struct EvaluatedNodeOrder {
    /// Choice of each node; `None` for nodes without choices.
    pub choices: Vec<Option<usize>>,
    /// Set-ups and work, s.
    pub busy_s: f64,
    /// Waits, s.
    pub wait_s: f64,
}

impl EvaluatedNodeOrder {
    /// Set-ups, work and waits, s.
    #[must_use]
    pub fn total_s(&self) -> f64 {
        self.busy_s + self.wait_s
    }
}

/// The cheapest stacks for an order, by set-ups and work, and the waits that follow.
#[must_use]
pub fn evaluate_node_order(problem: &NodeOrderProblem, order: &[usize]) -> EvaluatedNodeOrder {
    let choices = best_choices(problem, order);
    let steps_s = steps_s(problem, order, &choices);
    let wait_s = WaitBuffers::default().total_s(problem, &FixedOrderClock::new(order, &steps_s));
    EvaluatedNodeOrder { choices, busy_s: steps_s.iter().sum(), wait_s }
}

fn best_choices(problem: &NodeOrderProblem, order: &[usize]) -> Vec<Option<usize>> {
    let mut layers: Vec<(usize, ChoiceLayer)> = Vec::new();
    let mut layer = ChoiceLayer::START;
    for node in order.iter().copied().filter(|n| !problem.nodes[*n].choices.is_empty()) {
        layer = layer.after_node(problem, None, node);
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

/// Seconds of each node in an order with given choices, its set-up included.
fn steps_s(problem: &NodeOrderProblem, order: &[usize], choices: &[Option<usize>]) -> Vec<f64> {
    let mut hand = EMPTY_HAND;
    let mut previous = None;
    let mut steps_s = Vec::with_capacity(order.len());
    for node in order.iter().copied() {
        let mut step_s = problem.turn_s(previous, node) + problem.nodes[node].fixed_s;
        if let Some(choice) = choices[node].map(|c| &problem.nodes[node].choices[c]) {
            step_s += problem.stacks.swap_s(hand, choice.first) + choice.inside_s;
            hand = choice.last;
        }
        steps_s.push(step_s);
        previous = Some(node);
    }
    steps_s
}

/// The clock of an order whose steps are known.
struct FixedOrderClock {
    place: Vec<usize>,
    span_s: Vec<(f64, f64)>,
}

impl FixedOrderClock {
    fn new(order: &[usize], steps_s: &[f64]) -> Self {
        let mut all = Self { place: vec![0; order.len()], span_s: vec![(0.0, 0.0); order.len()] };
        let mut now_s = 0.0;
        for (at, (node, step_s)) in order.iter().zip(steps_s).enumerate() {
            all.place[*node] = at;
            all.span_s[*node] = (now_s, now_s + step_s);
            now_s += step_s;
        }
        all
    }
}

impl NodeClock for FixedOrderClock {
    fn place_of(&self, node: usize) -> usize {
        self.place[node]
    }

    fn span_s(&self, node: usize) -> (f64, f64) {
        self.span_s[node]
    }
}

/// When each node of an order starts and ends, by set-ups and work alone.
pub(super) trait NodeClock {
    /// Position of a node in the order.
    fn place_of(&self, node: usize) -> usize;
    /// Start, set-up included, and end of a node, s.
    fn span_s(&self, node: usize) -> (f64, f64);
}

/// Room to work out waits, kept between calls.
#[derive(Debug, Default)]
pub(super) struct WaitBuffers {
    events: Vec<LagInOrder>,
    waited: Vec<(usize, f64)>,
}

/// A lag in an order: the last node of its `from`, the first of its `to`, and how long work between them lasts.
#[derive(Debug)]
struct LagInOrder {
    to: usize,
    from: usize,
    wait_s: f64,
    worked_s: f64,
}

impl WaitBuffers {
    /// All waits of an order.
    pub(super) fn total_s(&mut self, problem: &NodeOrderProblem, clock: &impl NodeClock) -> f64 {
        if problem.lags.is_empty() {
            return 0.0;
        }
        self.events.clear();
        for lag in &problem.lags {
            let last = lag.from.iter().map(|n| (clock.place_of(*n), *n)).max();
            let first = lag.to.iter().map(|n| (clock.place_of(*n), *n)).min();
            let (Some((from, last)), Some((to, first))) = (last, first) else { continue };
            let worked_s = clock.span_s(first).0 - clock.span_s(last).1;
            if worked_s < lag.wait_s {
                self.events.push(LagInOrder { to, from, wait_s: lag.wait_s, worked_s });
            }
        }
        self.events
            .sort_unstable_by(|a, b| (a.to, a.from).cmp(&(b.to, b.from)).then(a.wait_s.total_cmp(&b.wait_s)));
        self.waited.clear();
        for event in &self.events {
            // Waits before both ends cancel; those between count as time gone by.
            let between_s: f64 = self.waited.iter().filter(|(at, _)| *at > event.from).map(|(_, s)| s).sum();
            let left_s = event.wait_s - event.worked_s - between_s;
            if left_s > 1.0e-9 {
                self.waited.push((event.to, left_s));
            }
        }
        self.waited.iter().map(|(_, s)| s).sum()
    }
}
