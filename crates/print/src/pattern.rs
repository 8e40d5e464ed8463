//! A part's holes as they lie, with the order of the work, the length class and the state mark of each.

use crate::drawing::{Drawing, DrawingPen, DrawingShape, INK, NOW, TextAnchor};
use crate::foot::{FOOT_PX, draw_title_block};
use crate::free::{FreeRoom, MarkSpot, WordSide};
use crate::mark;
use crate::view::{HoleView, PatternView};
use crate::words::{fit_size_px, text_width_px, wrap_to_width};
use model::FastenerState;

/// Size of the sheet, and where on it the holes lie.
struct PatternPage {
    width_px: f64,
    height_px: f64,
    /// Left, top, width and height of the drawing's field.
    field_px: (f64, f64, f64, f64),
    /// Smallest and largest radius of a mark.
    radius_px: (f64, f64),
    /// Size of a hole's label, and of its place in the order.
    letters_px: (f64, f64),
}

/// A sheet of paper or of a page: the words are beside the holes.
const SHEET: PatternPage = PatternPage {
    width_px: 1000.0,
    height_px: 700.0,
    field_px: (70.0, 110.0, 640.0, 470.0),
    radius_px: (9.0, 24.0),
    letters_px: (16.0, 19.0),
};

/// The bench: the page says the words, so the holes have the drawing to themselves, to be tapped with a glove. A phone shows
/// it at 0.72 of its size where a step has much to say, and what is written has to be 16 px high there.
const BENCH: PatternPage = PatternPage {
    width_px: 430.0,
    height_px: 430.0,
    field_px: (50.0, 60.0, 330.0, 310.0),
    radius_px: (11.0, 22.0),
    letters_px: (22.5, 22.5),
};

/// Draws the holes of a view.
#[must_use]
pub fn draw_hole_pattern(view: &PatternView) -> Drawing {
    let mut svg = draw_holes(view, &SHEET);
    draw_side_words(&mut svg, view);
    draw_title_block(&mut svg, SHEET.width_px, SHEET.height_px - FOOT_PX, &view.foot);
    svg
}

/// Draws the holes of a view for a page or sheet that says the words itself; a page takes taps on the marks.
#[must_use]
pub fn draw_hole_pattern_alone(view: &PatternView) -> Drawing {
    draw_holes(view, &BENCH)
}

/// Draws the holes of a view for a column of a sheet: 90 mm wide, where a unit is 0.2 mm; letters of 3.2 mm, as large as the
/// words beside it; no higher than its holes ask.
#[must_use]
pub fn draw_hole_pattern_on_paper(view: &PatternView) -> Drawing {
    const WIDTH_PX: f64 = 440.0;
    const RIM_PX: (f64, f64) = (40.0, 45.0);
    /// Greatest height of the holes, and distance of the two nearest: farther apart tells no more.
    const MAX_PX: (f64, f64) = (160.0, 64.0);
    let span = |of: fn(&HoleView) -> f64| {
        let all = view.holes.iter().map(of);
        (all.clone().fold(f64::MIN, f64::max) - all.fold(f64::MAX, f64::min)).max(1.0)
    };
    let (wide_mm, tall_mm) = (span(|h| h.x_mm), span(|h| h.y_mm));
    let scale = ((WIDTH_PX - 2.0 * RIM_PX.0) / wide_mm)
        .min(MAX_PX.0 / tall_mm)
        .min(MAX_PX.1 / nearest_holes_mm(view).max(1.0));
    let tall_px = tall_mm * scale;
    let frame = PatternPage {
        width_px: WIDTH_PX,
        height_px: tall_px + 2.0 * RIM_PX.1,
        field_px: ((WIDTH_PX - wide_mm * scale) / 2.0, RIM_PX.1, wide_mm * scale, tall_px),
        radius_px: (7.0, 14.0),
        letters_px: (16.0, 15.0),
    };
    draw_holes(view, &frame)
}

fn draw_holes(view: &PatternView, frame: &PatternPage) -> Drawing {
    let mut svg = Drawing::new(&view.id, &view.title, frame.width_px, frame.height_px);
    let (scale, shift) = fit_holes(view, frame);
    let at = |h: &HoleView| (shift.0 + h.x_mm * scale, shift.1 - h.y_mm * scale);
    let radius_px = (nearest_holes_mm(view) * scale * 0.3).clamp(frame.radius_px.0, frame.radius_px.1);
    draw_path_of_work(&mut svg, view, &at);
    let spot = |hole: &HoleView| MarkSpot { centre: at(hole), radius_px: ring_px(hole, radius_px) };
    let mut free = FreeRoom::around_spots(view.holes.iter().map(spot), (frame.width_px, frame.height_px));
    for hole in &view.holes {
        let centre = at(hole);
        let (state, renewed) = (hole.mark, hole.renewed);
        svg.shapes.push(DrawingShape::Mark { centre, radius_px, state, renewed });
    }
    for hole in &view.holes {
        draw_hole_words(&mut svg, &mut free, spot(hole), hole, frame);
    }
    svg
}

