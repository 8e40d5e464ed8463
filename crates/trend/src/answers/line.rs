//! `trend line`: a line through columns of a table, its values, and where it reaches a level.
//!
//! symbol: values = a column
//! symbol: estimate, deviation, value, line_low, line_high, reading_low, reading_high, scatter = figures in the units of the columns
//! symbol: residual_squares, correlation, level, points, places_x, origin_x, levels_y, level_uncertainty_y, x, y = the same

use serde::Serialize;
use units::math;

use super::{TrendFailure, check_confidence, say_few, say_left_out};
use crate::columns::ReadingTable;
use crate::crossing::LineCrossing;
use crate::inverse::{CurveStretch, LevelCrossing, find_level, follow_curve};
use crate::least_squares::LeastSquaresFit;
use crate::line::{LineShape, TrendLine, fit_predictors, fit_trend_line};

/// Places at which the drawing follows a line.
const DRAWN_PLACES: usize = 60;

/// What is asked of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct LineRequest {
    /// Columns that it depends on.
    pub x: Vec<String>,
    /// Column that depends on them.
    pub y: Option<String>,
    /// Column of standard uncertainties of `y`.
    pub uncertainty: Option<String>,
    /// Degree or origin.
    pub shape: LineShape,
    /// `x` as logarithm.
    pub log_x: bool,
    /// `y` as logarithm.
    pub log_y: bool,
    /// `x` counts from here.
    pub origin_x: f64,
    /// Places whose value is asked.
    pub places_x: Vec<f64>,
    /// Readings of one level that is to be found.
    pub levels_y: Vec<f64>,
    /// Standard uncertainty of their mean, where it is known.
    pub level_uncertainty_y: Option<f64>,
    /// Confidence of the intervals.
    pub confidence_share: f64,
}

/// A coefficient.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LineTerm {
    /// What it multiplies.
    pub term: String,
    /// Estimate.
    pub estimate: f64,
    /// Standard deviation; `None` without a scatter.
    pub deviation: Option<f64>,
}

/// The line at a place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LineAtPlace {
    /// The place.
    pub x: f64,
    /// Height of the line.
    pub value: f64,
    /// Its standard deviation; `None` for a logarithm.
    pub deviation: Option<f64>,
    /// Interval of the line.
    pub line_low: f64,
    /// Its upper end.
    pub line_high: f64,
    /// Interval of one new reading.
    pub reading_low: f64,
    /// Its upper end.
    pub reading_high: f64,
    /// Whether it lies beyond the readings.
    pub beyond_the_readings: bool,
}

/// Where a curve holds a level, within its readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CurveLevel {
    /// The level.
    pub level: f64,
    /// For the curve itself.
    pub line: Vec<CurveStretch>,
    /// For one reading.
    pub reading: Vec<CurveStretch>,
}

/// What a drawing needs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TrendPicture {
    /// Readings.
    pub points: Vec<(f64, f64)>,
    /// Place, height, lower and upper end of the line.
    pub band: Vec<[f64; 4]>,
    /// The level.
    pub level: Option<f64>,
    /// Where it is reached: estimate and ends.
    pub reached: Option<[f64; 3]>,
}

// symbol: band, reached = places and heights, in the units of the columns

/// The answer about a line.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LineAnswer {
    /// Columns that it depends on.
    pub x: Vec<String>,
    /// Column that depends on them.
    pub y: String,
    /// Readings.
    pub readings: usize,
    /// Rows left out.
    pub left_out: usize,
    /// The form of the line in words.
    pub form: String,
    /// Coefficients.
    pub terms: Vec<LineTerm>,
    /// Correlation of the first two of them.
    pub correlation: Option<f64>,
    /// Scatter of a reading; `None` without a degree of freedom, or where the uncertainties are given.
    pub scatter: Option<f64>,
    /// Degrees of freedom.
    pub freedom: usize,
    /// Sum of squares left; `χ²` where uncertainties are given.
    pub residual_squares: f64,
    /// Share of the sum of squares that is explained.
    pub r_squared: Option<f64>,
    /// Whether uncertainties are given.
    pub has_known_uncertainties: bool,
    /// Confidence of the intervals.
    pub confidence: f64,
    /// Values that were asked.
    pub at: Vec<LineAtPlace>,
    /// Where a straight line reaches the level.
    pub crossing: Option<LevelCrossing>,
    /// Where a curve holds it.
    pub curve_level: Option<CurveLevel>,
    /// What to beware of.
    pub cautions: Vec<String>,
    /// For a drawing.
    #[serde(skip)]
    pub picture: TrendPicture,
}

