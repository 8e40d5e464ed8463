//! Dates and hours as the calendar counts them: typed, said in the workshop, or assumed.

use calendar::hours::{DaySpan, MAX_CALENDAR_DAYS, WeekHours};
use jiff::civil::{Date, DateTime, Time};
use record::WorkshopRecord;
use record::workshop::{DayOfWeek, OpenStretch};

use super::WeekRequest;
use crate::ask::AskError;

/// When the shop opens, its hours a day and its days a week, where nobody has said. (Assumption, told with the answer.)
const ASSUMED_OPENS: &str = "08:00";
const ASSUMED_OPEN_H: f64 = 8.0;
const ASSUMED_DAYS: u8 = 5;

/// Dates and hours as the calendar counts them.
pub(super) struct WeekClock {
    pub(super) midnight: DateTime,
    pub(super) now: DateTime,
    pub(super) now_s: u32,
    pub(super) hours: WeekHours,
    pub(super) helper_hours: Option<WeekHours>,
    /// Nobody has said when the shop is open.
    pub(super) is_assumed: bool,
}

impl WeekClock {
    /// What is typed counts before what the workshop has said.
    pub(super) fn read(request: &WeekRequest, record: &WorkshopRecord) -> Result<Self, AskError> {
        let now = read_moment(&request.now, "2027-03-01T10:30")?;
        let midnight = now.date().to_datetime(Time::midnight());
        let weekday = now.date().weekday().to_monday_zero_offset().unsigned_abs();
        let is_typed = request.opens.is_some() || request.open_h.is_some() || request.days.is_some();
        let is_assumed = !is_typed && record.hours.is_empty();
        let mut hours = if is_typed || is_assumed {
            typed_hours(request, weekday)?
        } else {
            hours_of_stretches(&record.hours, weekday)
        };
        hours.closed_days = closed_days(request, record, midnight.date())?;
        let helper_hours = if request.has_helper {
            Some(hours.clone())
        } else {
            let is_said = !record.helper_hours.is_empty();
            is_said.then(|| hours_of_stretches(&record.helper_hours, weekday))
        };
        let now_s = seconds_since(now, midnight);
        Ok(Self { midnight, now, now_s, hours, helper_hours, is_assumed })
    }

    /// Seconds from the first midnight of `2027-03-03` (when the shop opens) or `2027-03-03T14:00`.
    pub(super) fn seconds_of(&self, text: &str) -> Result<u32, AskError> {
        let at = read_moment(text, "2027-03-03 or 2027-03-03T14:00")?;
        let weekday = usize::from(at.date().weekday().to_monday_zero_offset().unsigned_abs());
        let opens_s = |spans: &Vec<DaySpan>| spans.first().map(|span| span.from_s);
        let earliest_s = || self.hours.spans.iter().filter_map(opens_s).min();
        let is_past = at.date() < self.midnight.date();
        let extra_s = if text.contains('T') || is_past {
            0
        } else {
            self.hours.spans.get(weekday).and_then(opens_s).or_else(earliest_s).unwrap_or(0)
        };
        Ok(seconds_since(at, self.midnight).saturating_add(extra_s))
    }

    /// Now by the clock of those who write events, ms since 1970-01-01 UTC.
    pub(super) fn now_ms(&self) -> i64 {
        let zone = jiff::tz::TimeZone::system();
        zone.to_timestamp(self.now).map_or(0, jiff::Timestamp::as_millisecond)
    }

    /// Whether a day lies before today.
    pub(super) fn is_past(&self, date: &str) -> bool {
        date.parse::<DateTime>().is_ok_and(|at| at.date() < self.now.date())
    }
}

/// "Mon 1 Mar 08:00", in whole minutes, rounded up.
pub(super) fn date_words(midnight: DateTime, at_s: u32) -> String {
    let minutes = i64::from(at_s.div_ceil(60));
    let at = midnight.checked_add(jiff::SignedDuration::from_mins(minutes)).unwrap_or(midnight);
    at.strftime("%a %-d %b %H:%M").to_string()
}

