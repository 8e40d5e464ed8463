//! Least squares of any columns, worked out with thirty digits inside.
//!
//! **Question.** Readings `y` depend on columns `x` as `y = X·β + e`: which `β` leave the least sum of squares, how sure is each, and
//! how sure is the fitted value at any other row?
//!
//! **Symbols.** `X = Q·R` with orthonormal columns `Q` and an upper triangle `R`; `ν = n − p` degrees of freedom; `s² = SSE/ν`;
//! covariance of `β` is `s²·(RᵀR)⁻¹`; variance of the fitted value at a row `h` is `s²·|R⁻ᵀh|²`.
//!
//! **Method.** Columns scaled to length one, then modified Gram-Schmidt, all in [`TwofoldNumber`]s: the tenth powers of Filip's data, where
//! normal equations in doubles give no digit, come out to more than ten. **Given uncertainties** weigh each row by `1/u` and take the
//! place of `s`: the scatter is then known, and `χ² = SSE` tells whether the readings agree with it.
//!
//! **Assumptions and range.** Independent errors of one scatter (or of the scatters given). Columns that depend on each other are refused.
//!
//! **Sources.** Björck, Numerical Methods for Least Squares Problems (1996) (from memory); NIST StRD, linear regression; weights as
//! ISO/TS 28037:2010.
//!
//! symbol: beta, y, row, rows, columns, u = coefficients, readings, columns of a design and uncertainties, in the units of their columns

use core::fmt;

use crate::twofold::TwofoldNumber;

/// A column this much shorter after taking the others out of it depends on them.
const DEPENDENT_SHARE: f64 = 1.0e-24;
/// Maximum number of rows.
pub const MAX_ROWS: usize = 200_000;

/// Why columns give no least squares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LeastSquaresError {
    /// Fewer rows than coefficients.
    TooFewRows {
        /// Rows.
        have: usize,
        /// Coefficients.
        want: usize,
    },
    /// More rows than are taken.
    TooManyRows {
        /// Rows.
        have: usize,
    },
    /// A column that follows from those before it, such as equal `x` beside a constant.
    Dependent {
        /// Its position.
        column: usize,
    },
    /// A figure that is none, or is too large to be squared.
    NotFinite,
    /// An uncertainty that is not above nought.
    BadUncertainty {
        /// The row, from nought.
        row: usize,
    },
}

impl fmt::Display for LeastSquaresError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewRows { have, want } => {
                write!(
                    f,
                    "{have} readings cannot determine {want} coefficients; add readings or lower the degree"
                )
            }
            Self::TooManyRows { have } => write!(f, "{have} readings are too many; use at most {MAX_ROWS}"),
            Self::Dependent { column: 1 } => f.write_str(
                "the readings lie at one place; a line needs readings at two different places at least",
            ),
            Self::Dependent { column } => write!(
                f,
                "term {column} of the fit follows from the terms before it; lower the degree, or leave the column out"
            ),
            Self::NotFinite => f.write_str(
                "a figure is not a number, or too large to be squared; correct it or change the unit",
            ),
            Self::BadUncertainty { row } => {
                write!(
                    f,
                    "the uncertainty of reading {} is not above zero; enter a standard uncertainty",
                    row + 1
                )
            }
        }
    }
}

impl core::error::Error for LeastSquaresError {}

/// What least squares found.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastSquaresFit {
    beta: Vec<TwofoldNumber>,
    /// Upper triangle of the unscaled columns, by rows.
    triangle: Vec<Vec<TwofoldNumber>>,
    squares_sum: TwofoldNumber,
    total_sum: TwofoldNumber,
    points: usize,
    has_known_scatter: bool,
}

/// Sum of products of two columns.
fn multiply_columns(a: &[TwofoldNumber], b: &[TwofoldNumber]) -> TwofoldNumber {
    // symbol: a, b = columns of a design
    a.iter().zip(b).map(|(x, y)| *x * *y).sum()
}

/// Takes `share` of one column out of another.
fn subtract_column(from: &mut [TwofoldNumber], share: TwofoldNumber, column: &[TwofoldNumber]) {
    for (cell, taken) in from.iter_mut().zip(column) {
        *cell = *cell - share * *taken;
    }
}

