//! Times of acts with breaks that nobody noted: how often the interval holds the truth, what is cut. Makes a table of `docs/learning.md`.
//!
//! `TRAYWRIGHT_RENEW=1` writes the table anew. Invented acts: typical time 1 to 15 minutes, log-normal; in one of seven there is a break of 5 to 60 minutes.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use std::fmt::Write as _;

use bolting::tolerance::normal_quantile;
use learn::act_times::{ActTime, learn_act_times};
use learn::visits::{ActPause, EngineVisit, HistoryFault, PartRemoval};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use units::math;

mod common;

const ACTS: u64 = 1_500;
const BREAK_SHARE: f64 = 1.0 / 7.0;

fn uniform(random: &mut Pcg64Mcg, low: f64, high: f64) -> f64 {
    low + (high - low) * random.random::<f64>()
}

fn removal(part: &str, begin_s: f64, end_s: f64, pauses: &[(f64, f64)]) -> PartRemoval {
    let pauses =
        pauses.iter().map(|(begin_s, end_s)| ActPause { begin_s: *begin_s, end_s: *end_s }).collect();
    PartRemoval { part: part.to_owned(), begin_s, end_s, pauses }
}

fn visits_of(times_s: &[f64]) -> Vec<EngineVisit> {
    let visit = |(at, time_s): (usize, &f64)| EngineVisit {
        name: format!("visit {at}"),
        removals: vec![removal("cover", 50.0, 50.0 + time_s, &[])],
    };
    times_s.iter().enumerate().map(visit).collect()
}

fn learn_one(times_s: &[f64]) -> ActTime {
    learn_act_times(&visits_of(times_s)).unwrap().remove(0)
}

#[derive(Default)]
struct TimeSums {
    held: usize,
    off: Vec<f64>,
    plain_off: Vec<f64>,
    breaks: usize,
    breaks_cut: usize,
    good: usize,
    good_cut: usize,
}

/// `spread` is the standard deviation of the logarithm.
fn run_acts(visits: usize, spread: f64) -> TimeSums {
    let mut sums = TimeSums::default();
    for seed in 0..ACTS {
        let random = &mut Pcg64Mcg::seed_from_u64(seed * 100 + visits as u64);
        let true_s = math::exp(uniform(random, math::ln(60.0), math::ln(900.0)));
        let (mut times_s, mut broken) = (Vec::new(), Vec::new());
        for _ in 0..visits {
            let worked_s = true_s * math::exp(spread * normal_quantile(random.random::<f64>()));
            let has_break = random.random::<f64>() < BREAK_SHARE;
            times_s.push(worked_s + if has_break { uniform(random, 300.0, 3_600.0) } else { 0.0 });
            broken.push(has_break);
        }
        let learned = learn_one(&times_s);
        // The cut takes the longest, so that the count says which.
        let mut sorted: Vec<(f64, bool)> = times_s.iter().copied().zip(broken).collect();
        sorted.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (at, (_, has_break)) in sorted.iter().enumerate() {
            let is_cut = usize::from(at < learned.cut);
            let (all, cut) = if *has_break {
                (&mut sums.breaks, &mut sums.breaks_cut)
            } else {
                (&mut sums.good, &mut sums.good_cut)
            };
            *all += 1;
            *cut += is_cut;
        }
        let holds =
            learned.range_s.is_some_and(|range| (range.low_figure..=range.high_figure).contains(&true_s));
        sums.held += usize::from(holds);
        sums.off.push((math::ln(learned.typical_s / true_s)).abs());
        let mean_s = times_s.iter().sum::<f64>() / visits as f64;
        sums.plain_off.push((math::ln(mean_s / true_s)).abs());
    }
    sums.off.sort_by(f64::total_cmp);
    sums.plain_off.sort_by(f64::total_cmp);
    sums
}

/// The value that nine in ten stay below, as percent above the truth.
fn ninth_percent(sorted: &[f64]) -> f64 {
    100.0 * (math::exp(sorted[sorted.len() * 9 / 10]) - 1.0)
}

fn percent(part: usize, whole: usize) -> f64 {
    100.0 * part as f64 / whole.max(1) as f64
}

#[test]
fn the_table_of_the_page_is_what_is_measured() {
    let mut out = String::from(
        "| spread | visits | 90 % interval holds the truth | nine in ten are off by less than | the same of a plain mean | breaks cut | good times cut |\n|---|---|---|---|---|---|---|\n",
    );
    for spread in [0.2, 0.35] {
        for visits in [3, 5, 10, 30] {
            let sums = run_acts(visits, spread);
            let held = percent(sums.held, ACTS as usize);
            let good_cut = percent(sums.good_cut, sums.good);
            let _infallible = writeln!(
                out,
                "| {spread} | {visits} | {held:.0} % | {:.0} % | {:.0} % | {:.0} % | {good_cut:.1} % |",
                ninth_percent(&sums.off),
                ninth_percent(&sums.plain_off),
                percent(sums.breaks_cut, sums.breaks),
            );
            assert!(held >= 80.0, "{visits} visits: {held}");
            assert!(good_cut < 2.0, "{visits} visits: {good_cut}");
            assert!(sums.off[sums.off.len() * 9 / 10] < sums.plain_off[sums.off.len() * 9 / 10] / 2.0);
        }
    }
    common::compare_table("times", &out);
}

/// Five times of one, worked by hand: logarithms have the median ln 100; 1000 s is beyond 2.5 times that and beyond three deviations.
#[test]
fn a_break_is_cut_and_told() {
    let learned = learn_one(&[100.0, 90.0, 110.0, 1_000.0, 100.0]);
    assert_eq!((learned.kept, learned.cut, learned.is_few), (4, 1, true));
    // Fourth root of 90 · 100 · 100 · 110.
    assert!((learned.typical_s - 99.749_1).abs() < 1e-3, "{}", learned.typical_s);
    // First time over the geometric mean of 90, 110 and 100 s.
    assert!((learned.first_ratio.unwrap() - 1.003_356).abs() < 1e-5, "{:?}", learned.first_ratio);
}

#[test]
fn a_slow_first_time_shows_against_later_ones() {
    let slow = learn_one(&[200.0, 100.0, 104.0, 98.0, 101.0]);
    let range = slow.first_range_ratio.unwrap();
    assert!(slow.first_ratio.unwrap() > 1.9 && slow.first_ratio.unwrap() > range.high_figure, "{slow:?}");
    let alone = learn_one(&[200.0]);
    assert_eq!((alone.range_s, alone.first_ratio, alone.is_few), (None, None, true));
    assert!((alone.typical_s - 200.0).abs() < 1e-9);
}

#[test]
fn noted_pauses_are_taken_off_once() {
    let part = |pauses: &[(f64, f64)]| {
        let visit =
            EngineVisit { name: String::from("one"), removals: vec![removal("pump", 0.0, 100.0, pauses)] };
        learn_act_times(&[visit])
    };
    let time = |pauses: &[(f64, f64)]| part(pauses).unwrap()[0].typical_s;
    assert!((time(&[(10.0, 30.0), (20.0, 40.0)]) - 70.0).abs() < 1e-9, "overlapping pauses count once");
    assert!((time(&[(-50.0, 10.0), (90.0, 500.0)]) - 80.0).abs() < 1e-9, "pauses end with the act");
    assert!(part(&[(0.0, 100.0)]).unwrap().is_empty(), "nothing is left");
    for bad in [(5.0, 4.0), (f64::NAN, 4.0), (0.0, f64::INFINITY)] {
        assert!(matches!(part(&[bad]), Err(HistoryFault::TimeUnusable { .. })), "{bad:?}");
    }
}
