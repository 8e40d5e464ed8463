//! Rule 5: does the stack reach out of the corridor, and does it fit below what is above?
//!
//! The arm plane is the middle of the handle piece's last section: there the arm swings. It must lie outside the
//! corridor for swung handles; in-line handles project 60 mm; power drivers and pliers reach the end of it.

use model::rules::INLINE_CLEAR_MM;
use model::{HandleStyle, Piece};

/// The plane in which a handle's arm moves.
pub(crate) fn arm_plane_mm(top_mm: f64, handle_piece: &Piece) -> f64 {
    top_mm - 0.5 * handle_piece.outline.last().map_or(0.0, |s| s.length.as_mm())
}

/// What is missing to reach out of a corridor of this depth.
pub(crate) fn reach_short_mm(style: HandleStyle, top_mm: f64, arm_plane_mm: f64, depth_mm: f64) -> f64 {
    match style {
        HandleStyle::Ratchet | HandleStyle::Bar => depth_mm - arm_plane_mm,
        HandleStyle::InLine => depth_mm + INLINE_CLEAR_MM - top_mm,
        HandleStyle::Power | HandleStyle::Squeeze => depth_mm - top_mm,
    }
}

/// By how much the stack with the hand is longer than the headroom.
pub(crate) fn headroom_short_mm(top_mm: f64, hand_room_mm: f64, headroom_mm: f64) -> f64 {
    top_mm + hand_room_mm - headroom_mm
}
