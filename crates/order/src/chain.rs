//! Chained exchanges: passages are taken away and put in by turns along a chain that gains at every link.
//!
//! # Question
//! Which exchange of up to [`MAX_CUTS`] passages makes an order cheaper? Most exchanges of that size need not be examined: the
//! passages of one that gains can be written as a circle, taken away and put in by turns, that gains in all up to
//! every link when begun at the right one. So a chain is followed only while what it took away costs more than what it put in.
//!
//! # Symbols
//! * cut: a passage taken away, with the place before it; each has a *near* side, to which the link before it leads,
//!   and a *loose* side, from which the next link goes on. The last link leads from the last loose side to the first near one.
//! * weight: the reduced cost of a passage, by which the nodes to go on to are sorted too. Prices cancel in a circle, so
//!   that gains are those of the costs; but a chain is given up sooner, since what it owes is known beforehand.
//!
//! # Assumptions and range
//! Where the way back costs something else, no piece between two cuts is turned round: a link that leaves a node which needs
//! a follower leads to one whose forerunner is taken from it, or all the other way. Where it costs the same, both sides
//! are tried. Whether pieces make one way, and whether the precedence holds, is asked only of circles that gain.
//!
//! # Sources
//! 1. S. Lin, B. W. Kernighan, "An effective heuristic algorithm for the traveling-salesman problem", Operations Research 21
//!    (1973) 498–516: chains with a gain at every link. From memory.
//! 2. K. Helsgaun, "An effective implementation of the Lin–Kernighan traveling salesman heuristic", European Journal of
//!    Operational Research 126 (2000) 106–130: links that leave no single way on the way to one that does; nearness by bound. From memory.

use crate::assign::AssignmentBound;
use crate::guide::PriceGuide;
use crate::net::SequencingNet;
use crate::tour::NodeTour;

/// Maximum number of passages that a chain takes away.
pub(crate) const MAX_CUTS: usize = 7;
/// What a passage that no order can hold weighs; chains of [`MAX_CUTS`] stay within the numbers.
const FAR: i32 = i32::MAX / 16;

/// What passages weigh, and who is near whom.
#[derive(Debug)]
pub(crate) struct WeightedPassages<'n> {
    net: &'n SequencingNet,
    weights: Vec<i32>,
    /// The nodes to go on to from each, and those to come from.
    lists: [NearestLists; 2],
}

/// The nearest of each node with what the passage weighs, the lightest first.
#[derive(Debug)]
struct NearestLists {
    starts: Vec<usize>,
    all: Vec<(u32, i32)>,
}

impl NearestLists {
    /// Lists of `most` nodes at most for each of `n`, by what the passage to another weighs.
    fn new(n: usize, most: usize, weight: &dyn Fn(usize, usize) -> i32) -> Self {
        let mut lists = Self { starts: vec![0], all: Vec::with_capacity(n * most) };
        for node in 0..n {
            let mut all: Vec<(i32, u32)> = (0..n).map(|other| (weight(node, other), other as u32)).collect();
            all.retain(|(weight, _)| *weight < FAR);
            all.sort_unstable();
            lists.all.extend(all.into_iter().take(most).map(|(weight, other)| (other, weight)));
            lists.starts.push(lists.all.len());
        }
        lists
    }

    fn near_nodes(&self, node: u32) -> &[(u32, i32)] {
        &self.all[self.starts[node as usize]..self.starts[node as usize + 1]]
    }
}

impl<'n> WeightedPassages<'n> {
    pub(crate) fn new(net: &'n SequencingNet, prices: &AssignmentBound, most: usize) -> Self {
        let n = net.n;
        let guide = PriceGuide::of_prices(prices);
        let wide = || (0..n * n).map(|at| weigh_passage(net, &guide, at / n, at % n));
        // Where costs are huge the last digits of the weights are left out; what an exchange gains is counted by the costs.
        let most_weight = wide().flatten().map(i64::unsigned_abs).max().unwrap_or(0);
        let shift = (0..63).find(|shift| most_weight >> shift < u64::from(FAR.unsigned_abs())).unwrap_or(63);
        let narrow = |weight: i64| i32::try_from(weight >> shift).unwrap_or(FAR);
        let weights: Vec<i32> = wide().map(|weight| weight.map_or(FAR, narrow)).collect();
        let onward = NearestLists::new(n, most, &|a, b| weights[a * n + b]);
        let backward = NearestLists::new(n, most, &|b, a| weights[a * n + b]);
        Self { net, weights, lists: [onward, backward] }
    }

    fn weight_between(&self, from: u32, to: u32) -> i32 {
        self.weights[from as usize * self.net.n + to as usize]
    }

