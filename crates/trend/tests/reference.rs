//! Compares what `validation/trend` worked out by other means with this crate's figures.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use common::{check, columns};
use trend::crossing::LineCrossing;
use trend::inverse::find_level;
use trend::least_squares::LeastSquaresFit;
use trend::line::{LineShape, fit_predictors, fit_trend_line};
use trend::odometer::{OdometerBasis, OdometerModel, OdometerPoint, OdometerPrior, learn_use};
use trend::posterior::RatePrior;
use trend::reading_verdict::{DecisionRule, ReadingLimit, judge_reading};
use trend::wear::{WearQuestion, forecast_wear};

const EXPECTED: &str = include_str!("../../../validation/trend/expected.csv");
const PADS: &str = include_str!("../../../validation/trend/pads.csv");
const STRAIGHT: LineShape = LineShape::Free { degree: 1 };

/// Rows of some methods, their arguments split; fails when there are not as many as expected.
fn expected(methods: &[&str], count: usize) -> Vec<(&'static str, Vec<&'static str>, f64)> {
    let rows = EXPECTED.lines().filter(|l| !l.starts_with('#')).skip(1);
    let cells = rows.map(|l| l.split(',').collect::<Vec<_>>()).filter(|c| methods.contains(&c[0]));
    let found: Vec<_> = cells.map(|c| (c[0], c[1].split(';').collect(), c[2].parse().unwrap())).collect();
    assert_eq!(found.len(), count, "{methods:?}");
    found
}

fn fit_of(set: &str) -> LeastSquaresFit {
    let of = |text: &str, shape| {
        let data = columns(text, &["x", "y"]);
        fit_trend_line(&data[0], &data[1], None, shape).unwrap().fit().clone()
    };
    match set {
        "norris" => of(include_str!("data/nist_strd_norris.csv"), STRAIGHT),
        "pontius" => of(include_str!("data/nist_strd_pontius.csv"), LineShape::Free { degree: 2 }),
        "noint1" => of(include_str!("data/nist_strd_noint1.csv"), LineShape::ThroughOrigin),
        "noint2" => of(include_str!("data/nist_strd_noint2.csv"), LineShape::ThroughOrigin),
        "filip" => of(include_str!("data/nist_strd_filip.csv"), LineShape::Free { degree: 10 }),
        "longley" => {
            let names = ["x1", "x2", "x3", "x4", "x5", "x6", "y"];
            let data = columns(include_str!("data/nist_strd_longley.csv"), &names);
            fit_predictors(&data[..6], &data[6]).unwrap()
        }
        other => panic!("{other}"),
    }
}

/// Exact rational arithmetic: 2e-13 of the figure, what the decimals of the data leave when they become doubles (Filip 1e-11).
#[test]
fn regressions_agree_with_fractions() {
    for (method, of, value) in expected(&["coefficient", "deviation", "scatter", "r_squared"], 62) {
        let fit = fit_of(of[0]);
        let at = of.get(1).map(|k| k.parse::<usize>().unwrap() - usize::from(of[0].starts_with("noint")));
        let found = match (method, at) {
            ("coefficient", Some(at)) => fit.coefficients()[at],
            ("deviation", Some(at)) => fit.scatter_number().unwrap() * fit.unit_deviation_of(at),
            ("scatter", _) => fit.scatter_number().unwrap(),
            _ => fit.r_squared_share().unwrap(),
        };
        let share = if of[0] == "filip" { 1e-11 } else { 2e-13 };
        check(&format!("{method} {of:?}"), found, value, share * value.abs());
    }
}

fn part_of(crossing: LineCrossing, part: &str) -> f64 {
    let LineCrossing::Between { estimate_x, low_x, high_x, .. } = crossing else { panic!("{crossing:?}") };
    match part {
        "estimate" => estimate_x,
        "low" => low_x,
        _ => high_x,
    }
}

