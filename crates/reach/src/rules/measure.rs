//! Rule 11, figures: is the setting within what the torque tool may be trusted with, and do joints keep it true?
//!
//! A crow-foot held in line outward lengthens the wrench's arm `L` by its offset `E`, so the wrench is set to
//! `T · L/(L + E)`. A joint at angle `β` passes a torque that swings by up to `1/cos β − 1`; several multiply.
//!
//! Worked example: 20 N·m, `L` = 162 mm, `E` = 22 mm: set 17.61 N·m. One joint at 20°: 1/cos 20° − 1 = 6.4 %.

use model::{Approach, BendTaken, Grip, Measure};
use units::Torque;
use units::math::cos_deg;

/// What the wrench is to be set to for a torque at the fastener.
pub(crate) fn setting(measure: &Measure, grip: &Grip, torque: Torque) -> Torque {
    let offset = if grip.approach == Approach::Side { grip.offset.as_mm() } else { 0.0 };
    let arm = measure.arm.as_mm();
    if offset == 0.0 { torque } else { torque * (arm / (arm + offset)) }
}

/// By how much the setting lies outside the usable range.
pub(crate) fn short_n_m(measure: &Measure, setting: Torque) -> f64 {
    let (low, high) = measure.usable();
    (low.as_n_m() - setting.as_n_m()).max(setting.as_n_m() - high.as_n_m())
}

/// Greatest deviation by joints at an angle, as a fraction.
pub(crate) fn joint_error_fraction<'t>(taken: impl IntoIterator<Item = &'t BendTaken>) -> f64 {
    let ratio: f64 = taken.into_iter().map(|t| 1.0 / cos_deg(t.angle.as_deg().min(89.9))).product();
    ratio - 1.0
}
