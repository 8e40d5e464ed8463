//! The current order of the search, and what another order of a stretch of it would cost.
//!
//! A change puts pieces of a stretch in a new order, each piece as it was. A piece that comes behind other nodes than
//! before is re-evaluated only until its remaining costs are unchanged: from there on each node costs what it did,
//! and sums of the old order give the remainder. So a try costs a few layers for each piece, however long the pieces are.

use super::chain::{ChoiceLayer, NodeClock, WaitBuffers};
use super::problem::NodeOrderProblem;

pub(super) struct NodeOrderTour<'p> {
    problem: &'p NodeOrderProblem,
    pub(super) order: Vec<usize>,
    pub(super) place: Vec<usize>,
    layers: Vec<ChoiceLayer>,
    /// Seconds of set-ups and work before each place, and those of all.
    before_s: Vec<f64>,
    wait_s: f64,
    waits: WaitBuffers,
    trial: TourTrial,
    /// Room for a stretch as it was.
    stretch: Vec<(usize, ChoiceLayer)>,
}

/// What the change tried last would make of the order.
#[derive(Default)]
struct TourTrial {
    /// Pieces in their new order, then what follows the stretch.
    pieces: Vec<TourSegment>,
    /// New layers of all pieces, each up to the first that is like the old one.
    layers: Vec<ChoiceLayer>,
    wait_s: f64,
}

/// A piece behind other nodes than before.
struct TourSegment {
    /// Old places, from the first to behind the last, and new place of the first.
    from: usize,
    to: usize,
    place: usize,
    /// Its new layers among those of all pieces.
    layers: core::ops::Range<usize>,
    /// New seconds before its first node, and after its last.
    starts_s: f64,
    ends_s: f64,
}

impl<'p> NodeOrderTour<'p> {
    pub(super) fn new(problem: &'p NodeOrderProblem, order: Vec<usize>) -> Self {
        let mut tour = Self {
            problem,
            place: vec![0; order.len()],
            layers: Vec::with_capacity(order.len()),
            before_s: vec![0.0; order.len() + 1],
            order,
            wait_s: 0.0,
            waits: WaitBuffers::default(),
            trial: TourTrial::default(),
            stretch: Vec::new(),
        };
        tour.settle_order();
        tour
    }

    fn settle_order(&mut self) {
        let mut layer = ChoiceLayer::START;
        let mut previous = None;
        for (at, node) in self.order.iter().copied().enumerate() {
            layer = layer.after_node(self.problem, previous, node);
            self.layers.push(layer);
            self.place[node] = at;
            previous = Some(node);
        }
        self.sum_from(0);
        let now = CurrentTourClock { place: &self.place, before_s: &self.before_s };
        self.wait_s = self.waits.total_s(self.problem, &now);
    }

    /// Set-ups, work and waits, s.
    pub(super) fn cost_s(&self) -> f64 {
        self.busy_s() + self.wait_s
    }

    fn busy_s(&self) -> f64 {
        self.before_s[self.order.len()]
    }

    fn sum_from(&mut self, left: usize) {
        for at in left..self.order.len() {
            self.before_s[at + 1] = self.before_s[at] + self.layers[at].step_s;
        }
    }

