//! The title block at the foot of every drawing, after the idea of ISO 7200: always in the same place.

use crate::drawing::{Drawing, DrawingPen, INK, TextAnchor};
use crate::words::{shorten_to_width, text_width_px};

/// Height of the title block.
pub const FOOT_PX: f64 = 54.0;
/// Size of a field's name, of its value, and of a value that would not fit.
const SIZES_PX: (f64, f64, f64) = (16.0, 19.0, 16.0);
/// Free space at each side of a value.
const PAD_PX: f64 = 10.0;

/// Draws fields along the foot, a small name above its value; each as wide as its words ask of the whole.
pub fn draw_title_block(svg: &mut Drawing, width_px: f64, top_px: f64, fields: &[(String, String)]) {
    svg.line((0.0, top_px), (width_px, top_px), DrawingPen::THICK);
    let natural_px: Vec<f64> = fields
        .iter()
        .map(|(name, value)| {
            let name_px = text_width_px(name, SIZES_PX.0, false);
            text_width_px(value, SIZES_PX.1, true).max(name_px) + 2.0 * PAD_PX
        })
        .collect();
    let whole_px: f64 = natural_px.iter().sum();
    let mut x = 0.0;
    for (i, ((name, value), natural)) in fields.iter().zip(&natural_px).enumerate() {
        let share_px = width_px * natural / whole_px.max(1.0);
        if i > 0 {
            svg.line((x, top_px), (x, top_px + FOOT_PX), DrawingPen::THIN);
        }
        let room_px = share_px - 2.0 * PAD_PX + 0.5;
        let name = shorten_to_width(name, SIZES_PX.0, false, room_px);
        svg.text((x + PAD_PX, top_px + 20.0), SIZES_PX.0, TextAnchor::Start, false, INK, &name);
        let is_wide = text_width_px(value, SIZES_PX.1, true) > room_px;
        let size_px = if is_wide { SIZES_PX.2 } else { SIZES_PX.1 };
        let value = shorten_to_width(value, size_px, true, room_px);
        svg.text((x + PAD_PX, top_px + 44.0), size_px, TextAnchor::Start, true, INK, &value);
        x += share_px;
    }
}

/// Draws the title of a drawing at its top left, in one line.
pub fn draw_title(svg: &mut Drawing, at: (f64, f64), size_px: f64, title: &str) {
    let room_px = svg.width_px - at.0 - 10.0;
    let title = shorten_to_width(title, size_px, true, room_px);
    svg.text(at, size_px, TextAnchor::Start, true, INK, &title);
}
