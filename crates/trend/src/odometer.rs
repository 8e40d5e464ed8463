//! From a few readings of an odometer: distance a day, and the day on which it shows a milestone.
//!
//! **Question.** 61 200 km in spring, 68 100 in autumn, 85 400 a year later: when will it show 100 000, and between which days?
//!
//! **Symbols.** Increments `d_k` km over `t_k` days, `n` of them, `T` days in all; `r` km a day; `v` km² a day; `D` km left; `h` days from the last reading.
//!
//! ```text
//! d_k ~ N(r·t_k, v·t_k), independent          r̂ = Σd/T (the end points),   S = Σ(d_k − r̂·t_k)²/t_k,   v̂ = S/(n − 1)
//! readings alone:  (r̂·h − D)² ≤ t²(n−1)·v̂·(h + h²/T)
//! with the prior:  v0(r) = τ·r²;   p(r) ∝ prior(r)·v0(r)^(ν0/2)·B(r)^(−(ν0+n)/2),  B(r) = ν0·v0(r) + S + T·(r − r̂)²
//!                  P(reached by h) = ∫ p(r)·T_ν( (r·h − D)/√(h·B(r)/ν) ) dr,  ν = ν0 + n
//! ```
//!
//! **Why not a line through the readings.** They are cumulative, so their errors hang together: a plain regression's "90 %" holds in 54 of 100 cases.
//!
//! **Prior** ([`OdometerPrior::USUAL_VEHICLES`]), used where there are fewer than six readings: nine in ten vehicles do 12 to 100 km a day, on a
//! logarithmic scale (median 34.6, about 12 600 km a year); scatter `τ = 3` days, worth `ν0 = 4` degrees of freedom (a month's distance is off
//! its mean by about a third). **Assumption, common practice, no single source**; a rate of the user's own takes its place.
//!
//! **Rounded readings**: whole thousands, hundreds or tens add a variance of `step²/12` at the ends (GUM F.2.2.1).
//!
//! **Assumptions and range.** The use stays as it was. An owner's change, a winter off the road, a new job break it. Readings older than two years
//! are left out where newer ones reach that far back, because the distance driven falls with age (DOT HS 809 952).
//!
//! **Worked example.** Days 0 95 180 400 610 700, km 61 200 … 89 300: r̂ 40.14, v̂ 1599; 150 000 after 1376 to 1672 days (90 %, readings alone).
//!
//! **Sources.** Drifting Brownian motion: Chhikara and Folks, The Inverse Gaussian Distribution (1989); gamma scatter as any text on linear models.
//!
//! symbol: day, low_day, high_day, estimate_day, span_days, h, tau_days = days
//! symbol: km, distance_km, r, rate, low_km_per_day, high_km_per_day, rate_km_per_day = km, and km a day
//! symbol: spread_km2_per_day, variance_km2_per_day, freedom, degrees, t, readings = km² a day; pure numbers

use core::fmt;

use bolting::tolerance::{student_above_probability, student_quantile};
use serde::Serialize;
use units::math;

use crate::posterior::{RateDensity, RatePrior, find_rising_root};

/// Increments from which readings stand alone (assumption: Student's quantile is then near 2).
pub const ENOUGH_INCREMENTS: usize = 5;
/// Days of readings that count, where there are so many: the use of a vehicle changes.
pub const LOOK_BACK_DAYS: f64 = 730.0;
/// A milestone further off is not told.
pub const MAX_AHEAD_DAYS: f64 = 36_525.0;

/// A reading of an odometer that counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OdometerPoint {
    /// Day.
    pub day: f64,
    /// What it showed.
    pub km: f64,
    /// Step that it was rounded to, where that is coarse.
    pub rounded_to_km: Option<f64>,
    /// Which instrument: readings of two are not subtracted.
    pub instrument: u32,
}

/// What is assumed of a vehicle before it is read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OdometerPrior {
    /// Distance a day.
    pub rate: RatePrior,
    /// Scatter `τ`: variance a day over the squared rate.
    pub tau_days: f64,
    /// Degrees of freedom that this scatter is worth.
    pub freedom: f64,
}

