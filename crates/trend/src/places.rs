//! Readings of several places at once: each against the limit, and the lowest against the highest.
//!
//! **Question.** Six cylinders read 11.8, 12.1, 9.9 … bar. Does each pass, and are they near enough to each other?
//!
//! **Symbols.** `k` places, `u` standard uncertainty of a place's own reading (what the gauge adds to all alike cancels), `r` least share of the
//! lowest in the highest, `D` greatest difference.
//!
//! ```text
//! difference: pass  y_max − y_min ≤ D − q1·u·√2        fail  y_max − y_min ≥ D + qk·u·√2
//! share:      pass  y_min − r·y_max ≥ q1·u·√(1 + r²)   fail  y_min − r·y_max ≤ −qk·u·√(1 + r²)
//! ```
//!
//! To pass, every pair must be proven, and the worst pair decides: `q1 = z(0.95)`. To fail, some pair was picked for being the worst of
//! `k(k − 1)`, and chance alone drives the extremes apart: `qk = z(1 − 0.05/(k(k − 1)))` (Bonferroni).
//!
//! **Assumptions and range.** One gauge, independent readings, all places alike uncertain; a pair has a share only above nought.
//!
//! **Sources.** The rule of [`crate::reading_verdict`]; intersection-union and Bonferroni: Casella and Berger (from memory).
//!
//! symbol: readings, own_uncertainty, gauge_uncertainty, lowest, highest, difference, limit, guard, share_limit = figures in the unit of the reading

use bolting::tolerance::normal_quantile;
use serde::Serialize;
use units::math;

use crate::reading_verdict::{
    DecisionRule, PROVEN_SHARE, ReadingJudgeError, ReadingJudgement, ReadingLimit, ReadingOutcome,
    judge_reading,
};

/// Readings of one place.
#[derive(Debug, Clone, PartialEq)]
pub struct PlaceReadings {
    /// The place: `cylinder 3`.
    pub place: String,
    /// What was read there.
    pub readings: Vec<f64>,
}

/// One place as it was judged.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlaceJudgement {
    /// The place.
    pub place: String,
    /// What comes of it.
    pub judgement: ReadingJudgement,
}

/// How near the places must be to each other.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SpreadLimit {
    /// Highest less lowest is at most this.
    DifferenceAtMost(f64),
    /// Lowest is at least this share of the highest.
    LowestAtLeastShare(f64),
}

/// The lowest against the highest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpreadJudgement {
    /// What comes of it.
    pub outcome: ReadingOutcome,
    /// Place of the lowest reading.
    pub lowest_place: String,
    /// The lowest reading.
    pub lowest: f64,
    /// Place of the highest reading.
    pub highest_place: String,
    /// The highest reading.
    pub highest: f64,
    /// Highest less lowest.
    pub difference: f64,
    /// Lowest as a share of the highest; `None` where the highest is not above nought.
    pub lowest_share: Option<f64>,
}

/// Judges each place against one limit.
///
/// # Errors
/// [`ReadingJudgeError`] of the first place that cannot be judged.
pub fn judge_places(
    places: &[PlaceReadings],
    gauge_uncertainty: Option<f64>,
    limit: ReadingLimit,
    rule: DecisionRule,
) -> Result<Vec<PlaceJudgement>, ReadingJudgeError> {
    let judged = |place: &PlaceReadings| {
        let judgement = judge_reading(&place.readings, gauge_uncertainty, limit, rule)?;
        Ok(PlaceJudgement { place: place.place.clone(), judgement })
    };
    places.iter().map(judged).collect()
}

/// What comes of all places together: fail where one fails, pass where all pass.
#[must_use]
pub fn worst_outcome(outcomes: impl IntoIterator<Item = ReadingOutcome>) -> Option<ReadingOutcome> {
    outcomes.into_iter().max()
}

/// Judges the lowest against the highest; `own_uncertainty` is that of a place's own reading, without what the gauge adds to all alike.
///
/// # Errors
/// [`ReadingJudgeError`] for fewer than two places, a limit that is none, or an uncertainty that is none.
pub fn judge_spread(
    places: &[PlaceReadings],
    own_uncertainty: Option<f64>,
    limit: SpreadLimit,
    rule: DecisionRule,
) -> Result<SpreadJudgement, ReadingJudgeError> {
    let means: Vec<(f64, &str)> = places.iter().map(|p| (mean_of(&p.readings), p.place.as_str())).collect();
    if means.len() < 2 || !means.iter().all(|(y, _)| y.is_finite()) {
        return Err(ReadingJudgeError::NoReading);
    }
    let (lowest, lowest_place) = means.iter().copied().fold(means[0], |a, b| if b.0 < a.0 { b } else { a });
    let (highest, highest_place) = means.iter().copied().fold(means[0], |a, b| if b.0 > a.0 { b } else { a });
    // How far it lies inside the limit, and the factor of `u` in that.
    let (gap, unit_factor) = match limit {
        SpreadLimit::DifferenceAtMost(most) if most.is_finite() && most >= 0.0 => {
            (most - (highest - lowest), core::f64::consts::SQRT_2)
        }
        SpreadLimit::LowestAtLeastShare(share) if share > 0.0 && share <= 1.0 && highest > 0.0 => {
            (lowest - share * highest, math::sqrt(1.0 + share * share))
        }
        SpreadLimit::DifferenceAtMost(_) | SpreadLimit::LowestAtLeastShare(_) => {
            return Err(ReadingJudgeError::BadLimit);
        }
    };
    let outcome = match (rule, own_uncertainty) {
        (DecisionRule::Simple, _) if gap >= 0.0 => ReadingOutcome::Pass,
        (DecisionRule::Simple, _) => ReadingOutcome::Fail,
        (DecisionRule::Proven, None) => return Err(ReadingJudgeError::UncertaintyMissing),
        (DecisionRule::Proven, Some(u)) if !(u > 0.0 && u.is_finite()) => {
            return Err(ReadingJudgeError::BadUncertainty);
        }
        (DecisionRule::Proven, Some(u)) => call_spread(gap / (unit_factor * u), means.len()),
    };
    Ok(SpreadJudgement {
        outcome,
        lowest_place: lowest_place.to_owned(),
        lowest,
        highest_place: highest_place.to_owned(),
        highest,
        difference: highest - lowest,
        lowest_share: (highest > 0.0).then_some(lowest / highest),
    })
}

fn call_spread(gap_ratio: f64, places: usize) -> ReadingOutcome {
    let pairs = (places * (places - 1)) as f64;
    if gap_ratio >= normal_quantile(PROVEN_SHARE) {
        ReadingOutcome::Pass
    } else if gap_ratio <= -normal_quantile(1.0 - (1.0 - PROVEN_SHARE) / pairs) {
        ReadingOutcome::Fail
    } else {
        ReadingOutcome::TooClose
    }
}

fn mean_of(readings: &[f64]) -> f64 {
    readings.iter().sum::<f64>() / readings.len() as f64
}
