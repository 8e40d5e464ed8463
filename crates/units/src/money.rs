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
