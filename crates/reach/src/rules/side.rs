//! Rule 8: is there room beside the head for a flat tool and, on a square, for its shaft?

use model::{Grip, SideRoom};

/// By how much a flat head is too thick or too wide; without any side room, its own thickness.
pub(crate) fn room_short_mm(side: Option<&SideRoom>, grip: &Grip) -> f64 {
    let Some(side) = side else { return grip.depth.as_mm().max(1.0) };
    let thick_mm = grip.depth.as_mm() - side.height.as_mm();
    let wide_mm = 0.5 * grip.head_width.as_mm() - side.radial.as_mm();
    thick_mm.max(wide_mm).max(0.0)
}

/// By how much a further piece on a crow-foot's square reaches beyond the room.
pub(crate) fn side_reach_short_mm(side: &SideRoom, offset_mm: f64, diameter_mm: f64) -> f64 {
    offset_mm + 0.5 * diameter_mm - side.reach.as_mm()
}

/// By how much the stack on a crow-foot's square is longer than the room.
pub(crate) fn side_headroom_short_mm(side: &SideRoom, top_mm: f64, hand_room_mm: f64) -> f64 {
    top_mm + hand_room_mm - side.headroom.as_mm()
}
