//! Whether a reading passes its limit: pass, fail, or too close to call, by a named rule.
//!
//! **Question.** The limit is 9.0 bar and the gauge, good to 0.3 bar, reads 9.2. Pass? Nobody knows: measure again, and how?
//!
//! **Symbols.** `y` mean of `m` readings, `s` their scatter, `u_g` standard uncertainty of the gauge (shared by all readings with it),
//! `u² = u_g² + s²/m`, `ν` degrees of freedom of `u` (Welch and Satterthwaite: `u⁴/((s²/m)²/(m − 1))`), `p_c` the conformance probability:
//! that the true value lies within its limits, given the reading alone.
//!
//! **Rule** *proven at 95 %*: pass where `p_c ≥ 0.95`, fail where `p_c ≤ 0.05`, else too close to call. With one limit these are guard bands of `q·u` on
//! both sides of it, `q = 1.645` where `u` is known. *Simple*: as the reading stands against the limit, without regard to `u`.
//!
//! **Measure again.** The uncertainty that would settle it, were the value to stay: `|y − limit|/q`. Readings with the same gauge help only
//! as far as their scatter is what is uncertain.
//!
//! **Worked example.** 9.2 against at least 9.0 with u 0.15: p_c = Φ(0.2/0.15) = Φ(1.33) = 0.91: too close; a gauge of 0.12 would do.
//!
//! **Sources.** JCGM 106:2012, 7 (conformance probability) and 8 (guard bands); ISO 14253-1:2017 (95 % by default, and neither pass nor fail
//! between the guard bands; from memory); components of `u`: JCGM 100:2008 (GUM) 4.3.7, F.2.2.1, G.4.
//!
//! symbol: y, u, s, q, readings, gauge_uncertainty, low, high, limit, mean, standard_uncertainty, guard, gap = as below
//! symbol: resolution, max_error, freedom = figures in the unit of the reading, but for q and freedom, which are pure numbers

use core::fmt;

use bolting::tolerance::{
    mean_and_scatter, normal_cdf, normal_quantile, student_above_probability, student_quantile,
};
use serde::Serialize;
use units::math;

/// Confidence of the rule (ISO 14253-1:2017, default).
pub const PROVEN_SHARE: f64 = 0.95;
/// Maximum number of readings that is ever advised (assumption: nobody takes more).
const MAX_ADVISED_READINGS: usize = 12;

/// Where a reading should lie.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReadingLimit {
    /// As high as this or higher.
    AtLeast(f64),
    /// As low as this or lower.
    AtMost(f64),
    /// From the first to the second.
    Between(f64, f64),
}

/// How a reading is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DecisionRule {
    /// Pass and fail are both proven at 95 %.
    Proven,
    /// As the reading stands, without regard to its uncertainty.
    Simple,
}

impl DecisionRule {
    /// The rule in words, with its source.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Proven => {
                "pass and fail are proven at 95 %, with guard bands on both sides of the limit (JCGM 106:2012; ISO 14253-1:2017)"
            }
            Self::Simple => {
                "simple acceptance: as the reading stands, its uncertainty not counted (JCGM 106:2012, 8.2)"
            }
        }
    }
}

/// What comes of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReadingOutcome {
    /// Within its limits.
    Pass,
    /// The readings do not tell.
    TooClose,
    /// Outside its limits.
    Fail,
}

/// What would settle a reading that is too close, were its value to stay.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "what", rename_all = "kebab-case")]
pub enum MeasureAgain {
    /// So many readings in all, with the same gauge.
    MoreReadings {
        /// In all.
        in_all: usize,
    },
    /// A gauge of at most this standard uncertainty.
    BetterGauge {
        /// Standard uncertainty of gauge and readings together.
        standard_uncertainty: f64,
    },
    /// It lies on the limit: no gauge will tell.
    OnTheLimit,
}

/// A reading as it was judged.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReadingJudgement {
    /// What comes of it.
    pub outcome: ReadingOutcome,
    /// Mean of the readings.
    pub mean: f64,
    /// How many there are.
    pub readings: usize,
    /// Standard uncertainty of the mean; `None` where it is not known.
    pub standard_uncertainty: Option<f64>,
    /// Degrees of freedom of that uncertainty; `None` where it counts as known.
    pub freedom: Option<f64>,
    /// Probability that the true value lies within its limits; `None` without an uncertainty.
    pub conformance_probability: Option<f64>,
    /// Width of the guard band; `None` without an uncertainty.
    pub guard: Option<f64>,
    /// How far it lies inside the nearest limit; below nought outside.
    pub gap: f64,
    /// What would settle it, where it is too close.
    pub again: Option<MeasureAgain>,
}

