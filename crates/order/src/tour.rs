//! One order and the exchange of two neighbouring segments, which keeps the direction of each.
//!
//! With cuts `i < j < k` the order `… a [b … c] [d … e] f …`, the left segment on `i..j` and the right on `j..k`,
//! becomes `… a [d … e] [b … c] f …`. Three passages change, whatever the lengths; the precedence holds afterwards
//! exactly when nobody on the left comes before somebody on the right.

use crate::net::Net;

/// Cuts `(i, j, k)`: the segments `i..j` and `j..k` change places; `i` is at least 1, `k` at most `n − 1`.
pub(crate) type Cuts = (usize, usize, usize);

/// An order that respects the precedence, and where each node stands in it.
#[derive(Debug, Clone)]
pub(crate) struct Tour<'n> {
    net: &'n Net,
    pub(crate) order: Vec<u32>,
    pub(crate) place: Vec<u32>,
    pub(crate) value: i64,
}

impl<'n> Tour<'n> {
    pub(crate) fn new(net: &'n Net, order: Vec<u32>) -> Self {
        let mut place = vec![0; net.n];
        order.iter().enumerate().for_each(|(at, node)| place[*node as usize] = at as u32);
        Self { net, value: net.value(&order), order, place }
    }

    /// By how much an exchange changes the cost.
    pub(crate) fn change(&self, (i, j, k): Cuts) -> i64 {
        let (a, b, c) = (self.order[i - 1], self.order[i], self.order[j - 1]);
        let (d, e, f) = (self.order[j], self.order[k - 1], self.order[k]);
        let cost = |x, y| self.net.cost(x, y);
        cost(a, d) + cost(e, b) + cost(c, f) - cost(a, b) - cost(c, d) - cost(e, f)
    }

    /// Whether the precedence lets two segments change places.
    pub(crate) fn may(&self, (i, j, k): Cuts) -> bool {
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
    pub(crate) fn exchange(&mut self, (i, j, k): Cuts, change: i64) {
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
    pub(crate) fn change_left_turned(&self, (i, j, k): Cuts) -> i64 {
        let (a, b, c) = (self.order[i - 1], self.order[i], self.order[j - 1]);
        let (d, e, f) = (self.order[j], self.order[k - 1], self.order[k]);
        let cost = |x, y| self.net.cost(x, y);
        let ends = cost(a, d) + cost(e, c) + cost(b, f) - cost(a, b) - cost(c, d) - cost(e, f);
        ends + self.inside_turned(i, j)
    }

    /// By how much an exchange changes the cost that also turns the right segment round.
    pub(crate) fn change_right_turned(&self, (i, j, k): Cuts) -> i64 {
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
    pub(crate) fn turn(&mut self, i: usize, k: usize, change: i64) {
        self.order[i..k].reverse();
        for at in i..k {
            self.place[self.order[at] as usize] = at as u32;
        }
        self.value += change;
    }

    /// The cuts that undo an exchange.
    pub(crate) const fn undoing((i, j, k): Cuts) -> Cuts {
        (i, i + k - j, k)
    }

    /// Takes over another order.
    pub(crate) fn set(&mut self, order: &[u32], value: i64) {
        self.order.copy_from_slice(order);
        for (at, node) in order.iter().enumerate() {
            self.place[*node as usize] = at as u32;
        }
        self.value = value;
    }
}
