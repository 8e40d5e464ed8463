//! A figure as a person sees it: value, unit, range and source, with no more digits than its uncertainty deserves.
//!
//! **Question.** A preload works out as 29 613.8 N, but friction leaves it anywhere from 22 to 40 kN. What may be printed?
//!
//! **Symbols.** `x` value, `u` half the width of its range, both in the unit shown. The last place printed is the one
//! that `u` reaches when it is itself cut to two significant digits (one where `u` begins with 3 or more); a figure
//! without a range is printed with at most four digits.
//!
//! **Assumptions and range.** Any finite figure. Rounding is done once, here, on the exact value. `low ≤ value ≤ high` is
//! made true when a figure is built.
//!
//! **Worked example.** x 29.6138 kN, range 22.1 to 40.3: u = 9.1, one digit, so whole kilonewtons: `30 kN (22 to 40)`.
//!
//! **Sources.** The rule of one or two digits for an uncertainty is that of the GUM (JCGM 100:2008), 7.2.6; cutting at 3 is
//! common practice, no single source.

use core::fmt;

use serde::Serialize;
use units::{Force, Length, Torque, Unit, math, significant};

/// Digits of a figure whose range is not known.
const PLAIN_DIGITS: u32 = 4;
/// An uncertainty whose first two digits are below this keeps two digits (common practice).
const TWO_DIGITS_BELOW: f64 = 30.0;

/// A figure with everything that has to be shown beside it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShownFigure {
    /// What it is: `preload`.
    pub name: &'static str,
    /// Best value, in the unit shown.
    #[serde(rename = "value")]
    pub value_figure: f64,
    /// Least value that must be allowed for, in the unit shown.
    #[serde(rename = "low")]
    pub low_figure: f64,
    /// Greatest value that must be allowed for, in the unit shown.
    #[serde(rename = "high")]
    pub high_figure: f64,
    /// The unit; empty for a ratio.
    pub unit: &'static str,
    /// Where it comes from.
    pub source: String,
}

impl ShownFigure {
    /// A figure with its range; the ends are put in order and made to hold the value, what is no number counts as zero.
    #[must_use]
    pub fn new(
        name: &'static str,
        value_figure: f64,
        ends_figure: (f64, f64),
        unit: &'static str,
        source: impl Into<String>,
    ) -> Self {
        let sound = |x: f64| if x.is_finite() { x } else { 0.0 };
        let (value, a, b) = (sound(value_figure), sound(ends_figure.0), sound(ends_figure.1));
        let (low_figure, high_figure) = (a.min(b).min(value), a.max(b).max(value));
        Self { name, value_figure: value, low_figure, high_figure, unit, source: source.into() }
    }

    /// A figure without a range: exact, or of unknown uncertainty.
    #[must_use]
    pub fn without_range(
        name: &'static str,
        value_figure: f64,
        unit: &'static str,
        source: impl Into<String>,
    ) -> Self {
        Self::new(name, value_figure, (value_figure, value_figure), unit, source)
    }

    /// A torque in a unit.
    #[must_use]
    pub fn from_torque(
        name: &'static str,
        [low, value, high]: [Torque; 3],
        unit: &Unit,
        source: impl Into<String>,
    ) -> Self {
        let figure = |t: Torque| t.as_n_m() / unit.factor;
        Self::new(name, figure(value), (figure(low), figure(high)), unit.symbol, source)
    }

    /// A force, in kilonewtons.
    #[must_use]
    pub fn from_force(name: &'static str, [low, value, high]: [Force; 3], source: impl Into<String>) -> Self {
        Self::new(name, value.as_kn(), (low.as_kn(), high.as_kn()), "kN", source)
    }

    /// A length, in millimetres.
    #[must_use]
    pub fn from_length(
        name: &'static str,
        [low, value, high]: [Length; 3],
        source: impl Into<String>,
    ) -> Self {
        Self::new(name, value.as_mm(), (low.as_mm(), high.as_mm()), "mm", source)
    }

    /// Half the width of the range.
    #[must_use]
    pub fn half_width_figure(&self) -> f64 {
        (self.high_figure - self.low_figure) / 2.0
    }

    /// Decimals that the uncertainty deserves; negative ones round to tens or hundreds; `None` without a range.
    #[must_use]
    pub fn decimals(&self) -> Option<i32> {
        let half_figure = self.half_width_figure();
        let scale = self.value_figure.abs().max(half_figure);
        if !(half_figure > scale * 1.0e-9 && half_figure.is_finite()) {
            return None;
        }
        let exponent = math::floor(math::log10(half_figure)) as i32;
        let leading = math::round(half_figure / math::pow(10.0, f64::from(exponent - 1)));
        Some(if leading < TWO_DIGITS_BELOW { 1 - exponent } else { -exponent })
    }

    /// The value alone, rounded: `30`.
    #[must_use]
    pub fn rounded_text(&self) -> String {
        self.decimals().map_or_else(
            || significant(self.value_figure, PLAIN_DIGITS),
            |d| text_with_decimals(self.value_figure, d),
        )
    }

    /// The value with its unit: `30 kN`.
    #[must_use]
    pub fn with_unit(&self) -> String {
        if self.unit.is_empty() {
            self.rounded_text()
        } else {
            format!("{} {}", self.rounded_text(), self.unit)
        }
    }
}

/// A number rounded to a count of decimals, which may be negative.
fn text_with_decimals(value_figure: f64, decimals: i32) -> String {
    let text = if decimals >= 0 {
        let places = decimals.min(12) as usize;
        format!("{value_figure:.places$}")
    } else {
        let step = math::pow(10.0, f64::from(-decimals));
        format!("{:.0}", math::round(value_figure / step) * step)
    };
    let is_zero = !text.chars().any(|c| ('1'..='9').contains(&c));
    text.strip_prefix('-').filter(|_| is_zero).map_or(text.clone(), Into::into)
}

impl fmt::Display for ShownFigure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.with_unit())?;
        match self.decimals() {
            Some(d) => write!(
                f,
                " ({} to {})",
                text_with_decimals(self.low_figure, d),
                text_with_decimals(self.high_figure, d)
            ),
            None => Ok(()),
        }
    }
}
