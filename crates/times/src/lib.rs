//! The one model of time: what an act takes and on whose word, how a sum of acts spreads, what finished work teaches.
//!
//! Plan, calendar, finish, estimate, worth and what is learned from visits read it; no other crate has a constant of time or a quantile of its
//! own (`dev/tidy/tests/times.rs`).
//!
//! * [`acts`]: the constants, each with a source or `assumed`, and the rules by which they add up.
//! * [`sum`]: mean, variance and likely range of a job, with the factor that all its work shares.
//! * [`factor`]: that factor, from what is assumed and from finished visits.
//! * [`settings`]: the workshop's allowance and first-time factor.
//! * [`shown`]: a range in words, with as many digits as its doubt leaves.
//! * [`draws`]: times drawn from the model, for calendars that are played over.

pub mod acts;
pub mod draws;
pub mod factor;
pub mod settings;
pub mod shown;
pub mod sum;

pub use acts::*;
pub use factor::{
    FactorPrior, FinishedItem, LearnedFactor, MECHANIC_SPREAD_RATIO, PIECE_SPREAD_RATIO, SharedFactor,
    TimeRecord, VISIT_SPREAD_RATIO, VisitFactor, VisitMean, follow_times, learn_factor, summarise_visit,
};
pub use settings::TimeSettings;
pub use sum::{LikelyRange, WorkSum};
