//! The days of readings: today, the age of a calibration, and sessions that disagree.

use super::readings::{ReadingLine, ReadingUse};
use bolting::driver::{ClutchReading, find_session_shift};
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// Today as the machine's clock has it, in universal time.
pub(super) fn today_utc() -> String {
    crate::paper::today_in_zone(&TimeZone::UTC)
}

/// The day of a text such as `2026-03-14`; `None` for any other form, and for a day that the calendar does not have.
pub(super) fn find_day(text: &str) -> Option<Date> {
    text.parse().ok().filter(|day: &Date| day.to_string() == text)
}

/// Days after which a calibration that nobody checked is old: as for torque tools, ISO 6789 (12 months).
const MAX_UNCHECKED_DAYS: i64 = 365;

/// Days from one day to a later one; negative where it is earlier.
fn count_days(from: Date, to: Date) -> i64 {
    to.duration_since(from).as_hours() / 24
}

/// What the days of the readings say: an age that nobody checked, sessions that disagree, or that no day is given.
pub(super) fn session_cautions(lines: &[ReadingLine], today: &str) -> Vec<String> {
    let of = |purpose: ReadingUse| lines.iter().filter(move |l| l.purpose == purpose);
    let mut dates: Vec<&str> =
        of(ReadingUse::Calibration).map(|l| l.date.as_str()).filter(|d| !d.is_empty()).collect();
    dates.sort_unstable();
    dates.dedup();
    let mut said = Vec::new();
    let newest = lines.iter().map(|l| l.date.as_str()).max().unwrap_or_default();
    match find_day(newest).zip(find_day(today)).map(|(then, now)| count_days(then, now)) {
        Some(age_days) if age_days > MAX_UNCHECKED_DAYS => said.push(format!(
            "The newest reading is of {newest}, {age_days} days ago: check with three fresh run-downs before it is used."
        )),
        Some(_) => {}
        None if newest.is_empty() => {
            said.push(String::from("No day is written with the readings: their age is not known."));
        }
        None => said.push(format!("{newest} is not a day of the calendar: the age of the readings is not known.")),
    }
    if dates.len() > 1 {
        let number = |l: &ReadingLine| dates.iter().position(|d| *d == l.date).map_or(0, |at| at as u32 + 1);
        let readings: Vec<ClutchReading> =
            of(ReadingUse::Calibration).map(|l| l.observation.reading).collect();
        let sessions: Vec<u32> = of(ReadingUse::Calibration).map(number).collect();
        if let Some(shift) = find_session_shift(&readings, &sessions) {
            said.push(format!("Sessions are the days {}, from 1: {shift}.", dates.join(", ")));
        }
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Leap days by hand: those of 2000 and 2024 exist, that of 2100 does not.
    #[test]
    fn only_days_of_the_calendar_in_the_one_form_are_days() {
        for day in ["1970-01-01", "2000-02-29", "2024-02-29", "2100-02-28", "2026-12-31"] {
            assert_eq!(find_day(day).map(|found| found.to_string()).as_deref(), Some(day));
        }
        for none in [
            "",
            "2026-02-31",
            "2026-02-29",
            "2100-02-29",
            "2026-13-01",
            "2026-3-14",
            "20260314",
            "2026-03-14T08:00",
            "3 May",
        ] {
            assert_eq!(find_day(none), None, "{none}");
        }
    }

    #[test]
    fn days_are_counted_over_leap_days_and_ends_of_years() {
        let count =
            |from: &str, to: &str| count_days(find_day(from).expect("a day"), find_day(to).expect("a day"));
        assert_eq!(count("2024-02-28", "2024-03-01"), 2);
        assert_eq!(count("2026-02-28", "2026-03-01"), 1);
        assert_eq!(count("2025-12-31", "2026-12-31"), 365);
        assert_eq!(count("2026-03-14", "2026-03-13"), -1);
    }
}
