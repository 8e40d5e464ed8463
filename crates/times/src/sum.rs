//! What a sum of acts takes: its mean, its variance and the range that is shown.
//!
//! **Question.** Each piece of work is planned at `tᵢ`. What does the whole take in half of all cases, and what in four of five?
//!
//! **Model.** `T = G·X + B` with `X = Σ tᵢ exp(s zᵢ)`, the pieces apart from each other; `G = exp(m + σ u)` the factor of mechanic and visit that all
//! pieces share ([`SharedFactor`]), `u` Student's t with `ν` degrees of freedom, in the mean and the variance taken as normal; and `B = Σ b_k`, where fastener `k` does not come with the
//! chance `p_k` and then costs `b = β exp(s_b z)`, apart from all else. **The pieces of a visit are not independent: all that binds them is `G`.**
//!
//! **Method.** Mean and variance of a log-normal `exp(μ + s z)`: `exp(μ + s²/2)` and `exp(2μ + s²)(exp(s²) − 1)`. A sum of log-normals is
//! taken as the log-normal with its mean and its variance (Fenton 1960, after Wilkinson) (S59 in SOURCES.md); so `X`, then `G·X`, whose logarithms add, then `G·X + B`. The quantile
//! is Student's, so that a factor known from few visits gives a wider range.
//!
//! **Worked example.** A hundred pieces of 10 min, `s = 0.35`, `m = ln 1.15`, `σ = 0.2915`, no fastener at risk. `X` has the mean `60,000·exp(0.06125) = 63,790 s`
//! and the variance `100·600²·exp(0.1225)(exp(0.1225) − 1) = 5.30·10⁶ s²`, so that `μ = 11.063`, `s = 0.0361`. With `G`: `11.203` and `0.2937`: half take 20.3 h or less,
//! four in five `exp(0.2937·0.8416)` as much, 26.0 h.
//!
//! **Limits.** Against played sums the two figures agree within 2 % (`crates/times/tests/sums.rs`). Fenton and Wilkinson's way is poor far out in the tails; nothing
//! beyond four in five is read from it.

// symbol: break_outs = chances

use units::math;

use crate::acts::BREAK_OUT_S;
use crate::factor::{PIECE_SPREAD_RATIO, SharedFactor};

/// The lower of the two shares that are shown.
pub const HALF_SHARE: f64 = 0.5;
/// The upper one.
pub const LIKELY_SHARE: f64 = 0.8;

/// Spread of getting out a fastener that does not come ([`BREAK_OUT_S`]), as the standard deviation of its logarithm (assumption).
pub const BREAK_OUT_SPREAD_RATIO: f64 = 0.6;

/// The chance that one fastener seizes, rounds or breaks on the way out: 1 in 1,000 at the factor 1.5 of a fastener with no
/// history, 1 in 20 at the factor 3, and never above 1 in 4 (assumption: an exponential through these two).
#[must_use]
pub fn break_out_probability(break_loose_ratio: f64) -> f64 {
    let steps_ratio = (break_loose_ratio - 1.5) / 1.5;
    (0.001 * math::pow(50.0, steps_ratio)).min(0.25)
}

/// Mean and variance of a time.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct TimeMoments {
    /// Mean, s.
    pub mean_s: f64,
    // symbol: variance = in s²
    /// Variance, s².
    pub variance: f64,
}

impl TimeMoments {
    /// Of a log-normal with this median and this standard deviation of its logarithm.
    #[must_use]
    pub fn of_log_normal(median_s: f64, spread_ratio: f64) -> Self {
        let square = spread_ratio * spread_ratio;
        let mean_s = median_s * math::exp(square / 2.0);
        Self { mean_s, variance: mean_s * mean_s * (math::exp(square) - 1.0) }
    }

    /// Of a time that is there with this chance, else nought.
    #[must_use]
    pub fn with_chance(self, probability: f64) -> Self {
        let mean_s = probability * self.mean_s;
        let square = probability * (self.variance + self.mean_s * self.mean_s);
        Self { mean_s, variance: square - mean_s * mean_s }
    }

    /// Of two times that have nothing to do with each other, one behind the other.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { mean_s: self.mean_s + other.mean_s, variance: self.variance + other.variance }
    }

    /// The log-normal with the same mean and variance: logarithm of its median, and its spread.
    fn as_log_normal(self) -> (f64, f64) {
        let square = math::ln(1.0 + self.variance / (self.mean_s * self.mean_s));
        (math::ln(self.mean_s) - square / 2.0, square.sqrt())
    }
}

