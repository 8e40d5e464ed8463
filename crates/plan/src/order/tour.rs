//! The current order of the search, and the exchange of two neighbouring segments.
//!
//! Swapping two neighbouring segments keeps the direction within each, so the precedence holds if no node of the left one
//! comes before one of the right one, which direct successors alone can tell (Gambardella and Dorigo, An ant colony system
//! hybridized with a new local search for the sequential ordering problem, INFORMS J. Computing 12 (2000) 237-255). Only
//! the layers from the left end to a little past the right end change.

use super::chain::{Layer, Waits};
use super::problem::Problem;

/// Three cuts: `[left, middle)` and `[middle, right)` change places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Cuts {
    pub(super) left: usize,
    pub(super) middle: usize,
    pub(super) right: usize,
}

pub(super) struct Tour<'p> {
    problem: &'p Problem,
    pub(super) order: Vec<usize>,
    pub(super) place: Vec<usize>,
    layers: Vec<Layer>,
    busy_s: f64,
    wait_s: f64,
    waits: Waits,
    /// New nodes and layers from `tried.left` on.
    tried: Cuts,
    new_nodes: Vec<usize>,
    new_layers: Vec<Layer>,
    new_busy_s: f64,
    new_wait_s: f64,
}

impl<'p> Tour<'p> {
    pub(super) fn new(problem: &'p Problem, order: Vec<usize>) -> Self {
        let none = Cuts { left: 0, middle: 0, right: 0 };
        let mut tour = Self {
            problem,
            place: vec![0; order.len()],
            layers: Vec::with_capacity(order.len()),
            order,
            busy_s: 0.0,
            wait_s: 0.0,
            waits: Waits::default(),
            tried: none,
            new_nodes: Vec::new(),
            new_layers: Vec::new(),
            new_busy_s: 0.0,
            new_wait_s: 0.0,
        };
        let mut layer = Layer::START;
        let mut previous = None;
        for (at, node) in tour.order.iter().copied().enumerate() {
            layer = layer.next(problem, previous, node);
            tour.layers.push(layer);
            tour.place[node] = at;
            previous = Some(node);
        }
        tour.busy_s = tour.layers.iter().map(|l| l.step_s).sum();
        tour.wait_s = tour.waits.total_s(problem, &tour.place, tour.layers.iter().map(|l| l.step_s));
        tour
    }

    /// Set-ups, work and waits, s.
    pub(super) fn cost_s(&self) -> f64 {
        self.busy_s + self.wait_s
    }

    /// Whether the precedence lets the two segments change places.
    pub(super) fn may(&self, cuts: Cuts) -> bool {
        let Cuts { left, middle, right } = cuts;
        if middle - left <= right - middle {
            let goes_right = |n: &usize| (middle..right).contains(&self.place[*n]);
            self.order[left..middle].iter().all(|n| !self.problem.after[*n].iter().any(goes_right))
        } else {
            let goes_left = |n: &usize| (left..middle).contains(&self.place[*n]);
            self.order[middle..right].iter().all(|n| !self.problem.before[*n].iter().any(goes_left))
        }
    }

    /// By how much the exchange changes the cost, if that is at most `limit_s`; to be followed by
    /// [`Tour::take`] or [`Tour::leave`].
    pub(super) fn try_exchange(&mut self, cuts: Cuts, limit_s: f64) -> Option<f64> {
        self.relayer(cuts);
        let old_s: f64 =
            self.layers[cuts.left..cuts.left + self.new_layers.len()].iter().map(|l| l.step_s).sum();
        self.new_busy_s = self.busy_s + self.new_layers.iter().map(|l| l.step_s).sum::<f64>() - old_s;
        // No wait is below nothing: a look at the waits is not worth it where set-ups alone are too dear.
        if self.new_busy_s - self.cost_s() > limit_s {
            return None;
        }
        self.mark(&self.new_nodes.clone(), cuts.left);
        self.new_wait_s = self.new_waits_s(cuts.left);
        let change_s = self.new_busy_s + self.new_wait_s - self.cost_s();
        if change_s > limit_s {
            self.leave();
            return None;
        }
        Some(change_s)
    }

    fn relayer(&mut self, cuts: Cuts) {
        self.tried = cuts;
        self.new_nodes.clear();
        self.new_nodes.extend_from_slice(&self.order[cuts.middle..cuts.right]);
        self.new_nodes.extend_from_slice(&self.order[cuts.left..cuts.middle]);
        self.new_layers.clear();
        let (mut layer, mut previous) = match cuts.left.checked_sub(1) {
            Some(at) => (self.layers[at], Some(self.order[at])),
            None => (Layer::START, None),
        };
        let behind = self.order[cuts.right..].iter().copied();
        let count = self.new_nodes.len();
        for (step, node) in self.new_nodes.iter().copied().chain(behind).enumerate() {
            layer = layer.next(self.problem, previous, node);
            previous = Some(node);
            self.new_layers.push(layer);
            // The node right behind has a new neighbour; from there on only the stacks in hand can differ.
            if step >= count && layer.is_like(&self.layers[cuts.left + step], self.problem) {
                break;
            }
        }
    }

    fn new_waits_s(&mut self, left: usize) -> f64 {
        let behind = left + self.new_layers.len();
        let layers = self.layers[..left].iter().chain(&self.new_layers).chain(&self.layers[behind..]);
        self.waits.total_s(self.problem, &self.place, layers.map(|l| l.step_s))
    }

    fn mark(&mut self, nodes: &[usize], left: usize) {
        nodes.iter().enumerate().for_each(|(step, node)| self.place[*node] = left + step);
    }

    /// Makes the exchange tried last.
    pub(super) fn take(&mut self) {
        let Cuts { left, middle, right } = self.tried;
        self.order[left..right].rotate_left(middle - left);
        let count = self.new_layers.len();
        self.layers[left..left + count].copy_from_slice(&self.new_layers);
        self.busy_s = self.new_busy_s;
        self.wait_s = self.new_wait_s;
    }

    /// Puts back the places that the exchange tried last had marked.
    pub(super) fn leave(&mut self) {
        for at in self.tried.left..self.tried.right {
            self.place[self.order[at]] = at;
        }
    }
}
