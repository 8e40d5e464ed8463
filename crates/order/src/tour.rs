//! One order and the exchange of two neighbouring segments, which keeps the direction of each.
//!
//! With cuts `i < j < k` the order `… a [b … c] [d … e] f …`, the left segment on `i..j` and the right on `j..k`,
//! becomes `… a [d … e] [b … c] f …`. Three passages change, whatever the lengths; the precedence holds afterwards
//! exactly when nobody on the left comes before somebody on the right.

use crate::net::SequencingNet;

/// Cuts `(i, j, k)`: the segments `i..j` and `j..k` change places; `i` is at least 1, `k` at most `n − 1`.
pub(crate) type SegmentCuts = (usize, usize, usize);

/// An order that respects the precedence, and the place of each node in it.
#[derive(Debug, Clone)]
pub(crate) struct NodeTour<'n> {
    net: &'n SequencingNet,
    pub(crate) order: Vec<u32>,
    pub(crate) place: Vec<u32>,
    pub(crate) value: i64,
}

impl<'n> NodeTour<'n> {
    pub(crate) fn new(net: &'n SequencingNet, order: Vec<u32>) -> Self {
        let mut place = vec![0; net.n];
        order.iter().enumerate().for_each(|(at, node)| place[*node as usize] = at as u32);
        Self { net, value: net.order_value(&order), order, place }
    }

    /// By how much an exchange changes the cost.
    pub(crate) fn change_exchanged(&self, (i, j, k): SegmentCuts) -> i64 {
        let (a, b, c) = (self.order[i - 1], self.order[i], self.order[j - 1]);
        let (d, e, f) = (self.order[j], self.order[k - 1], self.order[k]);
        let cost = |x, y| self.net.cost(x, y);
        cost(a, d) + cost(e, b) + cost(c, f) - cost(a, b) - cost(c, d) - cost(e, f)
    }

    /// Whether the precedence lets two segments change places.
    pub(crate) fn may_exchange(&self, (i, j, k): SegmentCuts) -> bool {
        let within = |node: &u32, from: usize, to: usize| {
            let at = self.place[*node as usize] as usize;
            from <= at && at < to
        };
        if j - i <= k - j {
            let next = |node: &u32| &self.net.next[*node as usize];
            !self.order[i..j].iter().any(|a| next(a).iter().any(|b| within(b, j, k)))
        } else {
            let previous = |node: &u32| &self.net.previous[*node as usize];
            !self.order[j..k].iter().any(|b| previous(b).iter().any(|a| within(a, i, j)))
        }
    }

    /// Exchanges two segments; the change is what [`Self::change`] said.
    pub(crate) fn exchange_segments(&mut self, (i, j, k): SegmentCuts, change: i64) {
        self.order[i..k].rotate_left(j - i);
        for at in i..k {
            self.place[self.order[at] as usize] = at as u32;
        }
        self.value += change;
    }

    /// By how much turning the segment `i..k` round changes the cost.
    pub(crate) fn change_turned(&self, i: usize, k: usize) -> i64 {
        let (a, b, e, f) = (self.order[i - 1], self.order[i], self.order[k - 1], self.order[k]);
        let cost = |x, y| self.net.cost(x, y);
        cost(a, e) + cost(b, f) - cost(a, b) - cost(e, f) + self.inside_turned(i, k)
    }

    /// By how much turning a segment round changes the cost within it.
    fn inside_turned(&self, i: usize, k: usize) -> i64 {
        if self.net.is_even {
            return 0;
        }
        let back = |w: &[u32]| self.net.cost(w[1], w[0]) - self.net.cost(w[0], w[1]);
        self.order[i..k].windows(2).map(back).sum()
    }

    /// By how much an exchange changes the cost that also turns the left segment round.
    pub(crate) fn change_left_turned(&self, (i, j, k): SegmentCuts) -> i64 {
        let (a, b, c) = (self.order[i - 1], self.order[i], self.order[j - 1]);
        let (d, e, f) = (self.order[j], self.order[k - 1], self.order[k]);
        let cost = |x, y| self.net.cost(x, y);
        let ends = cost(a, d) + cost(e, c) + cost(b, f) - cost(a, b) - cost(c, d) - cost(e, f);
        ends + self.inside_turned(i, j)
    }

    /// By how much an exchange changes the cost that also turns the right segment round.
    pub(crate) fn change_right_turned(&self, (i, j, k): SegmentCuts) -> i64 {
        let (a, b, c) = (self.order[i - 1], self.order[i], self.order[j - 1]);
        let (d, e, f) = (self.order[j], self.order[k - 1], self.order[k]);
        let cost = |x, y| self.net.cost(x, y);
        let ends = cost(a, e) + cost(d, b) + cost(c, f) - cost(a, b) - cost(c, d) - cost(e, f);
        ends + self.inside_turned(j, k)
    }

