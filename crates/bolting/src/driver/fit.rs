//! Fits torque to clutch step: a mean and a scatter of its own for each step, and the pooled scatter for the tests.
//!
//! symbol: nu, s = degrees of freedom, standard deviation
//!
//! **Bounds** rest on each step's own readings alone, `U = mean + k·s` with `n − 1` degrees of freedom, so that neither a bend nor an uneven
//! scatter spoils them and no test on the same data decides which formula is used. **Tests** (drift, far out, scale) use the pooled
//! scatter, even in N·m or a share of the torque, whichever is likelier.
//!
//! **Sources.** Tolerance bound of one normal sample: [`crate::tolerance`]; comparison of variances by F, Grubbs' test: any text.

use std::collections::BTreeMap;

use serde::Serialize;
use units::{Torque, math};

use super::{ClutchCaution, ClutchReading};
use crate::tolerance;

/// A reading is far out when one of its kind among all is this unlikely.
const FAR_OUT_PROBABILITY: f64 = 0.01;
/// A step's scatter never counts for less than this share of a step of the scale: rounding hides what lies below (assumption).
const LEAST_OF_SCALE_RATIO: f64 = 0.5;
/// Scatter below this share of the torque is the wrench's scale, not a scatter.
const LEAST_SCATTER_RATIO: f64 = 1.0e-9;

/// How the scatter goes with the torque.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ScatterTrend {
    /// The same at all steps.
    Even,
    /// A fixed share of the torque.
    Growing,
}

/// What a step does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ClutchStepBound {
    /// The step.
    pub step: u32,
    /// Mean torque.
    pub mean: Torque,
    /// Standard deviation of single run-downs.
    pub scatter: Torque,
    /// The covered share of fasteners stays above this, with the requested confidence.
    pub lower: Torque,
    /// The covered share of fasteners stays below this, with the requested confidence.
    pub upper: Torque,
}

/// What one step showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct StepSample {
    pub(crate) mean_n_m: f64,
    pub(crate) s_n_m: f64,
    pub(crate) count: u32,
}

/// The steps' means with one kind of pooled scatter.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ClutchFit {
    samples: BTreeMap<u32, StepSample>,
    scatter: ScatterTrend,
    /// Even: N·m; growing: share of the torque.
    s_figure: f64,
    nu: f64,
    /// Twice the negative logarithm of the likelihood, but for a constant.
    misfit_figure: f64,
}

/// Readings by step.
fn torques_by_step(readings: &[ClutchReading]) -> BTreeMap<u32, Vec<f64>> {
    let mut steps: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
    for reading in readings {
        steps.entry(reading.step).or_default().push(reading.torque.as_n_m());
    }
    steps
}

/// The fits with both kinds of scatter, the likelier first. `None` when there is no scatter at all.
pub(super) fn fit_steps(readings: &[ClutchReading]) -> Option<Vec<ClutchFit>> {
    let samples = step_samples(readings);
    let mut fits = [ScatterTrend::Even, ScatterTrend::Growing]
        .map(|scatter| ClutchFit::from_samples(samples.clone(), scatter, readings))
        .to_vec();
    if fits.iter().any(ClutchFit::has_no_scatter) {
        return None;
    }
    fits.sort_by(|a, b| a.misfit_figure.total_cmp(&b.misfit_figure));
    Some(fits)
}

/// Mean, scatter and count of each step; a scatter below half a step of the scale is raised to it.
fn step_samples(readings: &[ClutchReading]) -> BTreeMap<u32, StepSample> {
    let least_n_m = scale_step_n_m(readings).unwrap_or(0.0) * LEAST_OF_SCALE_RATIO;
    let sample = |values: Vec<f64>| {
        let n = values.len() as f64;
        let mean_n_m = values.iter().sum::<f64>() / n;
        let squares: f64 = values.iter().map(|v| (v - mean_n_m) * (v - mean_n_m)).sum();
        let s_n_m = math::sqrt(squares / (n - 1.0).max(1.0));
        StepSample { mean_n_m, s_n_m: s_n_m.max(least_n_m), count: values.len() as u32 }
    };
    torques_by_step(readings).into_iter().map(|(step, values)| (step, sample(values))).collect()
}

impl ClutchFit {
    fn from_samples(
        samples: BTreeMap<u32, StepSample>,
        scatter: ScatterTrend,
        readings: &[ClutchReading],
    ) -> Self {
        let nu = readings.len() as f64 - samples.len() as f64;
        let mut fit = Self { samples, scatter, s_figure: 0.0, nu, misfit_figure: 0.0 };
        let squares: f64 = readings.iter().map(|r| fit.residual_figure(r)).map(|u| u * u).sum();
        fit.s_figure = math::sqrt(squares / nu.max(1.0));
        let n = readings.len() as f64;
        let logs: f64 = readings.iter().map(|r| math::ln(fit.unit_n_m(r.step))).sum();
        fit.misfit_figure = n * math::ln((squares / n).max(f64::MIN_POSITIVE)) + 2.0 * logs;
        fit
    }

    /// What the steps showed, by step.
    pub(crate) const fn samples(&self) -> &BTreeMap<u32, StepSample> {
        &self.samples
    }

