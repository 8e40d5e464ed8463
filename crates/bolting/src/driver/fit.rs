//! Fits torque to clutch step: a weighted line with pooled scatter, or one mean a step where no line holds.
//!
//! symbol: nu, mean_step, sxx, sum_w, steps = degrees of freedom, weighted mean step, weighted sum of squares, sum of weights, torques by step
//!
//! Torques are in N·m. Weights are 1 for an even scatter and `1/ŷ²` for one that grows with the torque; for the latter the
//! scatter `s` is a share of the torque. Weighted least squares by the centred normal equations, which lose nothing for two
//! unknowns; the weights are renewed four times, which settles them far below the scatter.
//!
//! **Sources.** Weighted least squares and the test of lack of fit: Montgomery, Peck and Vining, Introduction to Linear
//! Regression Analysis; comparison of two variances by F: any text.

use std::collections::BTreeMap;

use serde::Serialize;
use units::{Torque, math};

use super::{ClutchCaution, ClutchReading};
use crate::tolerance;

/// A line is given up when its lack of fit is this unlikely (assumption: strict, since a bend biases a bound).
const LACK_OF_FIT_PROBABILITY: f64 = 0.2;
/// Scatter counts as growing for certain when growth by chance is this unlikely; with a looser test,
/// chance alone would often look like growth and the bound at the low steps would lose its confidence.
const GROWTH_PROBABILITY: f64 = 0.001;
/// A reading is far out when one of its kind among all is this unlikely.
const FAR_OUT_PROBABILITY: f64 = 0.01;
/// Times the weights are renewed.
const RENEWALS: u32 = 4;
/// Scatter below this share of the torque is the wrench's scale, not a scatter.
const LEAST_SCATTER_RATIO: f64 = 1.0e-9;

/// The model of the clutch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ClutchShape {
    /// A straight line through all steps.
    Line,
    /// A mean of its own for each step.
    Stairs,
}

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

