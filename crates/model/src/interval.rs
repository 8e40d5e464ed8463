//! How often a task falls due: by distance, by hours of running, by age.

// symbol: value = distance, hours or age, in the unit that its field `unit` names

use core::fmt;

/// What an interval counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum IntervalUnit {
    /// Kilometres.
    Kilometre,
    /// International miles.
    Mile,
    /// Hours of running.
    Hour,
    /// Months by the calendar.
    Month,
    /// Years by the calendar.
    Year,
}

impl IntervalUnit {
    const WORDS: [(&'static str, Self); 10] = [
        ("km", Self::Kilometre),
        ("mi", Self::Mile),
        ("miles", Self::Mile),
        ("h", Self::Hour),
        ("hours", Self::Hour),
        ("months", Self::Month),
        ("month", Self::Month),
        ("years", Self::Year),
        ("year", Self::Year),
        ("hour", Self::Hour),
    ];

    /// Whether it counts time by the calendar, not what a meter shows.
    #[must_use]
    pub const fn is_age(self) -> bool {
        matches!(self, Self::Month | Self::Year)
    }
}

/// How often a task falls due.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TaskInterval {
    /// The figure, in `unit`.
    pub value: f64,
    /// Its unit.
    pub unit: IntervalUnit,
}

impl TaskInterval {
    /// Reads `120000 km`, `75000 mi`, `500 h`, `24 months`, `6 years`; `None` where it is no such interval.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (figure, word) = text.trim().split_once(' ')?;
        let unit =
            IntervalUnit::WORDS.iter().find(|(known, _)| *known == word.trim()).map(|(_, unit)| *unit)?;
        let value = figure.parse::<f64>().ok().filter(|value| value.is_finite() && *value > 0.0)?;
        Some(Self { value, unit })
    }

    /// Months by the calendar; `None` for what a meter shows.
    #[must_use]
    pub fn as_months(self) -> Option<f64> {
        match self.unit {
            IntervalUnit::Month => Some(self.value),
            IntervalUnit::Year => Some(self.value * 12.0),
            IntervalUnit::Kilometre | IntervalUnit::Mile | IntervalUnit::Hour => None,
        }
    }
}

impl fmt::Display for TaskInterval {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let one = self.value == 1.0;
        let word = match self.unit {
            IntervalUnit::Kilometre => "km",
            IntervalUnit::Mile => "mi",
            IntervalUnit::Hour => "h",
            IntervalUnit::Month if one => "month",
            IntervalUnit::Month => "months",
            IntervalUnit::Year if one => "year",
            IntervalUnit::Year => "years",
        };
        write!(f, "{} {word}", self.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn intervals_are_read_and_shown_alike() {
        for text in ["120000 km", "75000 mi", "500 h", "24 months", "1 year", "6.5 years"] {
            assert_eq!(TaskInterval::parse(text).map(|i| i.to_string()).as_deref(), Some(text));
        }
        for text in ["", "km", "120000", "0 km", "-3 years", "6 winters", "inf km"] {
            assert_eq!(TaskInterval::parse(text), None, "{text}");
        }
    }

    #[test]
    fn ages_are_months() {
        assert_eq!(TaskInterval::parse("6 years").and_then(TaskInterval::as_months), Some(72.0));
        assert_eq!(TaskInterval::parse("500 h").and_then(TaskInterval::as_months), None);
    }
}
