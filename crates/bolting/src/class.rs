//! Property classes of bolts and screws: tensile strength, yield and proof stress; inch grades beside the metric classes.
//!
//! Carbon and alloy steel follow ISO 898-1: the first figure is a hundredth of the nominal tensile strength, the product
//! of both a tenth of the nominal yield. Class 8.8 steps up above 16 mm (580/640 → 600/660 MPa); several copied tables
//! miss that. Stainless steels follow ISO 3506-1 (from memory). Inch bolts bear lines or letters on the head and no figure:
//! SAE J429 and ASTM, whose strengths step down with the diameter.
//!
//! **Symbols.** `Rm` tensile strength, `ReL`/`Rp0.2` yield (for 4.8, 5.8 and 6.8 the 0.0048 d proof strength `Rpf`),
//! `Sp` proof stress; all minimum values in MPa, those of inch grades written in ksi. **Example.** M8 of class 8.8: proof load
//! 580 · 36.6 = 21 200 N. 3/8-16 of SAE 5: 85 ksi · 0.0775 in² = 6590 lbf, three lines on its head.
//!
//! **Sources.** ISO 898-1 table 3; ISO 3506-1 table 2 (from memory); SAE J429 and ASTM A307, A325, A449, A490 as Shigley and Mischke,
//! Mechanical Engineering Design, 5th edition, print them (read on a university's page); lines on heads from memory.

use core::fmt;

use serde::{Deserialize, Serialize};
use units::Force;

use crate::Thread;

/// Megapascals in one thousand pounds-force per square inch, as in `units::Pressure`.
const KSI: f64 = 6.894_757_293_168_361;

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
    /// SAE J429 grade 2, no mark
    Sae2,
    /// SAE J429 grade 5, three lines
    Sae5,
    /// SAE J429 grade 8, six lines
    Sae8,
    /// ASTM A307
    A307,
    /// ASTM A325
    A325,
    /// ASTM A449
    A449,
    /// ASTM A490
    A490,
}

use PropertyClass as C;

/// Strengths up to a nominal diameter, in MPa: tensile, yield, proof.
#[derive(Debug, Clone, Copy)]
struct ClassStrength {
    up_to_mm: f64,
    rm_mpa: f64,
    yield_mpa: f64,
    proof_mpa: f64,
}

const fn up_to(up_to_mm: f64, rm_mpa: f64, yield_mpa: f64, proof_mpa: f64) -> ClassStrength {
    ClassStrength { up_to_mm, rm_mpa, yield_mpa, proof_mpa }
}

const fn at_any_size(rm_mpa: f64, yield_mpa: f64, proof_mpa: f64) -> ClassStrength {
    up_to(f64::INFINITY, rm_mpa, yield_mpa, proof_mpa)
}

const fn stainless(rm_mpa: f64, yield_mpa: f64) -> ClassStrength {
    at_any_size(rm_mpa, yield_mpa, yield_mpa * STAINLESS_PROOF_RATIO)
}

/// Up to a diameter in inches, the strengths in ksi.
const fn inches(up_to_in: f64, rm_number: f64, yield_number: f64, proof_number: f64) -> ClassStrength {
    up_to(up_to_in * 25.4, rm_number * KSI, yield_number * KSI, proof_number * KSI)
}

/// One class: its name, and its strengths by rising diameter.
type ClassRow = (PropertyClass, &'static str, &'static [ClassStrength]);

/// Strengths of SAE 5, A325 and A449, which share a steel and its heat treatment.
const QUENCHED_120_KSI: &[ClassStrength] =
    &[inches(1.0, 120.0, 92.0, 85.0), inches(f64::INFINITY, 105.0, 81.0, 74.0)];

/// Strengths of SAE 8 and A490.
const QUENCHED_150_KSI: &[ClassStrength] = &[inches(f64::INFINITY, 150.0, 130.0, 120.0)];

