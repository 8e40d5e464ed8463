//! Universal joints in the torque chain: how far the torque at the fastener may differ from the wrench's.
//!
//! **Question.** What is a 4 % torque wrench worth behind a joint at 20°?
//!
//! **Symbols.** `b` angle of the joint, `θ` turn of the driving yoke, `Tin`, `Tout` torques. Without friction the power
//! in equals the power out, so torque rises where speed falls:
//!
//! ```text
//! Tout/Tin = (1 − sin²b·cos²θ)/cos b,   between cos b and 1/cos b twice a turn
//! ```
//!
//! A torque wrench takes one static reading somewhere between the two; where depends on the yoke. So the answer is an
//! interval, never a correction. **Range.** Friction in the joint is left out; below 90°.
//!
//! **Worked example.** 15°: 0.9659 to 1.0353, so −3.4 to +3.5 %: the joint alone uses up a 4 % tolerance near 16°.
//!
//! **Sources.** Kinematics of the single joint as in any text; the numbers are recomputed. A drive-shaft maker's limit
//! `1/cos b − cos b ≤ 0.0027` is 3°.

use units::{Angle, math};

/// The greatest angle for which the formula is used; beyond it a joint locks.
const MAX_JOINT_DEG: f64 = 80.0;

/// Torque out over torque in, over a turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointTorqueRatio {
    /// At the worst yoke position downwards.
    pub least_ratio: f64,
    /// Averaged over a turn of the driving yoke.
    pub mean_ratio: f64,
    /// At the worst yoke position upwards.
    pub greatest_ratio: f64,
}

fn cos_of_joint(angle: Angle) -> f64 {
    math::cos_deg(angle.as_deg().abs().min(MAX_JOINT_DEG))
}

/// Torque ratio at a joint angle and a turn of the driving yoke.
#[must_use]
pub fn torque_ratio_at(angle: Angle, turned: Angle) -> f64 {
    let cos_b = cos_of_joint(angle);
    let cos_in = math::cos_deg(turned.as_deg());
    (1.0 - (1.0 - cos_b * cos_b) * cos_in * cos_in) / cos_b
}

/// Least, mean and greatest torque ratio at a joint angle; angles beyond 80° count as 80°.
#[must_use]
pub fn torque_ratio(angle: Angle) -> JointTorqueRatio {
    let cos_b = cos_of_joint(angle);
    // The mean of cos² over a turn is one half.
    let mean_ratio = (1.0 - (1.0 - cos_b * cos_b) / 2.0) / cos_b;
    JointTorqueRatio { least_ratio: cos_b, mean_ratio, greatest_ratio: 1.0 / cos_b }
}

/// Non-uniformity `U = 1/cos b − cos b`.
#[must_use]
pub fn unevenness_ratio(angle: Angle) -> f64 {
    let cos_b = cos_of_joint(angle);
    1.0 / cos_b - cos_b
}

/// Largest error, as a fraction, that joints in series can make with their yokes in the worst position.
///
/// Two joints cancel only with yokes in phase and equal angles, which nobody arranges in an engine bay.
#[must_use]
pub fn worst_error_fraction(angles: &[Angle]) -> f64 {
    let product: f64 = angles.iter().map(|a| cos_of_joint(*a)).product();
    1.0 / product - 1.0
}

/// The angle at which a single joint uses up a tolerance.
#[must_use]
pub fn angle_for_error(tolerance_fraction: f64) -> Angle {
    let cos_b = 1.0 / (1.0 + tolerance_fraction.max(0.0));
    Angle::from_deg(math::acos(cos_b) * 180.0 / core::f64::consts::PI)
}
