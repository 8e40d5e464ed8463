//! `trend wear`: when readings reach their limit.
//!
//! symbol: limit_y, uncertainty_y, usual_rate, rate, rate_low, rate_high, scatter, last_x, beyond_spans = figures in the units of the columns
//! symbol: median, low, high, confidence, span = the same; confidence is a share

use serde::Serialize;
use units::math;

use super::line::{LineRequest, TrendPicture, answer_line};
use super::{TrendFailure, check_confidence, say_few, say_left_out};
use crate::columns::ReadingTable;
use crate::crossing::{LineCrossing, NoInterval};
use crate::line::LineShape;
use crate::posterior::RatePrior;
use crate::wear::{STATED_FREEDOM, WearBasis, WearForecast, WearQuestion, forecast_wear};

/// A crossing further ahead than this many spans of the readings is warned of (assumption).
const FAR_SPANS: f64 = 2.0;

/// What is asked of wear.
#[derive(Debug, Clone, PartialEq)]
pub struct WearRequest {
    /// Column of distance, hours or days.
    pub x: Option<String>,
    /// Column of readings.
    pub y: Option<String>,
    /// Limit of what is read.
    pub limit_y: f64,
    /// Standard uncertainty of a reading.
    pub uncertainty_y: Option<f64>,
    /// Nine in ten rates of like vehicles.
    pub usual_rate: Option<(f64, f64)>,
    /// The reading is nought when new.
    pub through_origin: bool,
    /// The logarithm of the reading is straight.
    pub log_y: bool,
    /// Confidence of the interval.
    pub confidence_share: f64,
}

/// The prior as it was stated.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StatedPrior {
    /// Nine in ten rates lie above this, less one in twenty.
    pub low: f64,
    /// And below this.
    pub high: f64,
    /// Half lie below this.
    pub median: f64,
    /// All of it in words.
    pub words: String,
}

/// The answer about wear.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WearAnswer {
    /// Column of distance, hours or days.
    pub x: String,
    /// Column of readings.
    pub y: String,
    /// Readings.
    pub readings: usize,
    /// Rows left out.
    pub left_out: usize,
    /// The limit.
    pub limit: f64,
    /// When it is reached.
    pub reached: LineCrossing,
    /// On what that rests.
    pub basis: WearBasis,
    /// The prior, where one was stated.
    pub prior: Option<StatedPrior>,
    /// Rate: change of the reading (or of its logarithm) per unit of `x`.
    pub rate: f64,
    /// Its lower end; `None` where there is no interval.
    pub rate_low: Option<f64>,
    /// Its upper end.
    pub rate_high: Option<f64>,
    /// Scatter of a reading; `None` where nothing tells it.
    pub scatter: Option<f64>,
    /// Place of the last reading.
    pub last_x: f64,
    /// How far ahead of it the limit lies, in spans of the readings.
    pub beyond_spans: Option<f64>,
    /// The last reading is at the limit or beyond.
    pub is_past: bool,
    /// Confidence of the interval.
    pub confidence: f64,
    /// What to beware of.
    pub cautions: Vec<String>,
    /// For a drawing.
    #[serde(skip)]
    pub picture: TrendPicture,
}

// symbol: limit = in the unit of y

/// Answers about wear.
///
/// # Errors
/// [`TrendFailure`] when the columns, the limit or what is stated cannot be used.
pub fn answer_wear(table: &ReadingTable, asked: &WearRequest) -> Result<WearAnswer, TrendFailure> {
    check_confidence(asked.confidence_share)?;
    let prior = read_prior(asked)?;
    let x_name = table.choose_column(asked.x.as_deref(), "x", 0)?;
    let y_name = table.choose_column(asked.y.as_deref(), "y", 1)?;
    let read = table.read_figures(&[&x_name, &y_name])?;
    let scale = |y: &f64| if asked.log_y { math::ln(*y) } else { *y };
    let y: Vec<f64> = read.values[1].iter().map(scale).collect();
    let limit_y = scale(&asked.limit_y);
    if !limit_y.is_finite() || y.iter().any(|y| !y.is_finite()) {
        return Err(TrendFailure::new("--log-y wants readings and a limit above zero"));
    }
    let shape = if asked.through_origin { LineShape::ThroughOrigin } else { LineShape::Free { degree: 1 } };
    let found = forecast_wear(&WearQuestion {
        x: &read.values[0],
        y: &y,
        limit_y,
        uncertainty_y: asked.uncertainty_y,
        usual_rate: prior,
        shape,
        confidence_share: asked.confidence_share,
    })?;
    let has_interval = !matches!(found.crossing, LineCrossing::EstimateOnly { .. });
    let picture = sketch_wear(table, asked, &x_name, &y_name, shape, &found);
    Ok(WearAnswer {
        readings: found.readings,
        left_out: read.left_out,
        limit: asked.limit_y,
        reached: found.crossing,
        basis: found.basis,
        prior: prior.map(|p| state_prior(&p, asked)),
        rate: found.slope,
        rate_low: has_interval.then_some(found.low_slope),
        rate_high: has_interval.then_some(found.high_slope),
        scatter: has_interval.then_some(found.scatter_y),
        last_x: found.last_x,
        beyond_spans: found.beyond_spans,
        is_past: found.is_past,
        confidence: asked.confidence_share,
        cautions: gather_cautions(&found, asked, read.left_out),
        picture,
        x: x_name,
        y: y_name,
    })
}

