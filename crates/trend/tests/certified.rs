//! Regressions against the certified values of NIST StRD, and calibrations against published figures.
//!
//! Source of the sets: NIST Statistical Reference Datasets, linear regression; each test names the others.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use common::{check, columns};
use trend::crossing::LineCrossing;
use trend::inverse::{find_level, follow_curve};
use trend::least_squares::LeastSquaresFit;
use trend::line::{LineShape, fit_predictors, fit_trend_line};

const CERTIFIED: &str = include_str!("data/nist_strd_certified.csv");
const ARSENIC: &str = include_str!("data/arsenic_calibration.csv");
const STRAIGHT: LineShape = LineShape::Free { degree: 1 };

/// Compares to a count of significant digits.
#[track_caller]
fn check_digits(what: &str, found: f64, expected: f64, digits: i32) {
    let relative = if expected == 0.0 { found.abs() } else { ((found - expected) / expected).abs() };
    assert!(relative < 0.5 * 10f64.powi(1 - digits), "{what}: {found} instead of {expected}");
}

/// What is certified of a set: parameter, estimate and standard deviation.
fn certified(set: &str) -> Vec<(String, f64, Option<f64>)> {
    let rows = CERTIFIED.lines().skip(1).map(|l| l.split(',').map(str::to_owned).collect::<Vec<_>>());
    rows.filter(|r| r[0] == set).map(|r| (r[1].clone(), r[2].parse().unwrap(), r[3].parse().ok())).collect()
}

/// Compares a fit with all that is certified of a set; coefficients begin at `B` of the first column.
fn check_set(set: &str, fit: &LeastSquaresFit, first: usize, digits: i32) {
    let rows = certified(set);
    assert!(rows.len() >= 3, "{set}: {rows:?}");
    let mut compared = 0;
    for (parameter, estimate, deviation) in rows {
        let what = format!("{set} {parameter}");
        match parameter.as_str() {
            "residual_sd" => check_digits(&what, fit.scatter_number().unwrap(), estimate, digits),
            "r_squared" => check_digits(&what, fit.r_squared_share().unwrap(), estimate, digits),
            coefficient => {
                let at = coefficient[1..].parse::<usize>().unwrap() - first;
                check_digits(&what, fit.coefficients()[at], estimate, digits);
                let found = fit.scatter_number().unwrap() * fit.unit_deviation_of(at);
                check_digits(&what, found, deviation.unwrap(), digits);
            }
        }
        compared += 1;
    }
    assert_eq!(compared, fit.coefficients().len() + 2, "{set}");
}

/// Asked for: nine digits (Filip seven); thirty digits inside give more, and so much is held.
#[test]
fn certified_regressions_come_out_to_thirteen_digits() {
    let sets: [(&str, &str, LineShape, i32); 5] = [
        ("norris", include_str!("data/nist_strd_norris.csv"), STRAIGHT, 13),
        ("pontius", include_str!("data/nist_strd_pontius.csv"), LineShape::Free { degree: 2 }, 13),
        ("noint1", include_str!("data/nist_strd_noint1.csv"), LineShape::ThroughOrigin, 13),
        ("noint2", include_str!("data/nist_strd_noint2.csv"), LineShape::ThroughOrigin, 13),
        ("filip", include_str!("data/nist_strd_filip.csv"), LineShape::Free { degree: 10 }, 12),
    ];
    for (set, text, shape, digits) in sets {
        let data = columns(text, &["x", "y"]);
        let line = fit_trend_line(&data[0], &data[1], None, shape).unwrap();
        let first = usize::from(shape == LineShape::ThroughOrigin);
        check_set(set, line.fit(), first, digits);
    }
}

#[test]
fn six_predictors_of_longley_come_out_to_thirteen_digits() {
    let data =
        columns(include_str!("data/nist_strd_longley.csv"), &["x1", "x2", "x3", "x4", "x5", "x6", "y"]);
    let fit = fit_predictors(&data[..6], &data[6]).unwrap();
    check_set("longley", &fit, 0, 13);
}

/// The trap of R² through the origin: about the mean it would be −0.157.
#[test]
fn r_squared_through_the_origin_compares_with_nought() {
    let data = columns(include_str!("data/nist_strd_noint1.csv"), &["x", "y"]);
    let line = fit_trend_line(&data[0], &data[1], None, LineShape::ThroughOrigin).unwrap();
    check("R²", line.fit().r_squared_share().unwrap(), 0.999_365_492_298_663, 1e-12);
}