impl OdometerPrior {
    /// Scatter of vehicles: days.
    pub const USUAL_TAU_DAYS: f64 = 3.0;
    /// What that is worth.
    pub const USUAL_FREEDOM: f64 = 4.0;
    /// Nine in ten vehicles: km a day.
    pub const USUAL_VEHICLES: (f64, f64) = (12.0, 100.0);

    /// Vehicles of which nine in ten do so many km a day; `None` for a range that is none.
    #[must_use]
    pub fn from_rates(low_km_per_day: f64, high_km_per_day: f64) -> Option<Self> {
        let rate = RatePrior::from_range(low_km_per_day, high_km_per_day)?;
        Some(Self { rate, tau_days: Self::USUAL_TAU_DAYS, freedom: Self::USUAL_FREEDOM })
    }
}

/// On what a forecast rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum OdometerBasis {
    /// The readings and nothing else.
    ReadingsAlone,
    /// The readings and the stated prior.
    WithPrior,
}

/// An interval with its best estimate: days, or km a day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OdometerInterval {
    /// Best estimate.
    pub estimate: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end; `None` where the readings do not tell one.
    pub high: Option<f64>,
}

// symbol: estimate, low, high = days, or km a day, as the field that holds the interval says

/// Why there is no rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OdometerError {
    /// Fewer than two readings on different days.
    TooFew {
        /// Readings that count.
        have: usize,
    },
    /// The odometer did not move.
    NoDistance,
    /// A confidence that is none.
    BadConfidence,
    /// The milestone lies behind the last reading.
    Behind,
    /// Too many readings.
    TooMany,
}

impl fmt::Display for OdometerError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { have } => write!(
                f,
                "readings on two different days are needed and {have} can be used; add an older reading, for example from an invoice"
            ),
            Self::NoDistance => f.write_str("the odometer did not move between the readings; check them"),
            Self::BadConfidence => f.write_str("the confidence must lie between 0.5 and 0.999"),
            Self::Behind => f.write_str("the milestone is at or below the last reading; give a later one"),
            Self::TooMany => f.write_str("more than 5,000 readings; leave out the old ones"),
        }
    }
}

impl core::error::Error for OdometerError {}

/// What readings say of a vehicle's use.
#[derive(Debug, Clone, PartialEq)]
pub struct OdometerModel {
    increments: usize,
    span_days: f64,
    rate_km_per_day: f64,
    spread_km2_per_day: f64,
    last: OdometerPoint,
    ends_variance_km2: (f64, f64),
    prior: OdometerPrior,
    density: RateDensity,
    confidence_share: f64,
}

// symbol: ends_variance_km2 = km², of the first reading and of the last

/// Distances between neighbours that one instrument showed, readings of one day drawn together.
fn list_increments(points: &[OdometerPoint]) -> Vec<(f64, f64)> {
    let mut kept: Vec<OdometerPoint> = Vec::new();
    for point in points {
        match kept.last_mut() {
            Some(last) if last.day == point.day && last.instrument == point.instrument => *last = *point,
            _ => kept.push(*point),
        }
    }
    let pairs = kept.windows(2).filter(|p| p[0].instrument == p[1].instrument);
    pairs.map(|p| (p[1].day - p[0].day, p[1].km - p[0].km)).filter(|(days, _)| *days > 0.0).collect()
}

/// The newest readings that reach back as far as counts; points stand in the order of their days.
#[must_use]
pub fn choose_recent(points: &[OdometerPoint], look_back_days: f64) -> &[OdometerPoint] {
    let Some(last) = points.last() else { return points };
    let first = points.iter().rposition(|p| last.day - p.day >= look_back_days).unwrap_or(0);
    &points[first..]
}