    pub(crate) const fn scatter(&self) -> ScatterTrend {
        self.scatter
    }

    pub(crate) const fn degrees_of_freedom(&self) -> f64 {
        self.nu
    }

    pub(crate) const fn s_figure(&self) -> f64 {
        self.s_figure
    }

    fn has_no_scatter(&self) -> bool {
        self.nu < 1.0 || self.s_figure <= LEAST_SCATTER_RATIO
    }

    /// What one unit of scatter is at a step: 1 N·m, or the torque itself where the scatter grows with it.
    pub(crate) fn unit_n_m(&self, step: u32) -> f64 {
        match self.scatter {
            ScatterTrend::Even => 1.0,
            ScatterTrend::Growing => self.at_n_m(step).map_or(1.0, |n_m| n_m.max(1.0e-6)),
        }
    }

    pub(crate) fn at_n_m(&self, step: u32) -> Option<f64> {
        self.samples.get(&step).map(|sample| sample.mean_n_m)
    }

    /// A reading's distance from its step's mean in units of scatter.
    pub(crate) fn residual_figure(&self, reading: &ClutchReading) -> f64 {
        let at_n_m = self.at_n_m(reading.step).unwrap_or(reading.torque.as_n_m());
        (reading.torque.as_n_m() - at_n_m) / self.unit_n_m(reading.step)
    }

    /// Whether torque rises over the steps.
    pub(crate) fn torque_rises(&self) -> bool {
        let means: Vec<f64> = self.samples.values().map(|sample| sample.mean_n_m).collect();
        means.windows(2).all(|pair| pair[0] < pair[1])
    }

    /// Variance of the means over that of one reading, averaged over steps as a check takes them.
    pub(crate) fn variance_ratio(&self, steps: &[u32]) -> f64 {
        let m = steps.len().max(1) as f64;
        let part = |(step, sample): (&u32, &StepSample)| {
            let hits = steps.iter().filter(|s| *s == step).count() as f64 / m;
            hits * hits / f64::from(sample.count.max(1))
        };
        self.samples.iter().map(part).sum()
    }

    /// Mean and bounds at a step, from its own readings.
    pub(crate) fn bound_at_step(
        &self,
        step: u32,
        covered_share: f64,
        confidence_share: f64,
    ) -> Option<ClutchStepBound> {
        let sample = self.samples.get(&step)?;
        let k = tolerance::one_sided_factor_of(sample.count, covered_share, confidence_share);
        let n_m = Torque::from_n_m;
        Some(ClutchStepBound {
            step,
            mean: n_m(sample.mean_n_m),
            scatter: n_m(sample.s_n_m),
            lower: n_m((sample.mean_n_m - k * sample.s_n_m).max(0.0)),
            upper: n_m(sample.mean_n_m + k * sample.s_n_m),
        })
    }
}

/// The least gap between figures read, in N·m: the step of the scale, as far as the readings show it.
fn scale_step_n_m(readings: &[ClutchReading]) -> Option<f64> {
    let mut seen: Vec<f64> = readings.iter().map(|r| r.torque.as_n_m()).collect();
    seen.sort_by(f64::total_cmp);
    let gaps = seen.windows(2).map(|pair| pair[1] - pair[0]);
    gaps.filter(|gap| *gap > 1.0e-9).min_by(f64::total_cmp)
}

/// The gap between neighbouring figures of the scale, where it is so wide that the scatter may be the scale's.
///
/// A scale adds its own error, evenly spread over a step `q`, and hides scatter well below it: `q ≤ s` is required (assumption).
pub(super) fn coarse_scale(readings: &[ClutchReading], fit: &ClutchFit) -> Option<ClutchCaution> {
    let step_n_m = scale_step_n_m(readings)?;
    let least_n_m =
        readings.iter().map(|r| fit.s_figure * fit.unit_n_m(r.step)).fold(f64::INFINITY, f64::min);
    (step_n_m > least_n_m).then_some(ClutchCaution::CoarseScale { step: Torque::from_n_m(step_n_m) })
}

/// The reading farthest out, where one so far out is unlikely among that many.
pub(super) fn far_out(readings: &[ClutchReading], fit: &ClutchFit) -> Option<ClutchCaution> {
    let away = |r: &ClutchReading| fit.residual_figure(r).abs() / fit.s_figure;
    let worst = readings.iter().max_by(|a, b| away(a).total_cmp(&away(b)))?;
    let (n, nu) = (readings.len() as f64, fit.nu);
    // Grubbs: the farthest of n, its own share of the scatter taken out.
    let u = away(worst);
    let left = nu - u * u;
    if left <= 0.0 {
        return Some(ClutchCaution::FarOut { step: worst.step, torque: worst.torque });
    }
    let t = u * math::sqrt((nu - 1.0).max(1.0) / left);
    let probability = 2.0 * n * tolerance::student_above_probability(t, (nu - 1.0).max(1.0));
    (probability < FAR_OUT_PROBABILITY)
        .then_some(ClutchCaution::FarOut { step: worst.step, torque: worst.torque })
}
