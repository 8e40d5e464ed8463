//! Thread stripping: what a length of engaged thread can hold, and how much of it a joint needs.
//!
//! **Question.** Will the bolt break before its threads, or those of the tapped hole, shear off?
//!
//! **Symbols.** `P` pitch, `LE` length of engagement, `n = 1/P`; limits of size `d min` (bolt major), `d2 min` (bolt
//! pitch), `D2 max` (nut pitch), `D1 max` (nut minor); `ASn`, `ASs` shear areas of the internal and the external thread;
//! `τ` shear strength; lengths in mm, stresses in MPa.
//!
//! ```text
//! ASn = π·n·LE·dmin ·[ 1/(2n) + 0.57735·(dmin − D2max) ]      (2a)
//! ASs = π·n·LE·D1max·[ 1/(2n) + 0.57735·(d2min − D1max) ]     (4a)
//! ```
//!
//! **Assumptions.** Tolerance classes 6g/6H and 2A/2B from the formulas of ISO 965-1 and ASME B1.1 without the
//! standards' rounding to preferred numbers; steel shears at 0.6 of its tensile strength. **Nothing is taken off for dirt,
//! for thread damage or for earlier use; the rules published for one joint (M10 8.8 in aluminium of 310 MPa) run from
//! 9.4 to 17 mm, so the rule must be named with the answer.**
//!
//! **Worked example.** M10 in cast aluminium of 130 MPa shear strength, 15 mm engaged: dmin 9.735, D2max 9.20,
//! ASn = π/1.5·15·9.735·(0.75 + 0.309) = 324 mm², so the hole holds 42 kN.
//!
//! **Sources.** FED-STD-H28/2B, appendix B, tables II.B.1 and II.B.2, equations (2a) to (16); ISO 965-1 and ASME B1.1
//! tolerance formulas (from memory, checked on published limits); shear ratios VDI 2230, 5.5.5 (from memory).

use core::f64::consts::PI;

use units::{Force, Length, Torque, math};

use crate::{Friction, PropertyClass, Thread, torque};

/// `tan 30°`, as the standard prints it.
const TAN_30: f64 = 0.577_35;
/// Shear over tensile strength of bolt steel: VDI 2230 gives 0.60 to 0.65 (from memory).
const BOLT_SHEAR_RATIO: f64 = 0.6;
/// A bolt may be this much stronger than the least that its class allows: VDI 2230, 5.5.5 (from memory).
pub const STRENGTH_FACTOR: f64 = 1.2;

units::worded! {
    /// What the hole is tapped into.
    pub enum TappedIn {
        /// Steel, or a steel nut or insert.
        Steel = "steel",
        /// Grey cast iron.
        GreyIron = "grey-iron" / "grey iron",
        /// Cast aluminium alloy.
        CastAluminium = "cast-aluminium" / "cast aluminium",
        /// Plastic.
        Plastic = "plastic",
    }
}

/// A shear strength and where it comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShearStrength {
    /// The strength.
    pub tau_mpa: f64,
    /// Source or assumption.
    pub source: &'static str,
}

impl TappedIn {
    /// The shear strength used.
    #[must_use]
    pub const fn shear_strength(self) -> ShearStrength {
        let (tau_mpa, source) = match self {
            Self::Steel => (300.0, "assumption: steel of 500 MPa, shear ratio 0.6 of VDI 2230 (from memory)"),
            Self::GreyIron => (198.0, "assumption: iron of 220 MPa, shear ratio 0.9 (from memory)"),
            Self::CastAluminium => (130.0, "shear strength used in a handbook's example of M10 in aluminium"),
            Self::Plastic => (30.0, "assumption: filled polyamide, warm"),
        };
        ShearStrength { tau_mpa, source }
    }
}

/// Limits of size at least material: the ones that strip first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThreadLimits {
    /// Least major diameter of the bolt.
    pub d_min_mm: f64,
    /// Least pitch diameter of the bolt.
    pub d2_min_mm: f64,
    /// Greatest pitch diameter of the hole.
    pub d2_internal_max_mm: f64,
    /// Greatest minor diameter of the hole.
    pub d1_max_mm: f64,
}