/// Fits columns to readings; `uncertainties` are standard uncertainties of the readings, or none. `is_about_mean` says what R²
/// compares with: the mean of the readings, or nought for a line through the origin.
///
/// # Errors
/// [`LeastSquaresError`] when rows are too few, columns depend on each other or a figure is none.
pub fn fit_columns(
    columns: &[Vec<TwofoldNumber>],
    y: &[f64],
    uncertainties: Option<&[f64]>,
    is_about_mean: bool,
) -> Result<LeastSquaresFit, LeastSquaresError> {
    // symbol: uncertainties = standard uncertainties of the readings, in their unit
    refuse_bad_input(columns, y, uncertainties)?;
    let weights: Vec<TwofoldNumber> = match uncertainties {
        Some(all) => all.iter().map(|u| TwofoldNumber::ONE / TwofoldNumber::from_double(*u)).collect(),
        None => vec![TwofoldNumber::ONE; y.len()],
    };
    let weigh = |column: &[TwofoldNumber]| -> Vec<TwofoldNumber> {
        column.iter().zip(&weights).map(|(cell, w)| *cell * *w).collect()
    };
    let readings: Vec<TwofoldNumber> = y.iter().map(|v| TwofoldNumber::from_double(*v)).collect();
    let mut rest = weigh(&readings);
    let total_sum = sum_of_squares(&rest, &weights, is_about_mean);
    let (triangle, projections) = orthogonalise(columns.iter().map(|c| weigh(c)).collect(), &mut rest)?;
    let beta = solve_upward(&triangle, &projections);
    let fit = LeastSquaresFit {
        beta,
        triangle,
        squares_sum: multiply_columns(&rest, &rest),
        total_sum,
        points: y.len(),
        has_known_scatter: uncertainties.is_some(),
    };
    let is_sound =
        fit.beta.iter().all(|b| b.to_double().is_finite()) && fit.squares_sum.to_double().is_finite();
    if is_sound { Ok(fit) } else { Err(LeastSquaresError::NotFinite) }
}

fn refuse_bad_input(
    columns: &[Vec<TwofoldNumber>],
    y: &[f64],
    uncertainties: Option<&[f64]>,
) -> Result<(), LeastSquaresError> {
    // symbol: uncertainties = standard uncertainties of the readings, in their unit
    if y.len() < columns.len() || columns.is_empty() {
        return Err(LeastSquaresError::TooFewRows { have: y.len(), want: columns.len().max(1) });
    }
    if y.len() > MAX_ROWS {
        return Err(LeastSquaresError::TooManyRows { have: y.len() });
    }
    let is_small = |v: f64| v.is_finite() && v.abs() < 1.0e150;
    let cells = columns.iter().flatten().map(|c| c.to_double());
    if !y.iter().copied().chain(cells).all(is_small) {
        return Err(LeastSquaresError::NotFinite);
    }
    match uncertainties.and_then(|all| all.iter().position(|u| !(u.is_finite() && *u > 1.0e-150))) {
        Some(row) => Err(LeastSquaresError::BadUncertainty { row }),
        None => Ok(()),
    }
}

/// Sum of squares of weighed readings, about their weighed mean or about nought.
fn sum_of_squares(
    weighed: &[TwofoldNumber],
    weights: &[TwofoldNumber],
    is_about_mean: bool,
) -> TwofoldNumber {
    if !is_about_mean {
        return multiply_columns(weighed, weighed);
    }
    let mean = multiply_columns(weighed, weights) / multiply_columns(weights, weights);
    let off: Vec<TwofoldNumber> = weighed.iter().zip(weights).map(|(v, w)| *v - mean * *w).collect();
    multiply_columns(&off, &off)
}

type TriangleAndShares = (Vec<Vec<TwofoldNumber>>, Vec<TwofoldNumber>);

/// Modified Gram-Schmidt: the triangle, and the share of each orthonormal column in the readings, which keep what is left.
fn orthogonalise(
    mut columns: Vec<Vec<TwofoldNumber>>,
    readings: &mut [TwofoldNumber],
) -> Result<TriangleAndShares, LeastSquaresError> {
    let count = columns.len();
    let lengths: Vec<f64> =
        columns.iter().map(|c| multiply_columns(c, c).square_root().to_double()).collect();
    let mut triangle = vec![vec![TwofoldNumber::ZERO; count]; count];
    let mut shares = Vec::with_capacity(count);
    for at in 0..count {
        let length = multiply_columns(&columns[at], &columns[at]).square_root();
        if length.to_double() <= DEPENDENT_SHARE * lengths[at] {
            return Err(LeastSquaresError::Dependent { column: at });
        }
        let unit: Vec<TwofoldNumber> = columns[at].iter().map(|c| *c / length).collect();
        triangle[at][at] = length;
        for later in at + 1..count {
            let share = multiply_columns(&unit, &columns[later]);
            triangle[at][later] = share;
            subtract_column(&mut columns[later], share, &unit);
        }
        let share = multiply_columns(&unit, readings);
        shares.push(share);
        subtract_column(readings, share, &unit);
    }
    Ok((triangle, shares))
}

