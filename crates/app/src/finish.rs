//! The finish date: a plan laid onto the calendar, civil dates in and out, judged before it is shown.

use crate::ask::{AskError, Progress};
use crate::load::LoadError;
use check::Violation;
use check::calendar::{Hours, Slot, Wishes, judge_calendar};
use effort::{Budget, Effort, Seed, Unwatched};
use jiff::SignedDuration;
use jiff::civil::DateTime;
use model::plan::Plan;
use model::{Book, Store};
pub use plan::calendar::Helper;
use plan::calendar::{self, Arrival, Asked, Calendar, LongestGap, Shop};
use print::svg::svg;
use serde::Serialize;
use std::path::Path;

/// What a person asks of a finish date; dates and times as they are typed.
#[derive(Debug, Clone)]
pub struct Request {
    /// Start of the work: `2027-03-01T08:00`; its time of day is the shop's opening time.
    pub start: String,
    /// Shop hours of a day.
    pub open_h: f64,
    /// Working days of a week, from Monday.
    pub days: u8,
    /// Share of the shop hours lost to interruptions, percent.
    pub interrupted_percent: f64,
    /// `PART=2027-03-03` or `PART=2027-03-03T14:00`.
    pub arrives: Vec<String>,
    /// `PART=20 min`: its fixings are tightened within that of its being set in place.
    pub within: Vec<String>,
    /// Whether a second pair of hands is on call.
    pub helper: Helper,
    /// Samples of the spread.
    pub samples: u32,
    /// Seed of the samples and of the search.
    pub seed: u64,
}

/// Tries of the search for a better order: about a second for a job of 800 steps.
const TRIES: u64 = 500;
/// Most days ahead that a date may lie.
const MOST_DAYS: i64 = 3_650;
const DAY_S: f64 = calendar::DAY_S;

