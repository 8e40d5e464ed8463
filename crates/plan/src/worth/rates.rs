//! The hourly rates between which a choice of tasks stays right.

use closure::ways::{self, WaysAnswer};
use effort::{SolverBudget, SolverStanding};
use units::Money;

use super::items::{UNITS_PER_CENT, WorthItems};

/// How many times the requested rate is looked at, at most.
const MAX_RATE_TIMES: i64 = 100;

/// Crossings looked at on each side before the range is given up; each takes one answer.
const MAX_CROSSINGS: usize = 200;

/// The lowest and the highest rate at which the chosen set is a best one, in whole cents; no highest where it is still best at
/// [`TIMES`] the rate. `None` where the search is cut short.
pub(super) fn rate_range(
    items: &WorthItems,
    rate: Money,
    answer: &WaysAnswer,
    budget: &SolverBudget,
) -> Option<(Money, Option<Money>)> {
    if answer.standing != SolverStanding::Proven {
        return None;
    }
    let line = RateLine::of_chosen(items, &answer.chosen);
    let (least, most) = (0, rate.as_cents().max(1).checked_mul(MAX_RATE_TIMES)?);
    let low = move_inwards(items, line, least, budget)?;
    let high = move_inwards(items, line, most, budget)?;
    Some((Money::from_cents(low), Some(high).filter(|h| *h < most).map(Money::from_cents)))
}

/// Value of a set over the rate: `money − work · rate`, both in cents and hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct RateLine {
    money: i64,
    work_ms: i64,
}

impl RateLine {
    fn of_chosen(items: &WorthItems, chosen: &[bool]) -> Self {
        let (money, work_ms) = items.sum_chosen(chosen);
        Self { money, work_ms }
    }

    /// Value in units at a rate in cents.
    fn value_at(self, rate: i64) -> i128 {
        i128::from(self.money) * i128::from(UNITS_PER_CENT) - i128::from(self.work_ms) * i128::from(rate)
    }

    /// The nearest whole rate, coming from one at which `other` is better, at which this one is at least as good.
    fn crossing_rate(self, other: Self, rate: i64) -> Option<i64> {
        let money = i128::from(self.money - other.money) * i128::from(UNITS_PER_CENT);
        let work = i128::from(self.work_ms - other.work_ms);
        // The crossing is at money / work; with more work this one is the better below it, with less above it.
        let inward = match work.signum() {
            0 => return None,
            1 => money.div_euclid(work),
            _ => -money.div_euclid(-work),
        };
        i64::try_from(inward).ok().filter(|r| *r != rate)
    }
}

/// From a rate inwards to the nearest whole one at which the set is a best one.
fn move_inwards(items: &WorthItems, line: RateLine, start: i64, budget: &SolverBudget) -> Option<i64> {
    let mut rate = start;
    for _ in 0..MAX_CROSSINGS {
        let problem = items.problem_at_rate(Money::from_cents(rate))?;
        let best =
            ways::solve_ways(&problem, budget).ok().filter(|a| a.standing == SolverStanding::Proven)?;
        if line.value_at(rate) >= i128::from(best.value) {
            return Some(rate);
        }
        rate = line.crossing_rate(RateLine::of_chosen(items, &best.chosen), rate)?;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A set with an hour more work and 90 cents more money is worth as much at 90 cents an hour.
    #[test]
    fn lines_cross_where_they_are_worth_the_same() {
        let long = RateLine { money: 190, work_ms: 7_200_000 };
        let short = RateLine { money: 100, work_ms: 3_600_000 };
        assert_eq!(long.crossing_rate(short, 500), Some(90));
        assert_eq!(short.crossing_rate(long, 0), Some(90));
        assert_eq!(long.value_at(90), short.value_at(90));
        let odd = RateLine { money: 190, work_ms: 7_200_001 };
        assert_eq!(odd.crossing_rate(short, 500), Some(89));
        assert_eq!(short.crossing_rate(odd, 0), Some(90));
    }
}
