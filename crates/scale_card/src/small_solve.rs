//! Small systems of equations and least squares over a handful of numbers.
//!
//! Normal equations by Cholesky; derivatives by central differences; steps damped after Levenberg and Marquardt (from memory). All unknowns
//! are scaled by the caller so that 1 is a large change, which keeps the normal equations harmless. A large library of matrices is not
//! worth it for systems of ten.
//!
//! symbol: a, b, r = matrix row by row, right side, residuals in the unit that the caller minimises
//! symbol: values, start, damping = unknowns without unit, share added to the diagonal
//! symbol: information = inverse of a covariance

/// Steps of a fit, at most.
const MAX_STEPS: usize = 40;
/// Step of a derivative.
const NUDGE: f64 = 1e-6;

/// Lower triangle of Cholesky's factor; `None` unless the matrix is positive definite.
fn factor_positive(a: &[f64], n: usize) -> Option<Vec<f64>> {
    let mut lower = vec![0.0; n * n];
    for row in 0..n {
        for column in 0..=row {
            let done: f64 = (0..column).map(|k| lower[row * n + k] * lower[column * n + k]).sum();
            let rest = a[row * n + column] - done;
            if row == column {
                if !(rest.is_finite() && rest > 1e-14 * a[row * n + row].abs()) {
                    return None;
                }
                lower[row * n + row] = rest.sqrt();
            } else {
                lower[row * n + column] = rest / lower[column * n + column];
            }
        }
    }
    Some(lower)
}

/// Solves `a x = b` for a positive definite `a`; `None` where it is not.
#[must_use]
pub fn solve_positive(a: &[f64], b: &[f64]) -> Option<Vec<f64>> {
    let n = b.len();
    let lower = factor_positive(a, n)?;
    let mut x = b.to_vec();
    for row in 0..n {
        let done: f64 = (0..row).map(|k| lower[row * n + k] * x[k]).sum();
        x[row] = (x[row] - done) / lower[row * n + row];
    }
    for row in (0..n).rev() {
        let done: f64 = (row + 1..n).map(|k| lower[k * n + row] * x[k]).sum();
        x[row] = (x[row] - done) / lower[row * n + row];
    }
    x.iter().all(|value| value.is_finite()).then_some(x)
}

/// A fit by least squares.
#[derive(Debug, Clone, PartialEq)]
pub struct UnknownsFit {
    /// The unknowns.
    pub values: Vec<f64>,
    /// `JᵀJ` at the end, row by row: the inverse of their covariance, if residuals have variance 1.
    pub information: Vec<f64>,
    /// Sum of the squares of the residuals.
    pub squares_figure: f64,
}

/// Finds the unknowns for which the sum of the squares of `residuals` is least, near `start`; `None` where it cannot be told.
pub fn fit_unknowns(start: &[f64], residuals: impl Fn(&[f64]) -> Option<Vec<f64>>) -> Option<UnknownsFit> {
    let mut values = start.to_vec();
    let mut r = residuals(&values)?;
    let mut squares = sum_squares(&r);
    let mut damping = 1e-6;
    for _ in 0..MAX_STEPS {
        let (information, slope) = take_normal(&values, &r, &residuals)?;
        let mut damped = information;
        for at in 0..values.len() {
            damped[at * values.len() + at] *= 1.0 + damping;
        }
        let step = solve_positive(&damped, &slope)?;
        let trial: Vec<f64> = values.iter().zip(&step).map(|(value, step)| value - step).collect();
        let better = residuals(&trial).map(|r| (sum_squares(&r), r)).filter(|(sum, _)| *sum <= squares);
        let Some((trial_squares, trial_r)) = better else {
            damping *= 10.0;
            if damping > 1e6 {
                break;
            }
            continue;
        };
        let gain = squares - trial_squares;
        (values, r, squares) = (trial, trial_r, trial_squares);
        damping = (damping / 10.0).max(1e-12);
        if gain <= 1e-12 * squares || step.iter().all(|step| step.abs() < 1e-12) {
            break;
        }
    }
    let (information, _) = take_normal(&values, &r, &residuals)?;
    squares.is_finite().then_some(UnknownsFit { values, information, squares_figure: squares })
}

fn sum_squares(r: &[f64]) -> f64 {
    r.iter().map(|each| each * each).sum()
}

/// `JᵀJ` and `Jᵀr` at a place.
fn take_normal(
    values: &[f64],
    r: &[f64],
    residuals: &impl Fn(&[f64]) -> Option<Vec<f64>>,
) -> Option<(Vec<f64>, Vec<f64>)> {
    let n = values.len();
    let mut columns = Vec::with_capacity(n);
    for at in 0..n {
        let nudged = |by: f64| {
            let mut moved = values.to_vec();
            moved[at] += by;
            residuals(&moved)
        };
        let (above, below) = (nudged(NUDGE)?, nudged(-NUDGE)?);
        let slope = |(above, below): (&f64, &f64)| (above - below) / (2.0 * NUDGE);
        columns.push(above.iter().zip(&below).map(slope).collect::<Vec<f64>>());
    }
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
    let information = (0..n * n).map(|at| dot(&columns[at / n], &columns[at % n])).collect();
    Some((information, columns.iter().map(|column| dot(column, r)).collect()))
}