/// A plan on the calendar with its dates.
#[derive(Debug, Clone, Serialize)]
pub struct Finish {
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

impl Finish {
    /// The date of a time of the calendar: `Thu 4 Mar 2027, 11:20`.
    #[must_use]
    pub fn date(&self, at_s: f64) -> String {
        shown(self.midnight, at_s)
    }
}

fn shown(midnight: DateTime, at_s: f64) -> String {
    let minutes = (at_s / 60.0).ceil().clamp(0.0, 1.0e8) as i64;
    let date = midnight.checked_add(SignedDuration::from_mins(minutes)).unwrap_or(midnight);
    date.strftime("%a %-d %b %Y, %H:%M").to_string()
}

fn bad(words: String) -> AskError {
    AskError::Argument { words }
}

/// Lays a plan onto the calendar and has it judged.
///
/// # Errors
/// [`AskError::Argument`] for dates and figures that cannot be read, [`AskError::Plan`] where nothing needs what is to arrive.
pub fn finish(
    book: &Book,
    store: &Store,
    plan: &Plan,
    request: &Request,
    progress: &dyn Progress,
) -> Result<Finish, AskError> {
    let start = read_start(&request.start)?;
    let midnight = start.date().to_datetime(jiff::civil::Time::midnight());
    let asked = asked(request, start, midnight)?;
    progress.at("calendar", 0.0);
    let budget = Budget { effort: Effort::Tries(TRIES), watch: &Unwatched };
    let made = calendar::calendar(book, store, plan, &asked, &budget).map_err(AskError::Plan)?;
    progress.at("judge", 0.0);
    let violations = judged(book, store, plan, &asked, &made);
    Ok(Finish {
        title: book.title.clone(),
        first_day: midnight.date().to_string(),
        planned: shown(midnight, made.finish_s),
        p50: shown(midnight, made.spread.p50_s),
        p80: shown(midnight, made.spread.p80_s),
        p95: shown(midnight, made.spread.p95_s),
        calendar: made,
        violations,
        midnight,
    })
}

fn read_start(text: &str) -> Result<DateTime, AskError> {
    text.parse().map_err(|_| bad(format!("`{text}` is no date with a time; write 2027-03-01T08:00")))
}

fn asked(request: &Request, start: DateTime, midnight: DateTime) -> Result<Asked, AskError> {
    let start_s = seconds(start, midnight);
    let room_h = (DAY_S - start_s) / 3600.0;
    if !(request.open_h >= 0.5 && request.open_h <= room_h) {
        return Err(bad(format!(
            "{} shop hours from {} on do not fit into a day",
            request.open_h,
            start.time()
        )));
    }
    if !(1..=7).contains(&request.days) {
        return Err(bad(format!("{} working days do not make a week; give 1 to 7", request.days)));
    }
    if !(0.0..=90.0).contains(&request.interrupted_percent) {
        return Err(bad(format!(
            "{} % interruptions leave no work; give 0 to 90",
            request.interrupted_percent
        )));
    }
    let first_day = start.date().weekday().to_monday_zero_offset().unsigned_abs();
    let shop = Shop {
        opens_s: start_s,
        open_s: request.open_h * 3600.0,
        days: core::array::from_fn(|d| d < usize::from(request.days)),
        first_day,
        start_s,
        interruption_fraction: request.interrupted_percent / 100.0,
    };
    Ok(Asked {
        shop,
        arrivals: request.arrives.iter().map(|t| arrival(t, midnight, start_s)).collect::<Result<_, _>>()?,
        gaps: request.within.iter().map(|t| gap(t)).collect::<Result<_, _>>()?,
        helper: request.helper,
        samples: request.samples,
        seed: Seed(request.seed),
    })
}

fn seconds(date: DateTime, midnight: DateTime) -> f64 {
    date.duration_since(midnight).as_secs() as f64
}

/// `PART=2027-03-03`, there when the shop opens that day, or `PART=2027-03-03T14:00`.
fn arrival(text: &str, midnight: DateTime, opens_s: f64) -> Result<Arrival, AskError> {
    let wrong = || bad(format!("`{text}` is no arrival; write PART=2027-03-03 or PART=2027-03-03T14:00"));
    let (what, date) = text.rsplit_once('=').ok_or_else(wrong)?;
    let at: DateTime = date.trim().parse().map_err(|_| wrong())?;
    let at_s = seconds(at, midnight) + if date.contains(['T', ':']) { 0.0 } else { opens_s };
    if at_s > MOST_DAYS as f64 * DAY_S {
        return Err(bad(format!("`{text}` is more than ten years ahead")));
    }
    Ok(Arrival { what: what.trim().to_owned(), at_s: at_s.max(0.0) })
}

fn gap(text: &str) -> Result<LongestGap, AskError> {
    let wrong = || bad(format!("`{text}` is no longest gap; write PART=20 min"));
    let (part, time) = text.rsplit_once('=').ok_or_else(wrong)?;
    let most = units::Duration::parse(time.trim()).map_err(|_| wrong())?;
    Ok(LongestGap { part: part.trim().to_owned(), most_s: most.as_s() })
}

fn judged(book: &Book, store: &Store, plan: &Plan, asked: &Asked, made: &Calendar) -> Vec<Violation> {
    let shop = asked.shop.sound();
    let hours = Hours {
        opens_s: shop.opens_s,
        open_s: shop.open_s,
        days: shop.days,
        first_day: shop.first_day,
        start_s: shop.start_s,
        interruption_fraction: shop.interruption_fraction,
    };
    let slot = |l: &calendar::Line| Slot { steps: l.steps.clone(), start_s: l.start_s, end_s: l.end_s };
    let slots: Vec<Slot> = made.lines.iter().map(slot).collect();
    let told = |part: &String| made.too_long.iter().any(|g| g.part == *part);
    let kept = asked.gaps.iter().filter(|g| !told(&g.part));
    let wishes = Wishes {
        arrivals: asked.arrivals.iter().map(|a| (a.what.clone(), a.at_s)).collect(),
        gaps: kept.map(|g| (g.part.clone(), g.most_s)).collect(),
    };
    judge_calendar(book, store, plan, &hours, &slots, &wishes)
}

/// Writes the drawing of the spread into a file.
///
/// # Errors
/// [`LoadError::Io`] with the path that could not be written.
pub fn write_drawing(finish: &Finish, path: &Path) -> Result<(), LoadError> {
    crate::demo::write_files(&[(path.to_owned(), drawing(finish))])
}

/// The spread as a drawing.
#[must_use]
pub fn drawing(finish: &Finish) -> String {
    let spread = &finish.calendar.spread;
    let width_s = spread.bar_s * spread.bars.len() as f64;
    let line = |name: &str, at_s: f64, is_now: bool| print::DateLine {
        name: name.into(),
        date: finish.date(at_s),
        at_share: (at_s - spread.from_s) / width_s.max(1.0),
        is_now,
    };
    svg(&print::finish(&print::FinishView {
        id: "finish".into(),
        title: format!("Finish: {}", finish.title),
        bars: spread.bars.clone(),
        lines: vec![
            line("50 %", spread.p50_s, false),
            line("80 %", spread.p80_s, true),
            line("95 %", spread.p95_s, false),
        ],
        edges: (finish.date(spread.from_s), finish.date(spread.from_s + width_s)),
        foot: vec![
            ("book".into(), finish.title.clone()),
            ("samples".into(), spread.samples.to_string()),
            ("planned".into(), finish.planned.clone()),
        ],
    }))
}
