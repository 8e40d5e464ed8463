//! Tells whether a clutch still does what its calibration says: a few fresh run-downs against the curve.
//!
//! **Question.** The battery is new and the spring a year older: may last year's step still be trusted?
//!
//! **Method.** Three tests share an error of 5 %: has the mean moved (t), has the scatter grown (F), does one reading lie
//! too high (t)? One that fails makes the calibration void. Passing proves little from few readings, so the shift that would
//! still have slipped through is given with it.
//!
//! **Symbols.** `m` fresh readings, `u` their distances from the curve in units of scatter, `v` variance of the curve, `s`, `ν` of the calibration:
//! `t = ū/(s·√(1/m + v))`, `F = s_u²/s²`.
//!
//! **Worked example.** s 0.055, n 25, five checks at the middle step, mean 0.10 N·m too high: t = 0.10/(0.055·√(1/5 + 1/25)) = 3.7: void.
//!
//! **Sources.** Comparison of a new sample with a fitted line: any textbook on regression; least number of checks: assumption.

use serde::Serialize;
use units::math;

use super::fit::ClutchFit;
use super::{ClutchCalibration, ClutchReading};
use crate::tolerance;

/// Minimum number of fresh readings for a verdict (assumption).
pub const LEAST_CHECKS: usize = 3;
/// Share of sound calibrations that the tests together may call void.
const FALSE_ALARM: f64 = 0.05;
/// Tests that share it.
const TESTS: f64 = 3.0;
/// Chance with which the shift named would have been found.
const POWER: f64 = 0.8;

/// Why a calibration is void.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DriftCause {
    /// The mean has moved.
    MeanMoved,
    /// The scatter has grown.
    ScatterGrew,
    /// One reading lies too high for chance.
    OneTooHigh,
}

/// What a check says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DriftVerdict {
    /// No fresh readings at steps that the calibration covers.
    Unchecked,
    /// Too few to say.
    TooFew {
        /// How many more are wanted.
        more: usize,
    },
    /// No drift found.
    Holds,
    /// The calibration no longer holds: calibrate again.
    Void {
        /// Which test failed first.
        why: DriftCause,
    },
}

/// A check with its figures.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ClutchDrift {
    /// What it says.
    pub verdict: DriftVerdict,
    /// Mean shift as a share of the torque.
    pub shift_fraction: f64,
    /// Scatter of the fresh readings over that of the calibration.
    pub scatter_ratio: f64,
    /// How far the highest fresh reading lies above its step's mean, as a share of the torque.
    pub highest_fraction: f64,
    /// Shift that would have been found with a chance of 80 %.
    pub detectable_fraction: f64,
    /// Chance of a worse result without any drift, of the worst test.
    pub probability: f64,
}

impl ClutchDrift {
    /// No check was made.
    #[must_use]
    pub const fn unchecked() -> Self {
        Self::without_figures(DriftVerdict::Unchecked)
    }

    const fn without_figures(verdict: DriftVerdict) -> Self {
        Self {
            verdict,
            shift_fraction: 0.0,
            scatter_ratio: 1.0,
            highest_fraction: 0.0,
            detectable_fraction: f64::INFINITY,
            probability: 1.0,
        }
    }
}

/// Compares fresh run-downs with a calibration; repeats on a fastener count once.
#[must_use]
pub fn check_drift(calibration: &ClutchCalibration, fresh: &[ClutchReading]) -> ClutchDrift {
    let steps = calibration.covered_steps();
    let usable: Vec<ClutchReading> = super::first_on_each_fastener(fresh)
        .into_iter()
        .filter(|r| steps.contains(&r.step) && super::is_torque(r.torque))
        .collect();
    match usable.len() {
        0 => ClutchDrift::unchecked(),
        m if m < LEAST_CHECKS => {
            ClutchDrift::without_figures(DriftVerdict::TooFew { more: LEAST_CHECKS - m })
        }
        _ => compare_with_fit(&calibration.fits[0], &usable),
    }
}

fn compare_with_fit(fit: &ClutchFit, fresh: &[ClutchReading]) -> ClutchDrift {
    let m = fresh.len() as f64;
    let steps: Vec<u32> = fresh.iter().map(|r| r.step).collect();
    let away: Vec<f64> = fresh.iter().map(|r| fit.residual_figure(r) / fit.s_figure()).collect();
    let mean = away.iter().sum::<f64>() / m;
    let spread = math::sqrt(1.0 / m + fit.variance_ratio(&steps));
    let moved = 2.0 * tolerance::student_above_probability((mean / spread).abs(), fit.degrees_of_freedom());
    let squares: f64 = away.iter().map(|u| (u - mean) * (u - mean)).sum();
    let grew = tolerance::f_above_probability(squares / (m - 1.0), m - 1.0, fit.degrees_of_freedom());
    let highest_fraction = fresh
        .iter()
        .map(|r| {
            fit.residual_figure(r) * fit.unit_n_m(r.step) / fit.at_n_m(r.step).unwrap_or(1.0).max(1.0e-6)
        })
        .fold(f64::NEG_INFINITY, f64::max);
    let high = fresh.iter().zip(&away).map(|(r, u)| u / math::sqrt(1.0 + fit.variance_ratio(&[r.step])));
    let highest = high.fold(f64::NEG_INFINITY, f64::max);
    let too_high = (m * tolerance::student_above_probability(highest, fit.degrees_of_freedom())).min(1.0);
    let tests =
        [(DriftCause::MeanMoved, moved), (DriftCause::ScatterGrew, grew), (DriftCause::OneTooHigh, too_high)];
    let worst = tests.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or(tests[0]);
    let limit = FALSE_ALARM / TESTS;
    let verdict = if worst.1 < limit { DriftVerdict::Void { why: worst.0 } } else { DriftVerdict::Holds };
    // A unit of scatter over the torque, averaged over the fresh readings.
    let unit = |step: &u32| fit.at_n_m(*step).map_or(0.0, |n_m| fit.unit_n_m(*step) / n_m.max(1.0e-6));
    let share = fit.s_figure() * steps.iter().map(unit).sum::<f64>() / m;
    let found = tolerance::student_quantile(1.0 - limit / 2.0, fit.degrees_of_freedom())
        + tolerance::normal_quantile(POWER);
    ClutchDrift {
        verdict,
        shift_fraction: mean * share,
        scatter_ratio: math::sqrt(squares / (m - 1.0)),
        highest_fraction,
        detectable_fraction: found * spread * share,
        probability: worst.1,
    }
}
