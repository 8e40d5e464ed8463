//! A figure that may be unknown: nothing, exact, or between two ends.

/// A figure as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Known<T> {
    /// Nothing is known of it.
    #[default]
    Nothing,
    /// Exactly this.
    Exact(T),
    /// Somewhere between two ends, the lower one first.
    Between(T, T),
}

impl<T: Copy + PartialOrd> Known<T> {
    /// Somewhere between two ends, in either order; exact where they are the same.
    #[must_use]
    pub fn between(one: T, other: T) -> Self {
        if one == other {
            Self::Exact(one)
        } else if one < other {
            Self::Between(one, other)
        } else {
            Self::Between(other, one)
        }
    }

    /// The value, where it is exact.
    #[must_use]
    pub const fn exact(self) -> Option<T> {
        match self {
            Self::Exact(value) => Some(value),
            Self::Nothing | Self::Between(..) => None,
        }
    }

    /// The lower and the upper end; the same where it is exact, nothing where nothing is known.
    #[must_use]
    pub const fn ends(self) -> Option<(T, T)> {
        match self {
            Self::Nothing => None,
            Self::Exact(value) => Some((value, value)),
            Self::Between(low, high) => Some((low, high)),
        }
    }

    /// Both ends, or those given where nothing is known.
    #[must_use]
    pub fn ends_or(self, bounds: (T, T)) -> (T, T) {
        self.ends().unwrap_or(bounds)
    }

    /// Whether anything is known of it.
    #[must_use]
    pub const fn is_known(self) -> bool {
        !matches!(self, Self::Nothing)
    }

    /// Whether a value is possible.
    #[must_use]
    pub fn allows(self, value: T) -> bool {
        self.ends().is_none_or(|(low, high)| low <= value && value <= high)
    }

    /// What two claims of one grade leave: the hull of both, and whether they contradict each other.
    #[must_use]
    pub fn join_claims(self, other: Self) -> (Self, bool) {
        match (self.ends(), other.ends()) {
            (None, _) => (other, false),
            (_, None) => (self, false),
            (Some((a_low, a_high)), Some((b_low, b_high))) => {
                let low = if a_low <= b_low { a_low } else { b_low };
                let high = if a_high >= b_high { a_high } else { b_high };
                (Self::between(low, high), a_high < b_low || b_high < a_low)
            }
        }
    }
}

impl<T> From<T> for Known<T> {
    fn from(value: T) -> Self {
        Self::Exact(value)
    }
}

#[cfg(test)]
mod tests {
    use super::Known;

    #[test]
    fn two_claims_keep_their_hull_and_a_contradiction_is_told() {
        let (hull, against) = Known::Exact(10.0).join_claims(Known::between(14.0, 12.0));
        assert_eq!((hull, against), (Known::Between(10.0, 14.0), true));
        let (hull, against) = Known::between(10.0, 13.0).join_claims(Known::Exact(12.0));
        assert_eq!((hull, against), (Known::Between(10.0, 13.0), false));
        assert_eq!(Known::Nothing.join_claims(Known::Exact(3.0)), (Known::Exact(3.0), false));
        assert!(
            Known::Between(1.0, 2.0).allows(1.5)
                && !Known::Exact(1.0).allows(1.5)
                && Known::Nothing.allows(7.0)
        );
    }
}
