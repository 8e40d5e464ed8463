//! What the session itself says: a step that scatters unlike the others, a battery that falls, sessions that disagree.
//!
//! **Question.** Were the readings taken with one clutch in one state, and could the data have shown it if not?
//!
//! **Symbols.** `r` distance of a reading from its step's mean, in N·m or as a share of it; `s_i²` variance of step `i`; `g` place in the
//! session, `ḡ` its mean over a step.
//!
//! ```text
//! uneven   likelihood of one step with its own scatter over that of one scatter for all, each on its likelier scale (even or growing
//!          with the torque); brought back to the F of s_i² over the pooled s² of the others
//! order    b = Σ(g − ḡ)·r / Σ(g − ḡ)², t;  fall over the session = b·(n − 1)
//! session  mean of r in one session less that in the others, over the steps that both hold, t
//! ```
//!
//! **Range.** The order can only be told apart from the step where steps are taken in turn (1 2 3 1 2 3 …): **readings taken step by step hide a
//! falling battery**, and that is said instead. Levels are chosen so that a sound session raises each warning in at most 5 of 100.
//! A step that scatters four times as much as the others is found in 9 of 10 from six run-downs a step on. **With five it is found in 87 of
//! 100 only**: the best test that treats all steps alike, were even known that the others scatter alike, finds it in 87.5 at 5 % false
//! alarms, `P(16·F(4, 16) > 4.77)`.
//!
//! **Worked example.** Five steps in turn, five rounds, scatter 1.5 %, a fall of 8 % over 24 places: t = 0.08/24·√1250/0.015 = 7.9.
//!
//! symbol: nu, rest_nu = degrees of freedom of a step, of all others
//!
//! **Sources.** F and t tests, restricted likelihood: any text; shared level: Bonferroni; the greatest of several variances is the best
//! test against one that is greater: Truax, Ann. Math. Statist. 24 (1953) 669 (from memory). Simulated in `tests/coverage.rs`.

use std::collections::BTreeMap;

use units::math;

use super::{ClutchCaution, ClutchReading};
use crate::tolerance;

/// Level of the test of scatter: with the choice of the scale in it at most 5 of 100 false alarms come (simulated for two to eight
/// steps whose torques lie near each other, rise by a fixed amount, or double, three to eight run-downs each).
const UNEVEN_PROBABILITY: f64 = 0.035;
/// Ratios of variances are looked for up to this logarithm.
const MAX_LN_VARIANCE_RATIO: f64 = 60.0;
/// Level of the test of order, and of all sessions together.
const ORDER_PROBABILITY: f64 = 0.035;
/// Chance with which a fall must be found so that the order counts as tested.
const POWER: f64 = 0.9;
/// A fall that must not go unseen: a battery's over a session (assumption).
const MAX_UNSEEN_FALL_FRACTION: f64 = 0.08;

/// The readings of one step, as distances from their mean.
#[derive(Default)]
struct StepResiduals {
    mean_n_m: f64,
    /// Place in the session and distance in N·m.
    residuals_n_m: Vec<(usize, f64)>,
}

impl StepResiduals {
    fn degrees_of_freedom(&self) -> f64 {
        self.residuals_n_m.len() as f64 - 1.0
    }

    fn sum_of_squares(&self) -> f64 {
        self.residuals_n_m.iter().map(|(_, residual_n_m)| residual_n_m * residual_n_m).sum()
    }
}

fn residuals_by_step(readings: &[ClutchReading]) -> BTreeMap<u32, StepResiduals> {
    let mut steps: BTreeMap<u32, StepResiduals> = BTreeMap::new();
    for (place, reading) in readings.iter().enumerate() {
        steps.entry(reading.step).or_default().residuals_n_m.push((place, reading.torque.as_n_m()));
    }
    for step in steps.values_mut() {
        step.mean_n_m =
            step.residuals_n_m.iter().map(|v| v.1).sum::<f64>() / step.residuals_n_m.len().max(1) as f64;
        for value in &mut step.residuals_n_m {
            value.1 -= step.mean_n_m;
        }
    }
    steps
}

/// The squares of one step's residuals on one scale.
struct StepSquares {
    step: u32,
    squares_figure: f64,
    nu: f64,
}

/// The squares of all steps on one scale.
struct ScaledSquares {
    steps: Vec<StepSquares>,
    /// What the change of scale adds to twice the negative logarithm of the likelihood.
    change_figure: f64,
}

/// A step with a scatter of its own: how much better that explains the readings, and by what.
#[derive(Clone, Copy)]
struct OwnScatter {
    step: u32,
    misfit_figure: f64,
    nu: f64,
    rest_nu: f64,
    variance_ratio: f64,
}