/// Learns a vehicle's use from readings in the order of their days.
///
/// # Errors
/// [`OdometerError`] when readings are too few or did not move.
pub fn learn_use(
    points: &[OdometerPoint],
    prior: OdometerPrior,
    confidence_share: f64,
) -> Result<OdometerModel, OdometerError> {
    if !(0.5..=0.999).contains(&confidence_share) {
        return Err(OdometerError::BadConfidence);
    }
    let increments = list_increments(points);
    let (Some(last), Some(first), false) = (points.last(), points.first(), increments.is_empty()) else {
        return Err(OdometerError::TooFew { have: points.len() });
    };
    let span_days: f64 = increments.iter().map(|(days, _)| days).sum();
    let distance_km: f64 = increments.iter().map(|(_, km)| km).sum();
    let r = distance_km / span_days;
    if !(r > 0.0 && r.is_finite()) {
        return Err(OdometerError::NoDistance);
    }
    let off = |(days, km): &(f64, f64)| (km - r * days) * (km - r * days) / days;
    let spread: f64 = increments.iter().map(off).sum();
    let (freedom, count) = (prior.freedom, increments.len() as f64);
    let stated_at = |rate: f64| prior.tau_days * rate * rate;
    let spread_at = |rate: f64| freedom * stated_at(rate) + spread + span_days * (rate - r) * (rate - r);
    let deviation = math::sqrt((freedom * stated_at(r) + spread) / (freedom + count) / span_days);
    let density = RateDensity::weigh_rates(&prior.rate, r, deviation, |rate| {
        freedom / 2.0 * math::ln(stated_at(rate)) - (freedom + count) / 2.0 * math::ln(spread_at(rate))
    })
    .ok_or(OdometerError::NoDistance)?;
    let variance_of = |p: &OdometerPoint| p.rounded_to_km.map_or(0.0, |step| step * step / 12.0);
    Ok(OdometerModel {
        increments: increments.len(),
        span_days,
        rate_km_per_day: r,
        spread_km2_per_day: spread,
        last: *last,
        ends_variance_km2: (variance_of(first), variance_of(last)),
        prior,
        density,
        confidence_share,
    })
}

impl OdometerModel {
    /// Increments that it rests on.
    #[must_use]
    pub const fn increments(&self) -> usize {
        self.increments
    }

    /// Days that they cover.
    #[must_use]
    pub const fn span_days(&self) -> f64 {
        self.span_days
    }

    /// The last reading.
    #[must_use]
    pub const fn last(&self) -> OdometerPoint {
        self.last
    }

    /// Rate by the end points.
    #[must_use]
    pub const fn rate_km_per_day(&self) -> f64 {
        self.rate_km_per_day
    }

    /// Variance a day by the readings alone; `None` for fewer than two increments.
    #[must_use]
    pub fn variance_km2_per_day(&self) -> Option<f64> {
        (self.increments >= 2).then(|| self.spread_km2_per_day / (self.increments - 1) as f64)
    }

    /// On what the answer to show rests.
    #[must_use]
    pub const fn basis(&self) -> OdometerBasis {
        if self.increments < ENOUGH_INCREMENTS {
            OdometerBasis::WithPrior
        } else {
            OdometerBasis::ReadingsAlone
        }
    }

    /// Distance a day.
    #[must_use]
    pub fn rate_interval(&self, basis: OdometerBasis) -> Option<OdometerInterval> {
        let tail = (1.0 - self.confidence_share) / 2.0;
        match basis {
            OdometerBasis::WithPrior => Some(OdometerInterval {
                estimate: self.density.quantile_at(0.5),
                low: self.density.quantile_at(tail),
                high: Some(self.density.quantile_at(1.0 - tail)),
            }),
            OdometerBasis::ReadingsAlone => {
                let t = student_quantile(1.0 - tail, (self.increments.checked_sub(1)?) as f64);
                let ends = (self.ends_variance_km2.0 + self.ends_variance_km2.1) / self.span_days;
                let half = t * math::sqrt((self.variance_km2_per_day()? + ends) / self.span_days);
                let r = self.rate_km_per_day;
                Some(OdometerInterval { estimate: r, low: (r - half).max(0.0), high: Some(r + half) })
            }
        }
    }

