//! Reads values with their units, and says what is wrong in words a mechanic can act on.

use core::fmt;

/// One unit of a quantity: how it is written and how many base units it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// The spelling used on screens and paper.
    pub symbol: &'static str,
    /// Other spellings that are read.
    pub aliases: &'static [&'static str],
    /// Base units in one of this unit; exact where a definition makes it so.
    pub factor: f64,
    /// Whether a space separates figure and symbol.
    pub spaced: bool,
}

/// Why a text is not a quantity.
#[derive(Debug, Clone, PartialEq)]
pub enum QuantityError {
    /// No figure could be read at the start.
    NotANumber {
        /// The text as written.
        text: String,
        /// What kind of value was wanted.
        quantity: &'static str,
        /// A well-formed sample.
        sample: String,
    },
    /// A figure without its unit.
    NoUnit {
        /// The figure as written.
        figure: String,
        /// What kind of value was wanted.
        quantity: &'static str,
        /// A well-formed sample.
        sample: String,
    },
    /// A unit that this quantity does not have.
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What kind of value was wanted.
        quantity: &'static str,
        /// The units that would do.
        known: Vec<&'static str>,
    },
    /// A figure too large to be meant, or not finite.
    OutOfRange {
        /// The text as written.
        text: String,
        /// What kind of value was wanted.
        quantity: &'static str,
    },
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotANumber { text, quantity, sample } => {
                write!(f, "`{text}` is not {}; write it as `{sample}`", with_article(quantity))
            }
            Self::NoUnit { figure, quantity, sample } => {
                write!(f, "`{figure}` is {} without its unit; write it as `{sample}`", with_article(quantity))
            }
            Self::UnknownUnit { unit, quantity, .. } if unit.starts_with("to ") => {
                let upper = unit.trim_start_matches("to ");
                write!(
                    f,
                    "{} that lies between two figures is written `between … and {upper}`",
                    with_article(quantity)
                )
            }
            Self::UnknownUnit { unit, quantity, known } => {
                write!(f, "`{unit}` is not a unit of {quantity}; use one of {}", known.join(", "))
            }
            Self::OutOfRange { text, quantity } => {
                write!(f, "`{text}` is out of range for {}", with_article(quantity))
            }
        }
    }
}

impl core::error::Error for QuantityError {}

/// A noun with its indefinite article: "a torque", "an angle".
#[must_use]
pub fn with_article(noun: &str) -> String {
    let article = if noun.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {noun}")
}

/// The greatest magnitude that is read, in base units: anything larger is a mistake, not a value.
pub const MAX_MAGNITUDE: f64 = 1.0e12;

/// Splits a text into its leading figure and the rest; figures may be `12`, `12.5`, `-3`, `1/4`, `1 1/4`.
pub(crate) fn split_figure(text: &str) -> Option<(f64, &str, &str)> {
    let text = text.trim();
    let end = text
        .char_indices()
        .find(|(i, c)| !(c.is_ascii_digit() || *c == '.' || (*i == 0 && (*c == '-' || *c == '+'))))
        .map_or(text.len(), |(i, _)| i);
    let whole: f64 = text[..end].parse().ok()?;
    let rest = &text[end..];
    if let Some((fraction, after)) = read_fraction(rest, whole) {
        return Some((fraction, &text[..text.len() - after.len()], after.trim_start()));
    }
    Some((whole, &text[..end], rest.trim_start()))
}

/// Reads `/4` after a whole number, or ` 1/4` after `1`.
fn read_fraction(rest: &str, whole: f64) -> Option<(f64, &str)> {
    if let Some(after) = rest.strip_prefix('/') {
        let (below, tail) = read_digits(after)?;
        return (below > 0.0).then_some((whole / below, tail));
    }
    let (above, tail) = read_digits(rest.strip_prefix(' ')?)?;
    let (below, tail) = read_digits(tail.strip_prefix('/')?)?;
    (below > 0.0).then_some((whole + above / below, tail))
}

/// Leading digits as a number, and what follows them.
fn read_digits(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    Some((text[..end].parse().ok()?, &text[end..]))
}

/// The unit of a table that a text names, compared without case for words but exactly for short symbols.
pub(crate) fn find_unit<'t>(table: &'t [Unit], text: &str) -> Option<&'t Unit> {
    let squeezed: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let same = |name: &str| {
        let name: String = name.chars().filter(|c| !c.is_whitespace()).collect();
        name == squeezed || (name.len() > 2 && name.eq_ignore_ascii_case(&squeezed))
    };
    table.iter().find(|u| same(u.symbol) || u.aliases.iter().any(|a| same(a)))
}

/// Reads a figure with a unit of the table: the value in base units, and the unit it was written in.
///
/// # Errors
/// [`QuantityError`] when there is no figure, no unit, an unknown unit or an absurd magnitude.
pub fn quantity(
    text: &str,
    name: &'static str,
    table: &'static [Unit],
    sample: &str,
) -> Result<(f64, &'static Unit), QuantityError> {
    let Some((figure, written, unit_text)) = split_figure(text) else {
        return Err(QuantityError::NotANumber { text: text.into(), quantity: name, sample: sample.into() });
    };
    if unit_text.is_empty() {
        let symbol = table[0].symbol;
        let gap = if table[0].spaced { " " } else { "" };
        let sample = format!("{written}{gap}{symbol}");
        return Err(QuantityError::NoUnit { figure: written.into(), quantity: name, sample });
    }
    let Some(unit) = find_unit(table, unit_text) else {
        let known = table.iter().map(|u| u.symbol).collect();
        return Err(QuantityError::UnknownUnit { unit: unit_text.into(), quantity: name, known });
    };
    let value = figure * unit.factor;
    if !value.is_finite() || value.abs() > MAX_MAGNITUDE {
        return Err(QuantityError::OutOfRange { text: text.into(), quantity: name });
    }
    Ok((value, unit))
}

/// A figure with at most `digits` significant digits, trailing zeros dropped.
#[must_use]
pub fn significant(value: f64, digits: u32) -> String {
    if value == 0.0 || !value.is_finite() {
        return String::from("0");
    }
    let exponent = libm::floor(libm::log10(value.abs()));
    let decimals = (f64::from(digits) - 1.0 - exponent).clamp(0.0, 12.0) as usize;
    let text = format!("{value:.decimals$}");
    if !text.contains('.') {
        return text;
    }
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { String::from("0") } else { text.into() }
}
