//! What finished work tells about the times of work to come.
//!
//! **Question.** A mechanic's actual times differ from the estimates by a factor that all of one's work shares, by one that a whole visit
//! shares, and by an own one of each item. What are they, after so many visits?
//!
//! **Model.** For an item with estimate `e`, time `t` and stated spread `s`: `ln(t/e) = b + c + κ s z`, with `b ~ N(m, τ²)` the mechanic's, `c ~
//! N(0, σ²)` the visit's, `z` standard normal, `κ` how much wider the items scatter than was stated.
//!
//! **Method.** A visit's mean `ȳ`, weighted by `1/s²`, has the variance `v = κ²/Σ(1/s²)` about `b + c`. `κ²` is the pooled square of the residuals within visits, shrunk
//! to 1 with the weight of [`FactorPrior::own_weight_count`] items; `σ²` the square of the means about their mean less what `v` accounts for, shrunk to its prior with the
//! weight of [`FactorPrior::visit_weight_count`] visits (so it has that many degrees of freedom and one more for each visit but the first). With these held,
//! `b` is normal with precision `1/τ² + Σ 1/(σ² + v)`, and the `c` of an open visit, given `b`, with precision `1/σ² + 1/v`.
//!
//! **Worked example.** Prior `m = 0`, `τ = 0.2`, `σ = 0.1`; one visit of one item without scatter to speak of took twice its estimate: `b` is
//! `0.693 · 0.04/(0.04 + 0.01) = 0.555`, a factor of 1.74.
//!
//! **Limits. The prior is an assumption.** Times that were never written down, or only where they were bad, mislead it.
//!
//! **Sources.** Gelman et al., Bayesian Data Analysis, on normal models with two levels; Satterthwaite 1946 for the freedom of a sum of variances (S59 in SOURCES.md)
//! (all from memory).
//!
//! symbol: b, c, y = logarithms of ratios
//! symbol: own_variance = variance of a logarithm

use bolting::tolerance::student_quantile;
use units::math;

use crate::settings::TimeSettings;
use crate::sum::LIKELY_SHARE;

/// What is assumed before anything was finished; logarithms of actual over estimated time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FactorPrior {
    /// Mean of the mechanic's factor.
    pub mean_log_ratio: f64,
    /// Standard deviation of the mechanic's factor.
    pub mechanic_spread_ratio: f64,
    /// Standard deviation of a visit's factor about the mechanic's.
    pub visit_spread_ratio: f64,
    /// How many visits the assumed spread of visits counts for; at least 1.
    pub visit_weight_count: u32,
    /// How many items the stated spreads of items count for; at least 1.
    pub own_weight_count: u32,
}

impl FactorPrior {
    /// What is assumed where nobody has set anything: [`Self::of_settings`] of [`TimeSettings::assumed`].
    #[must_use]
    pub fn assumed() -> Self {
        Self::of_settings(&TimeSettings::assumed())
    }

    /// Planned times want the workshop's allowance on top; about that two thirds of all mechanics lie within 0.78 and 1.28 times, and visits
    /// differ by 15 % (assumption, until a journal tells better).
    #[must_use]
    pub fn of_settings(settings: &TimeSettings) -> Self {
        Self {
            mean_log_ratio: math::ln(1.0 + settings.allowance_ratio()),
            mechanic_spread_ratio: MECHANIC_SPREAD_RATIO,
            visit_spread_ratio: VISIT_SPREAD_RATIO,
            visit_weight_count: 4,
            own_weight_count: 20,
        }
    }
}

/// Spread of the mechanics' factors about the allowance (assumption). It has the constants' own error in it, which all work shares; how much
/// of it that may be stands in `docs/times.md`.
pub const MECHANIC_SPREAD_RATIO: f64 = 0.25;
/// Spread of a visit's factor about the mechanic's (assumption).
pub const VISIT_SPREAD_RATIO: f64 = 0.15;
/// Spread of a piece of work's time about its planned time, apart from what all share: two thirds within 0.7 to 1.4 times (assumption, until
/// visits tell better). A piece is what is done in one go on one part, minutes to an hour.
pub const PIECE_SPREAD_RATIO: f64 = 0.35;