    /// Weight of the passage behind a place.
    fn weight_behind(&self, tour: &NodeTour, place: usize) -> i32 {
        self.weight_between(tour.order[place], tour.order[place + 1])
    }
}

/// The weight of a passage that an order may hold; where ways back cost the same, that of both together, either way.
fn weigh_passage(net: &SequencingNet, guide: &PriceGuide, a: usize, b: usize) -> Option<i64> {
    let over = |a: usize, b: usize| guide.reduced_cost(net, a as u32, b as u32);
    let prices = |a: usize, b: usize| net.cost(a as u32, b as u32) - over(a, b);
    let both = |cost: i64| 2 * cost - prices(a, b) - prices(b, a);
    match (net.arcs.has(a, b), net.arcs.has(b, a)) {
        (true, _) if !net.is_even => Some(over(a, b)),
        (true, _) => Some(both(net.cost(a as u32, b as u32))),
        (_, true) if net.is_even => Some(both(net.cost(b as u32, a as u32))),
        _ => None,
    }
}

/// The side of a cut before it, and the side behind it.
const BEFORE: usize = 0;
const BEHIND: usize = 1;

/// A passage taken away: the one behind a place, and the side to which the link before it leads.
#[derive(Debug, Clone, Copy, Default)]
struct PassageCut {
    place: usize,
    near: usize,
}

/// A stretch of the order between two cuts.
#[derive(Debug, Clone, Copy)]
struct ChainSegment {
    from: usize,
    to: usize,
    is_turned: bool,
}

impl ChainSegment {
    fn contains(&self, place: usize) -> bool {
        self.from <= place && place < self.to
    }
}

/// A chain being built.
#[derive(Debug)]
pub(crate) struct ExchangeChain<'p> {
    passages: &'p WeightedPassages<'p>,
    cuts: [PassageCut; MAX_CUTS],
    /// Cuts that the chain has.
    count: usize,
    most_cuts: usize,
    /// The pieces between the first and the last cut, in their new order.
    pieces: Vec<ChainSegment>,
    /// The nodes of the pieces, in their new order.
    nodes: Vec<u32>,
    /// Links looked at.
    pub(crate) looks: u64,
}

impl<'p> ExchangeChain<'p> {
    pub(crate) fn new(passages: &'p WeightedPassages<'p>, most_cuts: usize) -> Self {
        let most_cuts = most_cuts.clamp(2, MAX_CUTS);
        let cuts = [PassageCut::default(); MAX_CUTS];
        Self { passages, cuts, count: 0, most_cuts, pieces: Vec::new(), nodes: Vec::new(), looks: 0 }
    }

    /// Makes the first improving exchange that starts at a node and reports the ends of its cuts to `touched`; true if there was one.
    pub(crate) fn improve_around(
        &mut self,
        tour: &mut NodeTour,
        node: u32,
        touched: &mut impl FnMut(u32),
    ) -> bool {
        let at = tour.place[node as usize] as usize;
        let behind = (at + 1 < tour.order.len()).then_some(PassageCut { place: at, near: BEHIND });
        let before = at.checked_sub(1).map(|place| PassageCut { place, near: BEFORE });
        behind.into_iter().chain(before).any(|cut| {
            self.cuts[0] = cut;
            self.count = 1;
            let gain = self.passages.weight_behind(tour, cut.place);
            self.extend_chain(tour, gain, touched)
        })
    }

    /// Adds a link and a cut in every way that still gains; whether one of them came to an exchange.
    fn extend_chain(&mut self, tour: &mut NodeTour, gain: i32, touched: &mut impl FnMut(u32)) -> bool {
        let passages = self.passages;
        let (loose, side) = self.loose_end(tour);
        for (next, weight) in passages.lists[side].near_nodes(loose) {
            let rest = gain - weight;
            if rest <= 0 {
                break;
            }
            let at = tour.place[*next as usize] as usize;
            if self.add_link(tour, at, 1 - side, rest, touched)
                || (passages.net.is_even && self.add_link(tour, at, side, rest, touched))
            {
                return true;
            }
        }
        false
    }

    /// The loose end of the last cut, and its side.
    fn loose_end(&self, tour: &NodeTour) -> (u32, usize) {
        let last = self.cuts[self.count - 1];
        let side = 1 - last.near;
        (tour.order[last.place + side], side)
    }

    /// Adds the cut that has the node at a place on its near side, and goes on from there.
    fn add_link(
        &mut self,
        tour: &mut NodeTour,
        at: usize,
        near: usize,
        rest: i32,
        touched: &mut impl FnMut(u32),
    ) -> bool {
        let place = at.wrapping_sub(near);
        if place >= tour.order.len() - 1 || self.cuts[..self.count].iter().any(|cut| cut.place == place) {
            return false;
        }
        self.looks += 1;
        let gain = rest + self.passages.weight_behind(tour, place);
        self.cuts[self.count] = PassageCut { place, near };
        self.count += 1;
        if self.close_chain(tour, gain, touched)
            || (self.count < self.most_cuts && self.extend_chain(tour, gain, touched))
        {
            return true;
        }
        self.count -= 1;
        false
    }

