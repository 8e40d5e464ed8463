//! The spread of the finish: the policy played many times with sampled times.
//!
//! What spreads, and by how much, is the time model's ([`times::sum`]): each node by a factor of its own, all by one that they share, and fasteners that do not come.
//!
//! symbol: times = factor on a node's time, and seconds on top

use serde::{Deserialize, Serialize};
use times::BREAK_OUT_S;
use times::PIECE_SPREAD_RATIO;
use times::draws::{TimeDraws, sample_at};
use times::sum::BREAK_OUT_SPREAD_RATIO;
use units::math;

use super::CalendarRequest;
use super::dispatch::DispatchPolicy;
use super::net::CalendarNet;
use effort::SolverBudget;

/// Bars of the spread's drawing.
const BARS: usize = 24;
/// Samples between two looks at the watch.
const LOOK_EVERY: u32 = 256;
/// Maximum number of samples.
const MAX_SAMPLES: u32 = 200_000;

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
        draw_times(net, asked, sample, &mut times);
        finishes_s.push(policy.play(releases_s, &|n| times[n]));
        benches_s.push(policy.run.bench_s.iter().sum::<f64>());
    }
    finishes_s.sort_by(f64::total_cmp);
    benches_s.sort_by(f64::total_cmp);
    summarise_samples(&finishes_s, &benches_s)
}

/// The times of one sample: the same for each node whatever the list.
fn draw_times(net: &CalendarNet, asked: &CalendarRequest, sample: u32, times: &mut [(f64, f64)]) {
    let mut draws = TimeDraws::of_sample(asked.seed.0, sample);
    let shared = asked.shared.mean_log_ratio + asked.shared.spread_ratio * draws.draw_normal();
    for (node, time) in times.iter_mut().enumerate() {
        let factor = math::exp(shared + PIECE_SPREAD_RATIO * draws.draw_normal());
        let breaks = draws.draw_uniform() < net.trouble_probability[node];
        let size = if breaks { draws.draw_normal() } else { 0.0 };
        let more_s = if breaks { BREAK_OUT_S * math::exp(BREAK_OUT_SPREAD_RATIO * size) } else { 0.0 };
        *time = (factor, more_s);
    }
}

fn summarise_samples(sorted_s: &[f64], benches_s: &[f64]) -> FinishSpread {
    let from_s = sorted_s.first().copied().unwrap_or(0.0);
    let to_s = sample_at(sorted_s, 99).max(from_s + 60.0);
    let bar_s = (to_s - from_s) / BARS as f64;
    let mut bars = vec![0; BARS];
    for finish_s in sorted_s {
        let bar = ((finish_s - from_s) / bar_s) as usize;
        bars[bar.min(BARS - 1)] += 1;
    }
    FinishSpread {
        samples: sorted_s.len() as u32,
        p50_s: sample_at(sorted_s, 50),
        p80_s: sample_at(sorted_s, 80),
        p95_s: sample_at(sorted_s, 95),
        bench_p50_s: sample_at(benches_s, 50),
        from_s,
        bar_s,
        bars,
    }
}
