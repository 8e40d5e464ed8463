//! Where a straight line reaches a level, with an interval that knows when there is none (Fieller).
//!
//! **Question.** Pads wear 0.08 mm in a thousand kilometres, give or take: when are they at 3 mm? The answer is a quotient of two
//! uncertain figures, so "estimate ± something" is wrong, and with a slope that may be nought there is no answer at all.
//!
//! **Symbols.** Line `y = c + b·(x − x̄)` with uncorrelated `c` and `b`, variances `v_c`, `v_b`; level `y0`; `q` quantile of Student's t (or of the
//! normal distribution where the scatter is known); `v_r` variance of what is set against the line: nought for "the line itself reaches
//! `y0`", `s²/m` for "the mean of `m` readings shows `y0`"; `g = q²·v_b/b²`.
//!
//! ```text
//! the x with (y0 − c − b·(x − x̄))² ≤ q²·(v_c + v_r + v_b·(x − x̄)²)
//! g < 1:  x̄ + [z ± (q/|b|)·√((v_c + v_r)(1 − g) + v_b·z²)]/(1 − g),  z = (y0 − c)/b
//! g ≥ 1:  two half-lines or every x: cannot tell
//! ```
//!
//! **Worked example.** Six pad readings, limit 3 mm: b −0.0804, c 8.183 at 37.33; z = 64.55; 101.9, 90 % 99.8 to 104.1 thousand km.
//!
//! **Sources.** Fieller, J. R. Statist. Soc. B 16 (1954); Graybill and Iyer, Regression Analysis (1994), chapter 6; Greenwell and Schubert
//! Kabban, R Journal 6/1 (2014), for the unbounded sets.
//!
//! symbol: x, y, z, g, q, centre_x, estimate_x, low_x, high_x, level_y, slope, level_variance, slope_variance = as below
//! symbol: reading_variance, outside = places on the x axis, levels on the y axis and their variances, in the units of the columns; g and q are pure numbers

use serde::Serialize;
use units::math;

/// A straight line about the middle of its readings, with everything that an interval needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CentredLine {
    /// Middle of the readings; the origin for a line through it.
    pub centre_x: f64,
    /// Height of the line there.
    pub level_y: f64,
    /// Slope.
    pub slope: f64,
    /// Variance of that height.
    pub level_variance: f64,
    /// Variance of the slope; height and slope are uncorrelated.
    pub slope_variance: f64,
}

/// Why a place has no interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoInterval {
    /// The readings are too few to show their scatter.
    FewReadings,
    /// The readings lie on a line to the last digit: the scale hides the scatter.
    ScaleTooCoarse,
}

/// Where a line reaches a level.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "verdict", rename_all = "kebab-case")]
pub enum LineCrossing {
    /// Between two places.
    Between {
        /// Best estimate.
        estimate_x: f64,
        /// Lower end.
        low_x: f64,
        /// Upper end.
        high_x: f64,
        /// `g`: how near the slope is to nought; below one, and nought where a stated prior keeps the slope from it.
        g: f64,
    },
    /// At about one place; nothing says how sure.
    EstimateOnly {
        /// Best estimate.
        estimate_x: f64,
        /// Why there is no interval.
        why: NoInterval,
    },
    /// The slope may be nought: the readings do not tell.
    CannotTell {
        /// `g`, one or more.
        g: f64,
        /// The places that the readings rule out lie between these two, where there are any.
        outside: Option<(f64, f64)>,
    },
}

impl LineCrossing {
    /// The same with every place read by another, rising scale.
    #[must_use]
    pub fn map_places(self, of: impl Fn(f64) -> f64) -> Self {
        match self {
            Self::Between { estimate_x, low_x, high_x, g } => {
                Self::Between { estimate_x: of(estimate_x), low_x: of(low_x), high_x: of(high_x), g }
            }
            Self::EstimateOnly { estimate_x, why } => Self::EstimateOnly { estimate_x: of(estimate_x), why },
            Self::CannotTell { g, outside } => {
                Self::CannotTell { g, outside: outside.map(|(low, high)| (of(low), of(high))) }
            }
        }
    }
}

impl CentredLine {
    /// Height of the line.
    #[must_use]
    pub fn height_at(&self, x: f64) -> f64 {
        self.level_y + self.slope * (x - self.centre_x)
    }

    /// Variance of the height.
    #[must_use]
    pub fn variance_at(&self, x: f64) -> f64 {
        let off = x - self.centre_x;
        self.level_variance + self.slope_variance * off * off
    }

    /// Where the line reaches a level; `q` is the quantile, `reading_variance` nought for the line itself.
    #[must_use]
    pub fn find_crossing(&self, y: f64, q: f64, reading_variance: f64) -> LineCrossing {
        let Self { slope, slope_variance, .. } = *self;
        let g = if slope == 0.0 { f64::INFINITY } else { q * q * slope_variance / (slope * slope) };
        if g.is_nan() || g >= 1.0 {
            return self.refuse_crossing(y, q, reading_variance, g);
        }
        let z = (y - self.level_y) / slope;
        let side = self.level_variance + reading_variance;
        let spread = q / slope.abs() * math::sqrt(side * (1.0 - g) + slope_variance * z * z);
        let ends = [(z - spread) / (1.0 - g), (z + spread) / (1.0 - g)].map(|end| self.centre_x + end);
        let estimate_x = self.centre_x + z;
        if ![estimate_x, ends[0], ends[1]].iter().all(|x| x.is_finite()) {
            return LineCrossing::CannotTell { g, outside: None };
        }
        LineCrossing::Between { estimate_x, low_x: ends[0], high_x: ends[1], g }
    }

    /// What the readings rule out although the slope may be nought.
    fn refuse_crossing(&self, y: f64, q: f64, reading_variance: f64, g: f64) -> LineCrossing {
        let (gap, side) = (y - self.level_y, self.level_variance + reading_variance);
        // (q²·v_b − b²)·z² + 2·b·gap·z + q²·side − gap² ≥ 0 outside its two roots.
        let square = q * q * self.slope_variance - self.slope * self.slope;
        let root = self.slope * self.slope * gap * gap - square * (q * q * side - gap * gap);
        let ends = (square > 0.0 && root > 0.0).then(|| {
            let half = math::sqrt(root);
            let end = |sign: f64| self.centre_x + (-self.slope * gap + sign * half) / square;
            (end(-1.0), end(1.0))
        });
        let outside = ends.filter(|(low, high)| low.is_finite() && high.is_finite());
        LineCrossing::CannotTell { g: if g.is_nan() { f64::MAX } else { g.min(f64::MAX) }, outside }
    }

    /// The place by linear propagation, where reading and scatter are known: estimate and standard uncertainty (ISO/TS 28037:2010, 11).
    #[must_use]
    pub fn propagate_crossing(&self, y: f64, reading_variance: f64) -> Option<(f64, f64)> {
        let x = self.centre_x + (y - self.level_y) / self.slope;
        let deviation = math::sqrt(self.variance_at(x) + reading_variance) / self.slope.abs();
        (x.is_finite() && deviation.is_finite()).then_some((x, deviation))
    }
}
