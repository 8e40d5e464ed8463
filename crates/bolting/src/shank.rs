//! Waisted and hollow bolts: the weakest cross-section, which yields and breaks before the thread does.
//!
//! **Question.** An expansion bolt has a shank of 7 mm under a thread M10, an oil-feed bolt a hole of 4 mm along its axis: how hard may they be
//! tightened?
//!
//! **Symbols.** `d0` diameter of the weakest section: that of the stress area, or of a thinner shank; `b` bore along the axis; `A0` area left, `Wp`
//! polar section modulus; `P`, `d2` of the thread, `mu_g` friction in it, `ν` share of yield.
//!
//! ```text
//! A0 = π/4·(d0² − b²)       Wp = π/12·(d0³ − b³) plastic (2001 edition)      π/16·(d0⁴ − b⁴)/d0 elastic (1986)
//! τ/σ = d2/2·( P/(π·d2) + 1.155·mu_g )·A0/Wp = t·(d2/d0)·( P/(π·d2) + 1.155·mu_g )·h
//! h = (1 − β²)/(1 − β³) or (1 − β²)/(1 − β⁴),  β = b/d0
//! ```
//!
//! A solid bolt whose shank is no thinner than its stress area has `d0 = ds`, `h = 1`: the forms of [`crate::torque`].
//!
//! **Assumptions and range.** The thread still carries what its own area allows; notches at the ends of the waist and cross holes are not counted:
//! **a bolt with a cross hole in its thread is weaker than this**. Stripping and head friction stay as they are.
//!
//! **Worked example.** M10 of 10.9, waist 7 mm, µ 0.12: A0 38.5 mm², τ/σ = 1.5·9.026/7·0.1914 = 0.370, growth 1.19, so 0.9 of yield is 27.4 kN;
//! the plain bolt takes 43.5 kN.
//!
//! **Sources.** VDI 2230, 5.4.1: reduced section (from memory); the moduli of a tube: elasticity and plasticity of a round bar in torsion, as in any
//! text. Hollow area: FED-STD-H28/2B, 90.1.
//!
//! symbol: mu_g, nu = friction in the thread, share of yield

use core::f64::consts::PI;
use core::fmt;

use units::{Force, Length, math};

use crate::{Edition, PropertyClass, Thread};

/// `1/cos 30°`: the flank angle's share of thread friction.
pub(crate) const FLANK: f64 = 1.154_700_538_379_251_7;
/// A shank this much thicker than the thread is none of this thread (assumption).
const MAX_WAIST_RATIO: f64 = 1.1;
/// A shank thinner than this share of the thread's diameter is a misprint (assumption: expansion bolts have about 0.7 of it).
const LEAST_WAIST_RATIO: f64 = 0.4;
/// A bore wider than this share of the section leaves no wall to speak of (assumption).
const MAX_BORE_RATIO: f64 = 0.8;

/// The weakest cross-section of a bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoltSection {
    thread: Thread,
    d_mm: f64,
    bore_mm: f64,
    area_mm2: f64,
}

/// Diameters that make no bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BoltSectionError {
    /// The shank is thicker than its thread, or too thin to be meant.
    Waist {
        /// The diameter given.
        waist: Length,
        /// The thread.
        thread: Thread,
    },
    /// The bore leaves no wall, or is negative.
    Bore {
        /// The diameter given.
        bore: Length,
        /// Diameter of the section that it is in.
        section: Length,
    },
}

impl fmt::Display for BoltSectionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Waist { waist, thread } => {
                let (least, most) = waist_ends(*thread);
                write!(f, "a shank of {waist} goes with no {thread}; the waist of one is {least} to {most}")
            }
            Self::Bore { bore, section } => {
                let most = *section * MAX_BORE_RATIO;
                write!(
                    f,
                    "a bore of {bore} leaves no bolt of {section}; it is at most {most}, and 0 mm in a solid one"
                )
            }
        }
    }
}

impl core::error::Error for BoltSectionError {}

/// The thinnest and the thickest shank that goes with a thread.
fn waist_ends(thread: Thread) -> (Length, Length) {
    let d = Length::from_mm(thread.d_mm());
    (d * LEAST_WAIST_RATIO, d * MAX_WAIST_RATIO)
}

