//! The bound by places: the cheapest walk of `n` nodes through the places that each may take, with prices on nodes.
//!
//! A node with `p` predecessors and `s` successors takes one of the places `p … n − 1 − s`. A walk from the first node
//! to the last that takes one passage a place, keeps those windows and never goes back at once (nor, one node later, to a
//! predecessor) may visit a node twice and another never; the cheapest one is found place by place from the end. A price
//! `λ[j]` on entering each node draws the walk to where it does not go by itself: whatever the prices, the walk's cost less
//! the prices of all nodes is a bound, and steps along (visits − 1) raise it.
//!
//! * `rest(k, i)`: the least to come from node `i` at place `k`, priced. `rest(0, first) − Σ λ` is the bound, and the
//!   others give the beam what each beginning must still cost.
//! * With the prices of the assignment to start from, the bound is never below the assignment's.
//!
//! Worked example: nodes 0, 1, 2, 3 with 0 first and 3 last, all costs 1 but `1→2` = 5 and `2→1` = 5. Without prices the
//! walks are 0 1 2 3 and 0 2 1 3, as 0 1 1 3 is no passage: 7, which is the best order's cost too.
//!
//! Sources: N. Christofides, A. Mingozzi, P. Toth, "State-space relaxation procedures for the computation of bounds to
//! routing problems", Networks 11 (1981) 145–164; M. Held, R. M. Karp, "The traveling-salesman problem and minimum spanning
//! trees: part II", Mathematical Programming 1 (1971) 6–25 (prices by ascent). From memory.

use crate::assign::AssignmentBound;
use crate::guide::{FAR, PriceGuide};
use crate::net::SequencingNet;

/// Parts of a unit of cost in which prices are kept.
const SCALE: i64 = 64;
/// Ways onward kept of each node and place; where all are ruled out the most expensive represents the rest, which is safe.
const KEPT: usize = 3;
/// Walks after which the ascent ends; fewer where a walk is long, but not fewer than the least.
const MAX_WALKS: u64 = 400;
const LEAST_WALKS: u64 = 30;
/// Tries that the whole ascent may count for.
const MAX_ASCENT_TRIES: u64 = 150_000_000;
/// Walks without a better bound after which the step is halved.
const PATIENCE: u32 = 12;
/// Share of the distance to the best order that a first step aims at.
const FIRST_STEP_SHARE: f64 = 0.1;
/// Share of the last direction that goes into the next.
const DRIFT_SHARE: f64 = 0.6;
/// The ascent ends at this share.
const LAST_STEP_SHARE: f64 = 0.001;
/// Passages weighed in the time of one try of the annealing.
pub(crate) const PASSAGES_PER_TRY: u64 = 5;

/// The state of the ascent.
#[derive(Debug, Clone)]
pub(crate) struct PriceAscent {
    prices: Vec<i64>,
    step_share: f64,
    /// The direction of the last steps.
    drift_share: Vec<f64>,
    since: u32,
    walks: u64,
    most_walks: u64,
    best: Option<PriceGuide>,
    best_scaled: i64,
    pub(crate) ended: bool,
}

/// A way onward: what it costs at least, and the next node.
type OnwardPassage = (i64, u32);

impl PriceAscent {
    pub(crate) fn new(net: &SequencingNet, assigned: &AssignmentBound) -> Self {
        let price = |(u, v): (&i64, &i64)| -(u + v) * SCALE;
        let prices = assigned.leave.iter().zip(&assigned.enter).map(price).collect();
        Self {
            prices,
            step_share: FIRST_STEP_SHARE,
            drift_share: vec![0.0; net.n],
            since: 0,
            walks: 0,
            most_walks: (MAX_ASCENT_TRIES / Self::tries_per_walk(net)).clamp(LEAST_WALKS, MAX_WALKS),
            best: None,
            best_scaled: i64::MIN,
            ended: net.n < 4,
        }
    }