// symbol: confidence, r_squared = shares, pure numbers

/// The columns of a line, logarithms taken and places counted from their origin.
struct LineColumns {
    x: Vec<Vec<f64>>,
    y: Vec<f64>,
    uncertainties: Option<Vec<f64>>,
    left_out: usize,
    names: (Vec<String>, String),
}

// symbol: uncertainties = in the unit of y

fn take_logarithms(values: &mut [f64], column: &str) -> Result<(), TrendFailure> {
    if let Some(bad) = values.iter().find(|v| **v <= 0.0) {
        return Err(TrendFailure::new(format!(
            "{bad} in column `{column}` has no logarithm; leave out --log-x or --log-y, or the row"
        )));
    }
    values.iter_mut().for_each(|v| *v = math::ln(*v));
    Ok(())
}

fn read_line_columns(table: &ReadingTable, asked: &LineRequest) -> Result<LineColumns, TrendFailure> {
    let x_names: Vec<String> = if asked.x.is_empty() {
        vec![table.choose_column(None, "x", 0)?]
    } else {
        asked.x.iter().map(|x| table.choose_column(Some(x), "x", 0)).collect::<Result<_, _>>()?
    };
    let y_name = table.choose_column(asked.y.as_deref(), "y", 1)?;
    let mut wanted: Vec<&str> = x_names.iter().map(String::as_str).collect();
    wanted.push(&y_name);
    wanted.extend(asked.uncertainty.as_deref());
    let mut read = table.read_figures(&wanted)?;
    let uncertainties = asked.uncertainty.is_some().then(|| read.values.pop()).flatten();
    let mut y = read.values.pop().unwrap_or_default();
    let mut x = read.values;
    if asked.log_y && uncertainties.is_some() {
        return Err(TrendFailure::new("--log-y and --uncertainty do not go together; leave one out"));
    }
    if asked.log_y {
        take_logarithms(&mut y, &y_name)?;
    }
    for (column, name) in x.iter_mut().zip(&x_names) {
        column.iter_mut().for_each(|v| *v -= asked.origin_x);
        if asked.log_x {
            take_logarithms(column, name)?;
        }
    }
    Ok(LineColumns { x, y, uncertainties, left_out: read.left_out, names: (x_names, y_name) })
}

/// Answers about a line.
///
/// # Errors
/// [`TrendFailure`] when the columns or the figures asked for cannot be used.
pub fn answer_line(table: &ReadingTable, asked: &LineRequest) -> Result<LineAnswer, TrendFailure> {
    check_confidence(asked.confidence_share)?;
    let columns = read_line_columns(table, asked)?;
    if columns.x.len() > 1 {
        return answer_predictors(&columns, asked);
    }
    let x = columns.x.first().map_or(&[][..], Vec::as_slice);
    let line = fit_trend_line(x, &columns.y, columns.uncertainties.as_deref(), asked.shape)?;
    let place_of = |x: f64| {
        let from = x - asked.origin_x;
        if asked.log_x { math::ln(from) } else { from }
    };
    let at: Vec<LineAtPlace> =
        asked.places_x.iter().filter_map(|x| value_at_place(&line, *x, place_of(*x), asked)).collect();
    let levels: Vec<f64> =
        asked.levels_y.iter().map(|y| if asked.log_y { math::ln(*y) } else { *y }).collect();
    if levels.iter().any(|y| !y.is_finite()) {
        return Err(TrendFailure::new("--where-y must be a figure, above zero with --log-y"));
    }
    let mut crossing = find_level(&line, &levels, asked.level_uncertainty_y, asked.confidence_share);
    if let Some(level) = crossing.as_mut() {
        restore_places(level, asked);
    }
    let is_curve = matches!(asked.shape, LineShape::Free { degree } if degree > 1);
    let curve_level = (is_curve && !levels.is_empty()).then(|| follow_level(&line, &levels, asked));
    let cautions = gather_cautions(&line, &columns, asked, &at, crossing.as_ref(), curve_level.as_ref());
    let picture = sketch_line(&line, &columns, asked, crossing.as_ref());
    let names = name_powers(&columns.names.0[0], asked);
    let mut answer = describe_fit(line.fit(), &columns, &names, asked);
    answer.correlation = (names.len() > 1).then(|| line.correlate_coefficients(0, 1));
    Ok(LineAnswer { at, crossing, curve_level, cautions, picture, ..answer })
}

