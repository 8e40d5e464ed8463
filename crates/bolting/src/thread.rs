//! Screw threads: reads their designations and computes their geometry.
//!
//! **Question.** What do `M6`, `M10x1.25` or `1/4-20 UNC` measure, and what area carries the load?
//!
//! **Symbols.** `d` nominal diameter (mm), `P` pitch (mm), `H = P·√3/2` height of the sharp triangle (mm), `d2` pitch
//! diameter, `d3` minor diameter of the bolt at its rounded root, `D1` minor diameter of the nut, `As` stress area (mm²).
//!
//! ```text
//! d2 = d − 3/4·H = d − 0.649519·P      D1 = d − 5/4·H = d − 1.082532·P
//! d3 = d − 17/12·H = d − 1.226869·P    As = π/4·((d2 + d3)/2)²
//! ```
//!
//! Unified inch threads share the profile but not the root: `d3 = d − 1.190 78·P` and `As = π/4·(d − 0.9743·P)²`.
//!
//! symbol: tpi = threads per inch
//!
//! **Range.** Metric 1 to 150 mm, inch 1/16 to 6 in; basic sizes, tolerances apart (see `strip`). A stress area is always
//! computed, never looked up: published fine-thread tables are wrong by up to 9 %.
//!
//! **Worked example.** M8: `P` 1.25, `H` 1.0825, `d2` 8 − 0.8119 = 7.188, `d3` 8 − 1.5336 = 6.466,
//! `As` π/4·6.827² = 36.6 mm².
//!
//! **Sources.** ISO 68-1 (profile), ISO 261 (diameters and pitches), ISO 724 (basic dimensions), ISO 898-1 (stress
//! area); FED-STD-H28/2B and ASME B1.1 (inch; series table and the inch root from memory).

use core::f64::consts::PI;
use core::fmt;

use serde::{Deserialize, Serialize};
use units::math;

mod read;
mod spelling;
pub use read::ThreadError;
use read::{INCH_SERIES, coarse_um, inch_thread, metric_thread, parse_designation, whole_number};
pub(crate) use spelling::plain_spelling;

const MM_PER_IN: f64 = 25.4;
const UM_PER_MM: f64 = 1000.0;
const TENTHS_OF_MIL_PER_IN: f64 = 10_000.0;
/// `√3/2`, the height of an equilateral triangle over its side.
const TRIANGLE: f64 = 0.866_025_403_784_438_6;

/// A screw thread by its nominal diameter and pitch; a small key that can be used in a sorted map.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Thread(ThreadKind);

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum ThreadKind {
    /// ISO metric: micrometres.
    Metric { d_um: u32, pitch_um: u32 },
    /// Unified inch: ten-thousandths of an inch, threads per inch.
    Inch { d_tenths_of_mil: u32, tpi: u32 },
}

/// The coarse pitch of ISO 261 for a nominal diameter, where there is one.
#[must_use]
pub fn coarse_pitch_mm(d_mm: f64) -> Option<f64> {
    coarse_um(whole_number(d_mm * UM_PER_MM)?).map(|um| f64::from(um) / UM_PER_MM)
}

impl Thread {
    /// A metric thread from its diameter and pitch.
    ///
    /// # Errors
    /// [`ThreadError`] when the diameter is out of range or the pitch does not go with it.
    pub fn metric(d_mm: f64, pitch_mm: f64) -> Result<Self, ThreadError> {
        metric_thread(d_mm, pitch_mm, &format!("M{d_mm}x{pitch_mm}"))
    }

    /// A unified inch thread from its diameter and threads per inch.
    ///
    /// # Errors
    /// [`ThreadError`] when the diameter is out of range or the pitch does not go with it.
    pub fn inch(d_in: f64, tpi: f64) -> Result<Self, ThreadError> {
        inch_thread(d_in, tpi, &format!("{d_in}-{tpi}"))
    }

    /// Reads `M6` (coarse pitch), `M6x1`, `M10x1.25`, `1/4-20 UNC`, `#10-32`, `1/2 UNF`, and the spellings of manuals: `M8 x 1.25-6g`,
    /// `3/8"-16 UNC-2A`, `No. 10-24`.
    ///
    /// # Errors
    /// [`ThreadError`] with the bad text and what to write instead.
    pub fn parse(text: &str) -> Result<Self, ThreadError> {
        parse_designation(text.trim())
    }

    /// Whether it is a metric thread.
    #[must_use]
    pub const fn is_metric(self) -> bool {
        matches!(self.0, ThreadKind::Metric { .. })
    }

