//! The hourly rates between which a choice of tasks stays right.

use closure::ways::{self, Answer};
use effort::{Budget, Standing};
use units::Money;

use super::items::{Items, UNITS_PER_CENT};

/// How many times the rate asked is looked at, at most.
const TIMES: i64 = 100;

/// Crossings looked at on each side before the range is given up; each takes one answer.
const MOST_CROSSINGS: usize = 200;

/// The lowest and the highest rate at which the chosen set is a best one, in whole cents; no highest where it is still best at
/// [`TIMES`] the rate. `None` where the search is cut short.
pub(super) fn range(
    items: &Items,
    rate: Money,
    answer: &Answer,
    budget: &Budget,
) -> Option<(Money, Option<Money>)> {
    if answer.standing != Standing::Proven {
        return None;
    }
    let line = Line::of(items, &answer.chosen);
    let (least, most) = (0, rate.as_cents().max(1).checked_mul(TIMES)?);
    let low = inwards(items, line, least, budget)?;
    let high = inwards(items, line, most, budget)?;
    Some((Money::from_cents(low), Some(high).filter(|h| *h < most).map(Money::from_cents)))
}

/// Value of a set over the rate: `money − work · rate`, both in cents and hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Line {
    money: i64,
    work_ms: i64,
}

impl Line {
    fn of(items: &Items, chosen: &[bool]) -> Self {
        let (money, work_ms) = items.line(chosen);
        Self { money, work_ms }
    }

    /// Value in units at a rate in cents.
    fn at(self, rate: i64) -> i128 {
        i128::from(self.money) * i128::from(UNITS_PER_CENT) - i128::from(self.work_ms) * i128::from(rate)
    }

    /// The nearest whole rate, coming from one at which `other` is better, at which this one is at least as good.
    fn crossing(self, other: Self, rate: i64) -> Option<i64> {
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
fn inwards(items: &Items, line: Line, start: i64, budget: &Budget) -> Option<i64> {
    let mut rate = start;
    for _ in 0..MOST_CROSSINGS {
        let problem = items.problem(Money::from_cents(rate))?;
        let best = ways::solve(&problem, budget).ok().filter(|a| a.standing == Standing::Proven)?;
        if line.at(rate) >= i128::from(best.value) {
            return Some(rate);
        }
        rate = line.crossing(Line::of(items, &best.chosen), rate)?;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A set with an hour more work and 90 cents more money is worth as much at 90 cents an hour.
    #[test]
    fn lines_cross_where_they_are_worth_the_same() {
        let long = Line { money: 190, work_ms: 7_200_000 };
        let short = Line { money: 100, work_ms: 3_600_000 };
        assert_eq!(long.crossing(short, 500), Some(90));
        assert_eq!(short.crossing(long, 0), Some(90));
        assert_eq!(long.at(90), short.at(90));
        let odd = Line { money: 190, work_ms: 7_200_001 };
        assert_eq!(odd.crossing(short, 500), Some(89));
        assert_eq!(short.crossing(odd, 0), Some(90));
    }
}
