//! The map from the card's plane to the picture: eight numbers, from four points or more.
//!
//! **Symbols.** `h` the map row by row with its last entry 1; points of the card in mm, of the picture in px.
//!
//! **Method** (Hartley and Zisserman, *Multiple View Geometry*, 2nd ed., algorithms 4.2 and 4.3, from memory): both sets of points are moved to
//! their middle and scaled to a mean distance of `√2`; the linear system gives a start; distances in the picture are then made least by
//! Gauss-Newton steps. With the last entry fixed at 1 no eigenvector is needed: it would be 0 only if the middle of the points lay at infinity.
//!
//! Checked against numpy in `validation/scale_card`.
//!
//! symbol: h, forward, backward = entries of a map between millimetres and pixels, which have mixed units
//! symbol: middle, left, right, scaled, x, y = points and maps in the unit of what they stand for

use crate::small_solve::{fit_unknowns, solve_positive};

/// A point of the card and where it is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointPair {
    /// On the card, mm.
    pub card_mm: (f64, f64),
    /// In the picture, px.
    pub picture_px: (f64, f64),
}

/// A map from the card's plane to the picture and back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlaneHomography {
    forward: [f64; 9],
    backward: [f64; 9],
}

impl PlaneHomography {
    /// The map that fits pairs best, by distances in the picture; `None` for fewer than four pairs or where they lie on a line.
    #[must_use]
    pub fn fit_pairs(pairs: &[PointPair]) -> Option<Self> {
        let card = Normaliser::of_points(pairs.iter().map(|pair| pair.card_mm))?;
        let picture = Normaliser::of_points(pairs.iter().map(|pair| pair.picture_px))?;
        let scaled: Vec<PointPair> = pairs
            .iter()
            .map(|pair| PointPair {
                card_mm: card.apply_to(pair.card_mm),
                picture_px: picture.apply_to(pair.picture_px),
            })
            .collect();
        let start = fit_linear(&scaled)?;
        let misses = |h: &[f64]| list_misses(&with_one(h), &scaled);
        let fitted = fit_unknowns(&start, misses)?;
        let map = multiply(&picture.inverse_matrix(), &multiply(&with_one(&fitted.values), &card.matrix()));
        Self::from_entries(map)
    }

    /// The map with given entries; `None` where it has no inverse.
    #[must_use]
    pub fn from_entries(forward: [f64; 9]) -> Option<Self> {
        let backward = invert(&forward)?;
        Some(Self { forward, backward })
    }

    /// The entries, row by row, the last one 1.
    #[must_use]
    pub fn entries(&self) -> [f64; 9] {
        self.forward.map(|entry| entry / self.forward[8])
    }

    /// Where a point of the card is seen, px; `None` beyond the horizon.
    #[must_use]
    pub fn picture_px(&self, card_mm: (f64, f64)) -> Option<(f64, f64)> {
        apply(&self.forward, card_mm)
    }

    /// What point of the card is seen there, mm.
    #[must_use]
    pub fn card_mm(&self, picture_px: (f64, f64)) -> Option<(f64, f64)> {
        apply(&self.backward, picture_px)
    }

    /// Root mean square of the distances on the card between points and what the map makes of their pictures, mm.
    #[must_use]
    pub fn residual_mm(&self, pairs: &[PointPair]) -> f64 {
        let squares = pairs.iter().map(|pair| {
            self.card_mm(pair.picture_px).map_or(f64::INFINITY, |(x_mm, y_mm)| {
                (x_mm - pair.card_mm.0).powi(2) + (y_mm - pair.card_mm.1).powi(2)
            })
        });
        (squares.sum::<f64>() / pairs.len().max(1) as f64).sqrt()
    }
}

/// Moves points to their middle and scales them to a mean distance of `√2`.
struct Normaliser {
    middle: (f64, f64),
    scale: f64,
}

