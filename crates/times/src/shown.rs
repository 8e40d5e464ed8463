//! A time, or a range of times, with as many digits as its doubt leaves.

use units::{Duration, math};

use crate::sum::LikelyRange;

/// From here on whole hours, s.
const WHOLE_HOURS_S: f64 = 36_000.0;
/// From here on quarters of an hour, s.
const QUARTERS_S: f64 = 7_200.0;
/// From here on five minutes, below whole minutes, s.
const FIVE_MINUTES_S: f64 = 600.0;

/// The step to which a time of this size is told, s: whole hours from ten hours on, a quarter from two hours, five minutes from ten minutes, whole
/// minutes below. It stays below half of what an assumed range of such a time is wide.
#[must_use]
pub fn shown_step_s(time_s: f64) -> f64 {
    match time_s {
        t if t >= WHOLE_HOURS_S => 3_600.0,
        t if t >= QUARTERS_S => 900.0,
        t if t >= FIVE_MINUTES_S => 300.0,
        _ => 60.0,
    }
}

/// A time rounded to what its doubt leaves, never to nothing.
#[must_use]
pub fn rounded_s(time_s: f64) -> f64 {
    let step_s = shown_step_s(time_s);
    (math::round(time_s / step_s) * step_s).max(step_s)
}

/// `40 min`.
#[must_use]
pub fn rounded_words(time_s: f64) -> String {
    spoken(rounded_s(time_s))
}

/// `about 40 min`.
#[must_use]
pub fn about_words(time_s: f64) -> String {
    format!("about {}", rounded_words(time_s))
}

/// A time that something may still take, never more than it is: `40 min`.
#[must_use]
pub fn at_most_words(time_s: f64) -> String {
    let step_s = shown_step_s(time_s);
    let whole_s = math::floor(time_s / step_s) * step_s;
    if whole_s < step_s { String::from("less than 1 min") } else { spoken(whole_s) }
}

/// In minutes and hours: a single minute too.
fn spoken(time_s: f64) -> String {
    if time_s <= 60.0 { String::from("1 min") } else { Duration::from_s(time_s).spoken_text() }
}

/// `31 to 38 h`, `1 h 35 min to 2 h`, `35 to 45 min`; `about 4 min` where both ends come to the same.
#[must_use]
pub fn range_words(range: LikelyRange) -> String {
    let (low_s, high_s) = (rounded_s(range.p50_s), rounded_s(range.p80_s));
    if low_s >= high_s {
        return about_words(range.p80_s);
    }
    let [low, high] = [low_s, high_s].map(spoken);
    let unit =
        |words: &str| words.rsplit_once(' ').map(|(figure, unit)| (figure.to_owned(), unit.to_owned()));
    match (unit(&low), unit(&high)) {
        (Some((figure, one)), Some((other, two)))
            if one == two && !figure.contains(' ') && !other.contains(' ') =>
        {
            format!("{figure} to {high}")
        }
        _ => format!("{low} to {high}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_follow_the_doubt() {
        let check = |p50_s: f64, p80_s: f64, expected: &str| {
            assert_eq!(range_words(LikelyRange { p50_s, p80_s }), expected);
        };
        check(31.4 * 3_600.0, 38.3 * 3_600.0, "31 to 38 h");
        check(8.3 * 3_600.0, 10.6 * 3_600.0, "8 h 15 min to 11 h");
        check(5_800.0, 7_400.0, "1 h 35 min to 2 h");
        check(2_100.0, 2_700.0, "35 to 45 min");
        check(200.0, 230.0, "3 to 4 min");
        check(0.0, 10.0, "about 1 min");
    }
}
