//! When wear reaches its limit, from two or more readings, with an interval.
//!
//! **Question.** Pads measured 11.2, 9.9 and 8.7 mm at 0, 15 and 31 thousand km wear out at 3 mm: when, and between which ends?
//!
//! **Symbols.** Readings `y_i` at `x_i`, `n` of them; line `y = c + b·(x − x̄) + e`, `e` normal with scatter `σ`; `SSE`, `Sxx` as usual; `u` standard
//! uncertainty of a reading where somebody states it, worth `ν0 = 8` degrees of freedom; limit `L`.
//!
//! ```text
//! readings alone:  s² = (ν0·u² + SSE)/(ν0 + n − 2), ν = ν0 + n − 2, then Fieller; g ≥ 1: cannot tell   (ν0 = 0 without u, n ≥ 4)
//! usual rate:      p(b) ∝ prior(b)·B(b)^(−(ν0+n−1)/2),  B(b) = ν0·u² + SSE + Sxx·(b − b̂)²
//!                  P(x* ≤ x) = ∫ p(b)·T_ν( (ȳ + b·(x − x̄) − L)·√(ν·n/B(b)) ) db,  ν = ν0 + n − 1
//! ```
//!
//! **Prior.** Only where a usual rate is given: `ln b` normal, nine in ten rates within the range told; the height of the line is not limited; the
//! scatter is `u`, good to about 25 % (`ν0 = 8`), or quite open without `u`. Nothing is assumed that nobody told.
//!
//! **Assumptions and range.** A straight path (or a straight logarithm). **Wear that starts fast, while bedding in, makes a line from new overstate what
//! comes later**; the path's form decides more than the scatter. The interval is of the line itself, not of the next gauge reading.
//!
//! **Worked example.** Six pad readings, limit 3 mm: 101.9 thousand km, 90 % 99.8 to 104.1.
//!
//! **Sources.** Fieller as [`crate::crossing`]; `ν0 = 8`: JCGM 100:2008 (GUM) G.4.2, an uncertainty good to 25 %; posterior of a line: Gelman et al.,
//! chapter 14 (from memory).
//!
//! symbol: x, y, b, limit_y, uncertainty_y, scatter_y, slope, low_slope, high_slope, last_x, span_x, low_x = as below
//! symbol: high_x, estimate_x, freedom, sign, spread_squares, mean_y, mean_x, slope_hat, beyond_spans = readings, rates and places in the units of the columns, and pure numbers

use core::fmt;

use bolting::tolerance::{student_above_probability, student_quantile};
use serde::Serialize;
use units::math;

use crate::crossing::{CentredLine, LineCrossing, NoInterval};
use crate::line::{LineShape, TrendLine, TrendLineError, fit_trend_line};
use crate::posterior::{RateDensity, RatePrior, find_rising_root};

/// Degrees of freedom that a stated uncertainty is worth (GUM G.4.2, good to 25 %).
pub const STATED_FREEDOM: f64 = 8.0;
/// Readings from which an interval rests on readings alone. With three, one degree of freedom is left: the cases in which the slope shows are
/// then those whose scatter happens to come out small, and "90 %" holds in some 84 of 100 of them (`tests/coverage.rs`).
pub const LEAST_ALONE: usize = 4;

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct WearQuestion<'a> {
    /// Distance, hours or time of each reading.
    pub x: &'a [f64],
    /// What was read.
    pub y: &'a [f64],
    /// Limit of what is read.
    pub limit_y: f64,
    /// Standard uncertainty of a reading, where somebody states it.
    pub uncertainty_y: Option<f64>,
    /// Rates of like vehicles, where somebody states them.
    pub usual_rate: Option<RatePrior>,
    /// Whether the line goes through the origin: what is read is nought when new.
    pub shape: LineShape,
    /// Confidence of the interval.
    pub confidence_share: f64,
}

/// On what an answer rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WearBasis {
    /// The readings and nothing else.
    ReadingsAlone,
    /// The readings and the stated uncertainty of the gauge.
    ReadingsAndGauge,
    /// The readings and the stated rates of like vehicles.
    UsualRate,
}

/// When the limit is reached.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WearForecast {
    /// Where the line reaches the limit, or that the readings do not tell.
    pub crossing: LineCrossing,
    /// On what it rests.
    pub basis: WearBasis,
    /// Rate: change of the reading per unit of `x`.
    pub slope: f64,
    /// Lower end of the rate.
    pub low_slope: f64,
    /// Upper end of the rate.
    pub high_slope: f64,
    /// Scatter of a reading about the line.
    pub scatter_y: f64,
    /// Readings.
    pub readings: usize,
    /// Place of the last reading.
    pub last_x: f64,
    /// The last reading is at the limit or beyond.
    pub is_past: bool,
    /// The readings lead away from the limit.
    pub leads_away: bool,
    /// How far the estimate lies beyond the last reading, in spans of the readings.
    pub beyond_spans: Option<f64>,
}

