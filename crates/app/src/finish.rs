//! The finish date: a plan laid onto the calendar, civil dates in and out, judged before it is shown.

use crate::ask::{AskError, ProgressObserver};
use crate::job_hours::KnownTimes;
use crate::write::{self, FileWriteError};
use effort::{RandomSeed, SolverBudget, SolverEffort, UnwatchedSolver};
use jiff::SignedDuration;
use jiff::civil::DateTime;
use judge::Violation;
use judge::calendar::{JudgedHours, JudgedLimits, JudgedSteps, judge_calendar};
use model::plan::Plan;
use model::{Book, Store};
pub use plan::calendar::HelperAvailability;
use plan::calendar::{self, Arrival, Calendar, CalendarRequest, OpenTimeLimit, ShopHours};
use print::svg::write_svg;
use serde::Serialize;
use std::path::Path;
use times::SharedFactor;

/// The request for a finish date; dates and times as they are typed.
#[derive(Debug, Clone)]
pub struct FinishRequest {
    /// Start of the work: `2027-03-01T08:00`; its time of day is the shop's opening time.
    pub start: String,
    /// Shop hours of a day.
    pub open_h: f64,
    /// Working days of a week, from Monday.
    pub days: u8,
    /// Share of the shop hours lost to needs and interruptions, percent; `None`: the allowance of the time model.
    pub interrupted_percent: Option<f64>,
    /// `PART=2027-03-03` or `PART=2027-03-03T14:00`.
    pub arrives: Vec<String>,
    /// `PART=20 min`: its fixings are tightened within that of its being set in place.
    pub within: Vec<String>,
    /// Whether a second pair of hands is on call.
    pub helper: HelperAvailability,
    /// Samples of the spread.
    pub samples: u32,
    /// Seed of the samples and of the search.
    pub seed: u64,
}

/// Tries of the search for a better order: about a second for a job of 800 steps.
const TRIES: u64 = 500;
/// Maximum number of days ahead for a date.
const MAX_DAYS: i64 = 3_650;
const DAY_S: f64 = calendar::DAY_S;

/// A plan on the calendar with its dates.
#[derive(Debug, Clone, Serialize)]
pub struct FinishAnswer {
    /// Title of the book.
    pub title: String,
    /// Midnight of the first day.
    pub first_day: String,
    /// Finish with every step at its planned time.
    pub planned: String,
    /// Half of all samples.
    pub p50: String,
    /// Four in five.
    pub p80: String,
    /// Nineteen in twenty.
    pub p95: String,
    /// The calendar; its times count in seconds from midnight of the first day.
    pub calendar: Calendar,
    /// What the judge found; empty when clean.
    #[serde(skip)]
    pub violations: Vec<Violation>,
    #[serde(skip)]
    midnight: DateTime,
}

impl FinishAnswer {
    /// The date of a time of the calendar: `Thu 4 Mar 2027, 11:20`.
    #[must_use]
    pub fn date_at(&self, at_s: f64) -> String {
        date_words(self.midnight, at_s)
    }
}

fn date_words(midnight: DateTime, at_s: f64) -> String {
    let minutes = (at_s / 60.0).ceil().clamp(0.0, 1.0e8) as i64;
    let date = midnight.checked_add(SignedDuration::from_mins(minutes)).unwrap_or(midnight);
    date.strftime("%a %-d %b %Y, %H:%M").to_string()
}