#[track_caller]
fn check_between(what: &str, found: LineCrossing, expected: [f64; 3], tolerance: f64) {
    let LineCrossing::Between { estimate_x, low_x, high_x, .. } = found else { panic!("{what}: {found:?}") };
    for (figure, wanted) in [estimate_x, low_x, high_x].into_iter().zip(expected) {
        check(what, figure, wanted, tolerance);
    }
}

/// Arsenic: Greenwell and Schubert Kabban, R Journal 6/1 (2014): one reading 2.9314 (2.6035 to 3.2587), mean line 2.8724 to
/// 2.9898, Wald 0.1929; three readings: a value of our own, recomputed in `validation/trend`.
#[test]
fn arsenic_is_read_backwards_as_published() {
    let data = columns(ARSENIC, &["actual", "measured"]);
    let line = fit_trend_line(&data[0], &data[1], None, STRAIGHT).unwrap();
    let level = find_level(&line, &[3.0], None, 0.9).unwrap();
    check_between("reading", level.reading, [2.9314, 2.6035, 3.2587], 6e-5);
    check_between("line", level.line, [2.9314, 2.8724, 2.9898], 6e-5);
    check("Wald", level.propagated.unwrap().deviation_x, 0.1929, 6e-5);
    let three = find_level(&line, &[3.17, 3.09, 3.16], None, 0.9).unwrap();
    check_between("three", three.reading, [3.073_191_309_85, 2.884_300_251_27, 3.261_587_884_91], 1e-9);
}

/// Load cell of the NIST e-Handbook 4.6.1 as a straight line: 6.150e-3 (7.132e-4), 7.221e-7 (3.969e-10).
#[test]
fn the_load_cell_as_a_straight_line() {
    let data = columns(include_str!("data/nist_strd_pontius.csv"), &["x", "y"]);
    let line = fit_trend_line(&data[0], &data[1], None, STRAIGHT).unwrap();
    let (b, s) = (line.fit().coefficients(), line.fit().scatter_number().unwrap());
    check("intercept", b[0], 6.150e-3, 5e-7);
    check("slope", b[1], 7.221e-7, 5e-11);
    check("sd of the intercept", s * line.fit().unit_deviation_of(0), 7.132e-4, 5e-8);
    check("sd of the slope", s * line.fit().unit_deviation_of(1), 3.969e-10, 5e-14);
}

/// GUM (JCGM 100:2008), H.3: y1 −0.1712 (0.0029), y2 0.00218 (0.00067), r −0.930, b(30) −0.1494, u 0.0041.
#[test]
fn the_thermometer_of_the_gum() {
    let data = columns(include_str!("data/gum_h3_thermometer.csv"), &["reading_C", "correction_C"]);
    let from_20: Vec<f64> = data[0].iter().map(|t| t - 20.0).collect();
    let line = fit_trend_line(&from_20, &data[1], None, STRAIGHT).unwrap();
    let s = line.fit().scatter_number().unwrap();
    check("y1", line.fit().coefficients()[0], -0.1712, 6e-5);
    check("s(y1)", s * line.fit().unit_deviation_of(0), 0.0029, 6e-5);
    check("y2", line.fit().coefficients()[1], 0.00218, 6e-6);
    check("s(y2)", s * line.fit().unit_deviation_of(1), 0.00067, 6e-6);
    check("r", line.correlate_coefficients(0, 1), -0.930, 6e-4);
    let at_30 = line.value_at(10.0, 0.9).unwrap();
    check("b(30)", at_30.value_y, -0.1494, 6e-5);
    check("u(b(30))", at_30.deviation_y, 0.0041, 6e-5);
}

