//! A torque wrench with its crow-foot as seen from above: lever, offset and angle to scale, and what to set.
//!
//! The hand pulls at the middle of the grip, where a cross marks it; the lever runs from there to the square, the offset from the square to the
//! fastener. What is measured is a full line; what is guessed is a dashed outline with a question mark at its figure.

use crate::drawing::{Drawing, DrawingPen, HATCH, INK, NOW, TextAnchor};
use crate::foot::draw_title;
use units::math;

/// A length and whether somebody measured it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeverLengthView {
    /// The length.
    pub length_mm: f64,
    /// Whether it is guessed.
    pub is_guessed: bool,
}

/// A wrench with an adapter on its square.
#[derive(Debug, Clone, PartialEq)]
pub struct WrenchAboveView {
    /// Unique in one page.
    pub id: String,
    /// What is turned with what.
    pub title: String,
    /// What to set: "16.6 N·m".
    pub setting: String,
    /// What is then at the fastener: "20 N·m".
    pub torque: String,
    /// From the middle of the grip to the square.
    pub lever: LeverLengthView,
    /// From the square to the fastener; `None` where the wrench stands on the fastener's axis.
    pub adapter: Option<LeverLengthView>,
    /// Angle between both: 0° straight ahead, 90° across, 180° folded back.
    pub angle_deg: f64,
}

const WIDTH_PX: f64 = 900.0;
const HEIGHT_PX: f64 = 460.0;
/// Left, top, width and height of the drawing's field.
const FIELD_PX: (f64, f64, f64, f64) = (70.0, 110.0, 760.0, 250.0);
/// Half widths of handle, adapter and grip, and radius of the fastener's head, as shares of the lever.
const HALF_WIDTHS_SHARE: (f64, f64, f64) = (0.025, 0.03, 0.045);
/// Length of the grip, as a share of the lever.
const GRIP_SHARE: f64 = 0.3;
/// Least radius of square and head, so that they stay marks.
const LEAST_RADIUS_PX: f64 = 7.0;

/// Where grip, square and fastener lie on the sheet.
struct WrenchPlaces {
    grip_px: (f64, f64),
    square_px: (f64, f64),
    fastener_px: (f64, f64),
    /// Drawing units for one millimetre.
    scale: f64,
}

impl WrenchPlaces {
    /// Wrench along the sheet, its square to the right; all of it fits the field.
    fn of_view(view: &WrenchAboveView) -> Self {
        let lever_mm = view.lever.length_mm.max(1.0);
        let offset_mm = view.adapter.map_or(0.0, |adapter| adapter.length_mm.max(0.0));
        let ahead_mm = offset_mm * math::cos_deg(view.angle_deg);
        // Against the clock as seen, so upward on the sheet.
        let aside_mm = offset_mm * math::sin_deg(view.angle_deg);
        let (left, top, width, height) = FIELD_PX;
        let grip_mm = lever_mm * GRIP_SHARE / 2.0;
        let (from_mm, to_mm) = ((-grip_mm).min(lever_mm + ahead_mm), (lever_mm + ahead_mm).max(lever_mm));
        let scale = (width / (to_mm - from_mm)).min(height / 2.0 / aside_mm.abs().max(1.0));
        let middle = top + height / 2.0;
        let at = |x_mm: f64, y_mm: f64| (left + (x_mm - from_mm) * scale, middle - y_mm * scale);
        Self {
            grip_px: at(0.0, 0.0),
            square_px: at(lever_mm, 0.0),
            fastener_px: at(lever_mm + ahead_mm, aside_mm),
            scale,
        }
    }
}

/// Draws the wrench of a view.
#[must_use]
pub fn draw_wrench_above(view: &WrenchAboveView) -> Drawing {
    let mut drawing = Drawing::new(&view.id, &view.title, WIDTH_PX, HEIGHT_PX);
    draw_title(&mut drawing, (20.0, 36.0), 22.0, &view.title);
    let set = format!("set {}", view.setting);
    drawing.text((20.0, 78.0), 30.0, TextAnchor::Start, true, NOW, &set);
    let torque = format!("{} at the fastener", view.torque);
    drawing.text((WIDTH_PX - 20.0, 78.0), 20.0, TextAnchor::End, false, INK, &torque);
    let places = WrenchPlaces::of_view(view);
    draw_wrench(&mut drawing, view, &places);
    if let Some(adapter) = view.adapter {
        draw_adapter(&mut drawing, view, adapter, &places);
    }
    draw_dimensions(&mut drawing, view, &places);
    drawing
}