impl ScaledSquares {
    fn of_steps(steps: &BTreeMap<u32, StepResiduals>, unit: fn(f64) -> f64) -> Self {
        let of_step = |(step, sample): (&u32, &StepResiduals)| {
            let unit_n_m = unit(sample.mean_n_m);
            let squares_figure = sample.sum_of_squares() / (unit_n_m * unit_n_m);
            StepSquares { step: *step, squares_figure, nu: sample.degrees_of_freedom() }
        };
        let change =
            |sample: &StepResiduals| 2.0 * sample.degrees_of_freedom() * math::ln(unit(sample.mean_n_m));
        Self { steps: steps.iter().map(of_step).collect(), change_figure: steps.values().map(change).sum() }
    }

    fn totals(&self) -> (f64, f64) {
        let add =
            |(squares, nu): (f64, f64), step: &StepSquares| (squares + step.squares_figure, nu + step.nu);
        self.steps.iter().fold((0.0, 0.0), add)
    }

    /// Twice the negative logarithm of the likelihood where all steps share one scatter.
    fn shared_misfit_figure(&self) -> f64 {
        let (squares, nu) = self.totals();
        nu * math::ln((squares / nu.max(1.0)).max(f64::MIN_POSITIVE)) + self.change_figure
    }

    /// The step that explains most with a greater scatter of its own.
    fn most_unlike(&self) -> Option<OwnScatter> {
        let (all, all_nu) = self.totals();
        let of_step = |own: &StepSquares| {
            let nu = own.nu;
            let (rest, rest_nu) = (all - own.squares_figure, all_nu - nu);
            if nu < 1.0 || rest_nu < 1.0 || rest <= 0.0 {
                return None;
            }
            let (variance, rest_variance) = (own.squares_figure / nu, rest / rest_nu);
            (variance > rest_variance).then(|| OwnScatter {
                step: own.step,
                misfit_figure: nu * math::ln(variance)
                    + rest_nu * math::ln(rest_variance)
                    + self.change_figure,
                nu,
                rest_nu,
                variance_ratio: variance / rest_variance,
            })
        };
        let better = |a: &OwnScatter, b: &OwnScatter| a.misfit_figure.total_cmp(&b.misfit_figure);
        self.steps.iter().filter_map(of_step).min_by(better)
    }
}

/// The step whose scatter is greater than that of the others, with its chance among sound clutches and its ratio of variances.
fn find_uneven_step(readings: &[ClutchReading]) -> Option<(u32, f64, f64)> {
    let steps = residuals_by_step(readings);
    let scales = [
        ScaledSquares::of_steps(&steps, |_| 1.0),
        ScaledSquares::of_steps(&steps, |mean_n_m| mean_n_m.max(1.0e-6)),
    ];
    let shared_figure = scales.iter().map(ScaledSquares::shared_misfit_figure).min_by(f64::total_cmp)?;
    let better = |a: &OwnScatter, b: &OwnScatter| a.misfit_figure.total_cmp(&b.misfit_figure);
    let own = scales.iter().filter_map(ScaledSquares::most_unlike).min_by(better)?;
    let f = variance_ratio_of_gain((shared_figure - own.misfit_figure).max(0.0), own.nu, own.rest_nu);
    let chance = tolerance::f_above_probability(f, own.nu, own.rest_nu) * steps.len() as f64;
    Some((own.step, chance.min(1.0), own.variance_ratio))
}

/// The ratio of variances that gains this much on a single scale: the root above 1 of `N·ln((F·ν + ν')/N) − ν·ln F`, by bisection.
fn variance_ratio_of_gain(gain_figure: f64, nu: f64, rest_nu: f64) -> f64 {
    let gain_at = |ln_f: f64| {
        let all = nu + rest_nu;
        all * math::ln((math::exp(ln_f) * nu + rest_nu) / all) - nu * ln_f
    };
    let (mut low, mut high) = (0.0, MAX_LN_VARIANCE_RATIO);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if gain_at(middle) < gain_figure { low = middle } else { high = middle }
    }
    math::exp(low)
}

/// The step whose scatter is unlike that of the others.
pub(super) fn uneven_step(readings: &[ClutchReading]) -> Option<ClutchCaution> {
    let (step, chance, ratio) = find_uneven_step(readings)?;
    (chance < UNEVEN_PROBABILITY)
        .then_some(ClutchCaution::UnevenScatter { step, scatter_ratio: math::sqrt(ratio) })
}

/// The chance, among sound clutches, of a step as uneven as the most uneven one; `None` with fewer than two steps or no scatter.
#[must_use]
pub fn uneven_scatter_probability(readings: &[ClutchReading]) -> Option<f64> {
    find_uneven_step(readings).map(|found| found.1)
}

/// The line of torque along the session, each step about its own mean.
struct SessionLine {
    /// Change from the first place to the last, as a share of the torque.
    change_fraction: f64,
    /// Standard error of that change.
    error_fraction: f64,
    nu: f64,
}