/// Why there is no forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WearError {
    /// One reading or none.
    TooFew {
        /// Readings.
        have: usize,
    },
    /// A limit, uncertainty or confidence that is none.
    BadFigure(&'static str),
    /// The readings make no line.
    Line(TrendLineError),
}

impl fmt::Display for WearError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { have } => {
                write!(f, "{have} reading makes no rate; take a second one at another distance")
            }
            Self::BadFigure(what) => write!(
                f,
                "{what} cannot be used; give a figure above zero, a confidence between 0.5 and 0.999"
            ),
            Self::Line(error) => error.fmt(f),
        }
    }
}

impl core::error::Error for WearError {}

impl From<TrendLineError> for WearError {
    fn from(error: TrendLineError) -> Self {
        Self::Line(error)
    }
}

/// Works out when the limit is reached.
///
/// # Errors
/// [`WearError`] when readings are too few or make no line.
pub fn forecast_wear(asked: &WearQuestion<'_>) -> Result<WearForecast, WearError> {
    refuse_bad_question(asked)?;
    let line = fit_trend_line(asked.x, asked.y, None, asked.shape)?;
    let stated = asked.uncertainty_y.map_or(0.0, |u| STATED_FREEDOM * u * u);
    let stated_freedom = if asked.uncertainty_y.is_some() { STATED_FREEDOM } else { 0.0 };
    let squares = line.fit().residual_squares_number();
    let freedom = stated_freedom + line.fit().freedom() as f64;
    if let Some(why) = find_no_interval(asked, squares, &line) {
        return estimate_alone(asked, &line, why);
    }
    let scatter_y = math::sqrt((stated + squares) / freedom);
    match (asked.usual_rate, asked.shape) {
        (Some(prior), LineShape::Free { .. }) => {
            weigh_usual_rate(asked, &line, &prior, stated + squares, stated_freedom)
        }
        (None, _) | (Some(_), LineShape::ThroughOrigin) => forecast_alone(asked, &line, scatter_y, freedom),
    }
}

fn refuse_bad_question(asked: &WearQuestion<'_>) -> Result<(), WearError> {
    if asked.y.len() < 2 {
        return Err(WearError::TooFew { have: asked.y.len() });
    }
    let is_positive = |u: f64| u.is_finite() && u > 0.0;
    if !asked.limit_y.is_finite() {
        return Err(WearError::BadFigure("the limit"));
    }
    if asked.uncertainty_y.is_some_and(|u| !is_positive(u)) {
        return Err(WearError::BadFigure("the uncertainty"));
    }
    if !(0.5..=0.999).contains(&asked.confidence_share) {
        return Err(WearError::BadFigure("the confidence"));
    }
    match asked.shape {
        LineShape::Free { degree } if degree != 1 => Err(TrendLineError::Degree { degree }.into()),
        LineShape::Free { .. } | LineShape::ThroughOrigin => Ok(()),
    }
}

/// The earliest reading and the latest, each the mean of those at one place.
fn first_and_last(x: &[f64], y: &[f64]) -> ((f64, f64), (f64, f64)) {
    let mean_at = |place: f64| {
        let own: Vec<f64> = x.iter().zip(y).filter(|(at, _)| **at == place).map(|(_, y)| *y).collect();
        (place, own.iter().sum::<f64>() / own.len() as f64)
    };
    let first = x.iter().copied().fold(f64::INFINITY, f64::min);
    let last = x.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    (mean_at(first), mean_at(last))
}

/// What an answer says besides where the limit is reached.
fn describe_forecast(
    asked: &WearQuestion<'_>,
    crossing: LineCrossing,
    basis: WearBasis,
    slopes: [f64; 3],
    scatter_y: f64,
) -> WearForecast {
    // symbol: slopes = lower end, rate, upper end
    let ((first_x, first_y), (last_x, last_y)) = first_and_last(asked.x, asked.y);
    let sign = if asked.limit_y >= first_y { 1.0 } else { -1.0 };
    let beyond_spans = match crossing {
        LineCrossing::Between { estimate_x, .. } | LineCrossing::EstimateOnly { estimate_x, .. }
            if last_x > first_x =>
        {
            Some((estimate_x - last_x) / (last_x - first_x))
        }
        LineCrossing::Between { .. }
        | LineCrossing::EstimateOnly { .. }
        | LineCrossing::CannotTell { .. } => None,
    };
    WearForecast {
        crossing,
        basis,
        slope: slopes[1],
        low_slope: slopes[0],
        high_slope: slopes[2],
        scatter_y,
        readings: asked.y.len(),
        last_x,
        is_past: sign * (last_y - asked.limit_y) >= 0.0,
        leads_away: slopes[1] * sign < 0.0,
        beyond_spans,
    }
}

