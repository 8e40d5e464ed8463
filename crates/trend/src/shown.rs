//! Figures of an answer as a person reads them: no more digits than their interval deserves.
//!
//! symbol: value, low, high, deviation = a figure and its ends, in one unit

use bolting::shown::ShownFigure;

/// Digits of a figure whose uncertainty is not known.
const PLAIN_DIGITS: u32 = 4;

/// A figure with its ends: `101.9 (99.8 to 104.1)`.
#[must_use]
pub fn show_interval(value: f64, low: f64, high: f64) -> String {
    ShownFigure::new("", value, (low, high), "", "").to_string()
}

/// A figure rounded to where its standard deviation begins: `−0.0804`.
#[must_use]
pub fn show_with_deviation(value: f64, deviation: Option<f64>) -> String {
    match deviation {
        Some(u) if u > 0.0 => ShownFigure::new("", value, (value - u, value + u), "", "").rounded_text(),
        Some(_) | None => units::significant(value, PLAIN_DIGITS),
    }
}

/// A figure with few digits.
#[must_use]
pub fn show_figure(value: f64, digits: u32) -> String {
    units::significant(value, digits)
}
