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