    /// What one walk counts for, in tries.
    pub(crate) fn tries_per_walk(net: &SequencingNet) -> u64 {
        let windows: usize =
            (0..net.n).map(|i| place_window(net, i).len() * net.arcs.related_nodes(i).count()).sum();
        windows as u64 / PASSAGES_PER_TRY + 1
    }

    /// The guide of the best prices so far.
    pub(crate) fn best_guide(&self) -> Option<&PriceGuide> {
        self.best.as_ref()
    }

    /// One walk and one step; `value` is what the best order costs.
    pub(crate) fn take_walk(&mut self, net: &SequencingNet, value: i64) {
        let ways = onward_passages(net, &self.prices);
        let bound = ways[0][0].0 - self.prices.iter().sum::<i64>() + self.prices[0];
        self.walks += 1;
        self.since += 1;
        if bound > self.best_scaled {
            self.best_scaled = bound;
            self.since = 0;
            let enter = self.prices.iter().enumerate().map(|(j, p)| if j == 0 { 0 } else { -p }).collect();
            self.best = Some(PriceGuide::of_places(SCALE, enter, ways.iter().map(|w| w[0].0).collect()));
        }
        if self.since >= PATIENCE {
            self.since = 0;
            self.step_share /= 2.0;
        }
        self.ended = !self.step_prices(net, &ways, value * SCALE - bound)
            || self.walks >= self.most_walks
            || self.step_share < LAST_STEP_SHARE;
    }

    /// Changes the prices along (visits − 1); false when the walk is an order, which is then the best.
    fn step_prices(&mut self, net: &SequencingNet, ways: &[[OnwardPassage; KEPT]], distance: i64) -> bool {
        let mut visits = vec![-1_i64; net.n];
        let (mut node, mut previous) = (0_usize, 0_usize);
        for place in 0..net.n {
            visits[node] += 1;
            let kept = &ways[place * net.n + node];
            let next = if place == 0 { kept[0] } else { pick_passage(net, kept, previous) };
            previous = node;
            node = next.1 as usize;
        }
        let norm: i64 = visits.iter().map(|v| v * v).sum();
        if norm == 0 || distance <= 0 {
            return false;
        }
        let length = self.step_share * distance as f64 / norm as f64;
        for ((price, visit), drift) in self.prices.iter_mut().zip(&visits).zip(&mut self.drift_share) {
            *drift = *visit as f64 + DRIFT_SHARE * *drift;
            *price += (length * *drift) as i64;
        }
        true
    }
}

/// The places that a node may take.
fn place_window(net: &SequencingNet, node: usize) -> core::ops::Range<usize> {
    net.before.related_nodes(node).count()..net.n - net.after.related_nodes(node).count()
}

/// The best ways onward from every node at every place, from the last place to the first.
fn onward_passages(net: &SequencingNet, prices: &[i64]) -> Vec<[OnwardPassage; KEPT]> {
    let n = net.n;
    let mut ways = vec![[(FAR, 0); KEPT]; n * n];
    ways[n * n - 1] = [(0, n as u32 - 1); KEPT];
    let mut nodes: Vec<Vec<usize>> = vec![Vec::new(); n];
    let mut onward: Vec<Vec<(usize, i64)>> = Vec::with_capacity(n);
    for i in 0..n {
        place_window(net, i).for_each(|place| nodes[place].push(i));
        let priced = |j: usize| (j, net.cost(i as u32, j as u32) * SCALE + prices[j]);
        onward.push(net.arcs.related_nodes(i).map(priced).collect());
    }
    for place in (0..n - 1).rev() {
        let (here, there) = ways.split_at_mut((place + 1) * n);
        for i in &nodes[place] {
            let mut best = [(FAR, 0); KEPT];
            for (j, cost) in &onward[*i] {
                let kept = &there[*j];
                let rest = pick_passage(net, kept, *i).0;
                if rest < FAR {
                    insert_passage(&mut best, (cost + rest, *j as u32));
                }
            }
            here[place * n + i] = best;
        }
    }
    ways
}

