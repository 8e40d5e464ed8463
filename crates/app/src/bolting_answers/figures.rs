//! Figures as a person reads them: as many digits as their uncertainty deserves, with their unit.

use super::FigureRange;
use units::math;

/// Digits of a figure worked out from one stated friction.
pub const FINE: u32 = 3;
/// Digits of a figure that a range of friction spreads.
pub const COARSE: u32 = 2;

/// A figure to a number of significant digits, trailing zeros kept: 42 with three digits is `42.0`.
#[must_use]
pub fn format_figure(figure: f64, digits: u32) -> String {
    if figure == 0.0 || !figure.is_finite() {
        return String::from("0");
    }
    let digits = digits.clamp(1, 15);
    let short = format!("{figure:.*e}", digits as usize - 1);
    let (rounded, exponent) = match short.split_once('e') {
        Some((_, power)) => (short.parse().unwrap_or(figure), power.parse::<i32>().unwrap_or(0)),
        None => (figure, 0),
    };
    let decimals = (digits as i32 - 1 - exponent).clamp(0, 12) as usize;
    format!("{rounded:.decimals$}")
}

/// A figure with its unit.
#[must_use]
pub fn with_unit(figure: f64, digits: u32, unit: &str) -> String {
    format!("{} {unit}", format_figure(figure, digits))
}

/// A range with its unit: `12 to 18 N·m`, or the one figure where both ends are one.
#[must_use]
pub fn format_range(range: FigureRange, digits: u32, unit: &str) -> String {
    let (low, high) = (format_figure(range.low, digits), format_figure(range.high, digits));
    if low == high { format!("{low} {unit}") } else { format!("{low} to {high} {unit}") }
}

/// A range of forces in kN, or in N below one.
#[must_use]
pub fn format_force_range(range_n: FigureRange, digits: u32) -> String {
    if range_n.high < 1000.0 {
        format_range(range_n, digits, "N")
    } else {
        format_range(range_n.scaled_by(0.001), digits, "kN")
    }
}

/// A range of torques in N·m.
#[must_use]
pub fn format_torque_range(range_n_m: FigureRange, digits: u32) -> String {
    format_range(range_n_m, digits, "N·m")
}

/// A range of fractions in whole percent.
#[must_use]
pub fn format_percent_range(range_fraction: FigureRange) -> String {
    let whole = |fraction: f64| format!("{}", math::round(fraction * 100.0));
    let (low, high) = (whole(range_fraction.low), whole(range_fraction.high));
    if low == high { format!("{low} %") } else { format!("{low} to {high} %") }
}

/// A deviation with its sign and one decimal: `+3.5 %`.
#[must_use]
pub fn signed_percent(deviation_fraction: f64) -> String {
    let tenths = math::round(deviation_fraction * 1000.0) / 10.0;
    if tenths == 0.0 { String::from("0.0 %") } else { format!("{tenths:+.1} %").replace('-', "−") }
}
