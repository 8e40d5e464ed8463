//! Prices that prove a bound and guide the beam: what a beginning has cost beyond them, and what is left at least.

use crate::assign::AssignmentBound;
use crate::net::SequencingNet;

/// No way from here to the end.
pub(crate) const FAR: i64 = i64::MAX / 8;

/// Prices in parts of a unit of cost, and the least that is still to come by place and node.
#[derive(Debug, Clone)]
pub(crate) struct PriceGuide {
    /// Parts of a unit of cost.
    pub(crate) scale: i64,
    /// Price of leaving each node.
    leave: Vec<i64>,
    /// Price of entering each node.
    enter: Vec<i64>,
    /// Sum of all prices; with what an order costs beyond them it gives what it costs.
    sum: i64,
    /// Least to come beyond the prices, by place and node; `None`: nothing is known but that it is not below 0.
    rest: Option<Vec<i64>>,
}

impl PriceGuide {
    /// The prices of an assignment.
    pub(crate) fn of_prices(prices: &AssignmentBound) -> Self {
        let (leave, enter) = (prices.leave.clone(), prices.enter.clone());
        Self { scale: 1, leave, enter, sum: prices.bound, rest: None }
    }

    /// Prices of entering alone, with the least to come.
    pub(crate) fn of_places(scale: i64, enter: Vec<i64>, rest: Vec<i64>) -> Self {
        Self { scale, leave: vec![0; enter.len()], sum: enter.iter().sum(), enter, rest: Some(rest) }
    }

    /// What a passage costs beyond the prices.
    pub(crate) fn reduced_cost(&self, net: &SequencingNet, from: u32, to: u32) -> i64 {
        net.cost(from, to) * self.scale - self.leave[from as usize] - self.enter[to as usize]
    }

    /// The least to come after a node at a place.
    pub(crate) fn least_rest(&self, place: usize, node: u32) -> i64 {
        self.rest.as_ref().map_or(0, |rest| rest[place * self.enter.len() + node as usize])
    }

    /// What an order may cost beyond the prices to stay below a limit.
    pub(crate) fn slack(&self, limit: i64) -> i64 {
        limit * self.scale - 1 - self.sum
    }

    /// No order costs less.
    pub(crate) fn bound(&self) -> i64 {
        (self.sum + self.least_rest(0, 0)).div_euclid(self.scale)
            + i64::from((self.sum + self.least_rest(0, 0)).rem_euclid(self.scale) > 0)
    }
}