    /// Makes the exchange if its last link still gains, if the result is a single path and if the precedence allows it.
    fn close_chain(&mut self, tour: &mut NodeTour, gain: i32, touched: &mut impl FnMut(u32)) -> bool {
        let (loose, side) = self.loose_end(tour);
        let first = tour.order[self.cuts[0].place + self.cuts[0].near];
        let (from, to) = if side == BEFORE { (loose, first) } else { (first, loose) };
        if gain <= self.passages.weight_between(from, to) || !self.trace_pieces() || !self.is_allowed(tour) {
            return false;
        }
        let change = self.cost_change(tour);
        if change >= 0 {
            return false;
        }
        for cut in &self.cuts[..self.count] {
            touched(tour.order[cut.place]);
            touched(tour.order[cut.place + 1]);
        }
        self.make_exchange(tour);
        tour.value += change;
        true
    }

    /// By how much the pieces in their new order change the cost.
    fn cost_change(&self, tour: &NodeTour) -> i64 {
        let cost = |from: u32, to: u32| self.passages.net.cost(from, to);
        let cut = |cut: &PassageCut| cost(tour.order[cut.place], tour.order[cut.place + 1]);
        let before = self.pieces.iter().map(|piece| piece.from).min().unwrap_or(1) - 1;
        let behind = self.pieces.iter().map(|piece| piece.to).max().unwrap_or(1);
        let mut last = tour.order[before];
        let mut change = -self.cuts[..self.count].iter().map(cut).sum::<i64>();
        for piece in &self.pieces {
            let (a, b) = (tour.order[piece.from], tour.order[piece.to - 1]);
            let (first, next) = if piece.is_turned { (b, a) } else { (a, b) };
            change += cost(last, first);
            last = next;
        }
        change + cost(last, tour.order[behind])
    }

    /// Follows the pieces from the first to the last; whether they make one way.
    fn trace_pieces(&mut self) -> bool {
        let count = self.count;
        let (sorted, rank) = self.sort_cuts();
        let place = |at: usize| self.cuts[sorted[at]].place + 1;
        self.pieces.clear();
        let (mut at, mut side) = (0, BEFORE);
        while self.pieces.len() < count {
            let (other, other_side) = linked_side(&self.cuts[..count], sorted[at], side);
            let to = rank[other];
            if other_side == BEHIND {
                if to + 1 == count {
                    return self.pieces.len() + 1 == count;
                }
                self.pieces.push(ChainSegment { from: place(to), to: place(to + 1), is_turned: false });
                (at, side) = (to + 1, BEFORE);
            } else {
                if to == 0 {
                    return false;
                }
                self.pieces.push(ChainSegment { from: place(to - 1), to: place(to), is_turned: true });
                (at, side) = (to - 1, BEHIND);
            }
        }
        false
    }

    /// The cuts in the order of their places, and the rank of each.
    fn sort_cuts(&self) -> ([usize; MAX_CUTS], [usize; MAX_CUTS]) {
        let (mut sorted, mut rank) = ([0; MAX_CUTS], [0; MAX_CUTS]);
        for at in 0..self.count {
            let mut to = at;
            while to > 0 && self.cuts[sorted[to - 1]].place > self.cuts[at].place {
                sorted[to] = sorted[to - 1];
                to -= 1;
            }
            sorted[to] = at;
        }
        (0..self.count).for_each(|at| rank[sorted[at]] = at);
        (sorted, rank)
    }

    /// Whether the precedence allows the pieces in their new order.
    fn is_allowed(&self, tour: &NodeTour) -> bool {
        let end = self.pieces.iter().map(|piece| piece.to).max().unwrap_or(0);
        self.pieces.iter().enumerate().all(|(at, piece)| {
            (piece.from..piece.to).all(|place| {
                self.passages.net.next[tour.order[place] as usize].iter().all(|next| {
                    let there = tour.place[*next as usize] as usize;
                    there >= end
                        || if there < piece.to {
                            !piece.is_turned
                        } else {
                            !self.pieces[..at].iter().any(|piece| piece.contains(there))
                        }
                })
            })
        })
    }

    /// Lays the pieces behind each other.
    fn make_exchange(&mut self, tour: &mut NodeTour) {
        self.nodes.clear();
        for piece in &self.pieces {
            let nodes = &tour.order[piece.from..piece.to];
            if piece.is_turned { self.nodes.extend(nodes.iter().rev()) } else { self.nodes.extend(nodes) }
        }
        let from = self.pieces.iter().map(|piece| piece.from).min().unwrap_or(0);
        for (at, node) in (from..).zip(&self.nodes) {
            tour.order[at] = *node;
            tour.place[*node as usize] = at as u32;
        }
    }
}