/// All classes.
const ROWS: &[ClassRow] = &[
    (C::C4_6, "4.6", &[at_any_size(400.0, 240.0, 225.0)]),
    (C::C4_8, "4.8", &[at_any_size(420.0, 340.0, 310.0)]),
    (C::C5_6, "5.6", &[at_any_size(500.0, 300.0, 280.0)]),
    (C::C5_8, "5.8", &[at_any_size(520.0, 420.0, 380.0)]),
    (C::C6_8, "6.8", &[at_any_size(600.0, 480.0, 440.0)]),
    (C::C8_8, "8.8", &[up_to(16.0, 800.0, 640.0, 580.0), at_any_size(830.0, 660.0, 600.0)]),
    (C::C9_8, "9.8", &[at_any_size(900.0, 720.0, 650.0)]),
    (C::C10_9, "10.9", &[at_any_size(1040.0, 940.0, 830.0)]),
    (C::C12_9, "12.9", &[at_any_size(1220.0, 1100.0, 970.0)]),
    (C::A2_50, "A2-50", &[stainless(500.0, 210.0)]),
    (C::A2_70, "A2-70", &[stainless(700.0, 450.0)]),
    (C::A2_80, "A2-80", &[stainless(800.0, 600.0)]),
    (C::A4_70, "A4-70", &[stainless(700.0, 450.0)]),
    (C::A4_80, "A4-80", &[stainless(800.0, 600.0)]),
    (C::Sae2, "SAE 2", &[inches(0.75, 74.0, 57.0, 55.0), inches(f64::INFINITY, 60.0, 36.0, 33.0)]),
    (C::Sae5, "SAE 5", QUENCHED_120_KSI),
    (C::Sae8, "SAE 8", QUENCHED_150_KSI),
    (C::A307, "A307", &[inches(f64::INFINITY, 60.0, 36.0, 33.0)]),
    (C::A325, "A325", QUENCHED_120_KSI),
    (
        C::A449,
        "A449",
        &[
            inches(1.0, 120.0, 92.0, 85.0),
            inches(1.5, 105.0, 81.0, 74.0),
            inches(f64::INFINITY, 90.0, 58.0, 55.0),
        ],
    ),
    (C::A490, "A490", QUENCHED_150_KSI),
];

/// Other ways to write an inch grade: what stands before its figure or letters, and what is put there instead.
const PREFIXES: &[(&str, &str)] = &[
    ("SAE-J429-GRADE-", "SAE-"),
    ("SAE-GRADE-", "SAE-"),
    ("GRADE-", "SAE-"),
    ("GR-", "SAE-"),
    ("ASTM-", ""),
];

/// Lines on a head, as they are counted there, and the grade that they mean.
const HEAD_LINES: &[(&str, PropertyClass)] =
    &[("3-LINES", C::Sae5), ("THREE-LINES", C::Sae5), ("6-LINES", C::Sae8), ("SIX-LINES", C::Sae8)];

/// A text is not a property class.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PropertyClassError {
    /// The text as written.
    pub text: String,
}

impl fmt::Display for PropertyClassError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let known: Vec<_> = ROWS.iter().map(|row| row.1).collect();
        write!(
            f,
            "`{}` is not a property class; the classes are {}; the lines on the head of an inch bolt are read too, as `3 lines`",
            self.text,
            known.join(", ")
        )
    }
}

impl core::error::Error for PropertyClassError {}

impl PropertyClass {
    /// All classes, weakest first within their family.
    pub fn all() -> impl Iterator<Item = Self> {
        ROWS.iter().map(|row| row.0)
    }