/// The best way onward for somebody who comes from a node: not back to it nor to one before it.
fn pick_passage(net: &SequencingNet, kept: &[OnwardPassage; KEPT], from: usize) -> OnwardPassage {
    for way in kept {
        if way.1 as usize != from && !net.before.has(from, way.1 as usize) {
            return *way;
        }
    }
    kept[KEPT - 1]
}

fn insert_passage(best: &mut [OnwardPassage; KEPT], way: OnwardPassage) {
    if way.0 >= best[KEPT - 1].0 {
        return;
    }
    let mut at = KEPT - 1;
    while at > 0 && best[at - 1].0 > way.0 {
        best[at] = best[at - 1];
        at -= 1;
    }
    best[at] = way;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assign::assignment_of_net;
    use crate::dice::OrderDice;
    use crate::plain;
    use crate::problem::SequencingProblem;

    /// A random problem of a few nodes with some of the rising pairs.
    fn random(count: usize, dice: &mut OrderDice) -> SequencingProblem {
        let costs = (0..count * count).map(|_| dice.below(100) as i64).collect();
        let mut pairs = Vec::new();
        for b in 0..count {
            pairs.extend((0..b).filter(|_| dice.below(6) == 0).map(|a| (a, b)));
        }
        SequencingProblem::new(count, costs, &pairs).unwrap()
    }

    #[test]
    fn the_bound_rises_from_the_assignment_and_stays_below_the_best() {
        let mut dice = OrderDice::new(7, 0, 0);
        let (mut higher, mut tight) = (0, 0);
        for count in [4, 5, 6, 7, 8, 8, 8, 8, 8, 8, 8, 8] {
            let problem = random(count, &mut dice);
            let (_, best) = plain::solve_by_all_orders(&problem).unwrap();
            let net = SequencingNet::new(&problem);
            let assigned = assignment_of_net(&net);
            let mut ascent = PriceAscent::new(&net, &assigned);
            while !ascent.ended {
                ascent.take_walk(&net, best);
            }
            let bound = ascent.best_guide().unwrap().bound();
            assert!(assigned.bound <= bound && bound <= best, "{} {bound} {best}", assigned.bound);
            higher += usize::from(bound > assigned.bound);
            tight += usize::from(bound == best);
        }
        assert!(higher >= 3 && tight >= 6, "{higher} bounds are higher than the assignment's, {tight} tight");
    }

    #[test]
    fn no_beginning_of_the_best_order_is_thought_dearer_than_it_is() {
        let mut dice = OrderDice::new(8, 0, 0);
        for _ in 0..20 {
            let problem = random(8, &mut dice);
            let (order, best) = plain::solve_by_all_orders(&problem).unwrap();
            let net = SequencingNet::new(&problem);
            let mut ascent = PriceAscent::new(&net, &assignment_of_net(&net));
            (0..40).for_each(|_| ascent.take_walk(&net, best));
            let guide = ascent.best_guide().unwrap();
            let order = net.to_net_order(&order);
            let mut over = 0;
            for (at, pair) in order.windows(2).enumerate() {
                over += guide.reduced_cost(&net, pair[0], pair[1]);
                assert!(
                    over + guide.least_rest(at + 1, pair[1]) <= guide.slack(best + 1),
                    "place {}",
                    at + 1
                );
            }
        }
    }

    #[test]
    fn the_worked_example_is_bounded_by_its_best_order() {
        let mut costs = vec![1; 16];
        (costs[6], costs[9]) = (5, 5);
        let pairs = [(0, 1), (0, 2), (1, 3), (2, 3)];
        let net = SequencingNet::new(&SequencingProblem::new(4, costs, &pairs).unwrap());
        let ways = onward_passages(&net, &[0; 4]);
        assert_eq!(ways[0][0].0, 7 * SCALE);
    }
}
