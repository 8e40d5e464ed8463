//! Wear, odometer and verdicts against published figures, textbook rows and vectors worked out apart (`validation/trend`).
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use common::{check, columns};
use trend::crossing::LineCrossing;
use trend::line::{LineShape, fit_trend_line};
use trend::odometer::{OdometerBasis, OdometerPoint, OdometerPrior, learn_use};
use trend::places::{PlaceReadings, SpreadLimit, judge_places, judge_spread};
use trend::reading_verdict::{
    DecisionRule, MeasureAgain, ReadingJudgeError, ReadingLimit, ReadingOutcome, combine_gauge_uncertainty,
    judge_grades, judge_reading,
};
use trend::wear::{WearBasis, WearQuestion, forecast_wear};
use units::math;

const STRAIGHT: LineShape = LineShape::Free { degree: 1 };

fn wear_of<'a>(x: &'a [f64], y: &'a [f64], limit_y: f64, shape: LineShape) -> WearQuestion<'a> {
    WearQuestion { x, y, limit_y, uncertainty_y: None, usual_rate: None, shape, confidence_share: 0.9 }
}

fn estimate_of(crossing: LineCrossing) -> f64 {
    match crossing {
        LineCrossing::Between { estimate_x, .. } | LineCrossing::EstimateOnly { estimate_x, .. } => {
            estimate_x
        }
        LineCrossing::CannotTell { .. } => panic!("{crossing:?}"),
    }
}

/// Six pads: a vector of our own, worked out by scipy; 101.886, 90 % for the mean line 99.777 to 104.122.
#[test]
fn six_pad_readings_reach_three_millimetres() {
    let x = [0.0, 15.0, 31.0, 46.0, 58.0, 74.0];
    let y = [11.2, 9.9, 8.7, 7.6, 6.5, 5.2];
    let found = forecast_wear(&wear_of(&x, &y, 3.0, STRAIGHT)).unwrap();
    let LineCrossing::Between { estimate_x, low_x, high_x, g } = found.crossing else { panic!("{found:?}") };
    check("estimate", estimate_x, 101.885_874_340_949, 1e-9);
    check("low", low_x, 99.776_573_165_472_3, 1e-7);
    check("high", high_x, 104.122_127_804_906, 1e-7);
    assert!(g < 0.01 && found.basis == WearBasis::ReadingsAlone && !found.is_past && !found.leads_away);
    check("beyond", found.beyond_spans.unwrap(), (101.885_874_340_949 - 74.0) / 74.0, 1e-9);
}

/// Crack growth, exponential, critical at 30 mm: pseudo failure times 500.622, 475.739, 428.739, 600.810, 452.832 thousand cycles
/// (a reliability handbook's example of degradation analysis; data from memory; each set of five is the only one of whole millimetres that gives the printed a and b).
#[test]
fn crack_growth_reaches_thirty_millimetres_as_printed() {
    let x = [100.0, 200.0, 300.0, 400.0, 500.0];
    let units = [
        ([15.0, 20.0, 22.0, 26.0, 29.0], 0.00158, 13.596, 500.622),
        ([10.0, 15.0, 20.0, 25.0, 30.0], 0.00271, 8.272, 475.739),
        ([17.0, 25.0, 26.0, 27.0, 33.0], 0.0014, 16.435, 428.739),
        ([12.0, 16.0, 17.0, 20.0, 26.0], 0.00177, 10.361, 600.810),
        ([10.0, 15.0, 20.0, 26.0, 33.0], 0.00294, 7.931, 452.832),
    ];
    for (crack, a, b, reached) in units {
        let y: Vec<f64> = crack.iter().map(|c: &f64| math::ln(*c)).collect();
        let line = fit_trend_line(&x, &y, None, STRAIGHT).unwrap();
        check("a", line.fit().coefficients()[1], a, 6e-6);
        check("b", math::exp(line.fit().coefficients()[0]), b, 6e-4);
        let found = forecast_wear(&wear_of(&x, &y, math::ln(30.0), STRAIGHT)).unwrap();
        check("reached", estimate_of(found.crossing), reached, 6e-4);
    }
}

/// Lasers through the origin, limit 10 %: Meeker and Escobar, table C.17: three of fifteen over by 4,000 h; least, middle and greatest crossing are
/// values of our own (3307.6, 5267.6, 6415.5 h).
#[test]
fn lasers_reach_ten_percent() {
    let data =
        columns(include_str!("data/gaas_laser_percent_increase.csv"), &["unit", "hours", "percent_increase"]);
    let mut units: Vec<f64> = data[0].clone();
    units.dedup();
    assert_eq!(units.len(), 15);
    let mut over = 0;
    let mut crossings: Vec<f64> = units
        .iter()
        .map(|unit| {
            let own: Vec<usize> = (0..data[0].len()).filter(|k| data[0][*k] == *unit).collect();
            let (x, y): (Vec<f64>, Vec<f64>) = own.iter().map(|k| (data[1][*k], data[2][*k])).unzip();
            over += usize::from(y.iter().any(|v| *v > 10.0));
            let found = forecast_wear(&wear_of(&x, &y, 10.0, LineShape::ThroughOrigin)).unwrap();
            estimate_of(found.crossing)
        })
        .collect();
    crossings.sort_by(f64::total_cmp);
    assert_eq!(over, 3);
    check("least", crossings[0], 3_307.566_739_887, 1e-6);
    check("middle", crossings[7], 5_267.593_021_256, 1e-6);
    check("greatest", crossings[14], 6_415.467_383_095, 1e-6);
}

