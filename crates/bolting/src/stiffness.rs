//! How compliant a bolted joint is: the bolt as a chain of rods, the clamped parts as cones of pressure.
//!
//! **Question.** A nut is turned by 90°: how much of that stretches the bolt, and how much squeezes the parts?
//!
//! **Symbols.** `δS`, `δP` compliance of bolt and parts (mm/N), `kb = 1/δS`, `km = 1/δP`, `E` modulus (MPa), `AN` area of the
//! shank, `Ad3` of the thread's core, `dW` diameter of the bearing face, `dh` of the hole, `DA` outer diameter of the parts, `lK`
//! clamped length, `tan φ` slope of the pressure cone, `Φ = δP/(δS + δP)` share of a working load that the bolt takes.
//!
//! ```text
//! δS  = Σ l/(E·A): head 0.5 d, shank, free thread on Ad3, engaged 0.5 d on Ad3, nut 0.4 d or tapped hole 0.33 d on AN
//! δP  = Σ ln[ (2t·tanφ + D − dh)(D + dh) / ((2t·tanφ + D + dh)(D − dh)) ]/(π·E·dh·tanφ)     layer by layer, D at its start
//! tanφ = 0.362 + 0.032·ln(lK/2dW) + 0.153·ln(DA/dW)  with a nut,   0.348 + 0.013·ln(lK/dW) + 0.193·ln(DA/dW)  tapped
//! ```
//!
//! **Assumptions and range.** Parts lie flat and concentric, heads are rigid; a cone that reaches `DA` goes on as a sleeve. With a nut two cones
//! meet half way; in a tapped hole one runs to the joint face. Published methods differ by 10 to 30 % for one joint, so
//! **the compliance is an estimate and its share of an angle too**.
//!
//! **Worked example.** M12, 20 mm steel on 25 mm iron, E 207 and 100 GPa, 30° cones from 18 mm: δP = 1/4470 + 1/52230 + 1/2074 per MN/m, so
//! km 1379; kb 466.8; Φ = 466.8/(466.8 + 1379) = 0.253.
//!
//! **Sources.** VDI 2230 5.1 (substitute lengths and cone angles, from memory); Budynas and Nisbett, Mechanical Engineering Design,
//! eq. 8-17 and 8-19 and the solution manual's problems 8-22 to 8-25 (read); moduli: its table 8-8.

use core::f64::consts::PI;

use serde::{Deserialize, Serialize};
use units::{Length, math};

use crate::Thread;

/// Modulus of bolt steel: table 8-8 of the textbook.
pub const STEEL_MPA: f64 = 207_000.0;

/// Material of a clamped part or a tapped one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum JointMaterial {
    /// Steel.
    Steel,
    /// Grey cast iron.
    GreyIron,
    /// Aluminium.
    Aluminium,
    /// Copper.
    Copper,
    /// Filled polyamide (assumption: 8 GPa dry, much less when warm and wet).
    Plastic,
}

impl JointMaterial {
    /// Modulus of elasticity: textbook table 8-8; plastic is an assumption.
    #[must_use]
    pub const fn modulus_mpa(self) -> f64 {
        match self {
            Self::Steel => STEEL_MPA,
            Self::GreyIron => 100_000.0,
            Self::Aluminium => 71_000.0,
            Self::Copper => 119_000.0,
            Self::Plastic => 8_000.0,
        }
    }
}

/// What the bolt is screwed into.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum BoltCounterpart {
    /// A steel nut.
    Nut,
    /// A hole tapped into a material.
    Tapped(JointMaterial),
}

/// A bolt between its head and its first engaged thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClampingBolt {
    /// The thread.
    pub thread: Thread,
    /// Length of plain shank in the clamped length.
    pub shank: Length,
    /// Diameter of the shank; `None` for the thread's own, less for a waisted bolt.
    pub shank_diameter: Option<Length>,
    /// Length of free thread in the clamped length.
    pub free_thread: Length,
    /// What it is screwed into.
    pub into: BoltCounterpart,
}

fn circle_mm2(d_mm: f64) -> f64 {
    PI / 4.0 * d_mm * d_mm
}

