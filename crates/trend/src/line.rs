//! A line or a polynomial through readings: coefficients, how sure they are, fitted values, and where it reaches a level.
//!
//! **Question.** What does one column say about another, at a place where nobody has measured, and where does it reach a limit?
//!
//! **Symbols.** `y = b0 + b1·x + … + bk·x^k`, or `y = b1·x` through the origin; `s` scatter of a reading, `ν` its degrees of freedom, `t` Student's
//! quantile; a new reading at `x`: `ŷ ± t·√(var ŷ + s²)`, the line itself: `ŷ ± t·√(var ŷ)`.
//!
//! **Method.** [`crate::least_squares`]. R² of a line through the origin compares with nought, not with the mean (NIST StRD, NoInt1).
//!
//! **Assumptions and range.** Independent readings of one scatter. **Readings of an odometer are not independent**; use
//! [`crate::odometer`]. Beyond the readings the line is a guess, and is told as one.
//!
//! symbol: centre_x = a place on the x axis
//! symbol: x, y, uncertainties, predictors, ends_x, value_y, deviation_y, line_ends_y, reading_ends_y = as below
//! symbol: scatter_y = columns of readings and figures in their units; q is a pure number

use core::fmt;

use bolting::tolerance::{normal_quantile, student_quantile};
use units::math;

use crate::crossing::CentredLine;
use crate::least_squares::{LeastSquaresError, LeastSquaresFit, fit_columns};
use crate::twofold::TwofoldNumber;

/// Highest degree of a polynomial.
pub const MAX_DEGREE: usize = 20;
/// Readings below which an answer calls them few (assumption: Student's quantile is then above 2.1 for 90 %).
pub const FEW_READINGS: usize = 6;

/// Which lines are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineShape {
    /// A polynomial with a height of its own at nought.
    Free {
        /// Its degree.
        degree: usize,
    },
    /// A straight line through the origin.
    ThroughOrigin,
}

/// Why there is no line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TrendLineError {
    /// A degree that is not taken.
    Degree {
        /// The degree.
        degree: usize,
    },
    /// Columns of different lengths.
    Lengths,
    /// Least squares refuse.
    Fit(LeastSquaresError),
}

impl fmt::Display for TrendLineError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Degree { degree } => {
                write!(f, "degree {degree} is not supported; use 1 to {MAX_DEGREE}")
            }
            Self::Lengths => f.write_str("the columns have different lengths; give one value per row"),
            Self::Fit(error) => error.fmt(f),
        }
    }
}

impl core::error::Error for TrendLineError {}

impl From<LeastSquaresError> for TrendLineError {
    fn from(error: LeastSquaresError) -> Self {
        Self::Fit(error)
    }
}

/// A value of the line at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineValue {
    /// Height of the line.
    pub value_y: f64,
    /// Its standard deviation.
    pub deviation_y: f64,
    /// Interval of the line itself.
    pub line_ends_y: (f64, f64),
    /// Interval of one new reading.
    pub reading_ends_y: (f64, f64),
}

/// A fitted line.
#[derive(Debug, Clone, PartialEq)]
pub struct TrendLine {
    fit: LeastSquaresFit,
    shape: LineShape,
    centre_x: f64,
    ends_x: (f64, f64),
}

/// The row of the design at a place.
fn write_powers(x: f64, shape: LineShape) -> Vec<TwofoldNumber> {
    let place = TwofoldNumber::from_double(x);
    match shape {
        LineShape::ThroughOrigin => vec![place],
        LineShape::Free { degree } => {
            let next = |power: &TwofoldNumber| Some(*power * place);
            core::iter::successors(Some(TwofoldNumber::ONE), next).take(degree + 1).collect()
        }
    }
}

/// Fits a line; `uncertainties` are standard uncertainties of the readings, where they are known.
///
/// # Errors
/// [`TrendLineError`] when the columns make no line.
pub fn fit_trend_line(
    x: &[f64],
    y: &[f64],
    uncertainties: Option<&[f64]>,
    shape: LineShape,
) -> Result<TrendLine, TrendLineError> {
    if let LineShape::Free { degree } = shape
        && !(1..=MAX_DEGREE).contains(&degree)
    {
        return Err(TrendLineError::Degree { degree });
    }
    if x.len() != y.len() || uncertainties.is_some_and(|u| u.len() != y.len()) {
        return Err(TrendLineError::Lengths);
    }
    let rows: Vec<Vec<TwofoldNumber>> = x.iter().map(|x| write_powers(*x, shape)).collect();
    let width = write_powers(0.0, shape).len();
    let columns: Vec<Vec<TwofoldNumber>> = (0..width).map(|k| rows.iter().map(|r| r[k]).collect()).collect();
    let is_about_mean = shape != LineShape::ThroughOrigin;
    let fit = fit_columns(&columns, y, uncertainties, is_about_mean)?;
    let low = x.iter().copied().fold(f64::INFINITY, f64::min);
    let high = x.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let centre_x = if is_about_mean { find_centre(x, uncertainties) } else { 0.0 };
    Ok(TrendLine { fit, shape, centre_x, ends_x: (low, high) })
}

