//! The room that a page has for the drawing of a step: what is drawn for it is drawn at its true size.

/// Width and height of the place of a drawing, in the pixels of a page.
///
/// A page tells its own; a drawing that is laid out for them has letters of the size that it says, and rings for a thumb.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawingRoom {
    /// Width, px.
    pub width_px: f64,
    /// Height, px.
    pub height_px: f64,
}

/// Least and greatest side of a room, px: what a page says that no screen has is brought between them.
const SIDES_PX: (f64, f64) = (120.0, 2_000.0);

impl DrawingRoom {
    /// A room of a page; sides that no screen has are brought to the nearest that one has.
    #[must_use]
    pub fn of_page(width_px: u32, height_px: u32) -> Self {
        let side = |px: u32| f64::from(px).clamp(SIDES_PX.0, SIDES_PX.1);
        Self { width_px: side(width_px), height_px: side(height_px) }
    }
}

impl Default for DrawingRoom {
    /// That of a phone held upright, 390 px wide.
    fn default() -> Self {
        Self { width_px: 378.0, height_px: 250.0 }
    }
}