impl BoltSection {
    /// The section of a solid bolt whose shank is no thinner than its stress area.
    #[must_use]
    pub fn of_thread(thread: Thread) -> Self {
        let d_mm = thread.stress_diameter_mm();
        Self { thread, d_mm, bore_mm: 0.0, area_mm2: thread.stress_area_mm2() }
    }

    /// The weakest section of a bolt with a waist, a bore along its axis, or both.
    ///
    /// # Errors
    /// [`BoltSectionError`] for a shank thicker than its thread or too thin to be meant, and a bore that leaves no wall.
    pub fn of_shank(
        thread: Thread,
        waist: Option<Length>,
        bore: Option<Length>,
    ) -> Result<Self, BoltSectionError> {
        let plain = Self::of_thread(thread);
        let (least, most) = waist_ends(thread);
        if let Some(waist) = waist.filter(|waist| *waist < least || *waist > most) {
            return Err(BoltSectionError::Waist { waist, thread });
        }
        let d_mm = waist.map_or(plain.d_mm, |waist| waist.as_mm().min(plain.d_mm));
        let section = Length::from_mm(d_mm);
        let bore = bore.unwrap_or(Length::ZERO);
        if bore < Length::ZERO || bore > section * MAX_BORE_RATIO {
            return Err(BoltSectionError::Bore { bore, section });
        }
        let bore_mm = bore.as_mm();
        // The plain section keeps the digits of the stress area.
        let full_mm2 = if d_mm < plain.d_mm { PI / 4.0 * d_mm * d_mm } else { plain.area_mm2 };
        Ok(Self { thread, d_mm, bore_mm, area_mm2: full_mm2 - PI / 4.0 * bore_mm * bore_mm })
    }

    /// Diameter `d0`.
    #[must_use]
    pub const fn diameter(&self) -> Length {
        Length::from_mm(self.d_mm)
    }

    /// Diameter `b` of the bore; zero where it is solid.
    #[must_use]
    pub const fn bore(&self) -> Length {
        Length::from_mm(self.bore_mm)
    }

    /// Area `A0` left.
    #[must_use]
    pub const fn area_mm2(&self) -> f64 {
        self.area_mm2
    }