fn answer_predictors(columns: &LineColumns, asked: &LineRequest) -> Result<LineAnswer, TrendFailure> {
    let plain = asked.shape == LineShape::Free { degree: 1 } && columns.uncertainties.is_none();
    if !plain || !asked.levels_y.is_empty() || !asked.places_x.is_empty() {
        return Err(TrendFailure::new(
            "several --x columns give a plain fit with a constant; leave out --degree, --through-origin, --uncertainty, --at and --where-y",
        ));
    }
    let fit = fit_predictors(&columns.x, &columns.y)?;
    let names: Vec<String> =
        core::iter::once("constant".to_owned()).chain(columns.names.0.iter().cloned()).collect();
    let mut answer = describe_fit(&fit, columns, &names, asked);
    answer.cautions.extend(say_left_out(columns.left_out));
    Ok(answer)
}

/// The names of the powers of a column.
fn name_powers(x: &str, asked: &LineRequest) -> Vec<String> {
    let from = if asked.origin_x == 0.0 { x.to_owned() } else { format!("({x} − {})", asked.origin_x) };
    let base = if asked.log_x { format!("ln {from}") } else { from };
    match asked.shape {
        LineShape::ThroughOrigin => vec![base],
        LineShape::Free { degree } => {
            let power = |k: usize| match k {
                0 => String::from("constant"),
                1 => base.clone(),
                k => format!("{base}^{k}"),
            };
            (0..=degree).map(power).collect()
        }
    }
}

fn describe_fit(
    fit: &LeastSquaresFit,
    columns: &LineColumns,
    names: &[String],
    asked: &LineRequest,
) -> LineAnswer {
    let scatter = fit.scatter_number();
    let term = |(at, (name, estimate)): (usize, (&String, f64))| LineTerm {
        term: name.clone(),
        estimate,
        deviation: scatter.map(|s| s * fit.unit_deviation_of(at)),
    };
    let y = if asked.log_y { format!("ln {}", columns.names.1) } else { columns.names.1.clone() };
    let form = match (columns.x.len(), asked.shape) {
        (1, LineShape::ThroughOrigin) => format!("{y} straight, through the origin"),
        (1, LineShape::Free { degree: 1 }) => format!("{y} straight"),
        (1, LineShape::Free { degree }) => format!("{y} as a polynomial of degree {degree}"),
        (many, _) => format!("{y} linear in {many} columns"),
    };
    LineAnswer {
        x: columns.names.0.clone(),
        y: columns.names.1.clone(),
        readings: fit.points(),
        left_out: columns.left_out,
        form,
        terms: names.iter().zip(fit.coefficients()).enumerate().map(term).collect(),
        correlation: None,
        scatter: scatter.filter(|_| !fit.has_known_scatter()),
        freedom: fit.freedom(),
        residual_squares: fit.residual_squares_number(),
        r_squared: fit.r_squared_share(),
        has_known_uncertainties: fit.has_known_scatter(),
        confidence: asked.confidence_share,
        at: Vec::new(),
        crossing: None,
        curve_level: None,
        cautions: Vec::new(),
        picture: TrendPicture::default(),
    }
}

fn value_at_place(line: &TrendLine, shown_x: f64, x: f64, asked: &LineRequest) -> Option<LineAtPlace> {
    // symbol: shown_x = the place as it was asked
    let found = line.value_at(x, asked.confidence_share)?;
    let back = |y: f64| if asked.log_y { math::exp(y) } else { y };
    let (first, last) = line.ends_x();
    Some(LineAtPlace {
        x: shown_x,
        value: back(found.value_y),
        deviation: (!asked.log_y).then_some(found.deviation_y),
        line_low: back(found.line_ends_y.0),
        line_high: back(found.line_ends_y.1),
        reading_low: back(found.reading_ends_y.0),
        reading_high: back(found.reading_ends_y.1),
        beyond_the_readings: x < first || x > last,
    })
}

/// Places of a crossing as the table has them.
fn restore_places(level: &mut LevelCrossing, asked: &LineRequest) {
    let back = |x: f64| asked.origin_x + if asked.log_x { math::exp(x) } else { x };
    level.line = level.line.map_places(back);
    level.reading = level.reading.map_places(back);
    if asked.log_x {
        level.propagated = None;
    } else if let Some(place) = level.propagated.as_mut() {
        place.estimate_x = back(place.estimate_x);
    }
    if asked.log_y {
        level.level_y = math::exp(level.level_y);
    }
}