/// Compliance of a rod or sleeve.
#[must_use]
pub fn rod_mm_per_n(length: Length, area_mm2: f64, modulus_mpa: f64) -> f64 {
    length.as_mm().max(0.0) / (area_mm2 * modulus_mpa).max(f64::MIN_POSITIVE)
}

impl ClampingBolt {
    /// Compliance `δS` with the substitute lengths of head and engaged thread.
    #[must_use]
    pub fn compliance_mm_per_n(&self) -> f64 {
        let d = Length::from_mm(self.thread.d_mm());
        let (nominal_mm2, core_mm2) = (circle_mm2(d.as_mm()), circle_mm2(self.thread.d3_mm()));
        let shank_mm2 =
            self.shank_diameter.filter(|s| *s > Length::ZERO).map_or(nominal_mm2, |s| circle_mm2(s.as_mm()));
        let counterpart = match self.into {
            BoltCounterpart::Nut => rod_mm_per_n(d * 0.4, nominal_mm2, STEEL_MPA),
            BoltCounterpart::Tapped(material) => rod_mm_per_n(d * 0.33, nominal_mm2, material.modulus_mpa()),
        };
        rod_mm_per_n(d * 0.5, nominal_mm2, STEEL_MPA)
            + rod_mm_per_n(self.shank, shank_mm2, STEEL_MPA)
            + rod_mm_per_n(self.free_thread + d * 0.5, core_mm2, STEEL_MPA)
            + counterpart
    }

    /// Compliance of shank and free thread alone, on the stress area: the textbook's form, eq. 8-17.
    #[must_use]
    pub fn bare_compliance_mm_per_n(&self) -> f64 {
        let shank_mm = self.shank_diameter.map_or(self.thread.d_mm(), Length::as_mm);
        rod_mm_per_n(self.shank, circle_mm2(shank_mm), STEEL_MPA)
            + rod_mm_per_n(self.free_thread, self.thread.stress_area_mm2(), STEEL_MPA)
    }
}

/// One clamped layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClampedLayer {
    /// Its thickness.
    pub thickness: Length,
    /// Its modulus.
    pub modulus_mpa: f64,
}

/// The parts that a bolt clamps, from the head down.
#[derive(Debug, Clone, PartialEq)]
pub struct ClampedParts {
    /// Layers from the head down.
    pub layers: Vec<ClampedLayer>,
    /// Diameter of the bearing face, where the cone starts.
    pub face: Length,
    /// Hole.
    pub hole: Length,
    /// Outer diameter of the parts round the hole.
    pub outer: Length,
}

/// Parts that no cone fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClampedPartsError {
    /// Diameter of the bearing face.
    pub face: Length,
    /// Hole.
    pub hole: Length,
    /// Outer diameter.
    pub outer: Length,
}

impl core::fmt::Display for ClampedPartsError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let Self { face, hole, outer } = self;
        write!(
            f,
            "a face of {face} on a hole of {hole} in parts {outer} wide leaves no area to clamp; the hole \
             must be smaller than the face and the parts, and every layer needs a thickness and a \
             modulus"
        )
    }
}

impl core::error::Error for ClampedPartsError {}

/// Slope of the pressure cone after VDI 2230, held between 0.3 and 1.
#[must_use]
pub fn cone_slope_ratio(into: BoltCounterpart, clamped: Length, face: Length, outer: Length) -> f64 {
    let log = |ratio: f64| math::ln(ratio.clamp(0.01, 100.0));
    let (long, wide) = (clamped / face, outer / face);
    let slope = match into {
        BoltCounterpart::Nut => 0.362 + 0.032 * log(long / 2.0) + 0.153 * log(wide),
        BoltCounterpart::Tapped(_) => 0.348 + 0.013 * log(long) + 0.193 * log(wide),
    };
    slope.clamp(0.3, 1.0)
}

