//! Torque wrenches: what they may be used for, how far off they may be, and what to set behind an adapter.
//!
//! **Question.** Does this wrench cover this figure, and what must its scale read with a crow-foot on it?
//!
//! **Symbols.** `T` torque at the fastener, `Tw` setting, `L` lever from the middle of the grip to the square, `E` from the
//! square to the fastener, `a` angle between the wrench's axis and the adapter (0 straight ahead, 90° across, 180° back).
//!
//! ```text
//! Tw = T·L/(L + E·cos a)        T = Tw·(L + E·cos a)/L
//! ```
//!
//! **Range.** The hand pulls where `L` was measured and nowhere else; a straight extension on the square's axis changes
//! nothing. At 90° no correction; beyond it the setting must go up.
//!
//! **Worked example.** T 20 N·m, L 162 mm, E 22 mm straight ahead: Tw = 20·162/184 = 17.6 N·m.
//!
//! **Sources.** Range 20 to 100 % of full scale and ±4 % / ±6 %: ISO 6789-1 (class split from memory) and US Army
//! TM 1-1500-204-23-9, table 8-1, which also gives the best part, 30 to 80 %; NASA-STD-5020B stops at 90 %. Adapter:
//! the same Army manual, chapter 8, and TM 9-254 for the angle.

use core::fmt;

use serde::{Deserialize, Serialize};
use units::{Angle, Length, Range, Torque, math};

/// Lowest share of full scale at which the reading is trusted: ISO 6789-1.
pub const LOWEST_SCALE_FRACTION: f64 = 0.2;
/// Best part of the range: US Army TM 1-1500-204-23-9.
const BEST_FRACTIONS: (f64, f64) = (0.3, 0.8);
/// The scale may be no coarser than this share of the torque wanted: the same manual.
const MAX_SCALE_STEP_FRACTION: f64 = 0.1;
/// Rounding slack so that a figure right at an end counts as inside.
const SLACK_FRACTION: f64 = 1.0e-9;

/// Types and classes of hand torque tools, ISO 6789 (from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum TorqueToolClass {
    /// Indicating, torsion or flexion bar.
    #[serde(rename = "I A")]
    IA,
    /// Indicating, rigid housing with scale, dial or display.
    #[serde(rename = "I B")]
    IB,
    /// Indicating, rigid housing, electronic.
    #[serde(rename = "I C")]
    IC,
    /// Indicating screwdriver with scale or dial.
    #[serde(rename = "I D")]
    ID,
    /// Indicating screwdriver, electronic.
    #[serde(rename = "I E")]
    IE,
    /// Setting, adjustable with scale.
    #[serde(rename = "II A")]
    IIA,
    /// Setting, fixed.
    #[serde(rename = "II B")]
    IIB,
    /// Setting, adjustable without scale.
    #[serde(rename = "II C")]
    IIC,
    /// Setting screwdriver with scale.
    #[serde(rename = "II D")]
    IID,
    /// Setting screwdriver, fixed.
    #[serde(rename = "II E")]
    IIE,
    /// Setting screwdriver without scale.
    #[serde(rename = "II F")]
    IIF,
    /// Setting, flexion bar.
    #[serde(rename = "II G")]
    IIG,
}

impl TorqueToolClass {
    /// Permitted deviation as a fraction: 0.04 for the better classes above 10 N·m full scale, else 0.06.
    #[must_use]
    pub fn tolerance_fraction(self, full_scale: Torque) -> f64 {
        let better = matches!(self, Self::IB | Self::IC | Self::IE | Self::IIA | Self::IIB | Self::IIC);
        if better && full_scale > Torque::from_n_m(10.0) { 0.04 } else { 0.06 }
    }
}

/// How a figure compares with a wrench's range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WrenchFit {
    /// Inside the best part, 30 to 80 %.
    Good,
    /// Inside 20 to 100 %.
    Usable,
    /// Below 20 %: no accuracy is claimed.
    TooLow,
    /// Above full scale.
    CannotReach,
}

/// The usable range of a wrench by its full scale.
#[must_use]
pub fn usable_range(full_scale: Torque) -> Range<Torque> {
    let top = full_scale.max(Torque::ZERO);
    Range::new(top * LOWEST_SCALE_FRACTION, top).expect("a fifth of a positive torque is below it")
}