/// Lays a plan onto the calendar and has it judged.
///
/// # Errors
/// [`AskError::Argument`] for dates and figures that cannot be read, [`AskError::Plan`] where no step needs the arriving part.
pub fn compute_finish(
    book: &Book,
    store: &Store,
    plan: &Plan,
    request: &FinishRequest,
    progress: &dyn ProgressObserver,
) -> Result<FinishAnswer, AskError> {
    let start = read_start(&request.start)?;
    let midnight = start.date().to_datetime(jiff::civil::Time::midnight());
    let asked = read_finish_request(request, start, midnight)?;
    require_known_names(book, &asked)?;
    progress.show_progress("calendar", 0.0);
    let budget = SolverBudget { effort: SolverEffort::Tries(TRIES), watch: &UnwatchedSolver };
    let made = calendar::make_calendar(book, store, plan, &asked, &budget).map_err(AskError::Plan)?;
    progress.show_progress("judge", 0.0);
    let violations = judge_finish(book, store, plan, &asked, &made);
    Ok(FinishAnswer {
        title: book.title.clone(),
        first_day: midnight.date().to_string(),
        planned: date_words(midnight, made.finish_s),
        p50: date_words(midnight, made.spread.p50_s),
        p80: date_words(midnight, made.spread.p80_s),
        p95: date_words(midnight, made.spread.p95_s),
        calendar: made,
        violations,
        midnight,
    })
}

/// Says so where a part or a task is misspelt: where it has another name that is near.
fn require_known_names(book: &Book, asked: &CalendarRequest) -> Result<(), AskError> {
    let parts: Vec<&str> = book.parts.iter().map(|part| part.key.as_str()).collect();
    let tasks = book.tasks.iter().map(|task| task.key.as_str());
    let arriving: Vec<&str> = parts.iter().copied().chain(tasks).collect();
    let gaps = asked.gaps.iter().map(|gap| (gap.part.as_str(), &parts));
    let arrivals = asked.arrivals.iter().map(|arrival| (arrival.what.as_str(), &arriving));
    for (name, known) in gaps.chain(arrivals).filter(|(name, known)| !known.contains(name)) {
        if let Some(near) = faults::nearest_name(name, known.iter().copied()) {
            let words = format!("the book has no `{name}`; did you mean `{near}`?");
            return Err(AskError::argument_error(words));
        }
    }
    Ok(())
}

fn read_start(text: &str) -> Result<DateTime, AskError> {
    text.parse().map_err(|_| {
        AskError::argument_error(format!("`{text}` is not a date and time; write 2027-03-01T08:00"))
    })
}

fn read_finish_request(
    request: &FinishRequest,
    start: DateTime,
    midnight: DateTime,
) -> Result<CalendarRequest, AskError> {
    let start_s = seconds_after_midnight(start, midnight);
    let room_h = (DAY_S - start_s) / 3600.0;
    if !(request.open_h >= 0.5 && request.open_h <= room_h) {
        return Err(AskError::argument_error(format!(
            "{} shop hours starting at {} do not fit in one day",
            request.open_h,
            start.time()
        )));
    }
    if !(1..=7).contains(&request.days) {
        return Err(AskError::argument_error(format!(
            "{} is not a number of working days per week; give 1 to 7",
            request.days
        )));
    }
    let known = KnownTimes::assumed();
    // What is added to the work, as a share of the longer time.
    let allowance = known.settings.allowance_ratio();
    let lost_percent = request.interrupted_percent.unwrap_or(100.0 * allowance / (1.0 + allowance));
    if !(0.0..=90.0).contains(&lost_percent) {
        return Err(AskError::argument_error(format!(
            "{lost_percent} % interruptions leave no work; give 0 to 90"
        )));
    }
    let first_day = start.date().weekday().to_monday_zero_offset().unsigned_abs();
    let shop = ShopHours {
        opens_s: start_s,
        open_s: request.open_h * 3600.0,
        days: core::array::from_fn(|d| d < usize::from(request.days)),
        first_day,
        start_s,
        interruption_fraction: lost_percent / 100.0,
    };
    Ok(CalendarRequest {
        shop,
        arrivals: request
            .arrives
            .iter()
            .map(|t| parse_arrival(t, midnight, start_s))
            .collect::<Result<_, _>>()?,
        gaps: request.within.iter().map(|t| parse_longest_gap(t)).collect::<Result<_, _>>()?,
        helper: request.helper,
        // The allowance is in the hours already.
        shared: SharedFactor { mean_log_ratio: 0.0, ..known.shared() },
        samples: request.samples,
        seed: RandomSeed(request.seed),
    })
}

fn seconds_after_midnight(date: DateTime, midnight: DateTime) -> f64 {
    date.duration_since(midnight).as_secs() as f64
}

