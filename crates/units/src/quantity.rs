//! The quantities of the job, each its own type with a private, always finite number inside.
//!
//! A torque and an energy share a dimension but not a type; a swapped argument does not compile.

use crate::parse::{self, QuantityError, Unit};

macro_rules! unit {
    ($symbol:literal, [$($alias:literal),*], $factor:expr) => {
        Unit { symbol: $symbol, aliases: &[$($alias),*], factor: $factor, spaced: true }
    };
    ($symbol:literal, $aliases:ident, $factor:expr) => {
        Unit { symbol: $symbol, aliases: $aliases, factor: $factor, spaced: true }
    };
    (tight $symbol:literal, [$($alias:literal),*], $factor:expr) => {
        Unit { symbol: $symbol, aliases: &[$($alias),*], factor: $factor, spaced: false }
    };
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $label:literal, $sample:literal,
     base $from:ident $as:ident, $([$from_other:ident $as_other:ident $factor:expr],)*
     units $units:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, serde::Serialize, serde::Deserialize)]
        #[serde(from = "f64", into = "f64")]
        pub struct $name(f64);

        impl From<f64> for $name {
            fn from(base: f64) -> Self { Self::$from(base) }
        }
        impl From<$name> for f64 {
            fn from(quantity: $name) -> Self { quantity.0 }
        }

        impl $name {
            /// Zero.
            pub const ZERO: Self = Self(0.0);
            /// The units that are read; the first is the base unit.
            pub const UNITS: &'static [Unit] = $units;

            #[doc = concat!("The ", $label, " from its base unit; a value that is not a number counts as zero.")]
            #[must_use]
            pub const fn $from(value: f64) -> Self {
                if value.is_nan() { Self(0.0) } else { Self(value.clamp(-f64::MAX, f64::MAX)) }
            }
            #[doc = concat!("The ", $label, " in its base unit.")]
            #[must_use]
            pub const fn $as(self) -> f64 { self.0 }
            $(
                #[doc = concat!("The ", $label, " from the unit in the name.")]
                #[must_use]
                pub const fn $from_other(value: f64) -> Self { Self::$from(value * $factor) }
                #[doc = concat!("The ", $label, " in the unit in the name.")]
                #[must_use]
                pub const fn $as_other(self) -> f64 { self.0 / $factor }
            )*
            #[doc = concat!("Reads the ", $label, " written as in `", $sample, "`.")]
            ///
            /// # Errors
            /// [`QuantityError`] with the bad text and what to write instead.
            pub fn parse(text: &str) -> Result<Self, QuantityError> {
                Self::parse_with_unit(text).map(|(value, _)| value)
            }
            #[doc = concat!("Reads the ", $label, " and keeps the unit that it was written in.")]
            ///
            /// # Errors
            /// [`QuantityError`] with the bad text and what to write instead.
            pub fn parse_with_unit(text: &str) -> Result<(Self, &'static Unit), QuantityError> {
                let (value, unit) = parse::quantity(text, $label, Self::UNITS, $sample)?;
                Ok((Self(value), unit))
            }
            /// The figure in a unit, with at most `digits` significant digits, and the unit behind it.
            #[must_use]
            pub fn show_in(self, unit: &Unit, digits: u32) -> String {
                let figure = parse::significant(self.0 / unit.factor, digits);
                if unit.spaced { format!("{figure} {}", unit.symbol) } else { format!("{figure}{}", unit.symbol) }
            }
            /// The smaller of two.
            #[must_use]
            pub const fn min(self, other: Self) -> Self { Self(self.0.min(other.0)) }
            /// The larger of two.
            #[must_use]
            pub const fn max(self, other: Self) -> Self { Self(self.0.max(other.0)) }
            /// The magnitude without its sign.
            #[must_use]
            pub const fn abs(self) -> Self { Self(self.0.abs()) }
        }

        impl core::fmt::Display for $name {
            fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
                f.write_str(&self.show_in(&Self::UNITS[0], 4))
            }
        }
        impl core::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self { Self::$from(self.0 + other.0) }
        }
        impl core::ops::AddAssign for $name {
            fn add_assign(&mut self, other: Self) { *self = *self + other; }
        }
        impl core::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self { Self::$from(self.0 - other.0) }
        }
        impl core::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self { Self::$from(self.0 * factor) }
        }
        impl core::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self { Self::$from(self.0 / divisor) }
        }
        impl core::ops::Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 { self.0 / other.0 }
        }
        impl core::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self { iter.fold(Self::ZERO, |a, b| a + b) }
        }
    };
}

/// Newton metres in one pound-force foot: 0.453 592 37 kg × 9.806 65 m/s² × 0.3048 m, exact by definition.
pub const N_M_PER_LBF_FT: f64 = 1.355_817_948_331_400_4;
/// Newton metres in one pound-force inch, a twelfth of a pound-force foot.
pub const N_M_PER_LBF_IN: f64 = 0.112_984_829_027_616_7;
/// Newton metres in one kilogram-force metre, exact by definition of standard gravity.
pub const N_M_PER_KGF_M: f64 = 9.806_65;
/// Newtons in one pound-force.
pub const N_PER_LBF: f64 = 4.448_221_615_260_5;