/// Why a reading is not judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadingJudgeError {
    /// No reading, or one that is none.
    NoReading,
    /// Limits that leave nothing between them, or that are none.
    BadLimit,
    /// An uncertainty below nought, or none.
    BadUncertainty,
    /// Nothing says how well the gauge reads.
    UncertaintyMissing,
}

impl fmt::Display for ReadingJudgeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NoReading => "there is no reading; give a figure such as 9.2",
            Self::BadLimit => "the limits are not in order; give the lower one first, each a figure",
            Self::BadUncertainty => "the uncertainty is not a figure above zero; give a standard uncertainty",
            Self::UncertaintyMissing => {
                "nothing says how well the gauge reads; give its standard uncertainty, its permissible error, or at least two readings"
            }
        })
    }
}

impl core::error::Error for ReadingJudgeError {}

/// Standard uncertainty of a gauge from its resolution and its permissible error `±max_error`, both rectangular (GUM 4.3.7, F.2.2.1).
#[must_use]
pub fn combine_gauge_uncertainty(resolution: Option<f64>, max_error: Option<f64>) -> Option<f64> {
    let parts =
        [resolution.map(|d| d.abs() / math::sqrt(12.0)), max_error.map(|a| a.abs() / math::sqrt(3.0))];
    let squares: f64 = parts.iter().flatten().map(|u| u * u).sum();
    let combined = math::sqrt(squares);
    (combined.is_finite() && combined > 0.0).then_some(combined)
}

/// Mean of readings with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
struct MeanReading {
    y: f64,
    u: Option<f64>,
    freedom: Option<f64>,
    s: Option<f64>,
}

fn average_readings(readings: &[f64], gauge_uncertainty: Option<f64>) -> MeanReading {
    let count = readings.len() as f64;
    let y = readings.iter().sum::<f64>() / count;
    let s = mean_and_scatter(readings).map(|(_, s)| s);
    let of_mean = s.map_or(0.0, |s| s * s / count);
    let of_gauge = gauge_uncertainty.unwrap_or(0.0);
    let square = of_gauge * of_gauge + of_mean;
    let freedom = (of_mean > 0.0).then(|| square * square / (of_mean * of_mean) * (count - 1.0));
    MeanReading { y, u: (square > 0.0).then(|| math::sqrt(square)), freedom, s }
}

/// Probability that a value with this mean, uncertainty and freedom lies above a limit.
fn probability_above(mean: &MeanReading, u: f64, limit: f64) -> f64 {
    let off = (limit - mean.y) / u;
    mean.freedom.map_or_else(|| normal_cdf(-off), |nu| student_above_probability(off, nu))
}

fn quantile_of(freedom: Option<f64>) -> f64 {
    freedom.map_or_else(|| normal_quantile(PROVEN_SHARE), |nu| student_quantile(PROVEN_SHARE, nu))
}

/// How far a value lies inside the nearest limit.
fn gap_to_limit(y: f64, limit: ReadingLimit) -> f64 {
    match limit {
        ReadingLimit::AtLeast(low) => y - low,
        ReadingLimit::AtMost(high) => high - y,
        ReadingLimit::Between(low, high) => (y - low).min(high - y),
    }
}