    /// Days from the last reading until so many km more are shown; `None` where this basis does not tell, or not within a century.
    #[must_use]
    pub fn days_until(&self, distance_km: f64, basis: OdometerBasis) -> Option<OdometerInterval> {
        if !(distance_km > 0.0 && distance_km < 1.0e9) {
            return None;
        }
        match basis {
            OdometerBasis::ReadingsAlone => self.solve_alone(distance_km),
            OdometerBasis::WithPrior => {
                let tail = (1.0 - self.confidence_share) / 2.0;
                let [low, estimate, high] =
                    [tail, 0.5, 1.0 - tail].map(|share| self.find_day_of_share(distance_km, share));
                Some(OdometerInterval { estimate: estimate?, low: low?, high })
            }
        }
    }

    fn find_day_of_share(&self, distance_km: f64, share: f64) -> Option<f64> {
        let start = (distance_km / self.density.quantile_at(0.5)).min(MAX_AHEAD_DAYS);
        let by = |h: f64| self.reached_probability(distance_km, h, OdometerBasis::WithPrior).unwrap_or(0.0);
        find_rising_root(start, 0.2 * start, (0.0, MAX_AHEAD_DAYS), share, by)
    }

    /// Roots of the quadratic of the head of this module.
    fn solve_alone(&self, distance_km: f64) -> Option<OdometerInterval> {
        let (r, d, span) = (self.rate_km_per_day, distance_km, self.span_days);
        let variance = self.variance_km2_per_day()?;
        let t = student_quantile(f64::midpoint(1.0, self.confidence_share), (self.increments - 1) as f64);
        let (first, last) = self.ends_variance_km2;
        let tt = t * t;
        let square = r * r - tt * (variance / span + (first + last) / (span * span));
        let middle = r * d + tt * (variance / 2.0 + last / span);
        let rest = d * d - tt * last;
        let root = middle * middle - square * rest;
        if root < 0.0 {
            return None;
        }
        // The smaller root without cancellation.
        let low = (rest / (middle + math::sqrt(root))).max(0.0);
        let high =
            (square > 0.0).then(|| (middle + math::sqrt(root)) / square).filter(|h| *h <= MAX_AHEAD_DAYS);
        let estimate = d / r;
        (estimate <= MAX_AHEAD_DAYS).then_some(OdometerInterval { estimate, low, high })
    }

    /// Probability that so many km more are shown within `h` days; `None` where this basis does not tell.
    #[must_use]
    pub fn reached_probability(&self, distance_km: f64, h: f64, basis: OdometerBasis) -> Option<f64> {
        if h <= 0.0 || !h.is_finite() {
            return Some(if distance_km <= 0.0 { 1.0 } else { 0.0 });
        }
        let (first, last) = self.ends_variance_km2;
        let back = h / self.span_days;
        match basis {
            OdometerBasis::ReadingsAlone => {
                let variance = self.variance_km2_per_day()? * (h + h * back);
                let all = variance + last * (1.0 + back) * (1.0 + back) + first * back * back;
                let off = (self.rate_km_per_day * h - distance_km) / math::sqrt(all);
                Some(1.0 - student_above_probability(off, (self.increments - 1) as f64))
            }
            OdometerBasis::WithPrior => {
                let degrees = self.prior.freedom + self.increments as f64;
                let spread_at = |rate: f64| {
                    let off = rate - self.rate_km_per_day;
                    self.prior.freedom * self.prior.tau_days * rate * rate
                        + self.spread_km2_per_day
                        + self.span_days * off * off
                };
                Some(self.density.mean_of(|rate| {
                    let variance = h * spread_at(rate) / degrees + last;
                    let off = (rate * h - distance_km) / math::sqrt(variance);
                    1.0 - student_above_probability(off, degrees)
                }))
            }
        }
    }
}