    /// By how much a new order of the pieces of a stretch changes the cost, if that is at most `limit_s`;
    /// [`Tour::take`] makes it so. The pieces, each from a place to behind another, are all of the stretch.
    pub(super) fn weigh_change(
        &mut self,
        left: usize,
        pieces: &[(usize, usize)],
        limit_s: f64,
    ) -> Option<f64> {
        let mut trial = core::mem::take(&mut self.trial);
        trial.pieces.clear();
        trial.layers.clear();
        let (mut layer, mut previous) = match left.checked_sub(1) {
            Some(at) => (self.layers[at], Some(self.order[at])),
            None => (ChoiceLayer::START, None),
        };
        let (mut now_s, mut place) = (self.before_s[left], left);
        let stretch: usize = pieces.iter().map(|(from, to)| to - from).sum();
        let behind = (left + stretch, self.order.len());
        for (from, to) in pieces.iter().copied().chain([behind]) {
            let starts_s = now_s;
            let first = trial.layers.len();
            (layer, now_s) = self.walk_segment((from, to), &mut trial.layers, layer, previous, now_s);
            let layers = first..trial.layers.len();
            trial.pieces.push(TourSegment { from, to, place, layers, starts_s, ends_s: now_s });
            place += to - from;
            previous = to.checked_sub(1).map(|last| self.order[last]);
        }
        // Waits are never negative, so they need no evaluation where set-ups alone cost too much.
        let mut change_s = now_s - self.cost_s();
        if change_s <= limit_s {
            let tried = TrialTourClock { place: &self.place, before_s: &self.before_s, trial: &trial };
            trial.wait_s = self.waits.total_s(self.problem, &tried);
            change_s += trial.wait_s;
        }
        self.trial = trial;
        (change_s <= limit_s).then_some(change_s)
    }

    /// Goes through a piece behind other nodes, as far as that makes a difference; the layer at its end, and the seconds until then.
    fn walk_segment(
        &self,
        (from, to): (usize, usize),
        layers: &mut Vec<ChoiceLayer>,
        entry: ChoiceLayer,
        before: Option<usize>,
        starts_s: f64,
    ) -> (ChoiceLayer, f64) {
        let (mut layer, mut previous, mut now_s) = (entry, before, starts_s);
        for at in from..to {
            let node = self.order[at];
            layer = layer.after_node(self.problem, previous, node);
            previous = Some(node);
            now_s += layer.step_s;
            layers.push(layer);
            if layer.is_like(&self.layers[at], self.problem) {
                return (self.layers[to - 1], now_s + self.before_s[to] - self.before_s[at + 1]);
            }
        }
        (layer, now_s)
    }

    /// Makes the change weighed last.
    pub(super) fn take_change(&mut self) {
        let Some((behind, pieces)) = self.trial.pieces.split_last() else { return };
        let left = pieces.first().map_or(behind.from, |p| p.place);
        self.stretch.clear();
        let old = left..behind.from;
        self.stretch.extend(self.order[old.clone()].iter().copied().zip(self.layers[old].iter().copied()));
        for piece in pieces {
            let new = &self.trial.layers[piece.layers.clone()];
            let moved = &self.stretch[piece.from - left..piece.to - left];
            for (step, (node, layer)) in moved.iter().enumerate() {
                let place = piece.place + step;
                self.order[place] = *node;
                self.place[*node] = place;
                self.layers[place] = new.get(step).copied().unwrap_or(*layer);
            }
        }
        let new = &self.trial.layers[behind.layers.clone()];
        self.layers[behind.from..behind.from + new.len()].copy_from_slice(new);
        self.wait_s = self.trial.wait_s;
        self.sum_from(left);
    }
}

/// The clock of the present order.
struct CurrentTourClock<'t> {
    place: &'t [usize],
    before_s: &'t [f64],
}

impl NodeClock for CurrentTourClock<'_> {
    fn place_of(&self, node: usize) -> usize {
        self.place[node]
    }

    fn span_s(&self, node: usize) -> (f64, f64) {
        (self.before_s[self.place[node]], self.before_s[self.place[node] + 1])
    }
}

/// The clock of the order with the change tried.
struct TrialTourClock<'t> {
    place: &'t [usize],
    before_s: &'t [f64],
    trial: &'t TourTrial,
}

impl TrialTourClock<'_> {
    /// The piece that a node lies in; none in front of the stretch.
    fn segment_at(&self, place: usize) -> Option<&TourSegment> {
        self.trial.pieces.iter().find(|p| (p.from..p.to).contains(&place))
    }
}