    /// Reads `8.8`, `10.9`, `A2-70`, `SAE 5`, `grade 8`, `A325`, and the lines on the head of an inch bolt, `3 lines`.
    ///
    /// A head without a mark is read as nothing: it may be of any class.
    ///
    /// # Errors
    /// [`PropertyClassError`] with the bad text; its message lists the classes that are known.
    pub fn parse(text: &str) -> Result<Self, PropertyClassError> {
        let wanted = joined_words(text);
        let wanted = PREFIXES
            .iter()
            .find_map(|(prefix, instead)| Some(format!("{instead}{}", wanted.strip_prefix(prefix)?)))
            .unwrap_or(wanted);
        let by_name = ROWS.iter().find(|row| joined_words(row.1) == wanted).map(|row| row.0);
        let by_lines = || HEAD_LINES.iter().find(|(lines, _)| *lines == wanted).map(|(_, class)| *class);
        by_name.or_else(by_lines).ok_or_else(|| PropertyClassError { text: text.into() })
    }

    fn table_row(self) -> &'static ClassRow {
        ROWS.iter().find(|row| row.0 == self).expect("the table has a row for every class")
    }

    /// Its name: `8.8`, `A2-70`, `SAE 5`.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.table_row().1
    }

    /// Whether it is a stainless steel.
    #[must_use]
    pub const fn is_stainless(self) -> bool {
        matches!(self, Self::A2_50 | Self::A2_70 | Self::A2_80 | Self::A4_70 | Self::A4_80)
    }

    /// Whether it is a grade of inch bolts.
    #[must_use]
    pub const fn is_inch_grade(self) -> bool {
        matches!(
            self,
            Self::Sae2 | Self::Sae5 | Self::Sae8 | Self::A307 | Self::A325 | Self::A449 | Self::A490
        )
    }

    /// Where its strengths come from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::C4_6
            | Self::C4_8
            | Self::C5_6
            | Self::C5_8
            | Self::C6_8
            | Self::C8_8
            | Self::C9_8
            | Self::C10_9
            | Self::C12_9 => "ISO 898-1",
            Self::A2_50 | Self::A2_70 | Self::A2_80 | Self::A4_70 | Self::A4_80 => {
                "ISO 3506-1 (from memory); proof taken as 0.9 of yield (assumption)"
            }
            Self::Sae2 | Self::Sae5 | Self::Sae8 => "SAE J429, as a textbook prints it",
            Self::A307 | Self::A325 | Self::A449 | Self::A490 => "ASTM, as a textbook prints it",
        }
    }

    /// What stands on the head: `8.8`, `three lines`; `no mark` where nothing does, which alone proves nothing.
    #[must_use]
    pub fn head_mark(self) -> &'static str {
        match self {
            Self::Sae2 => "no mark",
            Self::Sae5 => "three lines",
            Self::Sae8 => "six lines",
            Self::A307 => "307A",
            _ => self.name(),
        }
    }

    /// Its strengths at a nominal diameter.
    fn strength_at(self, d_mm: f64) -> ClassStrength {
        let strengths = self.table_row().2;
        // A nominal inch size is exact in millimetres but for the last digit.
        let fits = |strength: &&ClassStrength| d_mm <= strength.up_to_mm * (1.0 + 1.0e-9);
        strengths.iter().find(fits).copied().unwrap_or(strengths[strengths.len() - 1])
    }

    /// Least tensile strength `Rm` at a nominal diameter.
    #[must_use]
    pub fn rm_min_mpa(self, d_mm: f64) -> f64 {
        self.strength_at(d_mm).rm_mpa
    }

    /// Least yield strength, `ReL` or `Rp0.2`, at a nominal diameter.
    #[must_use]
    pub fn yield_mpa(self, d_mm: f64) -> f64 {
        self.strength_at(d_mm).yield_mpa
    }

    /// Proof stress `Sp` at a nominal diameter; for stainless steel 0.9 of yield (assumption).
    #[must_use]
    pub fn proof_mpa(self, d_mm: f64) -> f64 {
        self.strength_at(d_mm).proof_mpa
    }
}

/// Capitals, words joined by hyphens: `SAE-5`.
fn joined_words(text: &str) -> String {
    text.trim().to_ascii_uppercase().replace(' ', "-")
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