/// Whether a wrench of a full scale suits a torque.
#[must_use]
pub fn judge_wrench_fit(torque: Torque, full_scale: Torque) -> WrenchFit {
    let at_least = |fraction: f64| torque >= full_scale * (fraction * (1.0 - SLACK_FRACTION));
    let at_most = |fraction: f64| torque <= full_scale * (fraction * (1.0 + SLACK_FRACTION));
    if !at_most(1.0) {
        WrenchFit::CannotReach
    } else if !at_least(LOWEST_SCALE_FRACTION) {
        WrenchFit::TooLow
    } else if at_least(BEST_FRACTIONS.0) && at_most(BEST_FRACTIONS.1) {
        WrenchFit::Good
    } else {
        WrenchFit::Usable
    }
}

/// A wrench with an adapter on its square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WrenchOffset {
    lever: Length,
    adapter: Length,
    angle: Angle,
}

/// Lengths that make no lever.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WrenchOffsetError {
    /// The wrench's lever.
    pub lever: Length,
    /// The adapter's length.
    pub adapter: Length,
    /// The adapter's angle.
    pub angle: Angle,
}

impl fmt::Display for WrenchOffsetError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { lever, adapter, angle } = self;
        write!(
            f,
            "a lever of {lever} with an adapter of {adapter} at {angle} leaves no usable lever; measure from the middle of the \
             grip to the square, and from the square to the fastener"
        )
    }
}

impl core::error::Error for WrenchOffsetError {}

impl WrenchOffset {
    /// A wrench's lever with an adapter at an angle.
    ///
    /// # Errors
    /// [`WrenchOffsetError`] when a length is negative, the lever is zero, or the fastener lies at or behind the hand.
    pub fn new(lever: Length, adapter: Length, angle: Angle) -> Result<Self, WrenchOffsetError> {
        let offset = Self { lever, adapter, angle };
        let sound =
            lever > Length::ZERO && adapter >= Length::ZERO && offset.effective_lever() > lever * 0.05;
        if sound { Ok(offset) } else { Err(WrenchOffsetError { lever, adapter, angle }) }
    }

    /// `L + E·cos a`.
    fn effective_lever(&self) -> Length {
        self.lever + self.adapter * cos_exact(self.angle)
    }

    /// The setting that gives a torque at the fastener.
    #[must_use]
    pub fn setting_for(&self, torque: Torque) -> Torque {
        torque * self.setting_ratio()
    }

    /// Setting over torque: `L/(L + E·cos a)`.
    #[must_use]
    pub fn setting_ratio(&self) -> f64 {
        self.lever / self.effective_lever()
    }

    /// The setting in the unit that the torque's figure was given in, without a way through another unit.
    #[must_use]
    pub fn setting_figure(&self, torque_figure: f64) -> f64 {
        torque_figure * self.setting_ratio()
    }

    /// The torque at the fastener when the wrench is set to a figure: what an uncorrected setting really gives.
    #[must_use]
    pub fn torque_at_fastener(&self, setting: Torque) -> Torque {
        setting * (self.effective_lever() / self.lever)
    }

    /// Change of the torque at the fastener when the adapter drifts to another angle at the same setting.
    #[must_use]
    pub fn drift_fraction(&self, drifted: Angle) -> f64 {
        let after = self.lever + self.adapter * cos_exact(drifted);
        after / self.effective_lever() - 1.0
    }
}

/// A wrench with an adapter on its square, of which the lengths are only known to lie between two ends.
///
/// The ratio `L/(L + E·cos a)` rises or falls throughout with either length, so that its own ends lie at theirs. **Example.** L 154 to
/// 259 mm, E 40 mm straight ahead: 0.794 to 0.866 of the torque; whoever sets the 0.828 of L 192 mm is off by −4.5 to +4.3 %.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UncertainOffset {
    /// From the middle of the grip to the square.
    pub lever: Range<Length>,
    /// From the square to the fastener.
    pub adapter: Range<Length>,
    /// Angle between both.
    pub angle: Angle,
}

impl UncertainOffset {
    /// Least and greatest setting over torque; `None` where no lever is left at one of the ends.
    #[must_use]
    pub fn setting_ratios(&self) -> Option<(f64, f64)> {
        let levers = [self.lever.low(), self.lever.high()];
        let adapters = [self.adapter.low(), self.adapter.high()];
        let corners = levers.iter().flat_map(|lever| adapters.iter().map(move |adapter| (*lever, *adapter)));
        let mut ends: Option<(f64, f64)> = None;
        for (lever, adapter) in corners {
            let ratio = WrenchOffset::new(lever, adapter, self.angle).ok()?.setting_ratio();
            ends = Some(ends.map_or((ratio, ratio), |(low, high)| (low.min(ratio), high.max(ratio))));
        }
        ends
    }

