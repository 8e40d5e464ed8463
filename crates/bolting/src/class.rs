//! Property classes of bolts and screws: tensile strength, yield and proof stress.
//!
//! Carbon and alloy steel follow ISO 898-1: the first figure is a hundredth of the nominal tensile strength, the product
//! of both a tenth of the nominal yield. Class 8.8 steps up above 16 mm (580/640 → 600/660 MPa); several copied tables
//! miss that. Stainless steels follow ISO 3506-1 (from memory).
//!
//! **Symbols.** `Rm` tensile strength, `ReL`/`Rp0.2` yield (for 4.8, 5.8 and 6.8 the 0.0048 d proof strength `Rpf`),
//! `Sp` proof stress; all minimum values in MPa. **Example.** M8 of class 8.8: proof load 580 · 36.6 = 21 200 N.

use core::fmt;

use serde::{Deserialize, Serialize};
use units::Force;

use crate::Thread;

/// Above this nominal diameter class 8.8 has its higher values (ISO 898-1).
const STEP_8_8_MM: f64 = 16.0;

/// Share of yield taken as proof stress of stainless steel, which ISO 3506-1:2009 does not state (assumption: the ratio
/// of the carbon steel classes lies between 0.88 and 0.94).
const STAINLESS_PROOF_RATIO: f64 = 0.9;

/// A property class, weakest first within its family.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PropertyClass {
    /// 4.6
    C4_6,
    /// 4.8
    C4_8,
    /// 5.6
    C5_6,
    /// 5.8
    C5_8,
    /// 6.8
    C6_8,
    /// 8.8
    C8_8,
    /// 9.8
    C9_8,
    /// 10.9
    C10_9,
    /// 12.9
    C12_9,
    /// A2-50, austenitic stainless, soft
    A2_50,
    /// A2-70, austenitic stainless, cold worked
    A2_70,
    /// A2-80, austenitic stainless, high strength
    A2_80,
    /// A4-70, austenitic stainless with molybdenum, cold worked
    A4_70,
    /// A4-80, austenitic stainless with molybdenum, high strength
    A4_80,
}

use PropertyClass as C;

/// Class, name, Rm min, ReL/Rp0.2 min, Sp; MPa, for d up to 16 mm. ISO 898-1 table 3, ISO 3506-1 table 2.
const ROWS: &[(C, &str, f64, f64, f64)] = &[
    (C::C4_6, "4.6", 400.0, 240.0, 225.0),
    (C::C4_8, "4.8", 420.0, 340.0, 310.0),
    (C::C5_6, "5.6", 500.0, 300.0, 280.0),
    (C::C5_8, "5.8", 520.0, 420.0, 380.0),
    (C::C6_8, "6.8", 600.0, 480.0, 440.0),
    (C::C8_8, "8.8", 800.0, 640.0, 580.0),
    (C::C9_8, "9.8", 900.0, 720.0, 650.0),
    (C::C10_9, "10.9", 1040.0, 940.0, 830.0),
    (C::C12_9, "12.9", 1220.0, 1100.0, 970.0),
    (C::A2_50, "A2-50", 500.0, 210.0, 210.0 * STAINLESS_PROOF_RATIO),
    (C::A2_70, "A2-70", 700.0, 450.0, 450.0 * STAINLESS_PROOF_RATIO),
    (C::A2_80, "A2-80", 800.0, 600.0, 600.0 * STAINLESS_PROOF_RATIO),
    (C::A4_70, "A4-70", 700.0, 450.0, 450.0 * STAINLESS_PROOF_RATIO),
    (C::A4_80, "A4-80", 800.0, 600.0, 600.0 * STAINLESS_PROOF_RATIO),
];

/// A text is not a property class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PropertyClassError {
    /// The text as written.
    pub text: String,
}

impl fmt::Display for PropertyClassError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let known: Vec<_> = ROWS.iter().map(|row| row.1).collect();
        write!(f, "`{}` is not a property class; the classes are {}", self.text, known.join(", "))
    }
}

impl core::error::Error for PropertyClassError {}

impl PropertyClass {
    /// All classes, weakest first within their family.
    pub fn all() -> impl Iterator<Item = Self> {
        ROWS.iter().map(|row| row.0)
    }

    /// Reads `8.8`, `10.9`, `A2-70`.
    ///
    /// # Errors
    /// [`PropertyClassError`] with the bad text; its message lists the classes that are known.
    pub fn parse(text: &str) -> Result<Self, PropertyClassError> {
        let wanted = text.trim().to_ascii_uppercase().replace(' ', "-");
        ROWS.iter()
            .find(|row| row.1 == wanted)
            .map(|row| row.0)
            .ok_or_else(|| PropertyClassError { text: text.into() })
    }

    fn table_row(self) -> &'static (Self, &'static str, f64, f64, f64) {
        ROWS.iter().find(|row| row.0 == self).expect("the table has a row for every class")
    }

    /// Its name: `8.8`, `A2-70`.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.table_row().1
    }

    /// Whether it is a stainless steel.
    #[must_use]
    pub fn is_stainless(self) -> bool {
        self >= Self::A2_50
    }

    fn has_large_size_step(self, d_mm: f64) -> bool {
        self == Self::C8_8 && d_mm > STEP_8_8_MM
    }

    /// Least tensile strength `Rm` at a nominal diameter.
    #[must_use]
    pub fn rm_min_mpa(self, d_mm: f64) -> f64 {
        if self.has_large_size_step(d_mm) { 830.0 } else { self.table_row().2 }
    }

    /// Least yield strength, `ReL` or `Rp0.2`, at a nominal diameter.
    #[must_use]
    pub fn yield_mpa(self, d_mm: f64) -> f64 {
        if self.has_large_size_step(d_mm) { 660.0 } else { self.table_row().3 }
    }

    /// Proof stress `Sp` at a nominal diameter; for stainless steel 0.9 of yield (assumption).
    #[must_use]
    pub fn proof_mpa(self, d_mm: f64) -> f64 {
        if self.has_large_size_step(d_mm) { 600.0 } else { self.table_row().4 }
    }
}

impl PropertyClass {
    /// Load that it bears without any lasting stretch, by proof stress and stress area.
    #[must_use]
    pub fn proof_load(self, thread: Thread) -> Force {
        Force::from_n(self.proof_mpa(thread.d_mm()) * thread.stress_area_mm2())
    }

    /// Load at which it starts to yield in pure tension.
    #[must_use]
    pub fn yield_load(self, thread: Thread) -> Force {
        Force::from_n(self.yield_mpa(thread.d_mm()) * thread.stress_area_mm2())
    }
}

impl fmt::Display for PropertyClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl core::str::FromStr for PropertyClass {
    type Err = PropertyClassError;
    fn from_str(text: &str) -> Result<Self, PropertyClassError> {
        Self::parse(text)
    }
}

impl Serialize for PropertyClass {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

impl<'de> Deserialize<'de> for PropertyClass {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).map_err(serde::de::Error::custom)
    }
}