impl ThreadLimits {
    /// Limits of the medium fit: 6g/6H for metric, 2A/2B for inch threads.
    #[must_use]
    pub fn of_medium_fit(thread: Thread) -> Self {
        if thread.is_metric() { metric_limits(thread) } else { inch_limits(thread) }
    }
}

/// ISO 965-1: es(g) = 15 + 11 P; Td(6) = 180 P^(2/3) − 3.15/√P; Td2(6) = 90 P^0.4 d^0.1; TD2(6) = 1.32 Td2(6);
/// TD1(6) = 230 P^0.7 from 1 mm, 433 P − 190 P^1.22 below; all in micrometres.
fn metric_limits(thread: Thread) -> ThreadLimits {
    let (d, p) = (thread.d_mm(), thread.pitch_mm());
    let gap = 15.0 + 11.0 * p;
    let major = 180.0 * math::pow(p, 2.0 / 3.0) - 3.15 / math::sqrt(p);
    let flank = 90.0 * math::pow(p, 0.4) * math::pow(d, 0.1);
    let minor = if p >= 1.0 { 230.0 * math::pow(p, 0.7) } else { 433.0 * p - 190.0 * math::pow(p, 1.22) };
    ThreadLimits {
        d_min_mm: d - (gap + major) / 1000.0,
        d2_min_mm: thread.d2_mm() - (gap + flank) / 1000.0,
        d2_internal_max_mm: thread.d2_mm() + 1.32 * flank / 1000.0,
        d1_max_mm: thread.minor_internal_mm() + minor / 1000.0,
    }
}

/// ASME B1.1: Td2(2A) = 0.0015 ∛D + 0.0015 √LE + 0.015 ∛P², LE = D; gap 0.3 Td2; Td = 0.06 ∛P²; TD2(2B) = 1.3 Td2;
/// TD1(2B) = 0.25 P − 0.4 P²; all in inches.
fn inch_limits(thread: Thread) -> ThreadLimits {
    let (d, p) = (thread.d_mm() / 25.4, thread.pitch_mm() / 25.4);
    let root = math::pow(p * p, 1.0 / 3.0);
    let flank = 0.0015 * math::pow(d, 1.0 / 3.0) + 0.0015 * math::sqrt(d) + 0.015 * root;
    let gap = 0.3 * flank;
    ThreadLimits {
        d_min_mm: 25.4 * (d - gap - 0.06 * root),
        d2_min_mm: thread.d2_mm() - 25.4 * (gap + flank),
        d2_internal_max_mm: thread.d2_mm() + 25.4 * 1.3 * flank,
        d1_max_mm: thread.minor_internal_mm() + 25.4 * (0.25 * p - 0.4 * p * p),
    }
}

/// Shear area of the internal thread per millimetre of engagement, equation (2a).
#[must_use]
pub fn internal_area_per_mm(pitch_mm: f64, d_min_mm: f64, d2_internal_max_mm: f64) -> f64 {
    PI / pitch_mm * d_min_mm * (pitch_mm / 2.0 + TAN_30 * (d_min_mm - d2_internal_max_mm))
}

/// Shear area of the external thread per millimetre of engagement, equation (4a).
#[must_use]
pub fn external_area_per_mm(pitch_mm: f64, d1_max_mm: f64, d2_min_mm: f64) -> f64 {
    PI / pitch_mm * d1_max_mm * (pitch_mm / 2.0 + TAN_30 * (d2_min_mm - d1_max_mm))
}

/// Simplified shear area of the internal thread per millimetre, equation (3), for `d` from 1/4 in up.
#[must_use]
pub fn simplified_internal_area_per_mm(d2_mm: f64) -> f64 {
    PI * d2_mm * 0.75
}

/// Simplified shear area of the external thread per millimetre, equation (5).
#[must_use]
pub fn simplified_external_area_per_mm(d2_mm: f64) -> f64 {
    PI * d2_mm * 0.625
}

/// Shear area of the external thread at basic size per millimetre, equation (6b).
#[must_use]
pub fn basic_external_area_per_mm(d1_mm: f64) -> f64 {
    PI * d1_mm * 0.75
}