fn session_line(readings: &[ClutchReading]) -> Option<SessionLine> {
    let steps = residuals_by_step(readings);
    let nu = readings.len() as f64 - steps.len() as f64 - 1.0;
    let (mut sxx, mut sxy, mut syy) = (0.0, 0.0, 0.0);
    for StepResiduals { mean_n_m, residuals_n_m } in steps.values() {
        let middle =
            residuals_n_m.iter().map(|v| v.0 as f64).sum::<f64>() / residuals_n_m.len().max(1) as f64;
        for (place, residual_n_m) in residuals_n_m {
            let (x, r) = (*place as f64 - middle, residual_n_m / mean_n_m.max(1.0e-6));
            sxx += x * x;
            sxy += x * r;
            syy += r * r;
        }
    }
    if nu < 1.0 || sxx <= 0.0 {
        return None;
    }
    let places = readings.len() as f64 - 1.0;
    let slope = sxy / sxx;
    let scatter = math::sqrt(((syy - slope * sxy) / nu).max(f64::MIN_POSITIVE));
    Some(SessionLine {
        change_fraction: slope * places,
        error_fraction: scatter / math::sqrt(sxx) * places,
        nu,
    })
}

/// Change of the torque from the first reading of a session to the last, as a share of it, whether or not it is certain; `None` where
/// the readings are too few for a line.
#[must_use]
pub fn session_change_fraction(readings: &[ClutchReading]) -> Option<f64> {
    session_line(readings).map(|line| line.change_fraction)
}

/// Whether torque falls or rises along the session, or whether that could not have been seen.
pub(super) fn session_order(readings: &[ClutchReading]) -> Option<ClutchCaution> {
    let SessionLine { change_fraction, error_fraction, nu } = session_line(readings)?;
    let t = change_fraction / error_fraction;
    if 2.0 * tolerance::student_above_probability(t.abs(), nu) < ORDER_PROBABILITY {
        return Some(ClutchCaution::OrderMatters { change_fraction });
    }
    let found =
        tolerance::student_quantile(1.0 - ORDER_PROBABILITY / 2.0, nu) + tolerance::normal_quantile(POWER);
    let unseen_fraction = found * error_fraction;
    (unseen_fraction > MAX_UNSEEN_FALL_FRACTION).then_some(ClutchCaution::OrderHidden { unseen_fraction })
}

/// The session that disagrees with the others; `sessions` numbers the session of each reading, in the order of the readings.
///
/// Readings beyond the shorter of the two lists are left out.
#[must_use]
pub fn find_session_shift(readings: &[ClutchReading], sessions: &[u32]) -> Option<ClutchCaution> {
    let pairs: Vec<(u32, &ClutchReading)> = sessions.iter().copied().zip(readings).collect();
    let mut known: Vec<u32> = pairs.iter().map(|p| p.0).collect();
    known.sort_unstable();
    known.dedup();
    if known.len() < 2 {
        return None;
    }
    // Of two sessions each is the other's rest: one comparison.
    let compared = if known.len() == 2 { &known[1..] } else { &known[..] };
    let shift_of = |session: &u32| Some((*session, session_shift(&pairs, *session)?));
    let worst = compared.iter().filter_map(shift_of).min_by(|a, b| a.1.1.total_cmp(&b.1.1))?;
    let (session, (shift_fraction, chance)) = worst;
    (chance * (compared.len() as f64) < ORDER_PROBABILITY)
        .then_some(ClutchCaution::SessionsDiffer { session, shift_fraction })
}

/// Shift of one session against the rest, as a share of the torque, and its chance.
fn session_shift(pairs: &[(u32, &ClutchReading)], session: u32) -> Option<(f64, f64)> {
    let mut cells: BTreeMap<u32, [Vec<f64>; 2]> = BTreeMap::new();
    for (of, reading) in pairs {
        let side = usize::from(*of != session);
        cells.entry(reading.step).or_default()[side].push(reading.torque.as_n_m());
    }
    let (mut weight, mut shift, mut squares, mut nu) = (0.0, 0.0, 0.0, 0.0);
    for [own, rest] in cells.values() {
        let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len().max(1) as f64;
        let all = mean(&[&own[..], &rest[..]].concat()).max(1.0e-6);
        for side in [own, rest].into_iter().filter(|side| !side.is_empty()) {
            let middle = mean(side);
            squares += side.iter().map(|v| (v - middle) / all).map(|r| r * r).sum::<f64>();
            nu += side.len() as f64 - 1.0;
        }
        if !own.is_empty() && !rest.is_empty() {
            let (n, m) = (own.len() as f64, rest.len() as f64);
            weight += n * m / (n + m);
            shift += n * m / (n + m) * (mean(own) - mean(rest)) / all;
        }
    }
    if weight <= 0.0 || nu < 1.0 || squares <= 0.0 {
        return None;
    }
    let t = shift / math::sqrt(weight * squares / nu);
    Some((shift / weight, 2.0 * tolerance::student_above_probability(t.abs(), nu)))
}