/// Where the band meets the level, by bisection: 1e-9, its own tolerance.
#[test]
fn places_agree_with_the_band() {
    let arsenic = columns(include_str!("data/arsenic_calibration.csv"), &["actual", "measured"]);
    let line = fit_trend_line(&arsenic[0], &arsenic[1], None, STRAIGHT).unwrap();
    let pads = columns(PADS, &["thousand_km", "pad_mm"]);
    let worn = fit_trend_line(&pads[0], &pads[1], None, STRAIGHT).unwrap();
    for (method, of, value) in expected(&["arsenic", "pads"], 12) {
        let crossing = match (method, of[0]) {
            ("pads", _) => find_level(&worn, &[3.0], None, 0.9).unwrap().line,
            (_, "line") => find_level(&line, &[3.0], None, 0.9).unwrap().line,
            (_, "three") => find_level(&line, &[3.17, 3.09, 3.16], None, 0.9).unwrap().reading,
            _ => find_level(&line, &[3.0], None, 0.9).unwrap().reading,
        };
        check(&format!("{method} {of:?}"), part_of(crossing, of[1]), value, 1e-9 * value.abs().max(1.0));
    }
}

/// Adaptive quadrature against the grid of the crate: 1e-6 of the figure.
#[test]
fn wear_with_a_usual_rate_agrees_with_quadrature() {
    let pads = columns(PADS, &["thousand_km", "pad_mm"]);
    for (_, of, value) in expected(&["wear_prior"], 9) {
        let count: usize = of[0].parse().unwrap();
        let found = forecast_wear(&WearQuestion {
            x: &pads[0][..count],
            y: &pads[1][..count],
            limit_y: 3.0,
            uncertainty_y: Some(0.15),
            usual_rate: RatePrior::from_range(0.05, 0.13),
            shape: STRAIGHT,
            confidence_share: 0.9,
        });
        check(&format!("{of:?}"), part_of(found.unwrap().crossing, of[1]), value, 1e-6 * value);
    }
}

fn model_of(count: usize) -> OdometerModel {
    let days = [0.0, 95.0, 180.0, 400.0, 610.0, 700.0];
    let km = [61_200.0, 65_050.0, 68_100.0, 77_600.0, 85_400.0, 89_300.0];
    let point = |k: usize| OdometerPoint { day: days[k], km: km[k], rounded_to_km: None, instrument: 0 };
    let (low, high) = OdometerPrior::USUAL_VEHICLES;
    let points: Vec<OdometerPoint> = (0..count).map(point).collect();
    learn_use(&points, OdometerPrior::from_rates(low, high).unwrap(), 0.9).unwrap()
}

/// Bisection for the readings alone (1e-9), quadrature with the prior (1e-6 of the figure).
#[test]
fn odometers_agree() {
    for (method, of, value) in expected(&["odometer_alone", "odometer_prior"], 19) {
        let model = model_of(of[0].parse().unwrap());
        let (ahead, basis, share) = match method {
            "odometer_alone" => (60_700.0, OdometerBasis::ReadingsAlone, 1e-9),
            _ => (20_000.0, OdometerBasis::WithPrior, 1e-6),
        };
        let days = model.days_until(ahead, basis).unwrap();
        let found = match of[1] {
            "rate" => model.rate_km_per_day(),
            "variance" => model.variance_km2_per_day().unwrap(),
            "estimate" => days.estimate,
            "low" => days.low,
            _ => days.high.unwrap(),
        };
        check(&format!("{method} {of:?}"), found, value, share * value);
    }
}

/// Distribution functions of scipy: 1e-9.
#[test]
fn conformance_probabilities_agree() {
    for (_, of, value) in expected(&["conformance"], 4) {
        let readings: Vec<f64> = of[0].split(' ').map(|v| v.parse().unwrap()).collect();
        let figure = |text: &str| text.parse::<f64>().unwrap();
        let (low, high) = (figure(of[2]), figure(of[3]));
        let limit = match (low.is_finite(), high.is_finite()) {
            (true, false) => ReadingLimit::AtLeast(low),
            (false, _) => ReadingLimit::AtMost(high),
            (true, true) => ReadingLimit::Between(low, high),
        };
        let found = judge_reading(&readings, Some(figure(of[1])), limit, DecisionRule::Proven).unwrap();
        check(&format!("{of:?}"), found.conformance_probability.unwrap(), value, 1e-9);
    }
}
