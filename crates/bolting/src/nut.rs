//! Nuts: their property classes, proof loads, and which bolt they hold.
//!
//! **Question.** Will this nut hold the bolt up to its proof load, or do its threads go first?
//!
//! **Symbols.** `Sp` stress under proof load (MPa) on the stress area `As` (mm²) of the bolt. A nut's figure is a hundredth
//! of the tensile strength of the strongest bolt that it holds: 8 for 8.8. A nut of a higher class may be used instead.
//!
//! **Range.** Coarse threads, style 1 (height about 0.9 d) for 4, 5, 6, 8, 10 and 12, style 2 for 9, to M39. Thin nuts (04,
//! 05), and nuts tapped oversize for hot-dip zinc, hold less. The stress steps at 4, 7, 10 and 16 mm.
//!
//! **Worked example.** M8, nut 8: 870·36.6 = 31 800 N; bolt 8.8 proof 21 200 N, breaks at 29 200 N: the bolt goes first.
//!
//! **Sources.** ISO 898-2 (EN 20898-2), stresses recomputed from two public tables of proof loads; class 9 and M4 from memory.

use core::fmt;

use serde::{Deserialize, Serialize};
use units::Force;

use crate::{PropertyClass, Thread};

/// Property class of a nut, weakest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum NutClass {
    /// 4, above M16 only
    #[serde(rename = "4")]
    C4,
    /// 5
    #[serde(rename = "5")]
    C5,
    /// 6
    #[serde(rename = "6")]
    C6,
    /// 8
    #[serde(rename = "8")]
    C8,
    /// 9
    #[serde(rename = "9")]
    C9,
    /// 10
    #[serde(rename = "10")]
    C10,
    /// 12
    #[serde(rename = "12")]
    C12,
}

use NutClass as N;

/// Class, name, stress under proof load up to 4, 7, 10, 16 and 39 mm; 0 where the class is not made.
const ROWS: &[(N, &str, [f64; 5])] = &[
    (N::C4, "4", [0.0, 0.0, 0.0, 0.0, 510.0]),
    (N::C5, "5", [520.0, 580.0, 590.0, 610.0, 630.0]),
    (N::C6, "6", [600.0, 670.0, 680.0, 700.0, 720.0]),
    (N::C8, "8", [800.0, 855.0, 870.0, 880.0, 920.0]),
    (N::C9, "9", [900.0, 915.0, 940.0, 950.0, 920.0]),
    (N::C10, "10", [1040.0, 1040.0, 1040.0, 1050.0, 1060.0]),
    (N::C12, "12", [1140.0, 1140.0, 1140.0, 1170.0, 0.0]),
];

/// Upper diameters of the columns.
const STEPS_MM: [f64; 5] = [4.0, 7.0, 10.0, 16.0, 39.0];

/// A text is not the class of a nut.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NutClassError {
    /// The text as written.
    pub text: String,
}

impl fmt::Display for NutClassError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let known: Vec<_> = ROWS.iter().map(|row| row.1).collect();
        write!(f, "`{}` is not a nut property class; the classes are {}", self.text, known.join(", "))
    }
}

impl core::error::Error for NutClassError {}

impl NutClass {
    /// Reads `8` or `|8|`, as it may be stamped.
    ///
    /// # Errors
    /// [`NutClassError`] with the bad text; its message lists the classes that are known.
    pub fn parse(text: &str) -> Result<Self, NutClassError> {
        let wanted = text.trim().trim_matches('|');
        ROWS.iter()
            .find(|row| row.1 == wanted)
            .map(|row| row.0)
            .ok_or_else(|| NutClassError { text: text.into() })
    }

    fn table_row(self) -> &'static (Self, &'static str, [f64; 5]) {
        ROWS.iter().find(|row| row.0 == self).expect("the table has a row for every class")
    }

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.table_row().1
    }

    /// Stress under proof load; `None` where the class is not made at this diameter.
    #[must_use]
    pub fn proof_mpa(self, d_mm: f64) -> Option<f64> {
        let column = STEPS_MM.iter().position(|step| d_mm <= *step)?;
        Some(self.table_row().2[column]).filter(|mpa| *mpa > 0.0)
    }

    /// Proof load on a thread.
    #[must_use]
    pub fn proof_load(self, thread: Thread) -> Option<Force> {
        self.proof_mpa(thread.d_mm()).map(|mpa| Force::from_n(mpa * thread.stress_area_mm2()))
    }

    /// The weakest class that a bolt may have as its partner (ISO 898-2); stainless bolts take stainless nuts.
    #[must_use]
    pub fn needed_for_bolt(bolt: PropertyClass, d_mm: f64) -> Option<Self> {
        use PropertyClass as C;
        match bolt {
            C::C4_6 | C::C4_8 if d_mm > 16.0 => Some(N::C4),
            C::C4_6 | C::C4_8 | C::C5_6 | C::C5_8 => Some(N::C5),
            C::C6_8 => Some(N::C6),
            C::C8_8 => Some(N::C8),
            C::C9_8 => Some(N::C9),
            C::C10_9 => Some(N::C10),
            C::C12_9 => Some(N::C12),
            _ => None,
        }
    }

    /// Whether it holds a bolt of a class; a higher class may replace a lower.
    #[must_use]
    pub fn holds_bolt(self, bolt: PropertyClass, d_mm: f64) -> bool {
        Self::needed_for_bolt(bolt, d_mm).is_some_and(|needed| self >= needed)
    }
}

impl fmt::Display for NutClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl core::str::FromStr for NutClass {
    type Err = NutClassError;
    fn from_str(text: &str) -> Result<Self, NutClassError> {
        Self::parse(text)
    }
}