impl NodeClock for TrialTourClock<'_> {
    fn place_of(&self, node: usize) -> usize {
        let old = self.place[node];
        self.segment_at(old).map_or(old, |p| old - p.from + p.place)
    }

    fn span_s(&self, node: usize) -> (f64, f64) {
        let old = self.place[node];
        let before_s = self.before_s;
        let Some(piece) = self.segment_at(old) else { return (before_s[old], before_s[old + 1]) };
        let new = &self.trial.layers[piece.layers.clone()];
        let step = old - piece.from;
        if step < new.len() {
            let start_s = piece.starts_s + new[..step].iter().map(|l| l.step_s).sum::<f64>();
            (start_s, start_s + new[step].step_s)
        } else {
            let shift_s = piece.ends_s - before_s[piece.to];
            (before_s[old] + shift_s, before_s[old + 1] + shift_s)
        }
    }
}

#[cfg(test)]
mod tests {
    use rand_pcg::Pcg64Mcg;
    use rand_pcg::rand_core::SeedableRng;

    use super::*;
    use crate::node_order::moves::{CheapestFollowers, NodeOrderDice, StretchChange, draw_cuts};
    use crate::node_order::{NodeLag, StackChoice, StackSets, WorkNode};
    use model::PieceId;

    /// Stations, parts, choices, precedence and waits by the dice.
    fn problem(dice: &mut NodeOrderDice, count: usize) -> NodeOrderProblem {
        let mut stacks = StackSets::default();
        let mut stack = |dice: &mut NodeOrderDice| {
            let mut pieces: Vec<PieceId> =
                (0..dice.draw_below(4)).map(|_| PieceId::new(dice.draw_below(6))).collect();
            pieces.sort_unstable();
            stacks.intern_pieces(pieces)
        };
        let mut node = |dice: &mut NodeOrderDice| {
            let station = dice.draw_below(3) as u16;
            let mut choice = |dice: &mut NodeOrderDice| {
                let inside_s = dice.draw_below(20) as f64;
                StackChoice { first: stack(dice), last: stack(dice), inside_s, workings: Vec::new() }
            };
            let choices = (0..dice.draw_below(4)).map(|_| choice(dice)).collect();
            WorkNode {
                station,
                leaves: station,
                part: Some(dice.draw_below(9) as u32),
                fixed_s: dice.draw_below(9) as f64,
                choices,
            }
        };
        let nodes: Vec<WorkNode> = (0..count).map(|_| node(dice)).collect();
        let pair = |dice: &mut NodeOrderDice| {
            let b = 1 + dice.draw_below(count - 1);
            (dice.draw_below(b), b)
        };
        let pairs: Vec<(usize, usize)> = (0..count).map(|_| pair(dice)).collect();
        let lag = |dice: &mut NodeOrderDice| {
            let (a, b) = pair(dice);
            NodeLag { from: vec![a], to: vec![b], wait_s: dice.draw_below(600) as f64 }
        };
        let lags = (0..3).map(|_| lag(dice)).collect();
        NodeOrderProblem::new(nodes, &pairs, lags, vec![20.0, 30.0, 45.0], stacks).unwrap()
    }

    #[test]
    fn a_change_costs_what_a_fresh_look_at_the_new_order_says() {
        let mut dice = NodeOrderDice(Pcg64Mcg::seed_from_u64(5));
        let mut scattered = 0;
        for _ in 0..20 {
            let problem = problem(&mut dice, 40);
            let followers = CheapestFollowers::new(&problem);
            let mut tour = NodeOrderTour::new(&problem, (0..40).collect());
            let mut change = StretchChange::default();
            for _ in 0..300 {
                let Some(cuts) = draw_cuts(&tour, &followers, &mut dice) else { continue };
                if !change.set_exchange(&problem, &tour, cuts, &mut dice) {
                    continue;
                }
                scattered += usize::from(change.pieces.len() > 2);
                let expected_s =
                    tour.cost_s() + tour.weigh_change(change.left, &change.pieces, f64::INFINITY).unwrap();
                tour.take_change();
                let fresh = NodeOrderTour::new(&problem, tour.order.clone());
                assert!(problem.allows(&tour.order));
                assert!(
                    (tour.cost_s() - fresh.cost_s()).abs() < 1e-6
                        && (expected_s - fresh.cost_s()).abs() < 1e-6
                );
                assert_eq!(tour.place, fresh.place);
            }
        }
        assert!(scattered > 500, "{scattered}");
    }
}
