//! Which edition of VDI 2230 a preload follows, how it is written and what it changes.
//!
//! **Question.** Two tables say "90 % of yield" for the same bolt and differ by 5 to 8 %: which rule made which?
//!
//! The 1986 edition takes the section as elastic in torsion (factor 2.0) and the yield of 10.9 and 12.9 as 900 and
//! 1080 MPa. The editions of 2001 and later take it as fully plastic (1.5), with the yield of ISO 898-1. **Every preload
//! therefore shows its edition.** The later one applies where none is stated.
//!
//! **Worked example.** M8, 8.8, µ 0.10: 17.9 kN by the 1986 edition, 19.1 kN by that of 2001: 6.7 % apart.
//!
//! **Sources.** VDI 2230 (1986; 2001 and later), factors from memory, checked against two published tables.

use core::fmt;

use serde::{Deserialize, Serialize};

use crate::PropertyClass;

/// Which edition of VDI 2230 a preload follows.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Edition {
    /// 1986: elastic torsion, yield of 10.9 and 12.9 taken as 900 and 1080 MPa.
    #[serde(rename = "1986")]
    E1986,
    /// 2001 and later: fully plastic torsion, yield as in ISO 898-1.
    #[default]
    #[serde(rename = "2001")]
    E2001,
}

/// A text that names no edition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EditionError {
    /// The text as written.
    pub text: String,
}

impl fmt::Display for EditionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` is not an edition of VDI 2230; write `1986`, or `2001` for the editions of 2001 and later",
            self.text
        )
    }
}

impl core::error::Error for EditionError {}

impl Edition {
    /// Reads `1986`, or the year of a later edition (2001, 2003, 2014, 2015).
    ///
    /// # Errors
    /// [`EditionError`] with the bad text and what to write instead.
    pub fn parse(text: &str) -> Result<Self, EditionError> {
        match text.trim() {
            "1986" => Ok(Self::E1986),
            "2001" | "2003" | "2014" | "2015" => Ok(Self::E2001),
            _ => Err(EditionError { text: text.into() }),
        }
    }

    /// The year that names it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::E1986 => "1986",
            Self::E2001 => "2001",
        }
    }

    /// The source to print beside a preload.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::E1986 => "VDI 2230, edition 1986 (elastic torsion; 10.9 at 900, 12.9 at 1080 MPa)",
            Self::E2001 => "VDI 2230, editions of 2001 and later (plastic torsion; yield of ISO 898-1)",
        }
    }

    /// Factor `t` of the torsion term.
    pub(crate) const fn torsion_factor(self) -> f64 {
        match self {
            Self::E1986 => 2.0,
            Self::E2001 => 1.5,
        }
    }

    /// The yield strength that the edition's tables are built on.
    #[must_use]
    pub fn yield_mpa(self, class: PropertyClass, d_mm: f64) -> f64 {
        match (self, class) {
            (Self::E1986, PropertyClass::C10_9) => 900.0,
            (Self::E1986, PropertyClass::C12_9) => 1080.0,
            _ => class.yield_mpa(d_mm),
        }
    }
}

impl fmt::Display for Edition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl core::str::FromStr for Edition {
    type Err = EditionError;
    fn from_str(text: &str) -> Result<Self, EditionError> {
        Self::parse(text)
    }
}
