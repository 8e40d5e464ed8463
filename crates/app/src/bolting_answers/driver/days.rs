//! The days of readings: today, the age of a calibration, and sessions that disagree.

use super::readings::{ReadingLine, ReadingUse};
use bolting::driver::{ClutchReading, find_session_shift};
use std::time::{SystemTime, UNIX_EPOCH};

/// Today as the machine's clock has it, in universal time.
pub(super) fn today_utc() -> String {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    civil_date(i64::try_from(now / 86_400).unwrap_or(0))
}

/// The day that lies so many days after the first of January 1970, in the Gregorian calendar.
fn civil_date(days: i64) -> String {
    // Years are counted from the first of March, so that the leap day is the last of its year.
    let shifted = days + 719_468;
    let (era, day_of_era) = (shifted.div_euclid(146_097), shifted.rem_euclid(146_097));
    let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * from_march + 2) / 5 + 1;
    let month = if from_march < 10 { from_march + 3 } else { from_march - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

/// Days after which a calibration that nobody checked is old: as for torque tools, ISO 6789 (12 months).
const MAX_UNCHECKED_DAYS: i64 = 365;

/// The day's number since 1970; `None` where no day is written.
fn day_number(date: &str) -> Option<i64> {
    let mut parts = date.split('-').map(|p| p.parse::<i64>().ok());
    let (year, month, day) = (parts.next()??, parts.next()??, parts.next()??);
    // The inverse of `civil_date`: years from March.
    let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let (era, year_of_era) = (year.div_euclid(400), year.rem_euclid(400));
    let day_of_year = (153 * month + 2) / 5 + day - 1;
    Some(era * 146_097 + year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year - 719_468)
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
    match day_number(newest).zip(day_number(today)) {
        Some((then, now)) if now - then > MAX_UNCHECKED_DAYS => said.push(format!(
            "The newest reading is of {newest}, {} days ago: check with three fresh run-downs before it is used.",
            now - then
        )),
        Some(_) => {}
        None => said.push(String::from("No day is written with the readings: their age is not known.")),
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
    use super::{civil_date, day_number};

    /// Days of the Gregorian calendar by hand: leap days of 2000 and 2024 stand, that of 2100 does not.
    #[test]
    fn days_are_named_by_the_calendar() {
        for (days, expected) in [
            (0, "1970-01-01"),
            (58, "1970-02-28"),
            (59, "1970-03-01"),
            (11_016, "2000-02-29"),
            (19_782, "2024-02-29"),
            (47_540, "2100-02-28"),
            (47_541, "2100-03-01"),
        ] {
            assert_eq!(civil_date(days), expected);
            assert_eq!(day_number(expected), Some(days));
        }
    }
}
