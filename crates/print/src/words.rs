//! Words on a drawing, measured as they are written: how wide, where they break, what is left when room is short.
//!
//! The widths are those of the embedded face, the same that paper is laid out by. In SVG each text carries its width, so a
//! browser that has to take another face sets it no wider.

use crate::drawing::{Drawing, DrawingShape, TextAnchor};
use crate::paper::LetterFaces;

/// Width of a letter against its size where no face can be read (assumption: a wide letter).
const FALLBACK_RATIO: f64 = 0.65;

/// Width of words in drawing units.
#[must_use]
pub fn text_width_px(text: &str, size_px: f64, bold: bool) -> f64 {
    LetterFaces::shared().map_or_else(
        || text.chars().count() as f64 * size_px * FALLBACK_RATIO,
        |letters| letters.width_mm(text, size_px, bold),
    )
}

/// Words no wider than a room: cut at their end with an ellipsis where they are wider.
#[must_use]
pub fn shorten_to_width(text: &str, size_px: f64, bold: bool, room_px: f64) -> String {
    if text_width_px(text, size_px, bold) <= room_px {
        return text.into();
    }
    let mut kept: Vec<char> = text.chars().collect();
    while !kept.is_empty() {
        kept.pop();
        let cut: String = kept.iter().collect();
        let shown = format!("{}…", cut.trim_end());
        if text_width_px(&shown, size_px, bold) <= room_px {
            return shown;
        }
    }
    String::new()
}

/// Words in lines no wider than a room, at most so many; the last is cut where there are more.
#[must_use]
pub fn wrap_to_width(text: &str, size_px: f64, bold: bool, room_px: f64, max_lines: usize) -> Vec<String> {
    let Some(letters) = LetterFaces::shared() else { return vec![text.into()] };
    let mut lines = letters.wrap(text, size_px, bold, room_px);
    if lines.len() > max_lines {
        let rest = lines.split_off(max_lines.saturating_sub(1)).join(" ");
        if max_lines > 0 {
            lines.push(shorten_to_width(&rest, size_px, bold, room_px));
        }
    }
    lines
}

/// The largest size, no larger than given, at which words are no wider than a room.
#[must_use]
pub fn fit_size_px(text: &str, size_px: f64, bold: bool, room_px: f64) -> f64 {
    let natural_px = text_width_px(text, size_px, bold);
    if natural_px > room_px { size_px * room_px.max(0.0) / natural_px } else { size_px }
}

/// Room that words take on a drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct TextBox {
    /// The words.
    pub text: String,
    /// Left, top, right, bottom.
    pub edges_px: (f64, f64, f64, f64),
}

impl TextBox {
    /// Whether two lie over each other by more than a hair.
    #[must_use]
    pub fn lies_over(&self, other: &Self) -> bool {
        const HAIR_PX: f64 = 0.5;
        let (a, b) = (self.edges_px, other.edges_px);
        a.2.min(b.2) - a.0.max(b.0) > HAIR_PX && a.3.min(b.3) - a.1.max(b.1) > HAIR_PX
    }
}

/// Height of capitals, and of what hangs below the base line, against the size of the letters.
const RISE_RATIO: f64 = 0.67;
const FALL_RATIO: f64 = 0.18;

/// The room that each of the words of a drawing takes, upright ones and those that are turned by a quarter.
#[must_use]
pub fn text_boxes(drawing: &Drawing) -> Vec<TextBox> {
    let boxed = |shape: &DrawingShape| {
        let DrawingShape::Text { at, turn_deg, size_px, anchor, bold, text, .. } = shape else { return None };
        let wide_px = text_width_px(text, *size_px, *bold);
        let from_px = match anchor {
            TextAnchor::Start => 0.0,
            TextAnchor::Middle => -wide_px / 2.0,
            TextAnchor::End => -wide_px,
        };
        let (rise_px, fall_px) = (size_px * RISE_RATIO, size_px * FALL_RATIO);
        let (x, y) = *at;
        let edges_px = if *turn_deg == 0.0 {
            (x + from_px, y - rise_px, x + from_px + wide_px, y + fall_px)
        } else {
            (x - rise_px, y - from_px - wide_px, x + fall_px, y - from_px)
        };
        Some(TextBox { text: text.clone(), edges_px })
    };
    drawing.shapes.iter().filter_map(boxed).filter(|b| !b.text.is_empty()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_cut_fits_and_says_so() {
        let text = "over the left wing, gearbox side";
        let cut = shorten_to_width(text, 16.0, true, 120.0);
        assert!(cut.ends_with('…') && text_width_px(&cut, 16.0, true) <= 120.0, "{cut}");
        assert_eq!(shorten_to_width(text, 16.0, true, 1000.0), text);
        assert_eq!(shorten_to_width(text, 16.0, true, 0.0), "");
        let lines = wrap_to_width(text, 16.0, false, 100.0, 2);
        assert!(
            lines.len() == 2 && lines.iter().all(|l| text_width_px(l, 16.0, false) <= 100.0),
            "{lines:?}"
        );
        assert!(fit_size_px(text, 40.0, true, 100.0) < 8.0);
    }
}