/// An item that was done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FinishedItem {
    /// What it was estimated at.
    pub estimated_s: f64,
    /// What it took on the bench.
    pub actual_s: f64,
    /// Its stated spread: standard deviation of the logarithm.
    pub spread_ratio: f64,
}

/// Smallest spread that an item counts with, so that none counts for everything (assumption).
const FEWEST_SPREAD_RATIO: f64 = 0.05;

/// What is known of the mechanic's times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LearnedFactor {
    /// Mean of the mechanic's factor, as a logarithm.
    pub mean_log_ratio: f64,
    /// Standard deviation of what is known of it.
    pub mechanic_spread_ratio: f64,
    /// Standard deviation of a visit's factor about the mechanic's.
    pub visit_spread_ratio: f64,
    /// Degrees of freedom of the spread of visits.
    pub visit_freedom_count: u32,
    /// How much wider the times of items scatter than stated.
    pub own_scale_ratio: f64,
    /// Visits with finished items behind it.
    pub visits: u32,
    /// Finished items behind it.
    pub items: u32,
}

impl LearnedFactor {
    /// Estimates are taken as they are, and nothing scatters but what is stated.
    #[must_use]
    pub const fn exact() -> Self {
        Self {
            mean_log_ratio: 0.0,
            mechanic_spread_ratio: 0.0,
            visit_spread_ratio: 0.0,
            visit_freedom_count: 1,
            own_scale_ratio: 1.0,
            visits: 0,
            items: 0,
        }
    }

    /// What is known of the factor of a visit to come: mechanic's and visit's together.
    #[must_use]
    pub fn of_next_visit(&self) -> SharedFactor {
        self.shared_with(0.0)
    }

    /// The same about a mean of items that has a variance of its own.
    fn shared_with(&self, own_variance: f64) -> SharedFactor {
        let visit = self.visit_spread_ratio.powi(2);
        let all = self.mechanic_spread_ratio.powi(2) + visit + own_variance;
        // Welch and Satterthwaite: of the variances added only that of visits was worked out from few; `all²·ν/visit²`.
        let freedom_count =
            f64::from(self.visit_freedom_count) * (all / visit.max(f64::MIN_POSITIVE)).powi(2);
        SharedFactor { mean_log_ratio: self.mean_log_ratio, spread_ratio: all.sqrt(), freedom_count }
    }

    /// What is known of the factor of a visit with these items finished, the mechanic's own taken at its mean.
    #[must_use]
    pub fn factor_of_visit(&self, finished: &[FinishedItem]) -> VisitFactor {
        let all = self.mechanic_spread_ratio.powi(2) + self.visit_spread_ratio.powi(2);
        let Some(mean) = summarise_visit(finished).filter(|_| all > 0.0) else {
            return VisitFactor { mean_log_ratio: self.mean_log_ratio, spread_ratio: all.sqrt() };
        };
        let visit = self.visit_given(self.mean_log_ratio, self.visit_spread_ratio, &mean);
        VisitFactor {
            mean_log_ratio: self.mean_log_ratio + visit.mean_log_ratio,
            spread_ratio: visit.spread_ratio,
        }
    }

    /// The visit's own factor, given the mechanic's (`b`, a logarithm) and the spread of visits.
    #[must_use]
    pub fn visit_given(&self, b: f64, visit_spread_ratio: f64, mean: &VisitMean) -> VisitFactor {
        let variance = mean.variance_ratio * self.own_scale_ratio.powi(2);
        let prior = visit_spread_ratio.powi(2);
        if prior <= 0.0 {
            return VisitFactor { mean_log_ratio: 0.0, spread_ratio: 0.0 };
        }
        let share = prior / (prior + variance);
        VisitFactor { mean_log_ratio: share * (mean.y - b), spread_ratio: (share * variance).sqrt() }
    }
}