impl ClampedParts {
    fn check_sound(&self) -> Result<(), ClampedPartsError> {
        let layers = !self.layers.is_empty()
            && self.layers.iter().all(|l| l.thickness > Length::ZERO && l.modulus_mpa > 0.0);
        let sound = self.hole > Length::ZERO && self.face > self.hole && self.outer > self.hole && layers;
        let Self { face, hole, outer, .. } = *self;
        if sound { Ok(()) } else { Err(ClampedPartsError { face, hole, outer }) }
    }

    /// Clamped length.
    #[must_use]
    pub fn clamped_length(&self) -> Length {
        self.layers.iter().map(|l| l.thickness).sum()
    }

    /// Compliance `δP` with the cone of VDI 2230.
    ///
    /// # Errors
    /// [`ClampedPartsError`] when face, hole and outer diameter do not go together, or a layer has no thickness or modulus.
    pub fn compliance_mm_per_n(&self, into: BoltCounterpart) -> Result<f64, ClampedPartsError> {
        self.check_sound()?;
        let slope = cone_slope_ratio(into, self.clamped_length(), self.face, self.outer);
        match into {
            BoltCounterpart::Nut => self.two_cones_mm_per_n(slope),
            BoltCounterpart::Tapped(_) => {
                Ok(self.cone_mm_per_n(self.layers.iter().copied(), self.clamped_length(), slope))
            }
        }
    }

    /// Compliance with two cones of a given slope that meet half way.
    ///
    /// # Errors
    /// As [`ClampedParts::compliance_mm_per_n`].
    pub fn two_cones_mm_per_n(&self, slope_ratio: f64) -> Result<f64, ClampedPartsError> {
        self.check_sound()?;
        let half = self.clamped_length() * 0.5;
        let down = self.cone_mm_per_n(self.layers.iter().copied(), half, slope_ratio);
        Ok(down + self.cone_mm_per_n(self.layers.iter().rev().copied(), half, slope_ratio))
    }

    /// Compliance of one cone that starts at the bearing face and runs through layers for a length.
    fn cone_mm_per_n(
        &self,
        layers: impl Iterator<Item = ClampedLayer>,
        length: Length,
        slope_ratio: f64,
    ) -> f64 {
        let (mut left_mm, mut wide_mm, mut sum) = (length.as_mm(), self.face.as_mm(), 0.0);
        let (hole_mm, outer_mm) = (self.hole.as_mm(), self.outer.as_mm().max(self.face.as_mm()));
        for layer in layers {
            let t_mm = layer.thickness.as_mm().min(left_mm);
            if t_mm <= 0.0 {
                break;
            }
            // As far as the cone still widens, then the rest as a sleeve.
            let cone_mm =
                if slope_ratio > 0.0 { t_mm.min((outer_mm - wide_mm) / (2.0 * slope_ratio)) } else { 0.0 };
            sum += frustum_mm_per_n(cone_mm, wide_mm, hole_mm, slope_ratio) / layer.modulus_mpa;
            wide_mm += 2.0 * cone_mm * slope_ratio;
            let ring_mm2 = circle_mm2(wide_mm) - circle_mm2(hole_mm);
            sum += (t_mm - cone_mm) / (ring_mm2 * layer.modulus_mpa);
            left_mm -= t_mm;
        }
        sum
    }
}

/// Compliance of one hollow cone for a modulus of 1 MPa, textbook eq. 8-19.
fn frustum_mm_per_n(t_mm: f64, wide_mm: f64, hole_mm: f64, slope_ratio: f64) -> f64 {
    if t_mm <= 0.0 {
        return 0.0;
    }
    let end_mm = 2.0 * t_mm * slope_ratio + wide_mm;
    let inside = (end_mm - hole_mm) * (wide_mm + hole_mm) / ((end_mm + hole_mm) * (wide_mm - hole_mm));
    math::ln(inside) / (PI * hole_mm * slope_ratio)
}

/// Share of a working load that the bolt takes on top of its preload: `Φ = δP/(δS + δP)`.
#[must_use]
pub fn load_share(bolt_mm_per_n: f64, parts_mm_per_n: f64) -> f64 {
    parts_mm_per_n / (bolt_mm_per_n + parts_mm_per_n)
}
