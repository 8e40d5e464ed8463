//! What a workshop knows of its times, the hours of a plan by it, and the words for both.

use model::Book;
use model::plan::Plan;
use plan::hours::PlanHours;
use record::workshop::KeptTimes;
use serde::Serialize;
pub use times::TimeSettings;
use times::settings::{FIRST_TIME_PERCENT, MAX_ALLOWANCE_PERCENT};
use times::shown::{about_words, range_words};
use times::{FactorPrior, LearnedFactor, SharedFactor, learn_factor};

use crate::ask::AskError;
use crate::evidence::actual::{finished_items, list_known_engines};
use crate::text::table::count_with_noun;
use crate::workshop::{Workshop, WorkshopError};

/// What is known of the times of a job: what was set, what was learned, whether the engine is new to the workshop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownTimes {
    /// What the workshop has set, or what is assumed.
    pub settings: TimeSettings,
    /// The mechanic's factor, by finished visits.
    pub factor: LearnedFactor,
    /// Whether the workshop has finished no visit with this engine yet.
    pub is_first_time: bool,
}

impl KnownTimes {
    /// Where there is no workshop to ask: nothing set, nothing learned.
    #[must_use]
    pub fn assumed() -> Self {
        let factor = learn_factor(&FactorPrior::assumed(), &[]);
        Self { settings: TimeSettings::assumed(), factor, is_first_time: true }
    }

    /// The factor that all work of the job shares.
    #[must_use]
    pub fn shared(&self) -> SharedFactor {
        let next = self.factor.of_next_visit();
        if self.is_first_time { next.times(self.settings.first_time_ratio()) } else { next }
    }

    /// What the range rests on: "planned times and 15 % for needs and interruptions (assumed), learned from no visit yet".
    #[must_use]
    pub fn words(&self) -> String {
        let allowance = allowance_words(&self.settings);
        let on_top = if self.factor.visits == 0 {
            format!("planned times and {allowance}; no finished visit has been timed")
        } else {
            let times = units::math::exp(self.factor.mean_log_ratio);
            let visits = count_with_noun(self.factor.visits as usize, "finished visit");
            format!("{times:.2} times the planned times, learned from {visits} on top of {allowance}")
        };
        let ratio = self.settings.first_time_ratio();
        if self.is_first_time && ratio > 1.0 {
            return format!("{on_top}; {ratio} times that, because the engine is new here");
        }
        on_top
    }
}

/// "15 % for needs and short interruptions (assumed)".
#[must_use]
pub fn allowance_words(settings: &TimeSettings) -> String {
    let by_whom = if settings.is_assumed() { " (assumed)" } else { "" };
    format!("{} % for needs and short interruptions{by_whom}", settings.allowance_percent())
}

impl Workshop {
    /// What the workshop has set about its times, or what is assumed.
    #[must_use]
    pub fn time_settings(&self) -> TimeSettings {
        let set = |kept: KeptTimes| TimeSettings::of_percent(kept.allowance_percent, kept.first_time_percent);
        self.record().times.and_then(set).unwrap_or_else(TimeSettings::assumed)
    }

    /// What is known of the times of a job on this engine, by its title.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn known_times(&mut self, engine: &str) -> Result<KnownTimes, WorkshopError> {
        let settings = self.time_settings();
        let factor = learn_factor(&FactorPrior::of_settings(&settings), &finished_items(self)?);
        let is_first_time = !list_known_engines(self)?.contains(engine);
        Ok(KnownTimes { settings, factor, is_first_time })
    }
}

/// Reads an allowance, `15` or `15 %`, and a first-time factor, `1.3`; what is not given stays as it is.
///
/// # Errors
/// [`AskError::Argument`] for what is no figure, or out of range.
pub fn read_time_settings(
    now: &TimeSettings,
    allowance: Option<&str>,
    first_time: Option<&str>,
) -> Result<TimeSettings, AskError> {
    let figure = |text: &str| text.trim().replace(',', ".").parse::<f64>().ok();
    let wrong_allowance = |text: &str| {
        let words = format!(
            "`{text}` is no allowance; write whole percent from 0 to {MAX_ALLOWANCE_PERCENT}, such as 15"
        );
        AskError::argument_error(words)
    };
    let allowance_percent = match allowance {
        None => now.allowance_percent(),
        Some(text) => {
            let percent = text.trim().trim_end_matches('%').trim();
            percent.parse::<u16>().map_err(|_| wrong_allowance(text))?
        }
    };
    let first_time_percent = match first_time {
        None => now.first_time_percent(),
        Some(text) => {
            let percent = figure(text).map(|ratio| units::math::round(ratio * 100.0));
            let least = f64::from(*FIRST_TIME_PERCENT.start());
            let most = f64::from(*FIRST_TIME_PERCENT.end());
            let good = percent.filter(|percent| (least..=most).contains(percent));
            good.map(|percent| percent as u16).ok_or_else(|| {
                let words = format!("`{text}` is no first-time factor; write 1 to 4, such as 1.3");
                AskError::argument_error(words)
            })?
        }
    };
    TimeSettings::of_percent(allowance_percent, first_time_percent)
        .ok_or_else(|| wrong_allowance(allowance.unwrap_or_default()))
}

/// The hours of a plan as other programs read them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PlanHoursRecord {
    /// Hands-on time as planned, s.
    pub planned_s: f64,
    /// Hands-on time that half of such jobs do not pass, s.
    pub p50_s: f64,
    /// Hands-on time that four in five such jobs do not pass, s.
    pub p80_s: f64,
    /// Waits by the clock beside it, s.
    pub waits_s: f64,
    /// Allowance on top of the planned times, percent.
    pub allowance_percent: u16,
    /// Whether nobody has set the allowance.
    pub is_assumed: bool,
}

/// A plan for other programs, with its hours beside it.
#[derive(Debug, Serialize)]
pub struct PlanWithHours<'a> {
    #[serde(flatten)]
    plan: &'a Plan,
    hours: PlanHoursRecord,
}

impl<'a> PlanWithHours<'a> {
    /// Of a plan, by what is known of times.
    #[must_use]
    pub fn of_plan(book: &Book, plan: &'a Plan, known: &KnownTimes) -> Self {
        let hours = PlanHours::of_plan(book, plan, &known.shared());
        let whole = |time_s: f64| units::math::round(time_s);
        Self {
            plan,
            hours: PlanHoursRecord {
                planned_s: whole(hours.planned_s),
                p50_s: whole(hours.hands_on.p50_s),
                p80_s: whole(hours.hands_on.p80_s),
                waits_s: whole(hours.waits_s),
                allowance_percent: known.settings.allowance_percent(),
                is_assumed: known.settings.is_assumed(),
            },
        }
    }
}

/// The hours of a plan where there is no workshop to ask.
#[must_use]
pub fn hours_as_assumed(book: &Book, plan: &Plan) -> PlanHours {
    PlanHours::of_plan(book, plan, &KnownTimes::assumed().shared())
}

/// "31 to 38 h of work, and about 5 h of waiting besides".
#[must_use]
pub fn hours_words(hours: &PlanHours) -> String {
    let work = format!("{} of work", range_words(hours.hands_on));
    if hours.waits_s > 0.0 {
        format!("{work}, and {} of waiting besides", about_words(hours.waits_s))
    } else {
        work
    }
}

/// What the two ends of a range are.
pub const RANGE_MEANING: &str =
    "half of such jobs take no longer than the first, four in five no longer than the second";