/// The cut and side that a side of a cut is linked with.
fn linked_side(cuts: &[PassageCut], at: usize, side: usize) -> (usize, usize) {
    if side == cuts[at].near {
        let before = (at + cuts.len() - 1) % cuts.len();
        (before, 1 - cuts[before].near)
    } else {
        let next = (at + 1) % cuts.len();
        (next, cuts[next].near)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assign::assignment_of_net;
    use crate::dice::OrderDice;
    use crate::problem::SequencingProblem;

    /// Random costs, the way back the same where asked.
    fn problem(dice: &mut OrderDice, count: usize, even: bool) -> SequencingProblem {
        let mut costs: Vec<i64> = (0..count * count).map(|_| dice.below(1000) as i64).collect();
        if even {
            (0..count * count).for_each(|at| costs[at] = costs[(at % count) * count + at / count]);
        }
        SequencingProblem::new(count, costs, &[(0, 5), (5, 9), (2, 3), (7, 1)]).unwrap()
    }

    const START: [usize; 12] = [0, 2, 4, 5, 7, 6, 8, 3, 1, 9, 10, 11];

    /// Every exchange made gains what it says and keeps the precedence; at the end none of three passages gains.
    fn check(even: bool) {
        let mut dice = OrderDice::new(17, u64::from(even), 0);
        let mut made = 0;
        for _ in 0..20 {
            let problem = problem(&mut dice, START.len(), even);
            let net = SequencingNet::new(&problem);
            assert_eq!(net.is_even, even);
            let passages = WeightedPassages::new(&net, &assignment_of_net(&net), net.n);
            let mut chain = ExchangeChain::new(&passages, 4);
            let mut tour = NodeTour::new(&net, net.to_net_order(&START));
            while (0..net.n as u32).any(|node| chain.improve_around(&mut tour, node, &mut |_| ())) {
                made += 1;
                assert_eq!(tour.value, net.order_value(&tour.order));
                assert!(problem.allows(&net.to_problem_order(&tour.order)), "{:?}", tour.order);
                assert!((0..net.n).all(|at| tour.place[tour.order[at] as usize] as usize == at));
            }
            for i in 1..net.n - 2 {
                for j in i + 1..net.n - 1 {
                    assert!(!even || !tour.may_turn(i, j) || tour.change_turned(i, j) >= 0);
                    for k in j + 1..net.n {
                        assert!(!tour.may_exchange((i, j, k)) || tour.change_exchanged((i, j, k)) >= 0);
                    }
                }
            }
        }
        assert!(made > 100, "{made}");
    }

    #[test]
    fn chains_end_where_no_exchange_of_three_gains() {
        check(false);
    }

    #[test]
    fn chains_end_where_no_exchange_of_three_gains_and_ways_back_cost_the_same() {
        check(true);
    }

    #[test]
    fn huge_costs_are_counted_to_the_last_unit() {
        let mut dice = OrderDice::new(29, 0, 0);
        let costs = (0..144).map(|_| crate::MAX_COST - dice.below(2_000_000_000) as i64).collect();
        let net = SequencingNet::new(&SequencingProblem::new(12, costs, &[(0, 5), (5, 9)]).unwrap());
        let passages = WeightedPassages::new(&net, &assignment_of_net(&net), net.n);
        let mut chain = ExchangeChain::new(&passages, 5);
        let mut tour = NodeTour::new(&net, net.to_net_order(&START));
        let before = tour.value;
        while (0..net.n as u32).any(|node| chain.improve_around(&mut tour, node, &mut |_| ())) {
            assert_eq!(tour.value, net.order_value(&tour.order));
        }
        assert!(tour.value < before - 1_000_000_000, "{before} to {}", tour.value);
    }

    #[test]
    fn longer_chains_reach_further() {
        let mut dice = OrderDice::new(23, 0, 0);
        let (mut short, mut long) = (0, 0);
        for _ in 0..20 {
            let problem = problem(&mut dice, START.len(), false);
            let net = SequencingNet::new(&problem);
            let passages = WeightedPassages::new(&net, &assignment_of_net(&net), net.n);
            for (most, sum) in [(3, &mut short), (6, &mut long)] {
                let mut chain = ExchangeChain::new(&passages, most);
                let mut tour = NodeTour::new(&net, net.to_net_order(&START));
                while (0..net.n as u32).any(|node| chain.improve_around(&mut tour, node, &mut |_| ())) {}
                *sum += tour.value;
            }
        }
        assert!(long < short, "{long} and {short}");
    }
}