/// A factor that all work of a visit shares, as a logarithm: Student's t about its mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SharedFactor {
    /// Mean of the logarithm.
    pub mean_log_ratio: f64,
    /// Scale of the logarithm: its standard deviation, where the freedom is large.
    pub spread_ratio: f64,
    /// Degrees of freedom.
    pub freedom_count: f64,
}

impl SharedFactor {
    /// The factor of a visit that takes its engine on for the first time.
    #[must_use]
    pub fn times(self, ratio: f64) -> Self {
        Self { mean_log_ratio: self.mean_log_ratio + math::ln(ratio), ..self }
    }

    /// By how many of its spreads the given share of visits stays within, counted from the middle.
    #[must_use]
    pub(crate) fn quantile(&self, share: f64) -> f64 {
        student_quantile(share, self.freedom_count)
    }
}

/// A visit's factor as a logarithm, with its spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VisitFactor {
    /// Mean of the logarithm.
    pub mean_log_ratio: f64,
    /// Standard deviation of the logarithm.
    pub spread_ratio: f64,
}

impl VisitFactor {
    /// The factor that is as likely too high as too low.
    #[must_use]
    pub fn median_ratio(&self) -> f64 {
        math::exp(self.mean_log_ratio)
    }
}

/// The mean of a visit's finished items.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VisitMean {
    y: f64,
    /// Variance of `y` about the visit's factor for `κ = 1`.
    variance_ratio: f64,
    /// Sum of squared residuals, each over its stated variance.
    residual_ratio: f64,
    items: u32,
}

/// The mean of a visit's finished items; `None` where nothing usable was finished.
#[must_use]
pub fn summarise_visit(finished: &[FinishedItem]) -> Option<VisitMean> {
    let usable = |i: &&FinishedItem| {
        i.estimated_s > 0.0
            && i.actual_s > 0.0
            && (i.actual_s / i.estimated_s).is_finite()
            && i.spread_ratio.is_finite()
    };
    let logs: Vec<(f64, f64)> = finished
        .iter()
        .filter(usable)
        .map(|i| (math::ln(i.actual_s / i.estimated_s), i.spread_ratio.max(FEWEST_SPREAD_RATIO).powi(-2)))
        .collect();
    let weight: f64 = logs.iter().map(|(_, w)| w).sum();
    let y = logs.iter().map(|(y, w)| y * w).sum::<f64>() / weight;
    let residual_ratio = logs.iter().map(|(l, w)| (l - y).powi(2) * w).sum();
    (!logs.is_empty()).then(|| VisitMean {
        y,
        variance_ratio: 1.0 / weight,
        residual_ratio,
        items: logs.len() as u32,
    })
}

/// How the time that four in five visits should not pass has held so far.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct TimeRecord {
    /// Visits that took no longer.
    pub held: u32,
    /// Visits that were timed.
    pub visits: u32,
}

/// Plays finished visits over, the first first: each was told by those before it, and then took what it took. While the spread of visits is
/// known from few, the 80 % point is that of Student's t.
#[must_use]
pub fn follow_times(prior: &FactorPrior, visits: &[Vec<FinishedItem>]) -> TimeRecord {
    let mut record = TimeRecord::default();
    for (at, visit) in visits.iter().enumerate() {
        let Some(mean) = summarise_visit(visit) else { continue };
        let known = learn_factor(prior, &visits[..at]);
        let shared = known.shared_with(mean.variance_ratio * known.own_scale_ratio.powi(2));
        let limit = shared.mean_log_ratio + shared.quantile(LIKELY_SHARE) * shared.spread_ratio;
        record.visits += 1;
        record.held += u32::from(mean.y <= limit);
    }
    record
}