impl Normaliser {
    fn of_points(points: impl Iterator<Item = (f64, f64)> + Clone) -> Option<Self> {
        let count = points.clone().count();
        if count < 4 || !points.clone().all(|(x, y)| x.is_finite() && y.is_finite()) {
            return None;
        }
        let sum = points.clone().fold((0.0, 0.0), |sum, (x, y)| (sum.0 + x, sum.1 + y));
        let middle = (sum.0 / count as f64, sum.1 / count as f64);
        let distances: f64 = points.map(|(x, y)| units::math::hypot(x - middle.0, y - middle.1)).sum();
        let mean = distances / count as f64;
        (mean.is_finite() && mean > 1e-9).then(|| Self { middle, scale: std::f64::consts::SQRT_2 / mean })
    }

    fn apply_to(&self, (x, y): (f64, f64)) -> (f64, f64) {
        ((x - self.middle.0) * self.scale, (y - self.middle.1) * self.scale)
    }

    fn matrix(&self) -> [f64; 9] {
        let (x, y, s) = (self.middle.0, self.middle.1, self.scale);
        [s, 0.0, -s * x, 0.0, s, -s * y, 0.0, 0.0, 1.0]
    }

    fn inverse_matrix(&self) -> [f64; 9] {
        let (x, y, s) = (self.middle.0, self.middle.1, self.scale);
        [1.0 / s, 0.0, x, 0.0, 1.0 / s, y, 0.0, 0.0, 1.0]
    }
}

/// The linear start over scaled pairs.
fn fit_linear(scaled: &[PointPair]) -> Option<Vec<f64>> {
    let mut rows: Vec<([f64; 8], f64)> = Vec::with_capacity(2 * scaled.len());
    for pair in scaled {
        let ((x, y), (u, v)) = (pair.card_mm, pair.picture_px);
        rows.push(([x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y], u));
        rows.push(([0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y], v));
    }
    let normal: Vec<f64> =
        (0..64).map(|at| rows.iter().map(|(row, _)| row[at / 8] * row[at % 8]).sum()).collect();
    let right: Vec<f64> = (0..8).map(|at| rows.iter().map(|(row, seen)| row[at] * seen).sum()).collect();
    solve_positive(&normal, &right)
}

fn with_one(h: &[f64]) -> [f64; 9] {
    std::array::from_fn(|at| h.get(at).copied().unwrap_or(1.0))
}

fn list_misses(h: &[f64; 9], scaled: &[PointPair]) -> Option<Vec<f64>> {
    let mut misses = Vec::with_capacity(2 * scaled.len());
    for pair in scaled {
        let (u, v) = apply(h, pair.card_mm)?;
        misses.extend([u - pair.picture_px.0, v - pair.picture_px.1]);
    }
    Some(misses)
}

fn apply(h: &[f64; 9], (x, y): (f64, f64)) -> Option<(f64, f64)> {
    let depth = h[6] * x + h[7] * y + h[8];
    if !(depth.is_finite() && depth.abs() > 1e-12) {
        return None;
    }
    let point = ((h[0] * x + h[1] * y + h[2]) / depth, (h[3] * x + h[4] * y + h[5]) / depth);
    (point.0.is_finite() && point.1.is_finite()).then_some(point)
}

fn multiply(left: &[f64; 9], right: &[f64; 9]) -> [f64; 9] {
    std::array::from_fn(|at| (0..3).map(|k| left[at / 3 * 3 + k] * right[k * 3 + at % 3]).sum())
}

fn invert(h: &[f64; 9]) -> Option<[f64; 9]> {
    let minor = |a: usize, b: usize, c: usize, d: usize| h[a] * h[d] - h[b] * h[c];
    let adjugate = [
        minor(4, 5, 7, 8),
        -minor(1, 2, 7, 8),
        minor(1, 2, 4, 5),
        -minor(3, 5, 6, 8),
        minor(0, 2, 6, 8),
        -minor(0, 2, 3, 5),
        minor(3, 4, 6, 7),
        -minor(0, 1, 6, 7),
        minor(0, 1, 3, 4),
    ];
    let determinant = h[0] * adjugate[0] + h[1] * adjugate[3] + h[2] * adjugate[6];
    let inverse = adjugate.map(|entry| entry / determinant);
    inverse.iter().all(|entry| entry.is_finite()).then_some(inverse)
}
