//! Money in whole cents: sums never drift by rounding.

use crate::parse::{self, QuantityError};

/// An amount of money in cents of the book's one currency.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, serde::Serialize, serde::Deserialize,
)]
pub struct Money(i64);

impl Money {
    /// No money.
    pub const ZERO: Self = Self(0);

    /// An amount in cents.
    #[must_use]
    pub const fn from_cents(cents: i64) -> Self {
        Self(cents)
    }

    /// The amount in cents.
    #[must_use]
    pub const fn as_cents(self) -> i64 {
        self.0
    }

    /// Reads `12.50`, with or without a three-letter currency behind it, which is returned apart.
    ///
    /// # Errors
    /// [`QuantityError`] for anything else.
    pub fn parse(text: &str) -> Result<(Self, Option<String>), QuantityError> {
        let bad = || QuantityError::NotANumber {
            text: text.into(),
            quantity: "price",
            sample: String::from("12.50 EUR"),
        };
        let (figure, _, rest) = parse::split_figure(text).ok_or_else(bad)?;
        let currency = match rest.len() {
            0 => None,
            3 if rest.chars().all(|c| c.is_ascii_uppercase()) => Some(rest.to_owned()),
            _ => return Err(bad()),
        };
        let cents = libm::round(figure * 100.0);
        if cents.is_nan() || cents.abs() >= 1.0e14 {
            return Err(QuantityError::OutOfRange { text: text.into(), quantity: "price" });
        }
        Ok((Self(cents as i64), currency))
    }
}

/// Sums that rest on estimated times: from here on fives, from here on tens; below whole units. Cents.
const FIVES_FROM: i64 = 10_000;
const TENS_FROM: i64 = 100_000;

impl Money {
    const fn step_cents(self) -> i64 {
        match self.0.unsigned_abs() {
            size if size >= TENS_FROM as u64 => 1_000,
            size if size >= FIVES_FROM as u64 => 500,
            _ => 100,
        }
    }

    /// A sum that rests on estimates, without cents: `38`, `115`, `1240`.
    #[must_use]
    pub fn about_text(self) -> String {
        let (step, half) = (self.step_cents(), self.step_cents() / 2);
        let whole = (self.0.saturating_add(half)).div_euclid(step).saturating_mul(step);
        (whole / 100).to_string()
    }

    /// The same, never more than it is: for what a choice may bear; `less than 1` where nothing is left.
    #[must_use]
    pub fn at_most_text(self) -> String {
        let step = self.step_cents();
        match self.0.div_euclid(step).saturating_mul(step) / 100 {
            0 if self.0 != 0 => String::from("less than 1"),
            whole => whole.to_string(),
        }
    }

    /// The same, never less than it is.
    #[must_use]
    pub fn at_least_text(self) -> String {
        let step = self.step_cents();
        (self.0.saturating_add(step - 1).div_euclid(step).saturating_mul(step) / 100).to_string()
    }

    /// As it was given, without cents where there are none: `60`, `62.50`.
    #[must_use]
    pub fn short_text(self) -> String {
        if self.0 % 100 == 0 { (self.0 / 100).to_string() } else { self.to_string() }
    }
}

impl core::fmt::Display for Money {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let cents = self.0.unsigned_abs();
        write!(f, "{sign}{}.{:02}", cents / 100, cents % 100)
    }
}

impl core::ops::Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl core::iter::Sum for Money {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, |a, b| a + b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_of_estimates_have_no_cents() {
        let check = |cents: i64, about: &str, at_most: &str| {
            let money = Money::from_cents(cents);
            assert_eq!(
                (money.about_text().as_str(), money.at_most_text().as_str()),
                (about, at_most),
                "{cents}"
            );
        };
        check(0, "0", "0");
        check(40, "0", "less than 1");
        check(3_850, "39", "38");
        check(11_740, "115", "115");
        check(11_790, "120", "115");
        check(124_600, "1250", "1240");
        check(-3_850, "-38", "-39");
        assert_eq!(Money::from_cents(3_810).at_least_text(), "39");
        assert_eq!(Money::from_cents(6_000).short_text(), "60");
        assert_eq!(Money::from_cents(6_250).short_text(), "62.50");
    }
}
