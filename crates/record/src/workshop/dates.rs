//! What a workshop says of the dates of a visit, and dates as they are written.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

/// What was said of a visit's dates; the last word on each counts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct VisitDates {
    /// Until when it is promised, as 2027-03-03T17:00.
    pub promise: Option<String>,
    /// Parts that were expected, each with its day; `None`: it is here.
    pub parts: BTreeMap<String, Option<String>>,
    /// Whether it goes before the others.
    pub is_first: bool,
}

/// Years that a date may lie in.
const YEARS: core::ops::RangeInclusive<u32> = 1_900..=2_999;

/// What is wrong with a day, which is written as 2027-03-03.
pub(super) fn find_bad_date(text: &str) -> Option<String> {
    (!is_date(text)).then(|| "a day is not written as 2027-03-03, or is none".to_owned())
}

/// What is wrong with a moment, which is written as 2027-03-03T17:00.
pub(super) fn find_bad_moment(text: &str) -> Option<String> {
    let is_moment = text.split_once('T').is_some_and(|(day, time)| is_date(day) && is_time(time));
    (!is_moment).then(|| "a moment is not written as 2027-03-03T17:00, or is none".to_owned())
}

/// Numbers of so many figures each, parted by a sign.
fn read_numbers<const N: usize>(text: &str, sign: char, figures: [usize; N]) -> Option<[u32; N]> {
    let mut numbers = [0; N];
    let mut words = text.split(sign);
    for (number, count) in numbers.iter_mut().zip(figures) {
        let word = words.next()?;
        let is_number = word.len() == count && word.bytes().all(|b| b.is_ascii_digit());
        *number = word.parse().ok().filter(|_| is_number)?;
    }
    words.next().is_none().then_some(numbers)
}

fn is_date(text: &str) -> bool {
    read_numbers(text, '-', [4, 2, 2]).is_some_and(|[year, month, day]| {
        YEARS.contains(&year) && (1..=12).contains(&month) && (1..=days_of_month(year, month)).contains(&day)
    })
}

fn is_time(text: &str) -> bool {
    read_numbers(text, ':', [2, 2]).is_some_and(|[hour, minute]| hour < 24 && minute < 60)
}

const fn days_of_month(year: u32, month: u32) -> u32 {
    let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        2 if is_leap => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::{find_bad_date, find_bad_moment};

    #[test]
    fn only_days_of_the_calendar_are_days() {
        for day in ["2027-03-03", "2028-02-29", "2000-02-29", "2027-12-31"] {
            assert_eq!(find_bad_date(day), None, "{day}");
        }
        for day in ["", "2027-02-29", "1900-02-29", "2027-13-01", "2027-00-01", "2027-04-31", "27-04-01"] {
            assert!(find_bad_date(day).is_some(), "{day}");
        }
        for day in ["2027-3-3", "+027-03-03", "2027-03-03-01", "２０２７-03-03", "2027-03-00", "9999-01-01"]
        {
            assert!(find_bad_date(day).is_some(), "{day}");
        }
    }

    #[test]
    fn a_moment_is_a_day_with_its_time() {
        assert_eq!(find_bad_moment("2027-03-03T17:00"), None);
        for moment in ["2027-03-03", "2027-03-03T24:00", "2027-03-03T1:00", "2027-02-30T10:00", "T10:00"] {
            assert!(find_bad_moment(moment).is_some(), "{moment}");
        }
    }
}
