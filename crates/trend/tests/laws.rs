//! Laws by random cases: scale and shift, units, order, more readings, and that nothing panics on any table.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use proptest::prelude::*;
use trend::columns::read_reading_table;
use trend::crossing::LineCrossing;
use trend::days::parse_day;
use trend::inverse::{find_level, follow_curve};
use trend::line::{LineShape, fit_trend_line};
use trend::odometer::{OdometerBasis, OdometerPoint, OdometerPrior, choose_recent, learn_use};
use trend::posterior::RatePrior;
use trend::reading_verdict::{DecisionRule, ReadingLimit, judge_reading};
use trend::slips::{KM_PER_MILE, OdometerNote, sift_readings};
use trend::wear::{WearQuestion, forecast_wear};

const STRAIGHT: LineShape = LineShape::Free { degree: 1 };

/// Readings about a falling line, at places that differ.
fn worn() -> impl Strategy<Value = (Vec<f64>, Vec<f64>)> {
    prop::collection::vec((1.0..20.0f64, -0.2..0.2f64), 4..12).prop_map(|steps| {
        let mut x = 0.0;
        let place = |(step, off): (f64, f64)| {
            x += step;
            (x, 12.0 - 0.08 * x + off)
        };
        steps.into_iter().map(place).unzip()
    })
}

fn ends(crossing: LineCrossing) -> Option<[f64; 3]> {
    match crossing {
        LineCrossing::Between { estimate_x, low_x, high_x, .. } => Some([estimate_x, low_x, high_x]),
        LineCrossing::EstimateOnly { .. } | LineCrossing::CannotTell { .. } => None,
    }
}

fn asked<'a>(x: &'a [f64], y: &'a [f64], limit_y: f64, u: f64, prior: Option<RatePrior>) -> WearQuestion<'a> {
    WearQuestion {
        x,
        y,
        limit_y,
        uncertainty_y: Some(u),
        usual_rate: prior,
        shape: STRAIGHT,
        confidence_share: 0.9,
    }
}

