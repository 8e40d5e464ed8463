//! Rule 2: how far does a grip take hold of the head, and is that enough?
//!
//! With `h` the grip height, `s` the protrusion of a stud above a nut, `d` the grip's depth (bore, blade or
//! thickness): `e = min(h, d − s)` for grips that come along the axis over the head, `e = min(h, d)` for grips that go
//! into it or come from the side, `e = 0` for drives that are not turned. Enough is `e ≥ 0.6 h`.
//!
//! Worked example: a nut 8 mm high with 5 mm of stud above it and a socket 12 mm deep: `e = min(8, 7) = 7 ≥ 4.8`.
//! A socket 9 mm deep takes hold of 4 mm and slips.

use crate::site::ReachSite;
use model::rules::MIN_ENGAGEMENT_FRACTION;
use model::{Grip, GripApproach};

/// The engagement `e`.
pub(crate) fn engaged_mm(grip: &Grip, site: &ReachSite) -> f64 {
    if !site.drive.is_turned() {
        return 0.0;
    }
    let over = grip.approach == GripApproach::Axial && !site.drive.is_internal();
    let depth_mm = grip.depth.as_mm() - if over { site.protrusion_mm } else { 0.0 };
    site.grip_height_mm.min(depth_mm)
}

/// Shortfall from a safe engagement, mm.
pub(crate) fn engagement_short_mm(engaged_mm: f64, site: &ReachSite) -> f64 {
    if site.drive.is_turned() { MIN_ENGAGEMENT_FRACTION * site.grip_height_mm - engaged_mm } else { 0.0 }
}