    /// Whether the precedence lets a segment be turned round.
    pub(crate) fn may_turn(&self, i: usize, k: usize) -> bool {
        self.order[i..k].iter().enumerate().all(|(at, node)| {
            self.net.next[*node as usize].iter().all(|next| {
                let place = self.place[*next as usize] as usize;
                place >= k || place < i + at
            })
        })
    }

    /// Turns a segment round; the change is what [`Self::change_turned`] said.
    pub(crate) fn turn_segment(&mut self, i: usize, k: usize, change: i64) {
        self.order[i..k].reverse();
        for at in i..k {
            self.place[self.order[at] as usize] = at as u32;
        }
        self.value += change;
    }

    /// The cuts that undo an exchange.
    pub(crate) const fn undoing_cuts((i, j, k): SegmentCuts) -> SegmentCuts {
        (i, i + k - j, k)
    }

    /// Takes over another order.
    pub(crate) fn set_order(&mut self, order: &[u32], value: i64) {
        self.order.copy_from_slice(order);
        for (at, node) in order.iter().enumerate() {
            self.place[*node as usize] = at as u32;
        }
        self.value = value;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dice::OrderDice;
    use crate::problem::SequencingProblem;

    /// Every change reported equals the change made, and exactly what the precedence permits is allowed.
    fn check(even: bool) {
        let mut dice = OrderDice::new(3, u64::from(even), 0);
        let count = 9;
        let mut costs: Vec<i64> = (0..count * count).map(|_| dice.below(1000) as i64).collect();
        if even {
            (0..count * count).for_each(|at| costs[at] = costs[(at % count) * count + at / count]);
        }
        let problem =
            SequencingProblem::new(count, costs, &[(0, 4), (4, 7), (2, 6), (1, 8), (3, 5)]).unwrap();
        let net = SequencingNet::new(&problem);
        assert_eq!(net.is_even, even);
        let mut tour = NodeTour::new(&net, net.to_net_order(&(0..count).collect::<Vec<_>>()));
        let (mut made, mut refused) = (0, 0);
        for _ in 0..4000 {
            let i = 1 + dice.below(net.n - 3);
            let j = i + 1 + dice.below(net.n - 2 - i);
            let k = j + 1 + dice.below(net.n - 1 - j);
            let mut next = tour.clone();
            let may = match dice.below(4) {
                0 => {
                    next.exchange_segments((i, j, k), tour.change_exchanged((i, j, k)));
                    tour.may_exchange((i, j, k))
                }
                1 => {
                    next.turn_segment(i, k, tour.change_turned(i, k));
                    tour.may_turn(i, k)
                }
                2 => {
                    next.exchange_segments((i, j, k), tour.change_left_turned((i, j, k)));
                    next.turn_segment(i + k - j, k, 0);
                    tour.may_exchange((i, j, k)) && tour.may_turn(i, j)
                }
                _ => {
                    next.exchange_segments((i, j, k), tour.change_right_turned((i, j, k)));
                    next.turn_segment(i, i + k - j, 0);
                    tour.may_exchange((i, j, k)) && tour.may_turn(j, k)
                }
            };
            assert_eq!(next.value, net.order_value(&next.order));
            assert!(
                next.order.iter().enumerate().all(|(at, node)| next.place[*node as usize] as usize == at)
            );
            assert_eq!(
                may,
                problem.allows(&net.to_problem_order(&next.order)),
                "{:?} to {:?}",
                tour.order,
                next.order
            );
            if may {
                tour = next;
                made += 1;
            } else {
                refused += 1;
            }
        }
        assert!(made > 500 && refused > 500, "{made} made, {refused} refused");
    }

    #[test]
    fn changes_and_permissions_are_exact() {
        check(false);
    }

    #[test]
    fn changes_and_permissions_are_exact_where_ways_back_cost_the_same() {
        check(true);
    }

    #[test]
    fn an_exchange_can_be_undone() {
        let problem = SequencingProblem::new(8, (0..64).collect(), &[]).unwrap();
        let net = SequencingNet::new(&problem);
        let mut tour = NodeTour::new(&net, net.to_net_order(&[3, 1, 4, 0, 5, 2, 6, 7]));
        let before = tour.order.clone();
        tour.exchange_segments((2, 3, 7), 0);
        assert_ne!(tour.order, before);
        tour.exchange_segments(NodeTour::undoing_cuts((2, 3, 7)), 0);
        assert_eq!(tour.order, before);
    }
}