fn typed_hours(request: &WeekRequest, weekday: u8) -> Result<WeekHours, AskError> {
    let text = request.opens.as_deref().unwrap_or(ASSUMED_OPENS);
    let opens_s = read_time(text)?;
    let open_h = request.open_h.unwrap_or(ASSUMED_OPEN_H);
    let days = request.days.unwrap_or(ASSUMED_DAYS);
    let close_h = f64::from(opens_s) / 3_600.0 + open_h;
    if !(open_h >= 0.5 && close_h <= 24.0 && (1..=7).contains(&days)) {
        let words = "the shop is open 0.5 h to midnight on 1 to 7 days";
        return Err(AskError::argument_error(words.to_owned()));
    }
    let span = DaySpan { from_s: opens_s, to_s: opens_s + (open_h * 3_600.0) as u32 };
    let open = core::array::from_fn(|day| day < usize::from(days));
    Ok(WeekHours::same_on(open, &[span], weekday))
}

/// Stretches by weekday, in order; those that touch or overlap are one.
fn hours_of_stretches(stretches: &[OpenStretch], weekday: u8) -> WeekHours {
    let mut hours = WeekHours::same_on([false; 7], &[], weekday);
    let mut sorted = stretches.to_vec();
    sorted.sort_unstable();
    for stretch in &sorted {
        let (from_s, to_s) = (u32::from(stretch.from_min) * 60, u32::from(stretch.to_min) * 60);
        let spans = &mut hours.spans[place_of_day(stretch.day)];
        match spans.last_mut() {
            Some(last) if last.to_s >= from_s => last.to_s = last.to_s.max(to_s),
            Some(_) | None => spans.push(DaySpan { from_s, to_s }),
        }
    }
    hours
}

/// Monday is 0.
pub(super) const fn place_of_day(day: DayOfWeek) -> usize {
    match day {
        DayOfWeek::Monday => 0,
        DayOfWeek::Tuesday => 1,
        DayOfWeek::Wednesday => 2,
        DayOfWeek::Thursday => 3,
        DayOfWeek::Friday => 4,
        DayOfWeek::Saturday => 5,
        DayOfWeek::Sunday => 6,
    }
}

/// Days that are closed from today on; what the workshop has said of days long gone counts no more.
fn closed_days(request: &WeekRequest, record: &WorkshopRecord, today: Date) -> Result<Vec<u32>, AskError> {
    let mut days = Vec::new();
    for text in &request.closed {
        days.push(read_moment(text, "2027-03-05")?.date());
    }
    days.extend(record.holidays.keys().filter_map(|text| text.parse::<Date>().ok()));
    let place = |day: Date| u32::try_from(day.duration_since(today).as_hours() / 24).ok();
    let ahead = days.into_iter().filter(|day| *day >= today).filter_map(place);
    let mut closed: Vec<u32> = ahead.filter(|day| *day < MAX_CALENDAR_DAYS).collect();
    closed.sort_unstable();
    closed.dedup();
    Ok(closed)
}

/// Seconds after midnight of `08:00`.
pub(super) fn read_time(text: &str) -> Result<u32, AskError> {
    let time: Time = text
        .parse()
        .map_err(|_| AskError::argument_error(format!("`{text}` is not a time of day; write 08:00")))?;
    Ok(u32::from(time.hour().unsigned_abs()) * 3_600 + u32::from(time.minute().unsigned_abs()) * 60)
}

/// A date, or a date with its time.
pub(super) fn read_moment(text: &str, sample: &str) -> Result<DateTime, AskError> {
    text.parse().map_err(|_| AskError::argument_error(format!("`{text}` is not a date; write {sample}")))
}

/// Seconds after a midnight; 0 for what lies before it.
fn seconds_since(at: DateTime, midnight: DateTime) -> u32 {
    u32::try_from(at.duration_since(midnight).as_secs().max(0)).unwrap_or(u32::MAX)
}