#[track_caller]
fn check_near(one: Option<[f64; 3]>, other: Option<[f64; 3]>, relative: f64) {
    match (one, other) {
        (Some(one), Some(other)) => {
            let size = 1.0 + one.iter().fold(0.0f64, |m, v| m.max(v.abs()));
            for (a, b) in one.iter().zip(other) {
                assert!((a - b).abs() <= relative * size, "{one:?} {other:?}");
            }
        }
        (None, None) => {}
        (one, other) => panic!("{one:?} {other:?}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(64) })]

    #[test]
    fn wear_follows_scale_shift_and_order((x, y) in worn(), scale in 0.1..10.0f64, shift in -50.0..50.0f64, rate in 0.03..0.2f64) {
        for prior in [None, RatePrior::from_range(rate / 2.0, rate * 2.0)] {
            let plain = ends(forecast_wear(&asked(&x, &y, 3.0, 0.1, prior)).unwrap().crossing);
            let far: Vec<f64> = x.iter().map(|x| x * scale + shift).collect();
            let (low, high) = (rate / 2.0 / scale, rate * 2.0 / scale);
            let turned = prior.and(RatePrior::from_range(low, high));
            let moved = ends(forecast_wear(&asked(&far, &y, 3.0, 0.1, turned)).unwrap().crossing);
            check_near(plain.map(|all| all.map(|x| x * scale + shift)), moved, 1e-6);
            let up: Vec<f64> = y.iter().map(|y| 5.0 - y).collect();
            let risen = ends(forecast_wear(&asked(&x, &up, 2.0, 0.1, prior)).unwrap().crossing);
            check_near(plain, risen, 1e-6);
            let (mut back_x, mut back_y) = (x.clone(), y.clone());
            back_x.reverse();
            back_y.reverse();
            let back = ends(forecast_wear(&asked(&back_x, &back_y, 3.0, 0.1, prior)).unwrap().crossing);
            check_near(plain, back, 1e-6);
        }
    }

    #[test]
    fn a_crossing_follows_its_line((x, y) in worn(), limit in 1.0..8.0f64) {
        let line = fit_trend_line(&x, &y, None, STRAIGHT).unwrap();
        let level = find_level(&line, &[limit], None, 0.9).unwrap();
        let (Some(of_line), Some(of_reading)) = (ends(level.line), ends(level.reading)) else { return Ok(()) };
        prop_assert!(of_reading[1] <= of_line[1] && of_line[2] <= of_reading[2]);
        prop_assert!((line.height_at(of_line[0]) - limit).abs() < 1e-9);
        let wider = find_level(&line, &[limit], None, 0.99).unwrap();
        if let Some(wide) = ends(wider.line) {
            prop_assert!(wide[1] <= of_line[1] && of_line[2] <= wide[2]);
        }
    }

    #[test]
    fn miles_and_kilometres_say_the_same(steps in prop::collection::vec((20.0..300.0f64, 10.0..80.0f64), 2..9)) {
        let list = |factor: f64| -> Vec<OdometerPoint> {
            let (mut day, mut km) = (0.0, 50_000.0 * factor);
            steps.iter().map(|(days, rate)| {
                day += days;
                km += days * rate * factor;
                OdometerPoint { day, km, rounded_to_km: None, instrument: 0 }
            }).collect()
        };
        let (low, high) = OdometerPrior::USUAL_VEHICLES;
        let in_km = learn_use(&list(1.0), OdometerPrior::from_rates(low, high).unwrap(), 0.9).unwrap();
        let miles = 1.0 / KM_PER_MILE;
        let in_mi = learn_use(&list(miles), OdometerPrior::from_rates(low * miles, high * miles).unwrap(), 0.9).unwrap();
        for basis in [OdometerBasis::WithPrior, OdometerBasis::ReadingsAlone] {
            let (a, b) = (in_km.days_until(20_000.0, basis), in_mi.days_until(20_000.0 * miles, basis));
            prop_assert_eq!(a.is_some(), b.is_some());
            if let (Some(a), Some(b)) = (a, b) {
                prop_assert!((a.low - b.low).abs() < 1e-5 * a.low && (a.estimate - b.estimate).abs() < 1e-5 * a.estimate);
                prop_assert!(a.low <= a.estimate && a.high.is_none_or(|h| a.estimate <= h));
            }
        }
    }

    #[test]
    fn a_verdict_follows_the_unit(value in -5.0..5.0f64, u in 0.01..2.0f64, limit in -5.0..5.0f64, scale in 0.01..100.0f64) {
        let plain = judge_reading(&[value], Some(u), ReadingLimit::AtMost(limit), DecisionRule::Proven).unwrap();
        let scaled = judge_reading(&[value * scale], Some(u * scale), ReadingLimit::AtMost(limit * scale), DecisionRule::Proven).unwrap();
        prop_assert!((plain.conformance_probability.unwrap() - scaled.conformance_probability.unwrap()).abs() < 1e-9);
        let turned = judge_reading(&[-value], Some(u), ReadingLimit::AtLeast(-limit), DecisionRule::Proven).unwrap();
        prop_assert!((plain.conformance_probability.unwrap() - turned.conformance_probability.unwrap()).abs() < 1e-9);
    }

    #[test]
    fn nothing_panics_on_any_table(text in "[0-9a-zA-Z,;.#\n\r\"\\-+eE ∞−]{0,200}", cells in prop::collection::vec(any::<f64>(), 0..24)) {
        if let Ok(table) = read_reading_table(&text, "any") {
            let headings: Vec<String> = table.headings().to_vec();
            let names: Vec<&str> = headings.iter().map(String::as_str).collect();
            let _read = table.read_figures(&names);
        }
        let _day = parse_day(&text);
        try_everything(&cells);
    }
}

/// Every question, of any figures.
fn try_everything(cells: &[f64]) {
    let (x, y) = cells.split_at(cells.len() / 2);
    let y = &y[..x.len()];
    for shape in
        [STRAIGHT, LineShape::ThroughOrigin, LineShape::Free { degree: 3 }, LineShape::Free { degree: 0 }]
    {
        if let Ok(line) = fit_trend_line(x, y, None, shape) {
            let _level = find_level(&line, &[1.0], None, 0.9);
            let _band = follow_curve(&line, 1.0, 0.9, true);
            let _value = line.value_at(1.0, 0.9);
        }
        let _known = fit_trend_line(x, y, Some(y), shape);
    }
    let limit = x.first().copied().unwrap_or(f64::NAN);
    for prior in [None, RatePrior::from_range(limit, 2.0 * limit)] {
        let _wear = forecast_wear(&WearQuestion {
            usual_rate: prior,
            uncertainty_y: None,
            ..asked(x, y, limit, 1.0, None)
        });
        let _wear = forecast_wear(&asked(x, y, limit, limit, prior));
    }
    let _verdict = judge_reading(x, Some(limit), ReadingLimit::Between(limit, 1.0), DecisionRule::Proven);
    let notes = x.iter().zip(y).enumerate();
    let notes: Vec<OdometerNote> = notes
        .map(|(k, (day, km))| OdometerNote { line: k as u64, day: *day, km: *km, unit_km: 1.0 })
        .collect();
    if let Ok(found) = sift_readings(&notes) {
        let prior = OdometerPrior::from_rates(12.0, 100.0).unwrap();
        if let Ok(model) = learn_use(choose_recent(&found.points, 730.0), prior, 0.9) {
            for basis in [OdometerBasis::WithPrior, OdometerBasis::ReadingsAlone] {
                let _days = model.days_until(limit, basis);
                let _rate = model.rate_interval(basis);
            }
        }
    }
}

/// Figures that trip up arithmetic, in every pair of columns of three.
#[test]
fn hostile_figures_are_refused_or_answered() {
    let hostile =
        [0.0, -0.0, 1.0, 1.0, f64::NAN, f64::INFINITY, f64::MIN_POSITIVE, 1e308, -1e308, 5e-324, 1e16];
    for a in hostile {
        for b in hostile {
            for c in hostile {
                try_everything(&[a, b, c, a, c, b]);
                try_everything(&[a, b, b, c]);
                try_everything(&[a, a, a, b, b, b]);
            }
        }
    }
    try_everything(&[]);
    try_everything(&[1.0]);
}

/// More readings narrow the interval on the whole: mean width over 200 vehicles, for each basis.
#[test]
fn more_readings_never_widen_in_expectation() {
    use rand::{RngExt, SeedableRng};
    let mut random = rand_pcg::Pcg64Mcg::seed_from_u64(11);
    let mut widths = [[0.0; 3]; 2];
    let mut told = [[0; 3]; 2];
    for _ in 0..200 {
        let x: Vec<f64> = (0..16).map(|k| 4.0 * f64::from(k)).collect();
        let y: Vec<f64> = x.iter().map(|x| 11.0 - 0.08 * x + 0.3 * (random.random::<f64>() - 0.5)).collect();
        for (at, prior) in [None, RatePrior::from_range(0.05, 0.13)].into_iter().enumerate() {
            for (k, every) in [5, 3, 1].into_iter().enumerate() {
                let pick = |all: &[f64]| -> Vec<f64> { all.iter().copied().step_by(every).collect() };
                let found = forecast_wear(&asked(&pick(&x), &pick(&y), 3.0, 0.1, prior)).unwrap();
                if let Some([_, low, high]) = ends(found.crossing) {
                    widths[at][k] += high - low;
                    told[at][k] += 1;
                }
            }
        }
    }
    for at in 0..2 {
        assert!(told[at].iter().all(|n| *n == 200), "{told:?}");
        assert!(widths[at][0] > widths[at][1] && widths[at][1] > widths[at][2], "{widths:?}");
    }
}

/// Rows, headings and cells that are wrong are told with their place.
#[test]
fn tables_are_refused_with_their_place() {
    let refused = |text: &str, columns: &[&str]| {
        let read = read_reading_table(text, "pads.csv").and_then(|t| t.read_figures(columns));
        read.expect_err("is refused").to_string()
    };
    for (text, columns, expected) in [
        ("", &["x"][..], "pads.csv holds no readings"),
        ("# a remark\n", &["x"], "pads.csv holds no readings"),
        ("1,2\n3,4\n", &["x"], "pads.csv:1: the first line must name the columns"),
        ("x,y\n1,2\n", &["z"], "no column `z`; it has: x, y"),
        ("x,y\n1,2\n3,inf\n", &["x", "y"], "pads.csv:3: `inf` in column `y`"),
        ("x,y\n1,NaN\n", &["x", "y"], "pads.csv:2: `NaN` in column `y`"),
        ("x,y\n1,2 mm\n", &["x", "y"], "pads.csv:2: `2 mm` in column `y`"),
    ] {
        let words = refused(text, columns);
        assert!(words.contains(expected), "{words}");
    }
    let read = read_reading_table("\u{feff}Distance km;Wear\n1 000,5;2,25\n2;\n", "a").unwrap();
    let found = read.read_figures(&["distance_km", "wear"]).unwrap();
    assert_eq!((found.values, found.left_out), (vec![vec![1000.5], vec![2.25]], 1));
}
