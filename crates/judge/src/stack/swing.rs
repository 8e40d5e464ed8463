//! Rule 7: can the handle be swung by at least one step?

use super::side::{FastenerSide, free_arc_deg};
use super::{DutyNotes, FORGIVEN, shape};
use model::{Grip, GripApproach, Handle, HandleStyle, Swing, rules};
use units::math;

/// Free arc and steps.
pub(super) fn rule_7(side: &FastenerSide, grip: &Grip, handle: &Handle, notes: &mut DutyNotes) {
    if shape::is_swung_handle(handle) && swing_stroke_deg(side, grip, handle).is_none() {
        notes.add("J407", format!("a handle of {} has no arc for one step", handle.radius));
    }
    if handle.style == HandleStyle::InLine {
        let arc_deg = swings_for_grip(side, grip).map_or(0.0, |s| free_arc_deg(s, rules::FIST_RADIUS_MM));
        notes.check_at_most("J407", rules::INLINE_ARC_DEG, arc_deg, "a fist cannot turn, degrees wanted");
    }
}

fn swings_for_grip<'s>(side: &'s FastenerSide, grip: &Grip) -> Option<&'s [Swing]> {
    match grip.approach {
        GripApproach::Axial => Some(&side.access.swings),
        GripApproach::Side => side.access.side.as_ref().map(|s| &s.swings[..]),
    }
}

/// The stroke of a swung handle; `None` where not one step is free.
pub(super) fn swing_stroke_deg(side: &FastenerSide, grip: &Grip, handle: &Handle) -> Option<f64> {
    let step_deg = match (handle.step, side.drive.form()) {
        (Some(step), _) => step.as_deg(),
        // A quarter of a turn; with jaws that are turned over, a sixth at the wider of their two gaps.
        (None, model::DriveForm::Square) if grip.index.as_deg() < 60.0 => 60.0,
        (None, model::DriveForm::Square) => 90.0,
        (None, _) => grip.index.as_deg(),
    };
    let arc_deg = free_arc_deg(swings_for_grip(side, grip)?, handle.radius.as_mm());
    if step_deg <= 0.0 {
        return None;
    }
    let steps = math::floor((arc_deg - rules::SWING_PLAY_DEG) / step_deg + FORGIVEN);
    (steps >= 1.0).then(|| (steps * step_deg).min(rules::MAX_STROKE_DEG).max(step_deg))
}
