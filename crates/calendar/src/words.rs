//! Times in words: how long, and which weekday and hour.

use units::Duration;

use crate::hours::DAY_S;

/// Names of the days of the week, Monday first.
const WEEKDAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];

/// A length of time as it is said.
pub(crate) fn spoken(time_s: u32) -> String {
    Duration::from_s(f64::from(time_s)).spoken_text()
}

/// A moment as weekday, day counted from the first, which is day 1, and time of day, in whole minutes, rounded up: `Tue d3 14:05`.
#[must_use]
pub fn name_moment(at_s: u32, first_weekday: u8) -> String {
    let minutes = at_s.div_ceil(60);
    let day = minutes / (DAY_S / 60);
    let weekday = WEEKDAYS[(usize::from(first_weekday) + day as usize) % 7];
    format!("{weekday} d{} {:02}:{:02}", day + 1, minutes / 60 % 24, minutes % 60)
}
