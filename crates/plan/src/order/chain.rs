//! The cost of a fixed order: the best stack for each node by dynamic programming along the chain, then the waits.
//!
//! Layer `i` holds, for each choice `c` of the node that was the last to put a stack in hand, the least seconds so far:
//! `f(i, c) = min over c' of f(i−1, c') + swap(last(c'), first(c)) + inside(c)`. Nodes without choices hand the layer on.
//! Each layer is kept less its least value, which goes into the step's increment: so a change in the order touches the
//! layers near it only.

// symbol: events = node, condition and second
// symbol: waited = node and seconds waited before it

use super::problem::{EMPTY_HAND, MOST_CHOICES, Problem};

/// No node has put a stack in hand yet.
const NOBODY: u32 = u32::MAX;

/// One layer of the chain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Layer {
    /// Node whose choices the layer is about.
    holder: u32,
    /// Least seconds by choice, less the least of all.
    over_s: [f64; MOST_CHOICES],
    /// By how much the node raised the least of all.
    pub(super) step_s: f64,
}

impl Layer {
    pub(super) const START: Self = Self { holder: NOBODY, over_s: [0.0; MOST_CHOICES], step_s: 0.0 };

    /// The stacks that may be in hand, with what each costs over the cheapest.
    fn hands<'p>(&'p self, problem: &'p Problem) -> impl Iterator<Item = (u16, f64)> + 'p {
        let choices = match self.holder {
            NOBODY => &[][..],
            node => &problem.nodes[node as usize].choices,
        };
        let first = choices.is_empty().then_some((EMPTY_HAND, 0.0));
        first.into_iter().chain(choices.iter().zip(self.over_s).map(|(c, over_s)| (c.last, over_s)))
    }

    /// The layer after one more node.
    pub(super) fn next(&self, problem: &Problem, previous: Option<usize>, node: usize) -> Self {
        let it = &problem.nodes[node];
        let turn_s = problem.turn_s(previous, node) + it.fixed_s;
        if it.choices.is_empty() {
            return Self { step_s: turn_s, ..*self };
        }
        let mut over_s = [0.0; MOST_CHOICES];
        let mut least_s = f64::INFINITY;
        for (choice, slot_s) in it.choices.iter().zip(&mut over_s) {
            let arrive = self.hands(problem).map(|(hand, s)| s + problem.stacks.swap_s(hand, choice.first));
            *slot_s = arrive.fold(f64::INFINITY, f64::min) + choice.inside_s;
            least_s = least_s.min(*slot_s);
        }
        over_s.iter_mut().for_each(|s| *s -= least_s);
        Self { holder: node as u32, over_s, step_s: turn_s + least_s }
    }

    /// Whether the rest of the chain cannot tell two layers apart.
    pub(super) fn is_like(&self, other: &Self, problem: &Problem) -> bool {
        if self.holder != other.holder {
            return false;
        }
        let count = if self.holder == NOBODY { 0 } else { problem.nodes[self.holder as usize].choices.len() };
        (0..count).all(|c| (self.over_s[c] - other.over_s[c]).abs() < 1.0e-9)
    }
}

/// An order with the best choice of each node, and what it costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Evaluated {
    /// Choice of each node; `None` for nodes without choices.
    pub choices: Vec<Option<usize>>,
    /// Set-ups and work, s.
    pub busy_s: f64,
    /// Waits, s.
    pub wait_s: f64,
}

impl Evaluated {
    /// Set-ups, work and waits, s.
    #[must_use]
    pub fn total_s(&self) -> f64 {
        self.busy_s + self.wait_s
    }
}

/// The cheapest stacks for an order, by set-ups and work, and the waits that follow.
#[must_use]
pub fn evaluate(problem: &Problem, order: &[usize]) -> Evaluated {
    let choices = best_choices(problem, order);
    let steps_s = steps_s(problem, order, &choices);
    let mut place = vec![0; problem.nodes.len()];
    order.iter().enumerate().for_each(|(at, node)| place[*node] = at);
    let wait_s = Waits::default().total_s(problem, &place, steps_s.iter().copied());
    Evaluated { choices, busy_s: steps_s.iter().sum(), wait_s }
}

fn best_choices(problem: &Problem, order: &[usize]) -> Vec<Option<usize>> {
    let mut layers: Vec<(usize, Layer)> = Vec::new();
    let mut layer = Layer::START;
    for node in order.iter().copied().filter(|n| !problem.nodes[*n].choices.is_empty()) {
        layer = layer.next(problem, None, node);
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
fn steps_s(problem: &Problem, order: &[usize], choices: &[Option<usize>]) -> Vec<f64> {
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

/// Room to work out waits, kept between calls.
#[derive(Debug, Default)]
pub(super) struct Waits {
    clock_s: Vec<f64>,
    events: Vec<(usize, usize, f64)>,
    waited: Vec<(usize, f64)>,
}

impl Waits {
    /// All waits of an order, from the place of each node and the seconds of each step.
    pub(super) fn total_s(
        &mut self,
        problem: &Problem,
        place: &[usize],
        steps_s: impl Iterator<Item = f64>,
    ) -> f64 {
        if problem.lags.is_empty() {
            return 0.0;
        }
        self.clock_s.clear();
        let mut clock_s = 0.0;
        for step_s in steps_s {
            clock_s += step_s;
            self.clock_s.push(clock_s);
        }
        self.events.clear();
        for lag in &problem.lags {
            let from = lag.from.iter().map(|n| place[*n]).max().unwrap_or(0);
            let to = lag.to.iter().map(|n| place[*n]).min().unwrap_or(0);
            self.events.push((to, from, lag.wait_s));
        }
        self.events.sort_unstable_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)));
        self.waited.clear();
        for (to, from, wait_s) in &self.events {
            // Waits before both ends cancel; those between count as time gone by.
            let between_s: f64 = self.waited.iter().filter(|(at, _)| at > from).map(|(_, s)| s).sum();
            let gone_s = self.clock_s[to - 1] - self.clock_s[*from] + between_s;
            if wait_s - gone_s > 1.0e-9 {
                self.waited.push((*to, wait_s - gone_s));
            }
        }
        self.waited.iter().map(|(_, s)| s).sum()
    }
}
