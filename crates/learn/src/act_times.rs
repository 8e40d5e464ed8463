//! How long an act takes, from visits with breaks that nobody noted.
//!
//! **Question.** The clock ran from begin to end; noted pauses are taken off. What is left has coffee, telephone and a seized bolt in it.
//!
//! **Symbols.** `t` times, s; `y = ln t`; `m` median and `D` median absolute deviation of `y`; `n` times kept, `ȳ` their mean and `s` their standard deviation.
//!
//! **Rule.** Times of hand work are skewed; their logarithms are not, much. A time is cut as a break where `y > m + max(k · 1.4826 · D, ln f)`, `k =` [`CUT_FACTOR`]
//! (Hampel's identifier, from memory). The floor `f` is an assumption: `D` of few times can be tiny by chance, so that with fewer than [`MIN_FOR_DEVIATION`] times nothing
//! under 2.5 times the usual is called a break; with more, nothing under 1.5 times.
//! The median itself bears nearly half of the times being breaks. Short times are never cut. Cut are told, not lost: a part with many of them is one to look at.
//!
//! What is kept gives one typical time `exp(ȳ)`, the median of a log-normal, with an interval by Student's t on the logarithms (from two times on).
//! **A time alone has no interval.** The first time against later ones: `exp(y₁ − ȳ)`, with the interval of one more draw, `s·√(1 + 1/n)`, from two later times on.
//!
//! symbol: y, values = logarithms of times

use bolting::tolerance::{mean_and_scatter, student_quantile};
use units::math;

use crate::visits::{EngineVisit, HistoryFault, PartRemoval};

/// `k` of the rule.
pub const CUT_FACTOR: f64 = 3.0;
/// Times from which on their deviation is believed.
pub const MIN_FOR_DEVIATION: usize = 8;
/// Times below this multiple of the median are never breaks, where there are few.
pub const FEW_CUT_RATIO: f64 = 2.5;
/// The same where there are many.
pub const MIN_CUT_RATIO: f64 = 1.5;
/// Confidence of the intervals.
pub const CONFIDENCE_SHARE: f64 = 0.9;
/// Turns a median absolute deviation into a standard deviation, for the normal distribution.
const DEVIATION_FACTOR: f64 = 1.4826;
/// Times below this are taps in a row, not work, s.
const MIN_ACT_S: f64 = 1.0;
/// Times up to this many are few.
const MAX_FEW: usize = 4;

/// A value between two ends, at [`CONFIDENCE_SHARE`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeRange {
    /// Lower end: s, or a ratio where the field that holds it says so.
    pub low_figure: f64,
    /// Upper end, likewise.
    pub high_figure: f64,
}

/// How long an act takes.
#[derive(Debug, Clone, PartialEq)]
pub struct ActTime {
    /// The part that comes off by it.
    pub part: String,
    /// Typical time, s.
    pub typical_s: f64,
    /// Where the typical time lies; `None` for a time alone.
    pub range_s: Option<TimeRange>,
    /// Times kept.
    pub kept: usize,
    /// Times cut as breaks.
    pub cut: usize,
    /// Whether there are so few that they say little.
    pub is_few: bool,
    /// First time over the typical later one; `None` where the first was cut or there is no later one.
    pub first_ratio: Option<f64>,
    /// Where that ratio lies if the first time was like the later ones would be: beyond it, the first was slower or quicker than chance.
    pub first_range_ratio: Option<TimeRange>,
}

/// Typical times of all parts that came off, by name; visits oldest first.
///
/// # Errors
/// When a time is no number, or ends before it begins.
pub fn learn_act_times(visits: &[EngineVisit]) -> Result<Vec<ActTime>, HistoryFault> {
    let mut times: std::collections::BTreeMap<&str, Vec<f64>> = std::collections::BTreeMap::new();
    for visit in visits {
        for removal in &visit.removals {
            let worked_s = worked_time_s(removal).ok_or_else(|| HistoryFault::TimeUnusable {
                visit: visit.name.clone(),
                part: removal.part.clone(),
            })?;
            if worked_s >= MIN_ACT_S {
                times.entry(&removal.part).or_default().push(worked_s);
            }
        }
    }
    Ok(times.into_iter().filter_map(|(part, times_s)| judge_times(part, &times_s)).collect())
}

