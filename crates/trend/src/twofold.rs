//! Numbers of twice the digits of an `f64`: an unevaluated sum of two, for sums of products that cancel.
//!
//! **Question.** Ten powers of a column are nearly parallel: least squares in plain doubles loses half of the digits or all. With
//! thirty digits inside, what is left at the end is as good as the readings.
//!
//! **Method.** Error-free sum (Knuth) and product (fused multiply-add), renormalised after each step.
//!
//! **Sources.** Dekker, Numer. Math. 18 (1971); Knuth, TAOCP 2, 4.2.2 (both from memory).
//!
//! symbol: high, low, a, b = the two parts of a number, in whatever unit it has

/// A number as the sum of two doubles, the second below half a last digit of the first.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TwofoldNumber {
    high: f64,
    low: f64,
}

/// Sum of two doubles and what its rounding lost.
fn sum_exactly(a: f64, b: f64) -> (f64, f64) {
    let sum = a + b;
    let b_part = sum - a;
    (sum, (a - (sum - b_part)) + (b - b_part))
}

/// Product of two doubles and what its rounding lost.
fn multiply_exactly(a: f64, b: f64) -> (f64, f64) {
    let product = a * b;
    (product, a.mul_add(b, -product))
}

impl TwofoldNumber {
    /// Nought.
    pub const ZERO: Self = Self { high: 0.0, low: 0.0 };
    /// One.
    pub const ONE: Self = Self { high: 1.0, low: 0.0 };

    /// The number that a double is, exactly.
    #[must_use]
    pub const fn from_double(a: f64) -> Self {
        Self { high: a, low: 0.0 }
    }

    /// The nearest double.
    #[must_use]
    pub const fn to_double(self) -> f64 {
        self.high + self.low
    }

    /// The square root; nought for what is not above nought.
    #[must_use]
    pub fn square_root(self) -> Self {
        if self.high <= 0.0 {
            return Self::ZERO;
        }
        let root = Self::from_double(units::math::sqrt(self.high));
        // One step of Newton doubles the digits that are right.
        root + (self - root * root) / (root + root)
    }

    fn renormalised(high: f64, low: f64) -> Self {
        let sum = high + low;
        Self { high: sum, low: low - (sum - high) }
    }
}

impl core::ops::Add for TwofoldNumber {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let (sum, lost) = sum_exactly(self.high, other.high);
        let (low_sum, low_lost) = sum_exactly(self.low, other.low);
        let first = Self::renormalised(sum, lost + low_sum);
        Self::renormalised(first.high, first.low + low_lost)
    }
}

impl core::ops::Neg for TwofoldNumber {
    type Output = Self;
    fn neg(self) -> Self {
        Self { high: -self.high, low: -self.low }
    }
}

impl core::ops::Sub for TwofoldNumber {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl core::ops::Mul for TwofoldNumber {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let (product, lost) = multiply_exactly(self.high, other.high);
        Self::renormalised(product, lost + self.high.mul_add(other.low, self.low * other.high))
    }
}

impl core::ops::Div for TwofoldNumber {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let first = self.high / other.high;
        let rest = self - other * Self::from_double(first);
        let second = rest.high / other.high;
        let rest = rest - other * Self::from_double(second);
        Self::renormalised(first, second) + Self::from_double(rest.high / other.high)
    }
}

impl core::iter::Sum for TwofoldNumber {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::ZERO, |sum, one| sum + one)
    }
}

#[cfg(test)]
mod tests {
    use super::TwofoldNumber;

    fn twofold(a: f64) -> TwofoldNumber {
        TwofoldNumber::from_double(a)
    }

    #[test]
    fn a_third_thrice_is_one_to_thirty_digits() {
        let third = TwofoldNumber::ONE / twofold(3.0);
        let off = third * twofold(3.0) - TwofoldNumber::ONE;
        assert!(off.to_double().abs() < 1.0e-31, "{off:?}");
        let root = twofold(2.0).square_root();
        assert!((root * root - twofold(2.0)).to_double().abs() < 1.0e-31);
    }

    #[test]
    fn what_a_double_would_lose_comes_back() {
        let sum = twofold(1.0e20) + TwofoldNumber::ONE - twofold(1.0e20);
        assert!((sum.to_double() - 1.0).abs() < f64::EPSILON);
    }
}
