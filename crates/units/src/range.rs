//! A closed range of a quantity, such as what a torque wrench covers.

/// From `low` to `high`, both included; `low <= high` always holds.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Range<Q> {
    low: Q,
    high: Q,
}

/// The lower end of a range is above its upper end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RangeError<Q> {
    /// The value given as the lower end.
    pub low: Q,
    /// The value given as the upper end.
    pub high: Q,
}

impl<Q: Copy + PartialOrd> Range<Q> {
    /// A range from its ends.
    ///
    /// # Errors
    /// [`RangeError`] when `low` is above `high`.
    pub fn new(low: Q, high: Q) -> Result<Self, RangeError<Q>> {
        if low <= high { Ok(Self { low, high }) } else { Err(RangeError { low, high }) }
    }

    /// The lower end.
    #[must_use]
    pub const fn low(&self) -> Q {
        self.low
    }

    /// The upper end.
    #[must_use]
    pub const fn high(&self) -> Q {
        self.high
    }

    /// Whether a value lies inside, ends included.
    #[must_use]
    pub fn contains(&self, value: Q) -> bool {
        self.low <= value && value <= self.high
    }
}