/// Solves `R·β = z` from the last row up.
fn solve_upward(triangle: &[Vec<TwofoldNumber>], shares: &[TwofoldNumber]) -> Vec<TwofoldNumber> {
    let mut beta = shares.to_vec();
    for at in (0..beta.len()).rev() {
        let known = (at + 1..beta.len()).map(|k| triangle[at][k] * beta[k]).sum();
        beta[at] = (shares[at] - known) / triangle[at][at];
    }
    beta
}

impl LeastSquaresFit {
    /// Coefficients, in the order of the columns.
    #[must_use]
    pub fn coefficients(&self) -> Vec<f64> {
        self.beta.iter().map(|b| b.to_double()).collect()
    }

    /// Readings.
    #[must_use]
    pub const fn points(&self) -> usize {
        self.points
    }

    /// Degrees of freedom: readings less coefficients.
    #[must_use]
    pub fn freedom(&self) -> usize {
        self.points - self.beta.len()
    }

    /// Sum of squares of what is left; χ² where uncertainties were given.
    #[must_use]
    pub fn residual_squares_number(&self) -> f64 {
        self.squares_sum.to_double()
    }

    /// Whether the scatter is the uncertainties given and not what is left over.
    #[must_use]
    pub const fn has_known_scatter(&self) -> bool {
        self.has_known_scatter
    }

    /// Standard deviation of a reading about the fit; one where uncertainties were given, `None` without a degree of freedom.
    #[must_use]
    pub fn scatter_number(&self) -> Option<f64> {
        if self.has_known_scatter {
            return Some(1.0);
        }
        let freedom = self.freedom();
        (freedom > 0).then(|| units::math::sqrt(self.residual_squares_number() / freedom as f64))
    }

    /// Share of the readings' sum of squares that the fit explains; `None` where the readings are all alike.
    #[must_use]
    pub fn r_squared_share(&self) -> Option<f64> {
        (self.total_sum.to_double() > 0.0)
            .then(|| (TwofoldNumber::ONE - self.squares_sum / self.total_sum).to_double())
    }

    /// `R⁻ᵀ·h`: what a row of the design looks like among the orthonormal columns.
    fn turn_row(&self, row: &[TwofoldNumber]) -> Vec<TwofoldNumber> {
        let mut turned: Vec<TwofoldNumber> = Vec::with_capacity(row.len());
        for (at, cell) in row.iter().enumerate() {
            let known = turned.iter().enumerate().map(|(k, t)| self.triangle[k][at] * *t).sum();
            turned.push((*cell - known) / self.triangle[at][at]);
        }
        turned
    }

    /// The fitted value at a row of the design.
    #[must_use]
    pub fn value_at(&self, row: &[TwofoldNumber]) -> f64 {
        multiply_columns(&self.beta, row).to_double()
    }

    /// Covariance of the fitted values at two rows, for a scatter of one.
    #[must_use]
    pub fn unit_covariance(&self, one: &[TwofoldNumber], other: &[TwofoldNumber]) -> f64 {
        multiply_columns(&self.turn_row(one), &self.turn_row(other)).to_double()
    }

    /// The row that picks one coefficient.
    #[must_use]
    pub fn row_of_coefficient(&self, at: usize) -> Vec<TwofoldNumber> {
        let pick = |k| if k == at { TwofoldNumber::ONE } else { TwofoldNumber::ZERO };
        (0..self.beta.len()).map(pick).collect()
    }

    /// Standard deviation of a coefficient for a scatter of one.
    #[must_use]
    pub fn unit_deviation_of(&self, at: usize) -> f64 {
        let row = self.row_of_coefficient(at);
        units::math::sqrt(self.unit_covariance(&row, &row).max(0.0))
    }
}
