//! Rule 11, figures: is the setting within what the torque tool may be trusted with, and do joints keep it true?
//!
//! A crow-foot held in line outward lengthens the wrench's arm `L` by its offset `E`, so the wrench is set to
//! `T · L/(L + E)`. A joint at angle `β` passes a torque that swings by up to `1/cos β − 1`; several multiply.
//!
//! Worked example: 20 N·m, `L` = 162 mm, `E` = 22 mm: set 17.61 N·m. One joint at 20°: 1/cos 20° − 1 = 6.4 %.

use bolting::joint_piece::worst_error_fraction;
use bolting::wrench::WrenchOffset;
use model::{BendTaken, Grip, GripApproach, TorqueMeasure};
use units::{Angle, Length, Torque};

/// What the wrench is to be set to for a torque at the fastener.
pub(crate) fn wrench_setting(measure: &TorqueMeasure, grip: &Grip, torque: Torque) -> Torque {
    let adapter = if grip.approach == GripApproach::Side { grip.offset } else { Length::ZERO };
    WrenchOffset::new(measure.arm, adapter, Angle::ZERO).map_or(torque, |offset| offset.setting_for(torque))
}

/// By how much the setting lies outside the usable range.
pub(crate) fn range_short_n_m(measure: &TorqueMeasure, setting: Torque) -> f64 {
    let (low, high) = measure.usable_torques();
    (low.as_n_m() - setting.as_n_m()).max(setting.as_n_m() - high.as_n_m())
}

/// Greatest deviation by joints at an angle, as a fraction.
pub(crate) fn joint_error_fraction<'t>(taken: impl IntoIterator<Item = &'t BendTaken>) -> f64 {
    let angles: Vec<Angle> = taken.into_iter().map(|t| t.angle).collect();
    worst_error_fraction(&angles)
}
