//! The title block at the foot of every drawing, after the idea of ISO 7200: always in the same place.

use crate::drawing::{Drawing, DrawingPen, INK, TextAnchor};

/// Height of the title block.
pub const FOOT_PX: f64 = 54.0;

/// Draws fields of equal width along the foot: a small name above its value.
pub fn draw_title_block(svg: &mut Drawing, width_px: f64, top_px: f64, fields: &[(String, String)]) {
    svg.line((0.0, top_px), (width_px, top_px), DrawingPen::THICK);
    let share_px = width_px / fields.len().max(1) as f64;
    for (i, (name, value)) in fields.iter().enumerate() {
        let x = share_px * i as f64;
        if i > 0 {
            svg.line((x, top_px), (x, top_px + FOOT_PX), DrawingPen::THIN);
        }
        svg.text((x + 10.0, top_px + 19.0), 13.0, TextAnchor::Start, false, INK, name);
        let size_px = if value.chars().count() as f64 * 9.6 > share_px - 16.0 { 13.0 } else { 18.0 };
        let most = ((share_px - 16.0) / (size_px * 0.53)) as usize;
        svg.text(
            (x + 10.0, top_px + 43.0),
            size_px,
            TextAnchor::Start,
            true,
            INK,
            &shorten_text(value, most),
        );
    }
}

/// A text cut to a number of characters, ending in an ellipsis where it was cut.
#[must_use]
pub fn shorten_text(text: &str, most_chars: usize) -> String {
    if text.chars().count() <= most_chars {
        return text.into();
    }
    let kept: String = text.chars().take(most_chars.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}