/// Why readings without a stated uncertainty have no interval.
fn find_no_interval(asked: &WearQuestion<'_>, squares: f64, line: &TrendLine) -> Option<NoInterval> {
    // symbol: squares = sum of squares about the line
    let least = if asked.shape == LineShape::ThroughOrigin { LEAST_ALONE - 1 } else { LEAST_ALONE };
    if asked.uncertainty_y.is_some() {
        return None;
    }
    if asked.y.len() < least || line.fit().freedom() == 0 {
        return Some(NoInterval::FewReadings);
    }
    let largest = asked.y.iter().fold(0.0_f64, |m, y| m.max(y.abs()));
    (squares <= 1.0e-24 * largest * largest).then_some(NoInterval::ScaleTooCoarse)
}

/// The estimate without an interval.
fn estimate_alone(
    asked: &WearQuestion<'_>,
    line: &TrendLine,
    why: NoInterval,
) -> Result<WearForecast, WearError> {
    let centred = line.centre_line(0.0).ok_or(TrendLineError::Lengths)?;
    let crossing = match centred.propagate_crossing(asked.limit_y, 0.0) {
        Some((estimate_x, _)) => LineCrossing::EstimateOnly { estimate_x, why },
        None => LineCrossing::CannotTell { g: f64::MAX, outside: None },
    };
    let slopes = [centred.slope; 3];
    Ok(describe_forecast(asked, crossing, WearBasis::ReadingsAlone, slopes, 0.0))
}

fn forecast_alone(
    asked: &WearQuestion<'_>,
    line: &TrendLine,
    scatter_y: f64,
    freedom: f64,
) -> Result<WearForecast, WearError> {
    let q = student_quantile(f64::midpoint(1.0, asked.confidence_share), freedom);
    let centred: CentredLine = line.centre_line(scatter_y).ok_or(TrendLineError::Lengths)?;
    let half = q * math::sqrt(centred.slope_variance);
    let basis =
        if asked.uncertainty_y.is_some() { WearBasis::ReadingsAndGauge } else { WearBasis::ReadingsAlone };
    let slopes = [centred.slope - half, centred.slope, centred.slope + half];
    Ok(describe_forecast(asked, centred.find_crossing(asked.limit_y, q, 0.0), basis, slopes, scatter_y))
}

/// Readings and the stated rates of like vehicles together.
fn weigh_usual_rate(
    asked: &WearQuestion<'_>,
    line: &TrendLine,
    prior: &RatePrior,
    spread_squares: f64,
    stated_freedom: f64,
) -> Result<WearForecast, WearError> {
    // symbol: stated_freedom = a pure number
    let count = asked.y.len() as f64;
    let unit = line.centre_line(1.0).ok_or(TrendLineError::Lengths)?;
    let ((_, first_y), _) = first_and_last(asked.x, asked.y);
    let sign = if asked.limit_y >= first_y { 1.0 } else { -1.0 };
    // Turned so that wear rises towards its limit: the rate is above nought.
    let (mean_y, limit_y, slope_hat) = (sign * unit.level_y, sign * asked.limit_y, sign * unit.slope);
    let sxx = 1.0 / unit.slope_variance;
    let freedom = stated_freedom + count - 1.0;
    let spread_at = |b: f64| spread_squares + sxx * (b - slope_hat) * (b - slope_hat);
    let deviation = math::sqrt(spread_squares / (freedom * sxx));
    let density = RateDensity::weigh_rates(prior, slope_hat, deviation, |b| {
        -(freedom / 2.0) * math::ln(spread_at(b) / spread_squares)
    })
    .ok_or(WearError::BadFigure("the usual rate"))?;
    let reached_by = |x: f64| {
        density.mean_of(|b| {
            let off = mean_y + b * (x - unit.centre_x) - limit_y;
            1.0 - student_above_probability(off * math::sqrt(freedom * count / spread_at(b)), freedom)
        })
    };
    let middle = density.quantile_at(0.5);
    let start = unit.centre_x + (limit_y - mean_y) / middle;
    let deviation_x = math::sqrt(spread_squares / (freedom * count)) / middle;
    let step = 0.1 * (start - unit.centre_x).abs() + deviation_x;
    let ends = (start - 1.0e6 * step, start + 1.0e6 * step);
    let place = |share: f64| find_rising_root(start, step, ends, share, reached_by);
    let tail = (1.0 - asked.confidence_share) / 2.0;
    let ends = [0.5, tail, 1.0 - tail].map(place);
    let crossing = match ends {
        [Some(estimate_x), Some(low_x), Some(high_x)] => {
            LineCrossing::Between { estimate_x, low_x, high_x, g: 0.0 }
        }
        _ => LineCrossing::CannotTell { g: f64::MAX, outside: None },
    };
    let rates = [tail, 0.5, 1.0 - tail].map(|share| sign * density.quantile_at(share));
    let slopes = if sign > 0.0 { rates } else { [rates[2], rates[1], rates[0]] };
    let scatter_y = math::sqrt(spread_squares / (freedom - 1.0).max(1.0));
    Ok(describe_forecast(asked, crossing, WearBasis::UsualRate, slopes, scatter_y))
}