/// From begin to end without noted pauses; overlapping pauses count once.
fn worked_time_s(removal: &PartRemoval) -> Option<f64> {
    let (begin_s, end_s) = (removal.begin_s, removal.end_s);
    if !(begin_s.is_finite() && end_s.is_finite() && begin_s <= end_s) {
        return None;
    }
    let mut pauses: Vec<(f64, f64)> = Vec::new();
    for pause in &removal.pauses {
        if !(pause.begin_s.is_finite() && pause.end_s.is_finite() && pause.begin_s <= pause.end_s) {
            return None;
        }
        pauses.push((pause.begin_s.max(begin_s), pause.end_s.min(end_s)));
    }
    pauses.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut rested_s, mut until_s) = (0.0, begin_s);
    for (from_s, to_s) in pauses {
        rested_s += (to_s - from_s.max(until_s)).max(0.0);
        until_s = until_s.max(to_s);
    }
    Some(end_s - begin_s - rested_s)
}

/// The typical time of times that are each above 0, the first one first.
fn judge_times(part: &str, times_s: &[f64]) -> Option<ActTime> {
    let values: Vec<f64> = times_s.iter().map(|time_s| math::ln(*time_s)).collect();
    let limit = cut_limit(&values)?;
    let kept: Vec<f64> = values.iter().copied().filter(|y| *y <= limit).collect();
    let (mean, scatter) = mean_of(&kept)?;
    let span = |low: f64, high: f64| TimeRange { low_figure: math::exp(low), high_figure: math::exp(high) };
    let half_width = |count: usize, scatter: f64, spread: f64| {
        let quantile = student_quantile(0.5 + CONFIDENCE_SHARE / 2.0, (count - 1) as f64);
        quantile * scatter * spread
    };
    let range_s = (kept.len() >= 2).then(|| {
        let half = half_width(kept.len(), scatter, (1.0 / kept.len() as f64).sqrt());
        span(mean - half, mean + half)
    });
    let later: Vec<f64> = values.iter().skip(1).copied().filter(|y| *y <= limit).collect();
    let first = values.first().copied().filter(|y| *y <= limit);
    let compared = first.zip(mean_of(&later));
    Some(ActTime {
        part: part.to_owned(),
        typical_s: math::exp(mean),
        range_s,
        kept: kept.len(),
        cut: values.len() - kept.len(),
        is_few: kept.len() <= MAX_FEW,
        first_ratio: compared.map(|(first, (mean, _))| math::exp(first - mean)),
        first_range_ratio: compared.filter(|_| later.len() >= 2).map(|(_, (_, scatter))| {
            let half = half_width(later.len(), scatter, (1.0 + 1.0 / later.len() as f64).sqrt());
            span(-half, half)
        }),
    })
}

/// Above this logarithm a time is a break.
fn cut_limit(values: &[f64]) -> Option<f64> {
    let middle = median_of(values)?;
    let off: Vec<f64> = values.iter().map(|y| (y - middle).abs()).collect();
    let spread = DEVIATION_FACTOR * median_of(&off)?;
    let floor_ratio = if values.len() < MIN_FOR_DEVIATION { FEW_CUT_RATIO } else { MIN_CUT_RATIO };
    Some(middle + (CUT_FACTOR * spread).max(math::ln(floor_ratio)))
}

/// The middle value; of an even number the lower of the two, since breaks only lengthen.
fn median_of(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len().saturating_sub(1) / 2).copied()
}

/// Mean and standard deviation; the latter 0 for one value.
fn mean_of(values: &[f64]) -> Option<(f64, f64)> {
    match values {
        [] => None,
        [only] => Some((*only, 0.0)),
        several => mean_and_scatter(several),
    }
}