/// `PART=2027-03-03`, there when the shop opens that day, or `PART=2027-03-03T14:00`.
fn parse_arrival(text: &str, midnight: DateTime, opens_s: f64) -> Result<Arrival, AskError> {
    let wrong = || {
        AskError::argument_error(format!(
            "`{text}` is not an arrival; write PART=2027-03-03 or PART=2027-03-03T14:00"
        ))
    };
    let (what, date) = text.rsplit_once('=').ok_or_else(wrong)?;
    let at: DateTime = date.trim().parse().map_err(|_| wrong())?;
    let at_s = seconds_after_midnight(at, midnight) + if date.contains(['T', ':']) { 0.0 } else { opens_s };
    if at_s > MAX_DAYS as f64 * DAY_S {
        return Err(AskError::argument_error(format!("`{text}` is more than ten years ahead")));
    }
    Ok(Arrival { what: what.trim().to_owned(), at_s: at_s.max(0.0) })
}

fn parse_longest_gap(text: &str) -> Result<OpenTimeLimit, AskError> {
    let wrong =
        || AskError::argument_error(format!("`{text}` is not a part and its longest gap; write PART=20 min"));
    let (part, time) = text.rsplit_once('=').ok_or_else(wrong)?;
    let most = units::Duration::parse(time.trim()).map_err(|_| wrong())?;
    Ok(OpenTimeLimit { part: part.trim().to_owned(), most_s: most.as_s() })
}

fn judge_finish(
    book: &Book,
    store: &Store,
    plan: &Plan,
    asked: &CalendarRequest,
    made: &Calendar,
) -> Vec<Violation> {
    let shop = asked.shop.clamp_to_range();
    let hours = JudgedHours {
        opens_s: shop.opens_s,
        open_s: shop.open_s,
        days: shop.days,
        first_day: shop.first_day,
        start_s: shop.start_s,
        interruption_fraction: shop.interruption_fraction,
    };
    let slot = |l: &calendar::CalendarLine| JudgedSteps {
        steps: l.steps.clone(),
        start_s: l.start_s,
        end_s: l.end_s,
    };
    let slots: Vec<JudgedSteps> = made.lines.iter().map(slot).collect();
    let told = |part: &String| made.too_long.iter().any(|g| g.part == *part);
    let kept = asked.gaps.iter().filter(|g| !told(&g.part));
    let wishes = JudgedLimits {
        arrivals: asked.arrivals.iter().map(|a| (a.what.clone(), a.at_s)).collect(),
        gaps: kept.map(|g| (g.part.clone(), g.most_s)).collect(),
    };
    judge_calendar(book, store, plan, &hours, &slots, &wishes)
}

/// Writes the drawing of the spread into a file.
///
/// # Errors
/// [`FileWriteError`] with the path that could not be written.
pub fn write_drawing(finish: &FinishAnswer, path: &Path) -> Result<(), FileWriteError> {
    write::write_files(&[(path.to_owned(), draw_spread(finish))])
}

/// The spread as a drawing.
#[must_use]
pub fn draw_spread(finish: &FinishAnswer) -> String {
    let spread = &finish.calendar.spread;
    let width_s = spread.bar_s * spread.bars.len() as f64;
    let line = |name: &str, at_s: f64, is_now: bool| print::DateLine {
        name: name.into(),
        date: finish.date_at(at_s),
        at_share: (at_s - spread.from_s) / width_s.max(1.0),
        is_now,
    };
    write_svg(&print::draw_finish(&print::FinishView {
        id: "finish".into(),
        title: format!("Finish: {}", finish.title),
        bars: spread.bars.clone(),
        lines: vec![
            line("50 %", spread.p50_s, false),
            line("80 %", spread.p80_s, true),
            line("95 %", spread.p95_s, false),
        ],
        edges: (finish.date_at(spread.from_s), finish.date_at(spread.from_s + width_s)),
        foot: vec![
            ("book".into(), finish.title.clone()),
            ("samples".into(), spread.samples.to_string()),
            ("planned".into(), finish.planned.clone()),
        ],
    }))
}