    /// By how much the torque at the fastener may be off, below and above, where the wrench is set by a ratio.
    #[must_use]
    pub fn deviation_fractions(&self, setting_ratio: f64) -> Option<(f64, f64)> {
        let (low, high) = self.setting_ratios()?;
        Some((setting_ratio / high - 1.0, setting_ratio / low - 1.0))
    }

    /// Whether the doubt about the lengths alone leaves a torque beyond a deviation that is allowed.
    #[must_use]
    pub fn passes_deviation(&self, setting_ratio: f64, allowed_fraction: f64) -> bool {
        self.deviation_fractions(setting_ratio)
            .is_none_or(|(below, above)| below.abs().max(above.abs()) > allowed_fraction)
    }
}

/// Cosine that is exactly zero across the wrench.
fn cos_exact(angle: Angle) -> f64 {
    let deg = angle.as_deg() % 360.0;
    if (deg.abs() - 90.0).abs() < 1.0e-12 || (deg.abs() - 270.0).abs() < 1.0e-12 {
        0.0
    } else {
        math::cos_deg(deg)
    }
}

/// A setting rounded to what the scale shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoundedSetting {
    /// The nearest mark.
    pub setting: Torque,
    /// What the rounding adds, as a fraction of the wanted setting.
    pub error_fraction: f64,
    /// Whether the scale is fine enough: a step of at most a tenth of the torque.
    pub is_fine_enough: bool,
}

/// Rounds a setting to the wrench's scale step; without a step it stays as it is.
#[must_use]
pub fn round_setting(wanted: Torque, step: Torque) -> RoundedSetting {
    if step <= Torque::ZERO || wanted <= Torque::ZERO {
        return RoundedSetting { setting: wanted, error_fraction: 0.0, is_fine_enough: true };
    }
    let setting = step * math::round(wanted / step);
    let is_fine_enough = step <= wanted * (MAX_SCALE_STEP_FRACTION * (1.0 + SLACK_FRACTION));
    RoundedSetting { setting, error_fraction: setting / wanted - 1.0, is_fine_enough }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn between(low_mm: f64, high_mm: f64) -> Range<Length> {
        Range::new(Length::from_mm(low_mm), Length::from_mm(high_mm)).expect("ends in order")
    }

    /// Worked by hand in the example of [`UncertainOffset`]; half a digit.
    #[test]
    fn guessed_lengths_make_a_range_of_settings() {
        let ahead = UncertainOffset {
            lever: between(154.0, 259.0),
            adapter: between(40.0, 40.0),
            angle: Angle::ZERO,
        };
        let (low, high) = ahead.setting_ratios().expect("a lever at every end");
        assert!((low - 0.794).abs() < 0.0005 && (high - 0.866).abs() < 0.0005, "{low} {high}");
        let nominal = WrenchOffset::new(Length::from_mm(192.0), Length::from_mm(40.0), Angle::ZERO);
        let ratio = nominal.expect("a lever").setting_ratio();
        let (below, above) = ahead.deviation_fractions(ratio).expect("a lever at every end");
        assert!((below + 0.0446).abs() < 0.00005 && (above - 0.0425).abs() < 0.0001, "{below} {above}");
        assert!(ahead.passes_deviation(ratio, 0.04) && !ahead.passes_deviation(ratio, 0.05));
    }

    /// Lengths that are measured leave no range, and across the wrench no length matters.
    #[test]
    fn nothing_is_off_where_nothing_is_guessed_or_counts() {
        let measured = UncertainOffset {
            lever: between(192.0, 192.0),
            adapter: between(40.0, 40.0),
            angle: Angle::from_deg(30.0),
        };
        let (low, high) = measured.setting_ratios().expect("a lever");
        assert!(low == high && !measured.passes_deviation(low, 1.0e-9));
        let across =
            UncertainOffset { angle: Angle::from_deg(90.0), lever: between(100.0, 300.0), ..measured };
        assert_eq!(across.setting_ratios(), Some((1.0, 1.0)));
        let folded =
            UncertainOffset { angle: Angle::from_deg(180.0), lever: between(30.0, 300.0), ..measured };
        assert_eq!(folded.setting_ratios(), None);
        assert!(folded.passes_deviation(1.0, 0.04), "no lever is left at one end");
    }
}