fn read_prior(asked: &WearRequest) -> Result<Option<RatePrior>, TrendFailure> {
    let Some((low, high)) = asked.usual_rate else { return Ok(None) };
    if asked.through_origin || asked.log_y {
        return Err(TrendFailure::new(
            "--usual-rate belongs to a straight line; leave out --through-origin and --log-y",
        ));
    }
    let prior = RatePrior::from_range(low, high).ok_or_else(|| {
        TrendFailure::new("--usual-rate wants two figures above zero, the lower first: \"0.05 to 0.13\"")
    })?;
    Ok(Some(prior))
}

fn state_prior(prior: &RatePrior, asked: &WearRequest) -> StatedPrior {
    let (low, high) = prior.ends();
    let scatter = asked.uncertainty_y.map_or_else(
        || String::from("the scatter is left to the readings"),
        |u| {
            format!(
                "a reading scatters by {u}, good to 25 % ({STATED_FREEDOM} degrees of freedom, GUM G.4.2)"
            )
        },
    );
    let words = format!(
        "nine in ten rates of like vehicles lie from {} to {} towards the limit, on a logarithmic scale; {scatter}",
        units::significant(low, 3),
        units::significant(high, 3)
    );
    StatedPrior { low, high, median: prior.median_number(), words }
}

fn gather_cautions(found: &WearForecast, asked: &WearRequest, left_out: usize) -> Vec<String> {
    let mut all = Vec::new();
    if matches!(found.crossing, LineCrossing::Between { .. }) {
        all.extend(say_few(found.readings));
    }
    all.extend(say_left_out(left_out));
    match found.crossing {
        LineCrossing::EstimateOnly { why: NoInterval::FewReadings, .. } => all.push(format!(
            "{} readings alone do not show their scatter: state --uncertainty of the gauge, or --usual-rate of like vehicles with it, for an interval.",
            found.readings
        )),
        LineCrossing::EstimateOnly { why: NoInterval::ScaleTooCoarse, .. } => all.push(String::from(
            "The readings lie on a line to the last digit: the scale hides the scatter; state --uncertainty.",
        )),
        LineCrossing::CannotTell { .. } => all.push(String::from(
            "The readings do not tell the rate from none: read again after a longer stretch, at the same marked place.",
        )),
        LineCrossing::Between { .. } => {}
    }
    if found.leads_away && !matches!(found.crossing, LineCrossing::CannotTell { .. }) {
        all.push(String::from(
            "The readings lead away from the limit; check their order and the side of the limit.",
        ));
    }
    if let Some(spans) = found.beyond_spans.filter(|spans| *spans > FAR_SPANS) {
        all.push(format!(
            "The limit lies {} times as far ahead as the readings reach: it holds only if wear goes on as it is.",
            units::significant(spans, 2)
        ));
    }
    if asked.usual_rate.is_some() && asked.uncertainty_y.is_none() {
        all.push(String::from(
            "No uncertainty of the gauge is stated: the scatter comes from the readings alone.",
        ));
    }
    all.push(String::from(
        "Wear that starts fast while bedding in makes a line from new overstate what comes later; start at a reading after that.",
    ));
    all
}

/// The line through the readings, with the answer's own place and interval.
fn sketch_wear(
    table: &ReadingTable,
    asked: &WearRequest,
    x_name: &str,
    y_name: &str,
    shape: LineShape,
    found: &WearForecast,
) -> TrendPicture {
    let request = LineRequest {
        x: vec![x_name.to_owned()],
        y: Some(y_name.to_owned()),
        uncertainty: None,
        shape,
        log_x: false,
        log_y: asked.log_y,
        origin_x: 0.0,
        places_x: Vec::new(),
        levels_y: vec![asked.limit_y],
        level_uncertainty_y: None,
        confidence_share: asked.confidence_share,
    };
    let mut picture = answer_line(table, &request).map(|answer| answer.picture).unwrap_or_default();
    picture.reached = match found.crossing {
        LineCrossing::Between { estimate_x, low_x, high_x, .. } => Some([estimate_x, low_x, high_x]),
        LineCrossing::EstimateOnly { .. } | LineCrossing::CannotTell { .. } => None,
    };
    picture
}
