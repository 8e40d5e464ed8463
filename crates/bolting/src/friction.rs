//! Friction in the thread and under the head, as ranges by the state of the surfaces.
//!
//! **Question.** How slippery may a joint be, when all that is known is "dry" or "oiled"?
//!
//! One surface state never has one coefficient, so each state is a range and names where the range comes from.
//! Published advice on how much to lower a dry torque when oil is added runs from 10 to 35 %; nothing here is ever used
//! to rewrite the figure of a book, only to judge it.
//!
//! symbol: mu_g, mu_k, mu, K = friction in the thread, under the head, both alike; the short form's factor
//!
//! **Sources.** VDI 2230 friction classes (A 0.04–0.10, B 0.08–0.16, C 0.14–0.24, D 0.20–0.35; a one-page extract);
//! MIL-HDBK-60, table II (each ±20 %): graphite paste 0.07, molybdenum grease 0.11, machine oil 0.15, zinc 0.17.

units::worded! {
    /// Surface and lubrication that a torque figure holds for.
    pub enum Lubrication {
        /// Clean and dry.
        Dry = "dry",
        /// Oiled threads and seat.
        Oiled = "oiled",
        /// Anti-seize or molybdenum paste.
        Paste = "paste",
        /// Liquid thread-locker, still wet.
        ThreadLocker = "thread-locker",
        /// Sealant on the thread.
        Sealant = "sealant",
        /// Nothing is stated.
        Unstated = "unstated",
    }
}

/// Coefficients of friction in the thread and under the head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    mu_g: f64,
    mu_k: f64,
}

/// A coefficient of friction that no bolted joint has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrictionError {
    /// The coefficient given.
    pub mu: f64,
}

impl core::fmt::Display for FrictionError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(
            f,
            "{} is not a plausible friction coefficient; it must be between 0.01 and 1 and is usually near 0.12",
            self.mu
        )
    }
}

impl core::error::Error for FrictionError {}

impl Friction {
    /// Friction in the thread and under the head.
    ///
    /// # Errors
    /// [`FrictionError`] with the coefficient that is below 0.01, above 1 or not a number.
    pub fn new(mu_g: f64, mu_k: f64) -> Result<Self, FrictionError> {
        let bad = [mu_g, mu_k].into_iter().find(|mu| !(0.01..=1.0).contains(mu));
        bad.map_or(Ok(Self { mu_g, mu_k }), |mu| Err(FrictionError { mu }))
    }

    /// The same friction in the thread and under the head.
    ///
    /// # Errors
    /// As [`Friction::new`].
    pub fn same_for_both(mu: f64) -> Result<Self, FrictionError> {
        Self::new(mu, mu)
    }

    /// Friction in the thread.
    #[must_use]
    pub const fn mu_g(self) -> f64 {
        self.mu_g
    }

    /// Friction under the head or nut.
    #[must_use]
    pub const fn mu_k(self) -> f64 {
        self.mu_k
    }
}

/// Between which coefficients a surface state lies, and who says so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrictionRange {
    /// The lowest friction that must be allowed for.
    pub low: Friction,
    /// The highest friction that must be allowed for.
    pub high: Friction,
    /// Where the range comes from.
    pub source: &'static str,
}

const fn uniform_range(low_mu_ratio: f64, high_mu_ratio: f64, source: &'static str) -> FrictionRange {
    let low = Friction { mu_g: low_mu_ratio, mu_k: low_mu_ratio };
    let high = Friction { mu_g: high_mu_ratio, mu_k: high_mu_ratio };
    FrictionRange { low, high, source }
}

impl Lubrication {
    /// The range of friction to allow for.
    #[must_use]
    pub const fn friction_range(self) -> FrictionRange {
        match self {
            Self::Dry => uniform_range(0.14, 0.35, "VDI 2230 friction classes C and D"),
            Self::Oiled => {
                uniform_range(0.08, 0.18, "VDI 2230 class B; MIL-HDBK-60 table II, machine oil 0.15 ±20 %")
            }
            Self::Paste => uniform_range(
                0.04,
                0.14,
                "VDI 2230 class A; MIL-HDBK-60 table II, graphite and molybdenum ±20 %",
            ),
            Self::ThreadLocker => {
                uniform_range(0.10, 0.20, "assumption: wet thread-locker acts as a poor lubricant")
            }
            Self::Sealant => uniform_range(0.10, 0.25, "assumption: between oil and dry"),
            Self::Unstated => uniform_range(0.08, 0.30, "assumption: VDI 2230 classes B and C and most of D"),
        }
    }
}

units::worded! {
    /// What the thread and the bearing face are made of or coated with.
    pub enum FastenerSurface {
        /// Black or phosphated steel, or nothing is stated.
        Steel = "steel",
        /// Zinc plated.
        Zinc = "zinc",
        /// Zinc-nickel without a topcoat that lubricates.
        ZincNickel = "zinc-nickel",
        /// Cadmium plated.
        Cadmium = "cadmium",
        /// Austenitic stainless steel, which seizes when dry.
        Stainless = "stainless",
        /// Light alloy against steel.
        LightAlloy = "light-alloy" / "light alloy",
    }
}

impl FastenerSurface {
    /// The range of friction of this surface in a state of lubrication.
    ///
    /// Where no table distinguishes them, the state alone decides.
    #[must_use]
    pub const fn friction_range(self, lubrication: Lubrication) -> FrictionRange {
        use Lubrication as L;
        const ROUGH: &str = "VDI 2230 friction classes D and E; the upper end is an assumption";
        match (self, lubrication) {
            (Self::Zinc, L::Dry) => {
                uniform_range(0.13, 0.24, "VDI 2230 class C, bare zinc; MIL-HDBK-60 table II, 0.17 ±20 %")
            }
            (Self::Cadmium, L::Dry) => uniform_range(0.09, 0.15, "MIL-HDBK-60 table II, cadmium 0.12 ±20 %"),
            (Self::ZincNickel | Self::Stainless | Self::LightAlloy, L::Dry) => {
                uniform_range(0.20, 0.45, ROUGH)
            }
            (Self::Stainless | Self::LightAlloy, L::Oiled) => {
                uniform_range(0.10, 0.28, "assumption: oil helps little on metals prone to galling")
            }
            (Self::Stainless | Self::LightAlloy, L::Paste) => uniform_range(
                0.06,
                0.18,
                "assumption, round MIL-HDBK-60 table II: silvered stainless 0.14 ±20 %",
            ),
            (Self::ZincNickel | Self::Stainless | Self::LightAlloy, L::Unstated) => {
                uniform_range(0.08, 0.45, "assumption: from oiled to bare")
            }
            _ => lubrication.friction_range(),
        }
    }
}

/// Factor `K` of the short form `T = K·d·F` for a surface, as textbooks print it.
///
/// Budynas and Nisbett, Mechanical Engineering Design, 9th edition, table 8-15.
pub const TEXTBOOK_K: &[(&str, f64)] = &[
    ("not plated, black", 0.30),
    ("zinc plated", 0.20),
    ("lubricated", 0.18),
    ("cadmium plated", 0.16),
    ("with anti-seize", 0.12),
    ("special low-friction nuts", 0.09),
];
