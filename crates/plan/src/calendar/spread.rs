//! The spread of the finish: the policy played many times with sampled times.
//!
//! Every figure here is an assumption until a journal provides better ones:
//!
//! * one step's time varies by a factor `exp(σ z)` with `σ =` [`STEP_SPREAD_FACTOR`]: two thirds of the steps within about 0.7 to 1.4 times
//!   their planned time;
//! * the whole job is as a whole harder or easier than planned by `exp(σ₀ z₀)`, `σ₀ =` [`JOB_SPREAD_FACTOR`] (another hand, another engine); without
//!   it the errors of hundreds of steps would cancel and the date look far surer than it is;
//! * a fastener does not come out with [`break_out_probability`] of its break-loose factor, and getting it out takes half an hour, times `exp(0.6 z)`.
//!
//! symbol: times = factor on a node's time, and seconds on top
//!
//! Lognormal times are common for hands-on work (skewed, never negative; common practice, no single source).

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};
use serde::{Deserialize, Serialize};
use units::math;

use super::CalendarRequest;
use super::dispatch::DispatchPolicy;
use super::net::CalendarNet;
use effort::SolverBudget;

/// Spread of one step's time, as the standard deviation of its logarithm (assumption).
pub const STEP_SPREAD_FACTOR: f64 = 0.35;
/// Spread of the whole job, likewise (assumption).
pub const JOB_SPREAD_FACTOR: f64 = 0.15;
/// Getting out a fastener that does not come (assumption: half an hour where it goes well), and the spread of that.
const BREAK_OUT_S: f64 = 1800.0;
const BREAK_OUT_SPREAD_FACTOR: f64 = 0.6;
/// Bars of the spread's drawing.
const BARS: usize = 24;
/// Samples between two looks at the watch.
const LOOK_EVERY: u32 = 256;
/// Maximum number of samples.
const MAX_SAMPLES: u32 = 200_000;

/// The chance that one fastener seizes, rounds or breaks on the way out: 1 in 1,000 at the factor 1.5 of a fastener with no
/// history, 1 in 20 at the factor 3, and never above 1 in 4 (assumption: an exponential through these two).
#[must_use]
pub fn break_out_probability(break_loose_ratio: f64) -> f64 {
    let steps_ratio = (break_loose_ratio - 1.5) / 1.5;
    (0.001 * math::pow(50.0, steps_ratio)).min(0.25)
}

/// The spread of the finish; times in seconds from midnight of the first day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FinishSpread {
    /// Samples played.
    pub samples: u32,
    /// Half of all samples are finished by then.
    pub p50_s: f64,
    /// Four in five.
    pub p80_s: f64,
    /// Nineteen in twenty.
    pub p95_s: f64,
    /// Hands-on hours of the middle sample, interruptions included, s.
    pub bench_p50_s: f64,
    /// Left edge of the first bar and width of every bar.
    pub from_s: f64,
    /// Width of every bar.
    pub bar_s: f64,
    /// Samples by bar; the last bar holds all later ones as well.
    pub bars: Vec<u32>,
}

/// Plays a list with sampled times.
pub(super) fn simulate_spread(
    net: &CalendarNet,
    asked: &CalendarRequest,
    list: &[usize],
    releases_s: &[f64],
    budget: &SolverBudget,
) -> FinishSpread {
    let mut policy = DispatchPolicy::new(net, asked.shop.clamp_to_range(), list);
    let mut finishes_s = Vec::new();
    let mut benches_s = Vec::new();
    let mut times = vec![(1.0, 0.0); net.len()];
    for sample in 0..asked.samples.clamp(1, MAX_SAMPLES) {
        if sample % LOOK_EVERY == 0 && sample > 0 && budget.watch.should_stop() {
            break;
        }
        draw_times(net, asked.seed.0, sample, &mut times);
        finishes_s.push(policy.play(releases_s, &|n| times[n]));
        benches_s.push(policy.run.bench_s.iter().sum::<f64>());
    }
    finishes_s.sort_by(f64::total_cmp);
    benches_s.sort_by(f64::total_cmp);
    summarise_samples(&finishes_s, &benches_s)
}

/// The times of one sample: the same for each node whatever the list.
fn draw_times(net: &CalendarNet, seed: u64, sample: u32, times: &mut [(f64, f64)]) {
    let mut source = Pcg64Mcg::seed_from_u64(seed ^ (u64::from(sample) << 20) ^ 0x5EED);
    let job_factor = math::exp(JOB_SPREAD_FACTOR * draw_normal(&mut source));
    for (node, time) in times.iter_mut().enumerate() {
        let factor = job_factor * math::exp(STEP_SPREAD_FACTOR * draw_normal(&mut source));
        let breaks = draw_uniform(&mut source) < net.trouble_probability[node];
        let size = if breaks { draw_normal(&mut source) } else { 0.0 };
        let more_s = if breaks { BREAK_OUT_S * math::exp(BREAK_OUT_SPREAD_FACTOR * size) } else { 0.0 };
        *time = (factor, more_s);
    }
}

/// Above 0 and at most 1.
fn draw_uniform(source: &mut Pcg64Mcg) -> f64 {
    ((source.next_u64() >> 11) + 1) as f64 / (1_u64 << 53) as f64
}

/// Standard normal (Box and Muller 1958).
fn draw_normal(source: &mut Pcg64Mcg) -> f64 {
    let radius = math::sqrt(-2.0 * math::ln(draw_uniform(source)));
    radius * math::cos(2.0 * core::f64::consts::PI * draw_uniform(source))
}

/// The time by which a percentage of the sorted samples is finished.
fn quantile_s(sorted_s: &[f64], percent: usize) -> f64 {
    let at = (sorted_s.len() * percent).div_ceil(100).max(1) - 1;
    sorted_s.get(at).copied().unwrap_or(0.0)
}

fn summarise_samples(sorted_s: &[f64], benches_s: &[f64]) -> FinishSpread {
    let from_s = sorted_s.first().copied().unwrap_or(0.0);
    let to_s = quantile_s(sorted_s, 99).max(from_s + 60.0);
    let bar_s = (to_s - from_s) / BARS as f64;
    let mut bars = vec![0; BARS];
    for finish_s in sorted_s {
        let bar = ((finish_s - from_s) / bar_s) as usize;
        bars[bar.min(BARS - 1)] += 1;
    }
    FinishSpread {
        samples: sorted_s.len() as u32,
        p50_s: quantile_s(sorted_s, 50),
        p80_s: quantile_s(sorted_s, 80),
        p95_s: quantile_s(sorted_s, 95),
        bench_p50_s: quantile_s(benches_s, 50),
        from_s,
        bar_s,
        bars,
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
    fn normal_numbers_have_mean_zero_and_deviation_one() {
        let mut source = Pcg64Mcg::seed_from_u64(1);
        let all: Vec<f64> = (0..40_000).map(|_| draw_normal(&mut source)).collect();
        let mean = all.iter().sum::<f64>() / 40_000.0;
        let variance = all.iter().map(|z| (z - mean) * (z - mean)).sum::<f64>() / 40_000.0;
        // Standard errors are 0.005 and 0.007; four of them.
        assert!(mean.abs() < 0.02 && (variance - 1.0).abs() < 0.03, "{mean} {variance}");
    }

    #[test]
    fn quantiles_count_from_below() {
        let all: Vec<f64> = (1..=100).map(f64::from).collect();
        assert_eq!([50, 80, 95].map(|p| quantile_s(&all, p)), [50.0, 80.0, 95.0]);
        assert_eq!(quantile_s(&[7.0], 95), 7.0);
    }
}