/// Sliding wear, slopes of logarithms 0.1975, 0.1683, 0.2074 for three loads (data of Meeker and Escobar; values of our own).
#[test]
fn sliding_wear_starts_fast() {
    let data =
        columns(include_str!("data/metal_wear_scar_microns.csv"), &["grams", "cycles", "scar_microns"]);
    for (grams, slope, scatter) in [
        (10.0, 0.197_512_232, 0.146_941_859),
        (50.0, 0.168_333_719, 0.093_346_261),
        (100.0, 0.207_413_004, 0.053_647_563),
    ] {
        let own: Vec<usize> = (0..data[0].len()).filter(|k| data[0][*k] == grams).collect();
        let (x, y): (Vec<f64>, Vec<f64>) =
            own.iter().map(|k| (math::ln(data[1][*k]), math::ln(data[2][*k]))).unzip();
        let line = fit_trend_line(&x, &y, None, STRAIGHT).unwrap();
        check("slope", line.fit().coefficients()[1], slope, 1e-8);
        check("scatter", line.fit().scatter_number().unwrap(), scatter, 1e-8);
    }
}

fn points(days: &[f64], km: &[f64]) -> Vec<OdometerPoint> {
    let point =
        |(day, km): (&f64, &f64)| OdometerPoint { day: *day, km: *km, rounded_to_km: None, instrument: 0 };
    days.iter().zip(km).map(point).collect()
}

fn usual() -> OdometerPrior {
    let (low, high) = OdometerPrior::USUAL_VEHICLES;
    OdometerPrior::from_rates(low, high).unwrap()
}

/// A vector of our own, theory of drifting Brownian motion: 40.142857 km a day, 1598.691; 1376.42 to 1671.92 days.
#[test]
fn six_odometer_readings_reach_a_milestone() {
    let all = points(
        &[0.0, 95.0, 180.0, 400.0, 610.0, 700.0],
        &[61_200.0, 65_050.0, 68_100.0, 77_600.0, 85_400.0, 89_300.0],
    );
    let model = learn_use(&all, usual(), 0.9).unwrap();
    check("rate", model.rate_km_per_day(), 40.142_857_142_857, 1e-9);
    check("variance", model.variance_km2_per_day().unwrap(), 1_598.691_246_834, 1e-6);
    assert_eq!(model.basis(), OdometerBasis::ReadingsAlone);
    let alone = model.days_until(60_700.0, OdometerBasis::ReadingsAlone).unwrap();
    check("estimate", alone.estimate, 1_512.099_644_128, 1e-6);
    check("low", alone.low, 1_376.420_178_755, 1e-5);
    check("high", alone.high.unwrap(), 1_671.922_668_123, 1e-5);
    // The prior knows that rates like this one are usual; it moves the answer a little and not far.
    let both = model.days_until(60_700.0, OdometerBasis::WithPrior).unwrap();
    assert!(
        (both.estimate - 1_512.0).abs() < 40.0 && both.low > 1_300.0 && both.high.unwrap() < 1_800.0,
        "{both:?}"
    );
    let by = model.reached_probability(60_700.0, alone.high.unwrap(), OdometerBasis::ReadingsAlone).unwrap();
    check("the end is where 95 % have it", by, 0.95, 1e-9);
}

/// JCGM 106:2012, clause 7, breakdown of a diode: −5.47 V (0.05 V) against at most −5.40 V conforms with 0.92 (example from memory).
#[test]
fn a_diode_conforms_with_the_published_probability() {
    let found =
        judge_reading(&[-5.47], Some(0.05), ReadingLimit::AtMost(-5.40), DecisionRule::Proven).unwrap();
    check("probability", found.conformance_probability.unwrap(), 0.92, 5e-3);
    assert_eq!(found.outcome, ReadingOutcome::TooClose);
    check("guard band", found.guard.unwrap(), 1.645 * 0.05, 1e-4);
}

/// Guard bands of 1.645·u: pass from the limit inwards by that much, fail outwards, and neither between (ISO 14253-1:2017).
#[test]
fn between_the_guard_bands_it_is_too_close_to_call() {
    let judge =
        |value: f64| judge_reading(&[value], Some(0.1), ReadingLimit::AtLeast(9.0), DecisionRule::Proven);
    for (value, expected) in [
        (9.165, ReadingOutcome::Pass),
        (9.164, ReadingOutcome::TooClose),
        (8.836, ReadingOutcome::TooClose),
        (8.835, ReadingOutcome::Fail),
    ] {
        assert_eq!(judge(value).unwrap().outcome, expected, "{value}");
    }
    let simple = judge_reading(&[8.999], None, ReadingLimit::AtLeast(9.0), DecisionRule::Simple).unwrap();
    assert_eq!(simple.outcome, ReadingOutcome::Fail);
    let missing = judge_reading(&[9.5], None, ReadingLimit::AtLeast(9.0), DecisionRule::Proven);
    assert_eq!(missing, Err(ReadingJudgeError::UncertaintyMissing));
}