impl ClutchStepBound {
    /// The more cautious of two at one step.
    pub(super) fn wider_bound(self, other: Self) -> Self {
        Self {
            lower: self.lower.min(other.lower),
            upper: self.upper.max(other.upper),
            scatter: self.scatter.max(other.scatter),
            ..self
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
enum ClutchCurve {
    Line { at_mean_n_m: f64, slope_n_m: f64, mean_step: f64, sum_w: f64, sxx: f64 },
    Stairs { means_n_m: BTreeMap<u32, (f64, u32)> },
}

/// One curve with one kind of scatter.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ClutchFit {
    curve: ClutchCurve,
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

/// The shape that holds, with its fits: the likelier scatter first. `None` when there is no scatter at all.
pub(super) fn fit_curves(readings: &[ClutchReading]) -> Option<(ClutchShape, Vec<ClutchFit>)> {
    let stairs = [ScatterTrend::Even, ScatterTrend::Growing].map(|scatter| fit_stairs(readings, scatter));
    let lines = [ScatterTrend::Even, ScatterTrend::Growing].map(|scatter| fit_line(readings, scatter));
    let holds =
        |(line, stair): (&Option<ClutchFit>, &ClutchFit)| line.as_ref().is_some_and(|l| !l.lacks_fit(stair));
    let is_line = lines.iter().zip(&stairs).all(holds);
    let shape = if is_line { ClutchShape::Line } else { ClutchShape::Stairs };
    let found = if is_line { lines.into_iter().flatten().collect() } else { stairs.to_vec() };
    if found.iter().any(|fit| fit.has_no_scatter()) {
        return None;
    }
    Some((shape, choose_fits(found, growth_probability(readings))))
}

/// Growing scatter alone where a test says so, else both, the likelier first.
fn choose_fits(mut fits: Vec<ClutchFit>, growth_probability: f64) -> Vec<ClutchFit> {
    if growth_probability < GROWTH_PROBABILITY {
        fits.retain(|fit| fit.scatter == ScatterTrend::Growing);
    } else {
        fits.sort_by(|a, b| a.misfit_figure.total_cmp(&b.misfit_figure));
    }
    fits
}

/// Probability that chance alone makes the upper steps scatter this much more than the lower ones.
fn growth_probability(readings: &[ClutchReading]) -> f64 {
    let steps: Vec<Vec<f64>> = torques_by_step(readings).into_values().collect();
    let half = steps.len() / 2;
    if half == 0 {
        return 1.0;
    }
    let (low, low_count) = pooled_squares(&steps[..half]);
    let (high, high_count) = pooled_squares(&steps[steps.len() - half..]);
    if low <= 0.0 || low_count < 2.0 || high_count < 2.0 {
        return 1.0;
    }
    tolerance::f_above_probability((high / high_count) / (low / low_count), high_count, low_count)
}

/// Sum of squares round the steps' own means, in N²·m², and its degrees of freedom.
fn pooled_squares(steps: &[Vec<f64>]) -> (f64, f64) {
    let of = |values: &Vec<f64>| {
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        (values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>(), n - 1.0)
    };
    steps.iter().map(of).fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1))
}

fn fit_stairs(readings: &[ClutchReading], scatter: ScatterTrend) -> ClutchFit {
    let mean = |values: Vec<f64>| (values.iter().sum::<f64>() / values.len() as f64, values.len() as u32);
    let means_n_m: BTreeMap<u32, (f64, u32)> =
        torques_by_step(readings).into_iter().map(|(step, values)| (step, mean(values))).collect();
    let nu = readings.len() as f64 - means_n_m.len() as f64;
    ClutchFit::from_curve(ClutchCurve::Stairs { means_n_m }, scatter, nu, readings)
}

/// A line through at least three steps, its ends positive; else `None`.
fn fit_line(readings: &[ClutchReading], scatter: ScatterTrend) -> Option<ClutchFit> {
    let steps = torques_by_step(readings);
    if steps.len() < 3 {
        return None;
    }
    let nu = readings.len() as f64 - 2.0;
    let mut curve = weighted_line(readings, |_| 1.0);
    if scatter == ScatterTrend::Growing {
        for _ in 0..RENEWALS {
            let before = curve.clone();
            if steps.keys().any(|step| before.at_n_m(*step).is_none_or(|n_m| n_m <= 0.0)) {
                return None;
            }
            curve = weighted_line(readings, |r| before.at_n_m(r.step).map_or(1.0, |n_m| 1.0 / (n_m * n_m)));
        }
    }
    let is_positive = steps.keys().all(|step| curve.at_n_m(*step).is_some_and(|n_m| n_m > 0.0));
    is_positive.then(|| ClutchFit::from_curve(curve, scatter, nu, readings))
}

fn weighted_line(readings: &[ClutchReading], weight: impl Fn(&ClutchReading) -> f64) -> ClutchCurve {
    let sum = |of: &dyn Fn(&ClutchReading) -> f64| readings.iter().map(|r| weight(r) * of(r)).sum::<f64>();
    let x = |r: &ClutchReading| f64::from(r.step);
    let sum_w = sum(&|_| 1.0);
    let mean_step = sum(&x) / sum_w;
    let at_mean_n_m = sum(&|r| r.torque.as_n_m()) / sum_w;
    let sxx = sum(&|r| (x(r) - mean_step) * (x(r) - mean_step));
    let sxy = sum(&|r| (x(r) - mean_step) * (r.torque.as_n_m() - at_mean_n_m));
    ClutchCurve::Line { at_mean_n_m, slope_n_m: sxy / sxx, mean_step, sum_w, sxx }
}

impl ClutchCurve {
    fn at_n_m(&self, step: u32) -> Option<f64> {
        match self {
            Self::Line { at_mean_n_m, slope_n_m, mean_step, .. } => {
                Some(at_mean_n_m + slope_n_m * (f64::from(step) - mean_step))
            }
            Self::Stairs { means_n_m } => means_n_m.get(&step).map(|mean| mean.0),
        }
    }
}

impl ClutchFit {
    fn from_curve(curve: ClutchCurve, scatter: ScatterTrend, nu: f64, readings: &[ClutchReading]) -> Self {
        let mut fit = Self { curve, scatter, s_figure: 0.0, nu, misfit_figure: 0.0 };
        let squares: f64 = readings.iter().map(|r| fit.residual_figure(r)).map(|u| u * u).sum();
        fit.s_figure = math::sqrt(squares / nu.max(1.0));
        let n = readings.len() as f64;
        let logs: f64 = readings.iter().map(|r| math::ln(fit.unit_n_m(r.step))).sum();
        fit.misfit_figure = n * math::ln((squares / n).max(f64::MIN_POSITIVE)) + 2.0 * logs;
        fit
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
            ScatterTrend::Growing => self.curve.at_n_m(step).map_or(1.0, |n_m| n_m.max(1.0e-6)),
        }
    }