/// ISO/TS 28037:2010, example 1, as a national laboratory's software manual gives it: a 1.867 (0.465), b 1.757 (0.120), covariance
/// −0.050, χ² 1.665; a reading of 10.5 (0.5) comes from 4.913 (0.322).
#[test]
fn known_uncertainties_as_iso_ts_28037() {
    let x = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0];
    let y = [3.3, 5.6, 7.1, 9.3, 10.7, 12.1];
    let line = fit_trend_line(&x, &y, Some(&[0.5; 6]), STRAIGHT).unwrap();
    check("a", line.fit().coefficients()[0], 1.867, 6e-4);
    check("b", line.fit().coefficients()[1], 1.757, 6e-4);
    check("u(a)", line.fit().unit_deviation_of(0), 0.465, 6e-4);
    check("u(b)", line.fit().unit_deviation_of(1), 0.120, 6e-4);
    let covariance =
        line.fit().unit_covariance(&line.fit().row_of_coefficient(0), &line.fit().row_of_coefficient(1));
    check("covariance", covariance, -0.050, 6e-4);
    check("chi squared", line.fit().residual_squares_number(), 1.665, 6e-4);
    let place = find_level(&line, &[10.5], Some(0.5), 0.9).unwrap().propagated.unwrap();
    check("x", place.estimate_x, 4.913_279, 1e-6);
    check("u(x)", place.deviation_x, 0.322_036, 1e-6);
}

/// The band of a straight line, followed by looking, is Fieller's interval.
#[test]
fn following_the_band_gives_fiellers_interval() {
    let data = columns(ARSENIC, &["actual", "measured"]);
    let line = fit_trend_line(&data[0], &data[1], None, STRAIGHT).unwrap();
    let level = find_level(&line, &[3.0], None, 0.9).unwrap();
    for (crossing, is_of_reading) in [(level.line, false), (level.reading, true)] {
        let stretches = follow_curve(&line, 3.0, 0.9, is_of_reading);
        assert_eq!(stretches.len(), 1);
        let found = [stretches[0].estimate_x.unwrap(), stretches[0].low_x, stretches[0].high_x];
        check_between("band", crossing, found, 1e-9);
    }
}

/// Slope not to be told from nought: never the formula's numbers, but what is ruled out.
#[test]
fn a_slope_that_may_be_nought_is_told_and_not_computed() {
    let x = [0.0, 1.0, 2.0, 3.0, 4.0, 5.0];
    let flat = fit_trend_line(&x, &[5.0, 5.3, 4.9, 5.2, 4.8, 5.1], None, STRAIGHT).unwrap();
    let level = find_level(&flat, &[3.0], None, 0.9).unwrap();
    let LineCrossing::CannotTell { g, outside } = level.line else { panic!("{level:?}") };
    assert!(g >= 1.0 && outside.is_some_and(|(low, high)| low < 0.0 && high > 5.0), "{g} {outside:?}");
    // The band holds a level in its middle everywhere: nothing is ruled out.
    let middle = find_level(&flat, &[5.05], None, 0.9).unwrap();
    assert!(matches!(middle.line, LineCrossing::CannotTell { outside: None, .. }), "{middle:?}");
}

/// Propellant, 20 readings: y = 2627.82 − 37.15·x; 95 % for the line at 13.3625 2086.209 to 2176.506, for a reading at 10 2048.385 to 2464.188
/// (Montgomery, Peck and Vining; data from memory, all printed figures agree; the book rounds its quantile, these ends do not).
#[test]
fn the_propellant_of_the_textbook() {
    let age = [
        15.5, 23.75, 8.0, 17.0, 5.5, 19.0, 24.0, 2.5, 7.5, 11.0, 13.0, 3.75, 25.0, 9.75, 22.0, 18.0, 6.0,
        12.5, 2.0, 21.5,
    ];
    let strength = [
        2158.7, 1678.15, 2316.0, 2061.3, 2207.5, 1708.3, 1784.7, 2575.0, 2357.9, 2256.7, 2165.2, 2399.55,
        1779.8, 2336.75, 1765.3, 2053.5, 2414.4, 2200.5, 2654.2, 1753.7,
    ];
    let line = fit_trend_line(&age, &strength, None, STRAIGHT).unwrap();
    check("constant", line.fit().coefficients()[0], 2627.82, 5e-3);
    check("slope", line.fit().coefficients()[1], -37.15, 5e-3);
    let middle = line.value_at(13.3625, 0.95).unwrap().line_ends_y;
    check("line, low", middle.0, 2086.209, 6e-4);
    check("line, high", middle.1, 2176.506, 6e-4);
    let ten = line.value_at(10.0, 0.95).unwrap().reading_ends_y;
    check("reading, low", ten.0, 2048.385, 6e-4);
    check("reading, high", ten.1, 2464.188, 6e-4);
}