    /// Whether it is the stress area of the thread and nothing less.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        *self == Self::of_thread(self.thread)
    }

    /// The factor `h` of a bore in torsion; exactly 1 where it is solid.
    fn hollow_ratio(&self, edition: Edition) -> f64 {
        let b = self.bore_mm / self.d_mm;
        let power = match edition {
            Edition::E1986 => 4.0,
            Edition::E2001 => 3.0,
        };
        if b > 0.0 { (1.0 - b * b) / (1.0 - math::pow(b, power)) } else { 1.0 }
    }

    /// How much torsion raises the stress of tension alone: the root in the assembly preload.
    #[must_use]
    pub fn torsion_growth_ratio(&self, mu_g: f64, edition: Edition) -> f64 {
        let d2_mm = self.thread.d2_mm();
        let slope = self.thread.pitch_mm() / (PI * d2_mm) + FLANK * mu_g;
        let torsion = edition.torsion_factor() * d2_mm / self.d_mm * slope * self.hollow_ratio(edition);
        math::sqrt(1.0 + 3.0 * torsion * torsion)
    }

    /// Preload at a share `nu` of yield under tension and torsion together.
    #[must_use]
    pub fn assembly_preload(&self, class: PropertyClass, mu_g: f64, nu: f64, edition: Edition) -> Force {
        let growth = self.torsion_growth_ratio(mu_g, edition);
        let tension_mpa = nu * edition.yield_mpa(class, self.thread.d_mm()) / growth;
        Force::from_n(self.area_mm2 * tension_mpa)
    }

    /// Preload at which a bolt of the least strength of its class breaks under tension and torsion together.
    #[must_use]
    pub fn breaking_preload(&self, class: PropertyClass, mu_g: f64, edition: Edition) -> Force {
        let growth = self.torsion_growth_ratio(mu_g, edition);
        Force::from_n(class.rm_min_mpa(self.thread.d_mm()) * self.area_mm2 / growth)
    }

    /// Load that it bears without any lasting stretch.
    #[must_use]
    pub fn proof_load(&self, class: PropertyClass) -> Force {
        Force::from_n(class.proof_mpa(self.thread.d_mm()) * self.area_mm2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Friction, torque};

    fn thread(text: &str) -> Thread {
        Thread::parse(text).unwrap_or_else(|e| panic!("{e}"))
    }

    fn near(what: &str, value: f64, published: f64, tolerance: f64) {
        assert!((value - published).abs() <= tolerance, "{what}: {value}, {published} ± {tolerance}");
    }

    /// Worked by hand in the module's head; half a digit.
    #[test]
    fn a_waist_lowers_the_preload() {
        let waist = BoltSection::of_shank(thread("M10"), Some(Length::from_mm(7.0)), None).expect("a waist");
        near("A0", waist.area_mm2(), 38.5, 0.05);
        let preload = |section: BoltSection| {
            section.assembly_preload(PropertyClass::C10_9, 0.12, 0.9, Edition::E2001).as_kn()
        };
        near("waisted", preload(waist), 27.4, 0.05);
        near("plain", preload(BoltSection::of_thread(thread("M10"))), 43.5, 0.05);
    }

    /// FED-STD-H28/2B, 90.1: a bolt 1 1/2-8 with a hole of 0.792 in has 1.492 − 0.4927 in² left; the area printed to three decimals.
    #[test]
    fn a_hollow_bolt_of_the_federal_standard() {
        let bore = Some(Length::from_in(0.792));
        let hollow = BoltSection::of_shank(thread("1 1/2-8"), None, bore).expect("a bore");
        near("A0", hollow.area_mm2() / (25.4 * 25.4), 1.492 - 0.4927, 0.0006);
    }

    /// Plain bolts: the very figures of `torque`, bit by bit. A tube of vanishing wall resists torsion by its radius alone: t = 1 in units of d2/d0,
    /// whatever the edition, which bounds the bored ones from below.
    #[test]
    fn a_plain_section_is_that_of_the_thread_and_a_bore_changes_it_steadily() {
        for name in ["M6", "M8x1", "M10", "M20", "1/4-20", "3/4-16 UNF"] {
            for edition in [Edition::E1986, Edition::E2001] {
                let (t, mu) = (thread(name), Friction::same_for_both(0.12).expect("a friction"));
                let plain = BoltSection::of_thread(t);
                let thick = BoltSection::of_shank(t, Some(Length::from_mm(t.d_mm())), None).expect("a shank");
                assert!(plain.is_plain() && thick.is_plain() && thick == plain, "{name}");
                let class = PropertyClass::C10_9;
                assert_eq!(
                    plain.breaking_preload(class, mu.mu_g(), edition),
                    torque::breaking_preload(t, class, mu, edition)
                );
                assert_eq!(plain.proof_load(class), class.proof_load(t));
                let bored = |ratio: f64| {
                    BoltSection::of_shank(t, None, Some(plain.diameter() * ratio)).expect("a bore")
                };
                let all = [0.0, 0.2, 0.4, 0.6, 0.8].map(bored);
                let load = |s: &BoltSection| s.assembly_preload(class, mu.mu_g(), 0.9, edition).as_n();
                assert!(all.is_sorted_by(|a, b| load(a) > load(b) && a.area_mm2() > b.area_mm2()), "{name}");
                let hollow: Vec<f64> = all.iter().map(|s| s.hollow_ratio(edition)).collect();
                let least = 1.0 / edition.torsion_factor();
                assert!(
                    hollow.is_sorted_by(|a, b| a > b) && hollow[0] == 1.0 && hollow[4] > least,
                    "{hollow:?}"
                );
            }
        }
    }

    #[test]
    fn diameters_that_make_no_bolt_say_what_would() {
        let m8 = |waist_mm: Option<f64>, bore_mm: Option<f64>| {
            BoltSection::of_shank(thread("M8"), waist_mm.map(Length::from_mm), bore_mm.map(Length::from_mm))
        };
        let said = |found: Result<BoltSection, BoltSectionError>| found.expect_err("no bolt").to_string();
        assert_eq!(
            said(m8(Some(12.0), None)),
            "a shank of 12 mm goes with no M8; the waist of one is 3.2 mm to 8.8 mm"
        );
        assert!(said(m8(Some(-3.0), None)).contains("-3 mm"));
        assert!(said(m8(None, Some(6.0))).contains("leaves no bolt of 6.827 mm; it is at most 5.462 mm"));
        assert!(m8(None, Some(-1.0)).is_err() && m8(None, Some(0.0)).is_ok_and(|s| s.is_plain()));
        assert!(m8(Some(5.5), Some(3.0)).is_ok_and(|s| !s.is_plain() && s.bore() == Length::from_mm(3.0)));
    }
}