quantity! {
    /// A length; base unit the millimetre.
    Length, "length", "12 mm", base from_mm as_mm, [from_in as_in 25.4],
    units &[
        unit!("mm", ["millimetre", "millimeter", "millimetres"], 1.0),
        unit!("cm", [], 10.0),
        unit!("m", ["metre", "meter"], 1000.0),
        unit!("in", ["inch", "\"", "inches"], 25.4),
        unit!("ft", ["foot", "feet"], 304.8),
    ]
}
/// How manuals and wrenches write `lbf·ft` (common practice, no single source).
const FOOT_POUND_SPELLINGS: &[&str] = &[
    "lbf ft",
    "ft·lbf",
    "ft-lb",
    "lb-ft",
    "lbft",
    "ftlb",
    "lbf.ft",
    "ft.lbf",
    "ft·lb",
    "lb·ft",
    "ft.lb",
    "lb.ft",
    "ft-lbf",
    "lbf-ft",
    "ftlbf",
    "ft-lbs",
    "lbs-ft",
    "ftlbs",
    "lbsft",
    "ft·lbs",
    "lbs·ft",
    "ft.lbs",
    "lbs.ft",
    "foot-pound",
    "foot-pounds",
    "foot pound",
    "foot pounds",
];
/// How manuals and wrenches write `lbf·in` (common practice, no single source).
const INCH_POUND_SPELLINGS: &[&str] = &[
    "lbf in",
    "in·lbf",
    "in-lb",
    "lb-in",
    "lbin",
    "inlb",
    "lbf.in",
    "in.lbf",
    "in·lb",
    "lb·in",
    "in.lb",
    "lb.in",
    "in-lbf",
    "lbf-in",
    "inlbf",
    "in-lbs",
    "lbs-in",
    "inlbs",
    "lbsin",
    "in·lbs",
    "lbs·in",
    "in.lbs",
    "lbs.in",
    "inch-pound",
    "inch-pounds",
    "inch pound",
    "inch pounds",
];

quantity! {
    /// A torque; base unit the newton metre.
    Torque, "torque", "9 N·m", base from_n_m as_n_m,
    [from_lbf_ft as_lbf_ft N_M_PER_LBF_FT], [from_lbf_in as_lbf_in N_M_PER_LBF_IN],
    units &[
        unit!("N·m", ["Nm", "N m", "N.m", "N*m", "N⋅m", "newton metre"], 1.0),
        unit!("lbf·ft", FOOT_POUND_SPELLINGS, N_M_PER_LBF_FT),
        unit!("lbf·in", INCH_POUND_SPELLINGS, N_M_PER_LBF_IN),
        unit!("kgf·m", ["kgf m", "kgf.m", "kgm", "mkp"], N_M_PER_KGF_M),
        unit!("N·cm", ["Ncm", "N cm"], 0.01),
    ]
}
quantity! {
    /// A force; base unit the newton.
    Force, "force", "200 N", base from_n as_n, [from_kn as_kn 1000.0],
    units &[
        unit!("N", ["newton"], 1.0),
        unit!("kN", [], 1000.0),
        unit!("lbf", [], N_PER_LBF),
    ]
}
quantity! {
    /// A plane angle; base unit the degree.
    Angle, "angle", "90°", base from_deg as_deg, [from_turns as_turns 360.0],
    units &[
        unit!(tight "°", ["deg", "degree", "degrees"], 1.0),
        unit!("turn", ["turns", "rev"], 360.0),
    ]
}
quantity! {
    /// A mass; base unit the kilogram.
    Mass, "mass", "4.5 kg", base from_kg as_kg,
    units &[
        unit!("kg", [], 1.0),
        unit!("g", ["gram"], 0.001),
        unit!("lb", ["lbs"], 0.453_592_37),
    ]
}
quantity! {
    /// A pressure; base unit the megapascal (N/mm²).
    Pressure, "pressure", "640 MPa", base from_mpa as_mpa, [from_bar as_bar 0.1],
    units &[
        unit!("MPa", ["N/mm2", "N/mm²"], 1.0),
        unit!("bar", [], 0.1),
        unit!("kPa", [], 0.001),
        unit!("psi", [], 0.006_894_757_293_168_361),
    ]
}
quantity! {
    /// A distance driven; base unit the kilometre.
    Distance, "distance", "240000 km", base from_km as_km,
    units &[
        unit!("km", [], 1.0),
        unit!("mi", ["mile", "miles"], 1.609_344),
    ]
}
quantity! {
    /// A span of time; base unit the second.
    Duration, "time", "20 min", base from_s as_s, [from_min as_min 60.0], [from_h as_h 3600.0],
    units &[
        unit!("s", ["sec", "second", "seconds"], 1.0),
        unit!("min", ["minute", "minutes"], 60.0),
        unit!("h", ["hour", "hours", "hr"], 3600.0),
        unit!("d", ["day", "days"], 86400.0),
    ]
}

impl Duration {
    /// As a person would say it: `40 s`, `12 min`, `3 h 20 min`.
    #[must_use]
    pub fn spoken_text(self) -> String {
        if self.as_s() < 90.0 {
            return format!("{} s", libm::round(self.as_s()));
        }
        let minutes = libm::round(self.as_min()) as i64;
        match (minutes / 60, minutes % 60) {
            (0, m) => format!("{m} min"),
            (h, 0) => format!("{h} h"),
            (h, m) => format!("{h} h {m} min"),
        }
    }
}

impl core::ops::Mul<Length> for Force {
    type Output = Torque;
    fn mul(self, arm: Length) -> Torque {
        Torque::from_n_m(self.as_n() * arm.as_mm() / 1000.0)
    }
}

impl core::ops::Div<Length> for Torque {
    type Output = Force;
    fn div(self, arm: Length) -> Force {
        Force::from_n(self.as_n_m() / (arm.as_mm() / 1000.0))
    }
}