/// Two times: half of such jobs take no longer than the first, four in five no longer than the second.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LikelyRange {
    /// Half take no longer, s.
    pub p50_s: f64,
    /// Four in five take no longer, s.
    pub p80_s: f64,
}

impl LikelyRange {
    /// A share of it, as the lines of an estimate have it; what is shared out so adds up.
    #[must_use]
    pub fn share(self, ratio: f64) -> Self {
        Self { p50_s: self.p50_s * ratio, p80_s: self.p80_s * ratio }
    }

    /// Both ends moved by a time that does not spread.
    #[must_use]
    pub fn later_by(self, time_s: f64) -> Self {
        Self { p50_s: self.p50_s + time_s, p80_s: self.p80_s + time_s }
    }
}

/// How many times its planned time a long job takes, whose pieces have evened out, in half of all cases and in four of five.
#[must_use]
pub fn ratios_of_long_job(shared: &SharedFactor) -> (f64, f64) {
    const PIECES: usize = 1_000;
    let work = WorkSum { pieces_s: vec![1.0; PIECES], break_outs: Vec::new() };
    let range = work.likely_range(shared).share(1.0 / PIECES as f64);
    (range.p50_s, range.p80_s)
}

/// The work of a job as the model sees it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WorkSum {
    /// Planned times of its pieces, s.
    pub pieces_s: Vec<f64>,
    /// For each fastener the chance that it does not come.
    pub break_outs: Vec<f64>,
}

impl WorkSum {
    /// Planned, s.
    #[must_use]
    pub fn planned_s(&self) -> f64 {
        self.pieces_s.iter().sum()
    }

    /// Mean and variance with the shared factor: those of `G·X + B`.
    #[must_use]
    pub fn moments(&self, shared: &SharedFactor) -> TimeMoments {
        let piece = |planned_s: &f64| TimeMoments::of_log_normal(*planned_s, PIECE_SPREAD_RATIO);
        let alone = self.pieces_s.iter().map(piece).fold(TimeMoments::default(), TimeMoments::plus);
        let out = TimeMoments::of_log_normal(BREAK_OUT_S, BREAK_OUT_SPREAD_RATIO);
        let risks = self.break_outs.iter().map(|p| out.with_chance(p.clamp(0.0, 1.0)));
        let risks = risks.fold(TimeMoments::default(), TimeMoments::plus);
        if alone.mean_s <= 0.0 {
            return risks;
        }
        let (log_median, spread) = alone.as_log_normal();
        let together_s = math::exp(log_median + shared.mean_log_ratio);
        TimeMoments::of_log_normal(together_s, math::hypot(spread, shared.spread_ratio)).plus(risks)
    }

    /// What half of such jobs, and what four in five take no longer than; nought where there is no work.
    #[must_use]
    pub fn likely_range(&self, shared: &SharedFactor) -> LikelyRange {
        let moments = self.moments(shared);
        if moments.mean_s <= 0.0 || !moments.mean_s.is_finite() {
            return LikelyRange::default();
        }
        let (log_median, spread) = moments.as_log_normal();
        let at = |share: f64| math::exp(log_median + spread * shared.quantile(share));
        LikelyRange { p50_s: math::exp(log_median), p80_s: at(LIKELY_SHARE) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chances_go_through_the_two_points_that_are_said() {
        let check = |factor: f64, expected: f64| {
            let found = break_out_probability(factor);
            assert!((found - expected).abs() < 1.0e-9, "{factor}: {found}");
        };
        check(1.5, 0.001);
        check(3.0, 0.05);
        check(9.0, 0.25);
    }

    #[test]
    fn the_worked_example_is_right() {
        let work = WorkSum { pieces_s: vec![600.0; 100], break_outs: Vec::new() };
        let shared = SharedFactor {
            mean_log_ratio: math::ln(1.15),
            spread_ratio: math::hypot(0.25, 0.15),
            freedom_count: 1.0e6,
        };
        let range = work.likely_range(&shared);
        assert!((range.p50_s / 3_600.0 - 20.36).abs() < 0.01, "{range:?}");
        assert!((range.p80_s / 3_600.0 - 26.07).abs() < 0.02, "{range:?}");
        assert_eq!(WorkSum::default().likely_range(&shared), LikelyRange::default());
    }
}
