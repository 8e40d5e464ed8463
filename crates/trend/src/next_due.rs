//! What is due first: by distance or by date.
//!
//! **Question.** Every 20 000 km or two years, whichever comes first: on which day, and which of the two will it be?
//!
//! **Symbols.** `T` day on which the odometer shows the distance, uncertain; `C` the date. Due on `min(T, C)`; the ends of its interval are those of `T`,
//! none later than `C`; `P(T ≤ C)` says which comes first.
//!
//! symbol: due_day, low_day, estimate_day, high_day, by_date, by_distance = days; probability = pure number

use serde::Serialize;

use crate::odometer::{OdometerBasis, OdometerInterval, OdometerModel};

/// What comes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DueBy {
    /// The distance.
    Distance,
    /// The date.
    Date,
    /// Neither can be told from the other: both within 5 and 95 %.
    Either,
}

/// When it is due.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NextDue {
    /// What comes first.
    pub first: DueBy,
    /// Probability that the distance does; `None` without a distance.
    pub distance_first_probability: Option<f64>,
    /// Best estimate.
    pub estimate_day: f64,
    /// Lower end.
    pub low_day: f64,
    /// Upper end; `None` where nothing tells one.
    pub high_day: Option<f64>,
}

/// When a thing is due that is due by distance, by date or by both; `None` where neither is given or tells.
#[must_use]
pub fn find_next_due(
    model: &OdometerModel,
    distance_km: Option<f64>,
    due_day: Option<f64>,
    basis: OdometerBasis,
) -> Option<NextDue> {
    let last_day = model.last().day;
    let by_distance: Option<OdometerInterval> = distance_km.and_then(|km| model.days_until(km, basis));
    match (by_distance, due_day) {
        (None, None) => None,
        (None, Some(day)) => Some(NextDue {
            first: DueBy::Date,
            distance_first_probability: None,
            estimate_day: day,
            low_day: day,
            high_day: Some(day),
        }),
        (Some(days), None) => Some(NextDue {
            first: DueBy::Distance,
            distance_first_probability: None,
            estimate_day: last_day + days.estimate,
            low_day: last_day + days.low,
            high_day: days.high.map(|h| last_day + h),
        }),
        (Some(days), Some(day)) => {
            let reached = distance_km.and_then(|km| model.reached_probability(km, day - last_day, basis));
            let first = match reached {
                Some(p) if p >= 0.95 => DueBy::Distance,
                Some(p) if p > 0.05 => DueBy::Either,
                Some(_) | None => DueBy::Date,
            };
            Some(NextDue {
                first,
                distance_first_probability: reached,
                estimate_day: (last_day + days.estimate).min(day),
                low_day: (last_day + days.low).min(day),
                high_day: Some(days.high.map_or(day, |h| (last_day + h).min(day))),
            })
        }
    }
}