/// The outline of a straight body between two points.
fn body_outline(from: (f64, f64), to: (f64, f64), half_px: f64) -> [(f64, f64); 4] {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length_px = math::hypot(dx, dy).max(1.0e-6);
    let (nx, ny) = (-dy / length_px * half_px, dx / length_px * half_px);
    [(from.0 + nx, from.1 + ny), (to.0 + nx, to.1 + ny), (to.0 - nx, to.1 - ny), (from.0 - nx, from.1 - ny)]
}

const fn pen_of_length(length: LeverLengthView) -> DrawingPen {
    if length.is_guessed { DrawingPen::LIMIT } else { DrawingPen::THICK }
}

/// The wrench: its body from the grip to the square, the grip hatched, a cross where the hand pulls.
fn draw_wrench(drawing: &mut Drawing, view: &WrenchAboveView, places: &WrenchPlaces) {
    let lever_px = (places.square_px.0 - places.grip_px.0).max(1.0);
    let (handle, _, grip) = HALF_WIDTHS_SHARE;
    let half_grip_px = lever_px * GRIP_SHARE / 2.0;
    let (x, y) = places.grip_px;
    let pen = pen_of_length(view.lever);
    drawing.path(
        &body_outline(places.grip_px, places.square_px, lever_px * handle),
        true,
        "#ffffff",
        Some(pen),
    );
    let held = body_outline((x - half_grip_px, y), (x + half_grip_px, y), lever_px * grip);
    drawing.path(&held, true, HATCH, Some(DrawingPen::THIN));
    for dy in [-1.0, 1.0] {
        drawing.line((x - 9.0, y - 9.0 * dy), (x + 9.0, y + 9.0 * dy), DrawingPen::NOW);
    }
    let half_px = (lever_px * handle * 1.4).max(LEAST_RADIUS_PX);
    let (sx, sy) = places.square_px;
    drawing.rect((sx - half_px, sy - half_px), (2.0 * half_px, 2.0 * half_px), "#ffffff", Some(pen));
    drawing.line((x - half_grip_px, y), (sx + 40.0, y), DrawingPen::AXIS);
}

/// The adapter from the square to the fastener, whose axis is in the accent.
fn draw_adapter(
    drawing: &mut Drawing,
    view: &WrenchAboveView,
    adapter: LeverLengthView,
    places: &WrenchPlaces,
) {
    let half_px = (view.lever.length_mm * places.scale * HALF_WIDTHS_SHARE.1).max(LEAST_RADIUS_PX);
    let outline = body_outline(places.square_px, places.fastener_px, half_px);
    drawing.path(&outline, true, "none", Some(pen_of_length(adapter)));
    drawing.circle(places.fastener_px, half_px * 1.3, "#ffffff", Some(DrawingPen::NOW));
    drawing.circle(places.fastener_px, 2.0, INK, None);
}

/// Lever below the wrench, offset beside the adapter, the angle at the square.
fn draw_dimensions(drawing: &mut Drawing, view: &WrenchAboveView, places: &WrenchPlaces) {
    let figure = |name: &str, length: LeverLengthView| {
        let doubt = if length.is_guessed { " ?" } else { "" };
        format!("{name} {} mm{doubt}", units::significant(length.length_mm, 3))
    };
    let foot_px = FIELD_PX.1 + FIELD_PX.3 + 18.0;
    for (x, y) in [places.grip_px, places.square_px] {
        drawing.line((x, y), (x, foot_px + 6.0), DrawingPen::THIN);
    }
    drawing.dimension((places.grip_px.0, foot_px), (places.square_px.0, foot_px), &figure("L", view.lever));
    let Some(adapter) = view.adapter else { return };
    let below_px = foot_px + 34.0;
    drawing.line(places.fastener_px, (places.fastener_px.0, below_px + 6.0), DrawingPen::THIN);
    let words = format!("{}, {}", figure("E", adapter), angle_words(view.angle_deg));
    let (anchor, beside) = if places.fastener_px.0 > WIDTH_PX / 2.0 {
        (TextAnchor::End, -8.0)
    } else {
        (TextAnchor::Start, 8.0)
    };
    drawing.text((places.fastener_px.0 + beside, below_px + 12.0), 16.0, anchor, true, INK, &words);
}