    pub(crate) fn at_n_m(&self, step: u32) -> Option<f64> {
        self.curve.at_n_m(step)
    }

    /// A reading's distance from the curve in units of scatter.
    pub(crate) fn residual_figure(&self, reading: &ClutchReading) -> f64 {
        let at_n_m = self.curve.at_n_m(reading.step).unwrap_or(reading.torque.as_n_m());
        (reading.torque.as_n_m() - at_n_m) / self.unit_n_m(reading.step)
    }

    /// Whether torque rises over the steps.
    pub(crate) fn torque_rises(&self) -> bool {
        match &self.curve {
            ClutchCurve::Line { slope_n_m, .. } => *slope_n_m > 0.0,
            ClutchCurve::Stairs { means_n_m } => {
                let means: Vec<f64> = means_n_m.values().map(|mean| mean.0).collect();
                means.windows(2).all(|pair| pair[0] < pair[1])
            }
        }
    }

    /// Whether the steps' own means say that this line bends.
    fn lacks_fit(&self, stairs: &Self) -> bool {
        let between = self.nu - stairs.nu;
        let pure = stairs.s_figure * stairs.s_figure * stairs.nu;
        let all = self.s_figure * self.s_figure * self.nu;
        if between < 1.0 || stairs.nu < 1.0 || pure <= 0.0 {
            return between >= 1.0 && all > pure;
        }
        let f_ratio = ((all - pure).max(0.0) / between) / (pure / stairs.nu);
        tolerance::f_above_probability(f_ratio, between, stairs.nu) < LACK_OF_FIT_PROBABILITY
    }

    /// Variance of the curve over that of one reading, averaged over steps as a check takes them: `d²` for a single step.
    pub(crate) fn variance_ratio(&self, steps: &[u32]) -> f64 {
        let m = steps.len().max(1) as f64;
        match &self.curve {
            ClutchCurve::Line { mean_step, sum_w, sxx, .. } => {
                let share = |step: &u32| 1.0 / self.unit_n_m(*step);
                let a = steps.iter().map(share).sum::<f64>() / m;
                let lean = steps.iter().map(|s| (f64::from(*s) - mean_step) * share(s)).sum::<f64>() / m;
                a * a / sum_w + lean * lean / sxx
            }
            ClutchCurve::Stairs { means_n_m } => {
                let part = |(step, mean): (&u32, &(f64, u32))| {
                    let hits = steps.iter().filter(|s| *s == step).count() as f64 / m;
                    hits * hits / f64::from(mean.1.max(1))
                };
                means_n_m.iter().map(part).sum()
            }
        }
    }

    /// Mean and bounds at a step.
    pub(crate) fn bound_at_step(
        &self,
        step: u32,
        covered_share: f64,
        confidence_share: f64,
    ) -> Option<ClutchStepBound> {
        let mean_n_m = self.curve.at_n_m(step)?;
        let scatter_n_m = self.s_figure * self.unit_n_m(step);
        let d_ratio = math::sqrt(self.variance_ratio(&[step]));
        let k = tolerance::one_sided_factor(self.nu, d_ratio, covered_share, confidence_share);
        let n_m = Torque::from_n_m;
        Some(ClutchStepBound {
            step,
            mean: n_m(mean_n_m),
            scatter: n_m(scatter_n_m),
            lower: n_m((mean_n_m - k * scatter_n_m).max(0.0)),
            upper: n_m(mean_n_m + k * scatter_n_m),
        })
    }
}

/// The gap between neighbouring figures of the scale, where it is so wide that the scatter may be the scale's.
///
/// A scale adds its own error, evenly spread over a step `q`, and hides scatter well below it: `q ≤ s` is required (assumption).
pub(super) fn coarse_scale(readings: &[ClutchReading], fit: &ClutchFit) -> Option<ClutchCaution> {
    let mut seen: Vec<f64> = readings.iter().map(|r| r.torque.as_n_m()).collect();
    seen.sort_by(f64::total_cmp);
    let gaps = seen.windows(2).map(|pair| pair[1] - pair[0]);
    let step_n_m = gaps.filter(|gap| *gap > 1.0e-9).min_by(f64::total_cmp)?;
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
