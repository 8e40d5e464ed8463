//! Rule 7: how far can the handle be swung, and is that at least one step?
//!
//! With `s` the ratchet's step (360° / teeth) or, without one, the grip's index (60° six-point, 30° twelve-point or an
//! open end turned over; a square head: 90°, jaws turned over 60°), `A` the free arc at the handle's radius and 2° of play, the usable steps are
//! `⌊(A − 2°)/s⌋`; one at least is needed. The stroke is that number of steps, at most 120°, at least one step.
//!
//! Worked example: 72 teeth give `s = 5°`; with `A = 20°` there are `⌊18/5⌋ = 3` steps and a stroke of 15°.

use crate::site::ReachSite;
use model::rules::{FIST_RADIUS_MM, INLINE_ARC_DEG, MAX_STROKE_DEG, SWING_PLAY_DEG};
use model::{Access, DriveForm, Grip, GripApproach, Handle, HandleStyle};
use units::{Angle, Length};

/// The angle after which the handle may be taken back.
pub(crate) fn step_deg(site: &ReachSite, handle: &Handle, grip: &Grip) -> f64 {
    match handle.step {
        Some(step) => step.as_deg(),
        None if site.drive.form() == DriveForm::Square => square_index_deg(grip.index.as_deg()),
        None => grip.index.as_deg(),
    }
}

/// Four flats let a head be put on again after 90°; jaws that are turned over stand at 15° either way, so that the wider
/// of their two gaps counts, 60° (geometry).
fn square_index_deg(index_deg: f64) -> f64 {
    if index_deg < 60.0 { 60.0 } else { 90.0 }
}

/// The free arc at a radius: at the head for side grips, at the end of the corridor for others.
pub(crate) fn free_arc(site: &ReachSite, approach: GripApproach, radius: Length) -> Angle {
    match approach {
        GripApproach::Axial => Access::arc_for(&site.access.swings, radius),
        GripApproach::Side => {
            site.access.side.as_ref().map_or(Angle::ZERO, |s| Access::arc_for(&s.swings, radius))
        }
    }
}

/// The usable stroke of a swung handle; `None` where not even one step is free.
pub(crate) fn stroke_deg(arc_deg: f64, step_deg: f64) -> Option<f64> {
    let steps = units::math::floor((arc_deg - SWING_PLAY_DEG) / step_deg);
    (step_deg > 0.0 && steps >= 1.0).then(|| (steps * step_deg).min(MAX_STROKE_DEG).max(step_deg))
}

/// What a handle can do in the arc that is free for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct HandleSwing {
    pub arc_deg: f64,
    /// Usable stroke of a swung handle; 0 for others, and where no step is free.
    pub stroke_deg: f64,
    /// What is missing to one step, or to a fist's arc.
    pub short_deg: f64,
}

/// The arc, the stroke and what is missing.
pub(crate) fn swing_of_handle(site: &ReachSite, grip: &Grip, handle: &Handle) -> HandleSwing {
    let arc_deg = |radius| free_arc(site, grip.approach, radius).as_deg();
    match handle.style {
        HandleStyle::Ratchet | HandleStyle::Bar => {
            let (arc_deg, step_deg) = (arc_deg(handle.radius), step_deg(site, handle, grip));
            match stroke_deg(arc_deg, step_deg) {
                Some(stroke_deg) => HandleSwing { arc_deg, stroke_deg, short_deg: 0.0 },
                None => HandleSwing { arc_deg, stroke_deg: 0.0, short_deg: missing_deg(arc_deg, step_deg) },
            }
        }
        HandleStyle::InLine => {
            let arc_deg = arc_deg(Length::from_mm(FIST_RADIUS_MM));
            HandleSwing { arc_deg, stroke_deg: 0.0, short_deg: INLINE_ARC_DEG - arc_deg }
        }
        HandleStyle::Power | HandleStyle::Squeeze => {
            HandleSwing { arc_deg: 360.0, stroke_deg: 0.0, short_deg: 0.0 }
        }
    }
}

/// Always above zero: called only where no step is free.
fn missing_deg(arc_deg: f64, step_deg: f64) -> f64 {
    (step_deg + SWING_PLAY_DEG - arc_deg).max(0.001)
}