/// Wide uncertainty in a narrow tolerance: both limits count, and nothing can pass (JCGM 106:2012, 7.4 in words).
#[test]
fn both_limits_count_at_once() {
    let found =
        judge_reading(&[1.0], Some(1.0), ReadingLimit::Between(0.0, 2.0), DecisionRule::Proven).unwrap();
    check("within one deviation", found.conformance_probability.unwrap(), 0.682_689_492, 1e-8);
    assert_eq!(found.outcome, ReadingOutcome::TooClose);
}

#[test]
fn what_would_settle_it_settles_it() {
    let close = judge_reading(&[9.2], Some(0.15), ReadingLimit::AtLeast(9.0), DecisionRule::Proven).unwrap();
    let Some(MeasureAgain::BetterGauge { standard_uncertainty }) = close.again else { panic!("{close:?}") };
    let better = judge_reading(
        &[9.2],
        Some(standard_uncertainty * 0.999_999),
        ReadingLimit::AtLeast(9.0),
        DecisionRule::Proven,
    );
    assert_eq!(better.unwrap().outcome, ReadingOutcome::Pass);
    let noisy = judge_reading(&[9.0, 9.3, 9.3], Some(0.02), ReadingLimit::AtLeast(9.0), DecisionRule::Proven)
        .unwrap();
    let Some(MeasureAgain::MoreReadings { in_all }) = noisy.again else { panic!("{noisy:?}") };
    assert!((4..=12).contains(&in_all), "{in_all}");
    let on = judge_reading(&[9.0], Some(0.1), ReadingLimit::AtLeast(9.0), DecisionRule::Proven).unwrap();
    assert_eq!(on.again, Some(MeasureAgain::OnTheLimit));
}

/// GUM 4.3.7 and F.2.2.1: ±a is a/√3, a step d is d/√12.
#[test]
fn a_gauge_is_as_good_as_its_parts() {
    check(
        "both",
        combine_gauge_uncertainty(Some(0.1), Some(0.2)).unwrap(),
        (0.01f64 / 12.0 + 0.04 / 3.0).sqrt(),
        1e-12,
    );
    assert_eq!(combine_gauge_uncertainty(None, None), None);
    assert_eq!(combine_gauge_uncertainty(Some(f64::NAN), None), None);
}

fn cylinders(bar: &[f64]) -> Vec<PlaceReadings> {
    let place = |(at, bar): (usize, &f64)| PlaceReadings {
        place: format!("cylinder {}", at + 1),
        readings: vec![*bar],
    };
    bar.iter().enumerate().map(place).collect()
}

#[test]
fn the_lowest_stands_against_the_highest() {
    let spread =
        |bar: &[f64], limit| judge_spread(&cylinders(bar), Some(0.1), limit, DecisionRule::Proven).unwrap();
    let even = spread(&[11.8, 12.1, 11.9, 12.0], SpreadLimit::LowestAtLeastShare(0.75));
    assert_eq!(even.outcome, ReadingOutcome::Pass);
    let weak = spread(&[11.8, 12.1, 8.2, 12.0], SpreadLimit::LowestAtLeastShare(0.75));
    assert_eq!((weak.outcome, weak.lowest_place.as_str()), (ReadingOutcome::Fail, "cylinder 3"));
    let near = spread(&[11.8, 12.1, 9.0, 12.0], SpreadLimit::LowestAtLeastShare(0.75));
    assert_eq!(near.outcome, ReadingOutcome::TooClose);
    let wide = spread(&[11.8, 12.1, 10.9, 12.0], SpreadLimit::DifferenceAtMost(2.0));
    assert_eq!(wide.outcome, ReadingOutcome::Pass);
    let each = judge_places(
        &cylinders(&[9.5, 9.0, 8.5]),
        Some(0.1),
        ReadingLimit::AtLeast(9.0),
        DecisionRule::Proven,
    )
    .unwrap();
    let outcomes: Vec<ReadingOutcome> = each.iter().map(|p| p.judgement.outcome).collect();
    assert_eq!(outcomes, [ReadingOutcome::Pass, ReadingOutcome::TooClose, ReadingOutcome::Fail]);
}

#[test]
fn grades_by_eye_want_a_second_look_near_the_limit() {
    for (looks, expected) in [
        (&[1][..], ReadingOutcome::Pass),
        (&[2], ReadingOutcome::TooClose),
        (&[3], ReadingOutcome::TooClose),
        (&[4], ReadingOutcome::Fail),
        (&[2, 2], ReadingOutcome::Pass),
        (&[3, 3], ReadingOutcome::Fail),
        (&[2, 3], ReadingOutcome::TooClose),
    ] {
        assert_eq!(judge_grades(looks, 2), Some(expected), "{looks:?}");
    }
    assert_eq!(judge_grades(&[], 2), None);
}
