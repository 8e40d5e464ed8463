//! Reading a line backwards: at which place does it, or a gauge, show a level?
//!
//! **Question.** A thermostat was set to eight temperatures and each was measured: which setting gives 104, and how sure is it? Two answers
//! belong together: where the **line itself** reaches the level (when is the wear at its limit, which setting gives this torque on average),
//! and where **one reading** of the level comes from (what did the gauge stand in).
//!
//! **Symbols.** As [`crate::crossing`]. Several readings of one unknown place count by their mean, and their scatter is pooled with the
//! line's: `s² = (SSE + Σ(y0ⱼ − ȳ0)²)/(n − p + m − 1)`.
//!
//! **Curves** (degree two and more) are followed within the readings only: the places where the band of the curve holds the level.
//!
//! **Sources.** Graybill and Iyer (1994), chapter 6; Greenwell and Schubert Kabban (2014).
//!
//! symbol: readings_y, level_y, scatter_y, x, low_x, high_x, estimate_x, q, places = levels on the y axis, places on the x axis, a quantile

use serde::Serialize;
use units::math;

use crate::crossing::LineCrossing;
use crate::line::{TrendLine, two_sided_quantile};

/// Places at which the band of a curve is looked at.
const CURVE_LOOKS: usize = 4_000;
/// Halvings of a stretch that holds an end.
const HALVINGS: u32 = 80;

/// Where a line shows a level.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LevelCrossing {
    /// The level, the mean where several readings of it are given.
    pub level_y: f64,
    /// How many readings it is the mean of.
    pub readings: usize,
    /// Where the line itself reaches it.
    pub line: LineCrossing,
    /// Where a reading of it (or the mean of several) comes from.
    pub reading: LineCrossing,
    /// By linear propagation: place and standard uncertainty.
    pub propagated: Option<PropagatedPlace>,
}

/// A place with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PropagatedPlace {
    /// The place.
    pub estimate_x: f64,
    /// Its standard uncertainty.
    pub deviation_x: f64,
}

// symbol: deviation_x = standard uncertainty of a place, in the unit of the column

/// A stretch of a curve's readings in which its band holds a level.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CurveStretch {
    /// Where the curve itself reaches it, if it does there.
    pub estimate_x: Option<f64>,
    /// Lower end.
    pub low_x: f64,
    /// Upper end.
    pub high_x: f64,
    /// An end is the end of the readings: beyond is not known.
    pub ends_with_the_readings: bool,
}

/// Where a straight line shows the mean of some readings of one level; `reading_uncertainty_y` is that of the mean, where it is known.
/// `None` for a curve, without readings of the level, or without a scatter.
#[must_use]
pub fn find_level(
    line: &TrendLine,
    readings_y: &[f64],
    reading_uncertainty_y: Option<f64>,
    confidence_share: f64,
) -> Option<LevelCrossing> {
    // symbol: reading_uncertainty_y = in the unit of the readings
    let count = readings_y.len();
    let level_y = readings_y.iter().sum::<f64>() / count as f64;
    if count == 0 || !level_y.is_finite() {
        return None;
    }
    let own: f64 = readings_y.iter().map(|y| (y - level_y) * (y - level_y)).sum();
    let (scatter_y, freedom) = match line.scatter_freedom() {
        None => (1.0, None),
        Some(freedom) => {
            let pooled = freedom + count - 1;
            let squares = line.fit().residual_squares_number() + own;
            (math::sqrt(squares / pooled.max(1) as f64), Some(pooled).filter(|nu| *nu > 0))
        }
    };
    if freedom.is_none() && line.scatter_freedom().is_some() {
        return None;
    }
    let q = two_sided_quantile(confidence_share, freedom);
    let centred = line.centre_line(scatter_y)?;
    let known = reading_uncertainty_y.map(|u| u * u);
    let reading_variance = known.unwrap_or(if line.fit().has_known_scatter() {
        0.0
    } else {
        scatter_y * scatter_y / count as f64
    });
    let propagated = centred.propagate_crossing(level_y, reading_variance);
    Some(LevelCrossing {
        level_y,
        readings: count,
        line: centred.find_crossing(level_y, q, 0.0),
        reading: centred.find_crossing(level_y, q, reading_variance),
        propagated: propagated.map(|(estimate_x, deviation_x)| PropagatedPlace { estimate_x, deviation_x }),
    })
}

/// How far a level lies outside the band of a curve; nought or below inside.
fn pass_band(line: &TrendLine, x: f64, level_y: f64, band: (f64, f64)) -> f64 {
    // symbol: band = quantile times scatter, and the share of a reading's variance
    let off = line.height_at(x) - level_y;
    let unit = line.unit_deviation_at(x);
    off * off - band.0 * band.0 * (unit * unit + band.1)
}

/// Halves a stretch until the place is found where a function changes its sign.
fn halve_to_root(mut low_x: f64, mut high_x: f64, of: impl Fn(f64) -> f64) -> f64 {
    let is_low_positive = of(low_x) > 0.0;
    for _ in 0..HALVINGS {
        let x = f64::midpoint(low_x, high_x);
        if (of(x) > 0.0) == is_low_positive { low_x = x } else { high_x = x }
    }
    f64::midpoint(low_x, high_x)
}

/// The stretches, within the readings, in which the band of a line or curve holds a level; for the curve itself, or for one reading.
#[must_use]
pub fn follow_curve(
    line: &TrendLine,
    level_y: f64,
    confidence_share: f64,
    is_of_reading: bool,
) -> Vec<CurveStretch> {
    let Some(scatter_y) = line.fit().scatter_number().filter(|_| level_y.is_finite()) else {
        return Vec::new();
    };
    let q = two_sided_quantile(confidence_share, line.scatter_freedom());
    let band = (q * scatter_y, if is_of_reading { 1.0 } else { 0.0 });
    let (first, last) = line.ends_x();
    let places: Vec<f64> =
        (0..=CURVE_LOOKS).map(|k| first + (last - first) * k as f64 / CURVE_LOOKS as f64).collect();
    let outside = |x: f64| pass_band(line, x, level_y, band);
    let is_inside: Vec<bool> = places.iter().map(|x| outside(*x) <= 0.0).collect();
    let above = |x: f64| line.height_at(x) - level_y;
    let mut stretches = Vec::new();
    let mut at = 0;
    while at < places.len() {
        if !is_inside[at] {
            at += 1;
            continue;
        }
        let end = (at..places.len()).take_while(|k| is_inside[*k]).last().unwrap_or(at);
        let low_x = if at == 0 { first } else { halve_to_root(places[at - 1], places[at], outside) };
        let high_x =
            if end == CURVE_LOOKS { last } else { halve_to_root(places[end], places[end + 1], outside) };
        let crosses = (above(low_x) > 0.0) != (above(high_x) > 0.0);
        stretches.push(CurveStretch {
            estimate_x: crosses.then(|| halve_to_root(low_x, high_x, above)),
            low_x,
            high_x,
            ends_with_the_readings: at == 0 || end == CURVE_LOOKS,
        });
        at = end + 1;
    }
    stretches
}
