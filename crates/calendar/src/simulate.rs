//! How sure the finishes are: the calendar's order played with drawn times.
//!
//! Sample `k` draws the mechanic's factor, each visit's and each item's own ([`times::factor`]); the same numbers whatever the order, so that two calendars are compared
//! on the same luck. The hands keep to the calendar's order and wait where they must: what the mechanic would then pull forward is left out, so the
//! dates are on the careful side.
//!
//! symbol: z, b = standard normal, the mechanic's factor as a logarithm

use times::draws::{TimeDraws, sample_at};
use times::{LearnedFactor, VisitMean, summarise_visit};
use units::math;

use crate::decode::{BenchDecoder, DecodeManner, lateness_s};
use crate::make::CalendarSettings;
use crate::net::{BenchNet, scaled_work_s};
use crate::visits::BenchQuestion;

/// Maximum number of samples.
pub const MAX_CALENDAR_SAMPLES: u32 = 100_000;

/// Samples between two looks at the watch.
const LOOK_EVERY: u32 = 256;

/// Dates of one visit by simulation, on the wall clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FinishDates {
    /// Half of all samples are finished by then.
    pub p50_s: u32,
    /// Four in five.
    pub p80_s: u32,
    /// Nineteen in twenty.
    pub p95_s: u32,
    /// Share of the samples that are later than the promise; `None` without one.
    pub late_share: Option<f64>,
}

/// Times of all items in one sample.
struct TimeSampler<'q> {
    question: &'q BenchQuestion,
    means: Vec<Option<VisitMean>>,
}

impl<'q> TimeSampler<'q> {
    fn new(question: &'q BenchQuestion) -> Self {
        Self { question, means: question.visits.iter().map(|v| summarise_visit(&v.finished)).collect() }
    }

    fn draw_times(&self, draws: &mut TimeDraws, work_s: &mut [u32]) {
        let factor: &LearnedFactor = &self.question.factor;
        let b = factor.mean_log_ratio + factor.mechanic_spread_ratio * draws.draw_normal();
        let wider = draws.draw_variance_ratio(factor.visit_freedom_count).sqrt();
        let visit_spread_ratio = factor.visit_spread_ratio * wider;
        let mut at = 0;
        for (visit, mean) in self.question.visits.iter().zip(&self.means) {
            let known = mean.as_ref().map(|m| factor.visit_given(b, visit_spread_ratio, m));
            let (mean_log, spread) =
                known.map_or((0.0, visit_spread_ratio), |k| (k.mean_log_ratio, k.spread_ratio));
            let shared = b + mean_log + spread * draws.draw_normal();
            for item in &visit.items {
                let own = item.spread_ratio * factor.own_scale_ratio * draws.draw_normal();
                work_s[at] = scaled_work_s(item.expected_s, math::exp(shared + own));
                at += 1;
            }
        }
    }
}

/// Plays the order of a calendar with drawn times; dates by visit.
pub(crate) fn simulate_finishes(
    question: &BenchQuestion,
    net: &BenchNet,
    order: &[usize],
    settings: &CalendarSettings,
) -> Vec<FinishDates> {
    let sampler = TimeSampler::new(question);
    let mut decoder = BenchDecoder::new(net, DecodeManner::KeepOrder);
    let mut finishes: Vec<Vec<u32>> = vec![Vec::new(); question.visits.len()];
    for sample in 0..settings.samples.clamp(1, MAX_CALENDAR_SAMPLES) {
        if sample > 0 && sample % LOOK_EVERY == 0 && settings.budget.watch.should_stop() {
            break;
        }
        sampler.draw_times(&mut TimeDraws::of_sample(settings.seed.0, sample), &mut decoder.work_s);
        decoder.lay_list(order);
        finishes.iter_mut().enumerate().for_each(|(v, list)| list.push(decoder.finish_of_visit(v)));
    }
    finishes.iter_mut().zip(&net.promise_s).map(|(list, promise_s)| dates_of(list, *promise_s)).collect()
}

fn dates_of(finishes: &mut [u32], promise_s: Option<u32>) -> FinishDates {
    finishes.sort_unstable();
    let late = promise_s.map(|_| finishes.iter().filter(|f| lateness_s(**f, promise_s) > 0).count());
    FinishDates {
        p50_s: sample_at(finishes, 50),
        p80_s: sample_at(finishes, 80),
        p95_s: sample_at(finishes, 95),
        late_share: late.map(|late| late as f64 / finishes.len() as f64),
    }
}

/// One run of an order with given factors on the estimates of all items; finishes by visit. For tests of the dates against a truth.
pub(crate) fn play_order(net: &BenchNet, order: &[usize], work_s: &[u32]) -> Vec<u32> {
    let mut decoder = BenchDecoder::new(net, DecodeManner::KeepOrder);
    decoder.work_s.copy_from_slice(work_s);
    decoder.lay_list(order);
    (0..net.weight.len()).map(|v| decoder.finish_of_visit(v)).collect()
}