/// Radius of a mark with the ring of a renewed fastener.
fn ring_px(hole: &HoleView, radius_px: f64) -> f64 {
    if hole.renewed { radius_px * mark::RENEWED_RATIO } else { radius_px }
}

/// Scale and shift at which all holes fit the field.
fn fit_holes(view: &PatternView, frame: &PatternPage) -> (f64, (f64, f64)) {
    let xs = view.holes.iter().map(|h| h.x_mm);
    let ys = view.holes.iter().map(|h| h.y_mm);
    let (x0, x1) = (xs.clone().fold(f64::MAX, f64::min), xs.fold(f64::MIN, f64::max));
    let (y0, y1) = (ys.clone().fold(f64::MAX, f64::min), ys.fold(f64::MIN, f64::max));
    let (left, top, width, height) = frame.field_px;
    let scale = (width / (x1 - x0).max(1.0)).min(height / (y1 - y0).max(1.0)).min(6.0);
    let dx = left + (width - (x1 - x0) * scale) / 2.0 - x0 * scale;
    let dy = top + (height + (y1 - y0) * scale) / 2.0 + y0 * scale;
    (scale, (dx, dy))
}

/// Distance of the two nearest holes.
fn nearest_holes_mm(view: &PatternView) -> f64 {
    let mut least = 120.0_f64;
    for (i, a) in view.holes.iter().enumerate() {
        for b in &view.holes[i + 1..] {
            least = least.min(units::math::hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm));
        }
    }
    least
}

/// A thin line from hole to hole in the order of the work.
fn draw_path_of_work(svg: &mut Drawing, view: &PatternView, at: &impl Fn(&HoleView) -> (f64, f64)) {
    let mut turns: Vec<_> = view.holes.iter().filter_map(|h| h.turn.map(|t| (t, at(h)))).collect();
    turns.sort_by_key(|(turn, _)| *turn);
    let points: Vec<_> = turns.into_iter().map(|(_, point)| point).collect();
    if points.len() > 1 {
        svg.path(&points, false, "none", Some(DrawingPen { colour: INK, width_px: 0.7, dash: "2 5" }));
    }
}

/// The place in the order inside an empty ring that is wide enough, else beside it; the label with its class beside it.
fn draw_hole_words(
    svg: &mut Drawing,
    free: &mut FreeRoom,
    spot: MarkSpot,
    hole: &HoleView,
    frame: &PatternPage,
) {
    let MarkSpot { centre: (x, y), radius_px: ring_px } = spot;
    let (label_px, turn_px) = frame.letters_px;
    if let Some(turn) = hole.turn.map(|turn| turn.to_string()) {
        let fits = text_width_px(&turn, turn_px, true) < 1.7 * ring_px && turn_px < 1.5 * ring_px;
        let at = if hole.mark == FastenerState::Off && fits {
            (x, y + turn_px * 0.36)
        } else {
            free.place_words(spot, WordSide::Inner, &turn, turn_px)
        };
        svg.text(at, turn_px, TextAnchor::Middle, true, NOW, &turn);
    }
    let label =
        if hole.class.is_empty() { hole.label.clone() } else { format!("{} {}", hole.label, hole.class) };
    let at = free.place_words(spot, WordSide::Outer, &label, label_px);
    svg.text(at, label_px, TextAnchor::Middle, false, INK, &label);
}

/// Title, stages and length classes.
fn draw_side_words(svg: &mut Drawing, view: &PatternView) {
    let mut y = 46.0;
    for line in &wrap_to_width(&view.title, 24.0, true, 940.0, 2) {
        svg.text((30.0, y), 24.0, TextAnchor::Start, true, INK, line);
        y += 28.0;
    }
    let x = 760.0;
    let mut y = 140.0;
    for (i, stage) in view.stages.iter().enumerate() {
        svg.text((x, y), 15.0, TextAnchor::Start, false, INK, &format!("pass {}", i + 1));
        let size_px = fit_size_px(stage, 30.0, true, 175.0);
        svg.text((x + 60.0, y + 4.0), size_px, TextAnchor::Start, true, INK, stage);
        y += 42.0;
    }
    y += 16.0;
    for (class, words) in &view.classes {
        svg.text((x, y), 20.0, TextAnchor::Start, true, INK, class);
        for line in wrap_to_width(words, 17.0, false, 200.0, 4) {
            svg.text((x + 30.0, y), 17.0, TextAnchor::Start, false, INK, &line);
            y += 21.0;
        }
        y += 6.0;
    }
}