/// The angle in words.
fn angle_words(angle_deg: f64) -> String {
    if angle_deg.abs() < 0.05 {
        String::from("straight ahead")
    } else {
        format!("{}° from straight ahead", units::significant(angle_deg, 3))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::write_svg;

    fn view(angle_deg: f64, is_guessed: bool) -> WrenchAboveView {
        WrenchAboveView {
            id: "wrench".into(),
            title: "20 N·m through a crow-foot".into(),
            setting: "16.6 N·m".into(),
            torque: "20 N·m".into(),
            lever: LeverLengthView { length_mm: 192.0, is_guessed },
            adapter: Some(LeverLengthView { length_mm: 40.0, is_guessed: false }),
            angle_deg,
        }
    }

    /// Distances on the sheet are those of the wrench at one scale, whatever the angle: L from grip to square, E from square to fastener.
    #[test]
    fn lever_and_offset_are_to_scale() {
        for angle_deg in [0.0, 30.0, 90.0, 135.0, 180.0, -90.0] {
            let places = WrenchPlaces::of_view(&view(angle_deg, false));
            let away = |a: (f64, f64), b: (f64, f64)| math::hypot(a.0 - b.0, a.1 - b.1) / places.scale;
            assert!((away(places.grip_px, places.square_px) - 192.0).abs() < 1e-6, "{angle_deg}°");
            assert!((away(places.square_px, places.fastener_px) - 40.0).abs() < 1e-6, "{angle_deg}°");
            let (left, top, width, height) = FIELD_PX;
            for (x, y) in [places.grip_px, places.square_px, places.fastener_px] {
                assert!(left - 1e-6 <= x && x <= left + width + 1e-6, "{angle_deg}°: {x}");
                assert!(top - 1e-6 <= y && y <= top + height + 1e-6, "{angle_deg}°: {y}");
            }
        }
        let up = WrenchPlaces::of_view(&view(90.0, false));
        assert!(up.fastener_px.1 < up.square_px.1, "across, against the clock, is up on the sheet");
    }

    #[test]
    fn what_is_guessed_is_dashed_and_asks() {
        let (sure, guessed) = (
            write_svg(&draw_wrench_above(&view(0.0, false))),
            write_svg(&draw_wrench_above(&view(0.0, true))),
        );
        assert!(sure.contains("L 192 mm<") && sure.contains("E 40 mm, straight ahead"), "{sure}");
        assert!(guessed.contains("L 192 mm ?<"), "{guessed}");
        assert!(guessed.matches("stroke-dasharray").count() > sure.matches("stroke-dasharray").count());
        assert!(sure.contains("set 16.6 N·m") && sure.contains("20 N·m at the fastener"));
        assert_eq!(sure, write_svg(&draw_wrench_above(&view(0.0, false))));
        assert!(write_svg(&draw_wrench_above(&view(135.0, false))).contains("135° from straight ahead"));
    }

    #[test]
    fn a_wrench_in_line_has_no_offset() {
        let bare = WrenchAboveView { adapter: None, ..view(0.0, false) };
        let drawn = write_svg(&draw_wrench_above(&bare));
        assert!(!drawn.contains("E ") && drawn.contains("L 192 mm"), "{drawn}");
        let nothing = LeverLengthView { length_mm: 0.0, is_guessed: true };
        let odd = WrenchAboveView { lever: nothing, adapter: Some(nothing), ..view(0.0, true) };
        assert!(!write_svg(&draw_wrench_above(&odd)).contains("NaN"));
    }
}
