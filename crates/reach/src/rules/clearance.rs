//! Rule 4: does every section of a piece clear the corridor where it lies?
//!
//! A section of diameter `d` on `[a, b]` clears a segment that it overlaps by more than 0.001 mm when
//! `d + 2 · 0.5 mm ≤ clear`. What lies below the top of the head counts to the first segment.
//!
//! Worked example: a socket 17.8 mm thick passes a bore of 18.8 mm; one 17.9 mm thick is 0.1 mm too thick.

use crate::site::CorridorStretch;
use model::OutlineSection;
use model::rules::PASS_CLEARANCE_MM;

/// Overlap that still counts as touching only.
const TOUCH_MM: f64 = 0.001;

/// By how much a section is too thick for the segments that it lies in.
pub(crate) fn section_short_mm(
    stretches: &[CorridorStretch],
    from_mm: f64,
    to_mm: f64,
    diameter_mm: f64,
) -> f64 {
    stretches
        .iter()
        .filter(|s| to_mm.min(s.to_mm) - from_mm.max(s.from_mm) > TOUCH_MM)
        .map(|s| diameter_mm + 2.0 * PASS_CLEARANCE_MM - s.clear_mm)
        .fold(0.0, f64::max)
}

/// By how much a piece that starts at a distance from the head is too thick.
pub(crate) fn piece_short_mm(
    stretches: &[CorridorStretch],
    start_mm: f64,
    outline: &[OutlineSection],
) -> f64 {
    let mut from_mm = start_mm;
    let mut worst_mm = 0.0_f64;
    for section in outline {
        let to_mm = from_mm + section.length.as_mm();
        worst_mm = worst_mm.max(section_short_mm(stretches, from_mm, to_mm, section.diameter.as_mm()));
        from_mm = to_mm;
    }
    worst_mm
}

/// The greatest diameter that passes everywhere on `[a, b]`.
pub(crate) fn greatest_diameter_mm(stretches: &[CorridorStretch], from_mm: f64, to_mm: f64) -> f64 {
    stretches
        .iter()
        .filter(|s| to_mm.min(s.to_mm) - from_mm.max(s.from_mm) > TOUCH_MM)
        .map(|s| s.clear_mm - 2.0 * PASS_CLEARANCE_MM)
        .fold(f64::INFINITY, f64::min)
}
