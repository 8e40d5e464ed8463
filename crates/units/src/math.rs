//! The only place for transcendental functions, so that every machine computes the same bits.
//!
//! The platform's `sin`, `exp` and friends differ in the last digit between systems; printed cards and stored
//! plans must not. All crates call these; `clippy.toml` bans the methods of `f64`.

pub use libm::{
    acos, asin, atan, atan2, ceil, cos, exp, floor, hypot, log as ln, log10, pow, round, sin, sqrt, tan,
};

/// Degrees to radians.
#[must_use]
pub fn radians_from_deg(angle_deg: f64) -> f64 {
    angle_deg * core::f64::consts::PI / 180.0
}

/// Sine of an angle in degrees.
#[must_use]
pub fn sin_deg(angle_deg: f64) -> f64 {
    sin(radians_from_deg(angle_deg))
}

/// Cosine of an angle in degrees.
#[must_use]
pub fn cos_deg(angle_deg: f64) -> f64 {
    cos(radians_from_deg(angle_deg))
}

/// Tangent of an angle in degrees.
#[must_use]
pub fn tan_deg(angle_deg: f64) -> f64 {
    tan(radians_from_deg(angle_deg))
}