fn follow_level(line: &TrendLine, levels: &[f64], asked: &LineRequest) -> CurveLevel {
    // symbol: levels = readings of one level, logarithms taken
    let level = levels.iter().sum::<f64>() / levels.len() as f64;
    let back = |x: f64| asked.origin_x + if asked.log_x { math::exp(x) } else { x };
    let followed = |is_of_reading| -> Vec<CurveStretch> {
        let all = follow_curve(line, level, asked.confidence_share, is_of_reading);
        let restored = |s: CurveStretch| CurveStretch {
            estimate_x: s.estimate_x.map(back),
            low_x: back(s.low_x),
            high_x: back(s.high_x),
            ..s
        };
        all.into_iter().map(restored).collect()
    };
    CurveLevel {
        level: if asked.log_y { math::exp(level) } else { level },
        line: followed(false),
        reading: followed(true),
    }
}

fn gather_cautions(
    line: &TrendLine,
    columns: &LineColumns,
    asked: &LineRequest,
    at: &[LineAtPlace],
    crossing: Option<&LevelCrossing>,
    curve: Option<&CurveLevel>,
) -> Vec<String> {
    let mut all = Vec::new();
    all.extend(say_few(columns.y.len()));
    all.extend(say_left_out(columns.left_out));
    if line.fit().scatter_number().is_none() {
        all.push(String::from(
            "As many coefficients as readings: nothing is left to show the scatter, so there is no interval; add readings.",
        ));
    }
    if at.iter().any(|p| p.beyond_the_readings) {
        all.push(String::from(
            "A place asked for lies beyond the readings: its interval holds only if the line goes on as it is.",
        ));
    }
    let (first, last) = line.ends_x();
    let back = |x: f64| asked.origin_x + if asked.log_x { math::exp(x) } else { x };
    if let Some(LineCrossing::Between { estimate_x, .. }) = crossing.map(|c| c.line)
        && !(back(first)..=back(last)).contains(&estimate_x)
    {
        all.push(String::from(
            "The level lies beyond the readings: the distance from their middle makes most of the interval.",
        ));
    }
    if curve.is_some_and(|c| c.line.is_empty()) {
        all.push(String::from(
            "The curve does not reach the level within the readings; beyond them it is not followed.",
        ));
    }
    let freedom = line.fit().freedom();
    let square = line.fit().residual_squares_number();
    if line.fit().has_known_scatter()
        && freedom > 0
        && square > freedom as f64 + 3.0 * math::sqrt(2.0 * freedom as f64)
    {
        all.push(String::from(
            "The readings scatter more than their uncertainties allow; check these, or the form of the line.",
        ));
    }
    all
}

fn sketch_line(
    line: &TrendLine,
    columns: &LineColumns,
    asked: &LineRequest,
    crossing: Option<&LevelCrossing>,
) -> TrendPicture {
    let back_x = |x: f64| asked.origin_x + if asked.log_x { math::exp(x) } else { x };
    let back_y = |y: f64| if asked.log_y { math::exp(y) } else { y };
    let reached = match crossing.map(|c| c.line) {
        Some(LineCrossing::Between { estimate_x, low_x, high_x, .. }) => Some([estimate_x, low_x, high_x]),
        Some(LineCrossing::EstimateOnly { .. } | LineCrossing::CannotTell { .. }) | None => None,
    };
    let (first, last) = line.ends_x();
    let beyond =
        reached.filter(|_| !asked.log_x).map(|[_, low, high]| (low - asked.origin_x, high - asked.origin_x));
    let (from, to) = beyond.map_or((first, last), |(low, high)| (first.min(low), last.max(high)));
    let places = (0..=DRAWN_PLACES).map(|k| from + (to - from) * k as f64 / DRAWN_PLACES as f64);
    let band = places.map(|x| {
        let found = line.value_at(x, asked.confidence_share);
        let height = line.height_at(x);
        let (low, high) = found.map_or((height, height), |f| f.line_ends_y);
        [back_x(x), back_y(height), back_y(low), back_y(high)]
    });
    let points = columns.x.iter().flatten().zip(&columns.y).map(|(x, y)| (back_x(*x), back_y(*y)));
    let level = asked.levels_y.iter().sum::<f64>() / asked.levels_y.len() as f64;
    TrendPicture {
        points: points.collect(),
        band: band.collect(),
        level: (!asked.levels_y.is_empty()).then_some(level),
        reached,
    }
}