/// Judges readings of one place against its limit; `gauge_uncertainty` is what all of them share.
///
/// # Errors
/// [`ReadingJudgeError`] when reading, limit or uncertainty are none, or nothing says how well the gauge reads.
pub fn judge_reading(
    readings: &[f64],
    gauge_uncertainty: Option<f64>,
    limit: ReadingLimit,
    rule: DecisionRule,
) -> Result<ReadingJudgement, ReadingJudgeError> {
    refuse_bad_readings(readings, gauge_uncertainty, limit)?;
    let mean = average_readings(readings, gauge_uncertainty);
    let gap = gap_to_limit(mean.y, limit);
    let conformance_probability = mean.u.map(|u| match limit {
        ReadingLimit::AtLeast(low) => probability_above(&mean, u, low),
        ReadingLimit::AtMost(high) => 1.0 - probability_above(&mean, u, high),
        ReadingLimit::Between(low, high) => {
            (probability_above(&mean, u, low) - probability_above(&mean, u, high)).max(0.0)
        }
    });
    let outcome = match (rule, conformance_probability) {
        (DecisionRule::Simple, _) if gap >= 0.0 => ReadingOutcome::Pass,
        (DecisionRule::Simple, _) => ReadingOutcome::Fail,
        (DecisionRule::Proven, None) => return Err(ReadingJudgeError::UncertaintyMissing),
        (DecisionRule::Proven, Some(p)) if p >= PROVEN_SHARE => ReadingOutcome::Pass,
        (DecisionRule::Proven, Some(p)) if p <= 1.0 - PROVEN_SHARE => ReadingOutcome::Fail,
        (DecisionRule::Proven, Some(_)) => ReadingOutcome::TooClose,
    };
    let again = (outcome == ReadingOutcome::TooClose)
        .then(|| advise_again(&mean, readings.len(), gap, gauge_uncertainty));
    Ok(ReadingJudgement {
        outcome,
        mean: mean.y,
        readings: readings.len(),
        standard_uncertainty: mean.u,
        freedom: mean.freedom,
        conformance_probability,
        guard: mean.u.map(|u| quantile_of(mean.freedom) * u),
        gap,
        again,
    })
}

fn refuse_bad_readings(
    readings: &[f64],
    gauge_uncertainty: Option<f64>,
    limit: ReadingLimit,
) -> Result<(), ReadingJudgeError> {
    let is_sound = |v: &f64| v.is_finite() && v.abs() < 1.0e150;
    if readings.is_empty() || !readings.iter().all(is_sound) {
        return Err(ReadingJudgeError::NoReading);
    }
    let is_limit = match limit {
        ReadingLimit::AtLeast(end) | ReadingLimit::AtMost(end) => is_sound(&end),
        ReadingLimit::Between(low, high) => is_sound(&low) && is_sound(&high) && low <= high,
    };
    if !is_limit {
        return Err(ReadingJudgeError::BadLimit);
    }
    match gauge_uncertainty {
        Some(u) if !is_sound(&u) || u <= 0.0 => Err(ReadingJudgeError::BadUncertainty),
        _ => Ok(()),
    }
}

/// What would settle a reading, were its mean and scatter to stay.
fn advise_again(mean: &MeanReading, count: usize, gap: f64, gauge_uncertainty: Option<f64>) -> MeasureAgain {
    let wanted = gap.abs() / normal_quantile(PROVEN_SHARE);
    let unit = mean.u.unwrap_or(0.0);
    if wanted <= 1.0e-3 * unit {
        return MeasureAgain::OnTheLimit;
    }
    let of_gauge = gauge_uncertainty.unwrap_or(0.0);
    let settles = |more: usize| {
        let of_mean = mean.s.map_or(0.0, |s| s * s / more as f64);
        let square = of_gauge * of_gauge + of_mean;
        let freedom = square * square / (of_mean * of_mean) * (more - 1) as f64;
        of_mean > 0.0 && quantile_of(Some(freedom)) * math::sqrt(square) <= gap.abs()
    };
    let in_all = (count + 1..=MAX_ADVISED_READINGS).find(|more| mean.s.is_some() && settles(*more));
    in_all.map_or(MeasureAgain::BetterGauge { standard_uncertainty: wanted }, |in_all| {
        MeasureAgain::MoreReadings { in_all }
    })
}

/// A grade by eye against the worst that is allowed; grades count from nought, good, upwards.
///
/// One look counts as good to one grade either way (assumption: common practice, no single source); two looks that agree count as they stand.
#[must_use]
pub fn judge_grades(looks: &[u32], at_most: u32) -> Option<ReadingOutcome> {
    let (best, worst) = (*looks.iter().min()?, *looks.iter().max()?);
    let doubt = u32::from(looks.len() == 1);
    Some(if worst.saturating_add(doubt) <= at_most {
        ReadingOutcome::Pass
    } else if best > at_most.saturating_add(doubt) {
        ReadingOutcome::Fail
    } else {
        ReadingOutcome::TooClose
    })
}