/// Engagement at which threads of equal strength hold as long as the bolt, equation (13): `4·As/(π·D2)`.
#[must_use]
pub fn length_equal_strength_mm(stress_area_mm2: f64, d2_mm: f64) -> f64 {
    4.0 * stress_area_mm2 / (PI * d2_mm)
}

/// Engagement in a strong nut, equation (14): twice the stress area over the bolt's shear area per millimetre.
#[must_use]
pub fn length_strong_nut_mm(stress_area_mm2: f64, external_area_per_length_mm: f64) -> f64 {
    2.0 * stress_area_mm2 / external_area_per_length_mm
}

/// Engagement in a weak tapped hole, equation (16); `strength_ratio` is tensile strength of the hole over the bolt's.
#[must_use]
pub fn length_weak_hole_mm(
    stress_area_mm2: f64,
    basic_external_per_length_mm: f64,
    internal_per_length_mm: f64,
    strength_ratio: f64,
) -> f64 {
    let r1 = basic_external_per_length_mm / internal_per_length_mm;
    2.0 * stress_area_mm2 / basic_external_per_length_mm * r1 / strength_ratio
}

/// Loads at which the two threads strip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StrippingLoads {
    /// The hole's thread shears off.
    pub internal: Force,
    /// The bolt's thread shears off.
    pub external: Force,
}

impl StrippingLoads {
    /// The load at which the weaker one goes.
    #[must_use]
    pub const fn least_load(self) -> Force {
        self.internal.min(self.external)
    }
}

/// Loads at which a length of engaged thread strips; no class counts as 4.6.
#[must_use]
pub fn stripping_load(
    thread: Thread,
    class: Option<PropertyClass>,
    engagement: Length,
    tapped_in: TappedIn,
) -> StrippingLoads {
    let (limits, pitch_mm) = (ThreadLimits::of_medium_fit(thread), thread.pitch_mm());
    let le_mm = engagement.as_mm().max(0.0);
    let bolt_tau_mpa = BOLT_SHEAR_RATIO * class.unwrap_or(PropertyClass::C4_6).rm_min_mpa(thread.d_mm());
    let internal_mm2 = le_mm * internal_area_per_mm(pitch_mm, limits.d_min_mm, limits.d2_internal_max_mm);
    let external_mm2 = le_mm * external_area_per_mm(pitch_mm, limits.d1_max_mm, limits.d2_min_mm);
    StrippingLoads {
        internal: Force::from_n(internal_mm2 * tapped_in.shear_strength().tau_mpa),
        external: Force::from_n(external_mm2 * bolt_tau_mpa),
    }
}

/// Engagement needed to hold a load.
#[must_use]
pub fn engagement_for_load(
    thread: Thread,
    class: Option<PropertyClass>,
    load: Force,
    tapped_in: TappedIn,
) -> Length {
    let one_mm = stripping_load(thread, class, Length::from_mm(1.0), tapped_in).least_load();
    Length::from_mm(load / one_mm)
}

/// Engagement at which the bolt breaks just before the threads strip.
#[must_use]
pub fn needed_engagement(thread: Thread, class: PropertyClass, tapped_in: TappedIn) -> Length {
    engagement_for_load(thread, Some(class), breaking_load(thread, class), tapped_in)
}

/// Least breaking load of the bolt.
#[must_use]
pub fn breaking_load(thread: Thread, class: PropertyClass) -> Force {
    Force::from_n(class.rm_min_mpa(thread.d_mm()) * thread.stress_area_mm2())
}

/// Stripping load over the bolt's breaking load; above 1 the bolt goes first.
#[must_use]
pub fn engagement_margin(
    thread: Thread,
    class: PropertyClass,
    engagement: Length,
    tapped_in: TappedIn,
) -> f64 {
    stripping_load(thread, Some(class), engagement, tapped_in).least_load() / breaking_load(thread, class)
}

/// Torque at which an engaged length strips, hexagon head, at a friction.
#[must_use]
pub fn strip_torque(
    thread: Thread,
    class: Option<PropertyClass>,
    engagement: Length,
    tapped_in: TappedIn,
    friction: Friction,
) -> Torque {
    let load = stripping_load(thread, class, engagement, tapped_in).least_load();
    torque::torque_for_preload(thread, load, friction, torque::bearing_diameter(thread))
}
