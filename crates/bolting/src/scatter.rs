//! Scatter of preload by the method of tightening.
//!
//! **Question.** If the bolt may not exceed a preload, how low may it have ended up?
//!
//! **Symbols.** `αA = FMmax/FMmin`; as a deviation from the middle `± (αA − 1)/(αA + 1)`.
//! **Worked example.** M12 8.8, µ 0.14: FMmax 41.9 kN, αA 1.8, so FMmin 23.3 kN.
//!
//! **Sources.** VDI 2230, table A8 of the later editions (from memory); the range for feel is MIL-HDBK-60, table I
//! (±35 %); stretch and hydraulic tensioning follow MIL-HDBK-60 and a fastener maker's table after VDI 2230:1986; means of
//! several bolts NASA-STD-5020B, equation 5.

use serde::{Deserialize, Serialize};
use units::{Force, math};

/// How a fastener is tightened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TighteningMethod {
    /// By feel.
    Feel,
    /// Impact driver.
    Impact,
    /// Torque wrench, friction estimated for class A surfaces.
    TorqueClassA,
    /// Torque wrench, friction estimated for class B surfaces.
    TorqueClassB,
    /// Torque wrench, torque found by tests on the joint.
    TorqueTested,
    /// Torque then angle, into yield.
    Angle,
    /// Yield control.
    Yield,
    /// Hydraulic tensioning.
    Hydraulic,
    /// Stretch of the bolt measured.
    Stretch,
}

/// Range of the tightening factor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TighteningFactor {
    /// With care.
    pub low_ratio: f64,
    /// Without.
    pub high_ratio: f64,
    /// Where it comes from.
    pub source: &'static str,
}

impl TighteningMethod {
    /// Range of the tightening factor αA.
    #[must_use]
    pub const fn tightening_factor(self) -> TighteningFactor {
        const VDI: &str = "VDI 2230, table A8, later editions (from memory)";
        let (low_ratio, high_ratio, source) = match self {
            Self::Feel => (2.08, 2.08, "MIL-HDBK-60 table I: ±35 %"),
            Self::Impact => (2.5, 4.0, VDI),
            Self::TorqueClassA => (1.7, 2.5, VDI),
            Self::TorqueClassB => (1.6, 2.0, VDI),
            Self::TorqueTested => (1.4, 1.6, VDI),
            Self::Angle | Self::Yield => (1.2, 1.4, VDI),
            Self::Hydraulic => (1.2, 1.6, "fastener maker's table after VDI 2230:1986: ±9 to ±23 %"),
            Self::Stretch => (1.06, 1.11, "MIL-HDBK-60 table I: ±3 to ±5 %"),
        };
        TighteningFactor { low_ratio, high_ratio, source }
    }
}

/// Deviation from the middle that a tightening factor represents.
#[must_use]
pub fn deviation_fraction(alpha_ratio: f64) -> f64 {
    (alpha_ratio - 1.0) / (alpha_ratio + 1.0)
}

/// Tightening factor of a deviation from the middle; the inverse of [`deviation_fraction`].
#[must_use]
pub fn factor_of_deviation(deviation_fraction: f64) -> f64 {
    (1.0 + deviation_fraction) / (1.0 - deviation_fraction)
}

/// Least preload where the greatest is known; factors below 1 count as 1.
#[must_use]
pub fn least_preload(greatest: Force, alpha_ratio: f64) -> Force {
    greatest / alpha_ratio.max(1.0)
}

/// Deviation of the mean preload of several bolts tightened alike: `γ/√n`.
#[must_use]
pub fn mean_deviation_fraction(single_fraction: f64, bolts_count: u32) -> f64 {
    single_fraction / math::sqrt(f64::from(bolts_count.max(1)))
}
