//! Days as a file writes them: `2026-03-14`, or a plain count of days.
//!
//! symbol: day = days since the first of January 1970, or whatever a file of plain numbers counts from

use jiff::civil::Date;
use jiff::{ToSpan as _, Unit};

use crate::columns::parse_figure;

/// How days are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DayForm {
    /// Dates of the calendar.
    Date,
    /// Plain numbers.
    Number,
}

const fn first_day() -> Date {
    Date::constant(1970, 1, 1)
}

/// Reads a day with the form that it is written in.
#[must_use]
pub fn parse_day(text: &str) -> Option<(f64, DayForm)> {
    let text = text.trim();
    if let Some(figure) = parse_figure(text, false) {
        return (figure.abs() < 1.0e7).then_some((figure, DayForm::Number));
    }
    let is_shaped =
        text.len() == 10 && text.is_ascii() && text.as_bytes()[4] == b'-' && text.as_bytes()[7] == b'-';
    let date: Date = is_shaped.then(|| text.parse().ok()).flatten()?;
    let days = first_day().until((Unit::Day, date)).ok()?.get_days();
    Some((f64::from(days), DayForm::Date))
}

/// A day as a file writes it; `None` beyond the calendar.
#[must_use]
pub fn show_day(day: f64, form: DayForm) -> Option<String> {
    let whole = units::math::round(day);
    match form {
        DayForm::Number => Some(format!("day {whole}")),
        DayForm::Date if whole.abs() < 2.0e6 => {
            first_day().checked_add((whole as i64).days()).ok().map(|date| date.to_string())
        }
        DayForm::Date => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_read_and_shown_alike() {
        assert_eq!(parse_day("1970-01-31"), Some((30.0, DayForm::Date)));
        assert_eq!(parse_day(" 2024-02-29 "), Some((19_782.0, DayForm::Date)));
        assert_eq!(parse_day("95"), Some((95.0, DayForm::Number)));
        for bad in ["2023-02-29", "2023-2-9", "yesterday", "", "NaN", "inf", "14.03.2026", "ä026-03-14"] {
            assert_eq!(parse_day(bad), None, "{bad}");
        }
        assert_eq!(show_day(19_782.2, DayForm::Date).as_deref(), Some("2024-02-29"));
        assert_eq!(show_day(95.4, DayForm::Number).as_deref(), Some("day 95"));
        assert_eq!(show_day(1.0e9, DayForm::Date), None);
        assert_eq!(show_day(1.9e6 * 2.0, DayForm::Date), None);
    }
}