/// Fits readings to several columns at once, with a constant.
///
/// # Errors
/// [`TrendLineError`] when the columns make no fit.
pub fn fit_predictors(predictors: &[Vec<f64>], y: &[f64]) -> Result<LeastSquaresFit, TrendLineError> {
    if predictors.iter().any(|p| p.len() != y.len()) {
        return Err(TrendLineError::Lengths);
    }
    let constant = vec![TwofoldNumber::ONE; y.len()];
    let own = |p: &Vec<f64>| p.iter().map(|v| TwofoldNumber::from_double(*v)).collect();
    let columns: Vec<Vec<TwofoldNumber>> =
        core::iter::once(constant).chain(predictors.iter().map(own)).collect();
    Ok(fit_columns(&columns, y, None, true)?)
}

/// Mean place, each reading weighed by its certainty.
fn find_centre(x: &[f64], uncertainties: Option<&[f64]>) -> f64 {
    let weight = |at: usize| uncertainties.map_or(1.0, |u| 1.0 / (u[at] * u[at]));
    let total: f64 = (0..x.len()).map(weight).sum();
    (0..x.len()).map(|at| weight(at) / total * x[at]).sum()
}

/// Two-sided quantile for a confidence: Student's t, or the normal one where the scatter is known (`freedom` is `None`).
#[must_use]
pub fn two_sided_quantile(confidence_share: f64, freedom: Option<usize>) -> f64 {
    let probability = f64::midpoint(1.0, confidence_share);
    freedom.map_or_else(|| normal_quantile(probability), |nu| student_quantile(probability, nu as f64))
}

impl TrendLine {
    /// The least squares behind it.
    #[must_use]
    pub const fn fit(&self) -> &LeastSquaresFit {
        &self.fit
    }

    /// Which lines were looked at.
    #[must_use]
    pub const fn shape(&self) -> LineShape {
        self.shape
    }

    /// Lowest and highest place with a reading.
    #[must_use]
    pub const fn ends_x(&self) -> (f64, f64) {
        self.ends_x
    }

    /// Degrees of freedom of the scatter; `None` where it is known.
    #[must_use]
    pub fn scatter_freedom(&self) -> Option<usize> {
        (!self.fit.has_known_scatter()).then(|| self.fit.freedom())
    }

    /// Height of the line.
    #[must_use]
    pub fn height_at(&self, x: f64) -> f64 {
        self.fit.value_at(&write_powers(x, self.shape))
    }

    /// Standard deviation of the height for a scatter of one.
    #[must_use]
    pub fn unit_deviation_at(&self, x: f64) -> f64 {
        let row = write_powers(x, self.shape);
        math::sqrt(self.fit.unit_covariance(&row, &row).max(0.0))
    }

    /// Height with its intervals; `None` without a scatter.
    #[must_use]
    pub fn value_at(&self, x: f64, confidence_share: f64) -> Option<LineValue> {
        let scatter_y = self.fit.scatter_number()?;
        let q = two_sided_quantile(confidence_share, self.scatter_freedom());
        let (value_y, deviation_y) = (self.height_at(x), scatter_y * self.unit_deviation_at(x));
        let around = |deviation: f64| (value_y - q * deviation, value_y + q * deviation);
        Some(LineValue {
            value_y,
            deviation_y,
            line_ends_y: around(deviation_y),
            reading_ends_y: around(math::hypot(deviation_y, scatter_y)),
        })
    }

    /// Correlation of the heights at two places.
    #[must_use]
    pub fn correlate_coefficients(&self, one: usize, other: usize) -> f64 {
        let (first, second) = (self.fit.row_of_coefficient(one), self.fit.row_of_coefficient(other));
        let deviation = self.fit.unit_deviation_of(one) * self.fit.unit_deviation_of(other);
        self.fit.unit_covariance(&first, &second) / deviation
    }

    /// The straight line about its middle, for a scatter; `None` for a curve.
    #[must_use]
    pub fn centre_line(&self, scatter_y: f64) -> Option<CentredLine> {
        let slope_at = match self.shape {
            LineShape::Free { degree: 1 } => 1,
            LineShape::ThroughOrigin => 0,
            LineShape::Free { .. } => return None,
        };
        let is_free = self.shape != LineShape::ThroughOrigin;
        let level = scatter_y * self.unit_deviation_at(self.centre_x);
        let slope_deviation = scatter_y * self.fit.unit_deviation_of(slope_at);
        Some(CentredLine {
            centre_x: self.centre_x,
            level_y: if is_free { self.height_at(self.centre_x) } else { 0.0 },
            slope: self.fit.coefficients()[slope_at],
            level_variance: if is_free { level * level } else { 0.0 },
            slope_variance: slope_deviation * slope_deviation,
        })
    }
}
