//! Whether the fasteners of a fixing fit into a compartment of a tray.
//!
//! Each fastener counts as a box `d × d × L`: `d` the head's largest diameter, `L` the length under the head and the
//! head's height (a recessed head counts as high as its recess is deep; a nut is its height, a stud its length). They
//! fit if one lies flat — `L` within the longer side, `d` within the shorter side and the height — and all boxes together
//! fill at most [`FILL_FRACTION`] of the compartment.
//!
//! **Worked example.** Six M6 × 25 with a head of 6 mm height and 13 mm: 6 · 13² · 31 = 31 400 mm³. A compartment of
//! 40 × 50 × 30 mm holds 0.6 · 60 000 = 36 000 mm³: they fit, and a seventh would not.

use model::{Fixing, Tray};

/// Share of a compartment that loose fasteners fill by their boxes (assumption: tipped in, not stacked).
pub const FILL_FRACTION: f64 = 0.6;

/// Whether all fasteners of a fixing fit into one compartment of a tray.
#[must_use]
pub fn fits_compartment(fixing: &Fixing, tray: &Tray) -> bool {
    let d_mm = fixing.head.diameter.as_mm();
    let length_mm = fixing.length.map_or(0.0, units::Length::as_mm) + fixing.head.grip_height.as_mm();
    let (width_mm, depth_mm, height_mm) = (tray.width.as_mm(), tray.depth.as_mm(), tray.height.as_mm());
    let lies = length_mm <= width_mm.max(depth_mm) && d_mm <= width_mm.min(depth_mm).min(height_mm);
    let boxes_mm3 = fixing.holes.len() as f64 * d_mm * d_mm * length_mm;
    lies && boxes_mm3 <= FILL_FRACTION * width_mm * depth_mm * height_mm
}