/// Learns from visits, closed and open, each with its finished items.
#[must_use]
pub fn learn_factor(prior: &FactorPrior, visits: &[Vec<FinishedItem>]) -> LearnedFactor {
    let means: Vec<VisitMean> = visits.iter().filter_map(|v| summarise_visit(v)).collect();
    let (count, items) = (means.len() as u32, means.iter().map(|m| m.items).sum::<u32>());
    let own_weight = f64::from(prior.own_weight_count.max(1));
    let residual: f64 = means.iter().map(|m| m.residual_ratio).sum();
    let own_scale_ratio = ((own_weight + residual) / (own_weight + f64::from(items - count))).sqrt();
    let variance_of = |m: &VisitMean| m.variance_ratio * own_scale_ratio.powi(2);
    let visit_weight = prior.visit_weight_count.max(1);
    let visit_freedom_count = visit_weight + count.saturating_sub(1);
    let centre = means.iter().map(|m| m.y).sum::<f64>() / f64::from(count.max(1));
    let between: f64 = means.iter().map(|m| (m.y - centre).powi(2)).sum();
    let from_items = means.iter().map(variance_of).sum::<f64>() * (1.0 - 1.0 / f64::from(count.max(1)));
    let prior_square = f64::from(visit_weight) * prior.visit_spread_ratio.powi(2);
    let visit_variance = (prior_square + (between - from_items).max(0.0)) / f64::from(visit_freedom_count);
    let mut learned = LearnedFactor {
        mean_log_ratio: prior.mean_log_ratio,
        mechanic_spread_ratio: prior.mechanic_spread_ratio,
        visit_spread_ratio: visit_variance.sqrt(),
        visit_freedom_count,
        own_scale_ratio,
        visits: count,
        items,
    };
    for mean in &means {
        let (known, told) = (learned.mechanic_spread_ratio.powi(2), visit_variance + variance_of(mean));
        if known + told > 0.0 {
            let share = known / (known + told);
            learned.mean_log_ratio += share * (mean.y - learned.mean_log_ratio);
            learned.mechanic_spread_ratio = (share * told).sqrt();
        }
    }
    learned
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, expected: f64) {
        assert!((found - expected).abs() < 2.0e-3, "{found} is not {expected}");
    }

    #[test]
    fn the_worked_example_is_right() {
        let prior = FactorPrior {
            mean_log_ratio: 0.0,
            mechanic_spread_ratio: 0.2,
            visit_spread_ratio: 0.1,
            visit_weight_count: 4,
            own_weight_count: 20,
        };
        // A hundred items of the least spread: their own variance is 0.000 025.
        let item = FinishedItem { estimated_s: 60.0, actual_s: 120.0, spread_ratio: 0.0 };
        let learned = learn_factor(&prior, &[vec![item; 100]]);
        near(learned.mean_log_ratio, 0.5545);
        near(learned.mechanic_spread_ratio, 0.0895);
        near(learned.own_scale_ratio, (20.0_f64 / 119.0).sqrt());
        // The visit itself is known far better than the mechanic.
        let visit = learned.factor_of_visit(&[item; 100]);
        near(visit.median_ratio(), 2.0);
    }

    #[test]
    fn nothing_finished_leaves_the_prior_and_odd_times_are_passed_over() {
        let prior = FactorPrior::assumed();
        let odd = FinishedItem { estimated_s: 0.0, actual_s: f64::NAN, spread_ratio: 0.3 };
        let learned = learn_factor(&prior, &[Vec::new(), vec![odd]]);
        assert_eq!((learned.visits, learned.items), (0, 0));
        assert_eq!(learned.mean_log_ratio, prior.mean_log_ratio);
        assert_eq!(learned.own_scale_ratio, 1.0);
    }

    #[test]
    fn spreads_wider_than_stated_are_noticed() {
        let item = |log_ratio: f64| FinishedItem {
            estimated_s: 100.0,
            actual_s: 100.0 * math::exp(log_ratio),
            spread_ratio: 0.3,
        };
        // Alternately 0.6 up and down: twice what is stated.
        let visit: Vec<FinishedItem> = (0..200).map(|k| item(if k % 2 == 0 { 0.6 } else { -0.6 })).collect();
        let learned = learn_factor(&FactorPrior::assumed(), &[visit]);
        assert!((1.8..2.05).contains(&learned.own_scale_ratio), "{}", learned.own_scale_ratio);
    }
}