    /// Whether the pitch is the coarse one of its diameter.
    #[must_use]
    pub fn is_coarse(self) -> bool {
        match self.0 {
            ThreadKind::Metric { d_um, pitch_um } => coarse_um(d_um) == Some(pitch_um),
            ThreadKind::Inch { .. } => self.series_name() == Some("UNC"),
        }
    }

    /// Nominal diameter `d`.
    #[must_use]
    pub fn d_mm(self) -> f64 {
        match self.0 {
            ThreadKind::Metric { d_um, .. } => f64::from(d_um) / UM_PER_MM,
            ThreadKind::Inch { d_tenths_of_mil, .. } => {
                f64::from(d_tenths_of_mil) * MM_PER_IN / TENTHS_OF_MIL_PER_IN
            }
        }
    }

    /// Pitch `P`.
    #[must_use]
    pub fn pitch_mm(self) -> f64 {
        match self.0 {
            ThreadKind::Metric { pitch_um, .. } => f64::from(pitch_um) / UM_PER_MM,
            ThreadKind::Inch { tpi, .. } => MM_PER_IN / f64::from(tpi),
        }
    }

    /// Threads per inch of an inch thread.
    #[must_use]
    pub const fn tpi(self) -> Option<u32> {
        match self.0 {
            ThreadKind::Metric { .. } => None,
            ThreadKind::Inch { tpi, .. } => Some(tpi),
        }
    }

    /// Height `H` of the sharp triangle.
    fn triangle_mm(self) -> f64 {
        TRIANGLE * self.pitch_mm()
    }

    /// Pitch diameter `d2 = D2`, basic size.
    #[must_use]
    pub fn d2_mm(self) -> f64 {
        self.d_mm() - 0.75 * self.triangle_mm()
    }

    /// Minor diameter `d3` of the bolt at the rounded root.
    #[must_use]
    pub fn d3_mm(self) -> f64 {
        match self.0 {
            ThreadKind::Metric { .. } => self.d_mm() - 17.0 / 12.0 * self.triangle_mm(),
            // ASME B1.1, basic minor diameter of the rounded-root external thread (from memory).
            ThreadKind::Inch { .. } => self.d_mm() - 1.190_78 * self.pitch_mm(),
        }
    }

    /// Minor diameter `D1` of the nut or tapped hole, basic size.
    #[must_use]
    pub fn minor_internal_mm(self) -> f64 {
        self.d_mm() - 1.25 * self.triangle_mm()
    }

    /// Diameter `ds` of the stress area.
    #[must_use]
    pub fn stress_diameter_mm(self) -> f64 {
        match self.0 {
            ThreadKind::Metric { .. } => f64::midpoint(self.d2_mm(), self.d3_mm()),
            ThreadKind::Inch { .. } => self.d_mm() - 0.9743 * self.pitch_mm(),
        }
    }

    /// Stress area `As`: ISO 898-1 for metric, FED-STD-H28 for inch threads.
    #[must_use]
    pub fn stress_area_mm2(self) -> f64 {
        let ds_mm = self.stress_diameter_mm();
        PI / 4.0 * ds_mm * ds_mm
    }

    /// Lead angle at the pitch diameter.
    #[must_use]
    pub fn lead_angle_deg(self) -> f64 {
        math::atan(self.pitch_mm() / (PI * self.d2_mm())) * 180.0 / PI
    }

    /// The unified series it belongs to; `None` for metric threads and odd pitches.
    fn series_name(self) -> Option<&'static str> {
        let ThreadKind::Inch { d_tenths_of_mil, tpi } = self.0 else { return None };
        let (_, _, coarse, fine) = INCH_SERIES.iter().find(|row| row.1 == d_tenths_of_mil)?;
        if *coarse == tpi { Some("UNC") } else { (*fine == Some(tpi)).then_some("UNF") }
    }
}

impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            ThreadKind::Metric { .. } if self.is_coarse() => write!(f, "M{}", self.d_mm()),
            ThreadKind::Metric { .. } => write!(f, "M{}x{}", self.d_mm(), self.pitch_mm()),
            ThreadKind::Inch { d_tenths_of_mil, tpi } => {
                let named =
                    INCH_SERIES.iter().find(|row| row.1 == d_tenths_of_mil).map(|row| row.0.to_owned());
                let d =
                    named.unwrap_or_else(|| format!("{}", f64::from(d_tenths_of_mil) / TENTHS_OF_MIL_PER_IN));
                write!(f, "{d}-{tpi} {}", self.series_name().unwrap_or("UNS"))
            }
        }
    }
}

impl core::str::FromStr for Thread {
    type Err = ThreadError;
    fn from_str(text: &str) -> Result<Self, ThreadError> {
        Self::parse(text)
    }
}

impl Serialize for Thread {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Thread {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).map_err(serde::de::Error::custom)
    }
}
