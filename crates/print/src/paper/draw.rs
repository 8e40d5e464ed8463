//! A drawing on paper: its shapes to scale, with real hatching, dashes and turned words.

use crate::drawing::{Drawing, DrawingPen, DrawingShape, HATCH};
use crate::mark::{self, MarkForm, MarkStretch};
use crate::paper::font::LetterFaces;
use crate::paper::ink::{
    INK, InkColour, InkItem, InkNib, InkSegment, PageInks, WHITE, anchor_shift_mm, arc_segments,
    circle_segments, polygon_segments,
};
use model::FastenerState;

/// Thinnest line that a printer holds, mm.
const MIN_LINE_MM: f64 = 0.13;

/// Where a drawing lies on the sheet.
#[derive(Debug, Clone, Copy)]
struct DrawingPlace {
    at_mm: (f64, f64),
    /// Millimetres of paper for one unit of the drawing.
    scale: f64,
}

impl DrawingPlace {
    fn paper_point_mm(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.at_mm.0 + x * self.scale, self.at_mm.1 + y * self.scale)
    }

    fn nib_of_pen(&self, pen: DrawingPen) -> InkNib {
        let dash_mm = pen.dash.split(' ').filter_map(|d| d.parse::<f64>().ok()).map(|d| d * self.scale);
        InkNib {
            width_mm: (pen.width_px * self.scale).max(MIN_LINE_MM),
            colour: parse_colour(pen.colour).unwrap_or(INK),
            dash_mm: dash_mm.collect(),
        }
    }
}

/// Draws with the top left corner at a place, at `scale` millimetres per drawing unit.
pub fn draw_on_paper(
    inks: &mut PageInks,
    letters: &LetterFaces,
    drawing: &Drawing,
    at_mm: (f64, f64),
    scale: f64,
) {
    let place = DrawingPlace { at_mm, scale };
    for shape in &drawing.shapes {
        match shape {
            DrawingShape::Line { from, to, pen } => {
                inks.line(place.paper_point_mm(*from), place.paper_point_mm(*to), place.nib_of_pen(*pen));
            }
            DrawingShape::Path { points, closed, fill, pen } => {
                let points: Vec<_> = points.iter().map(|p| place.paper_point_mm(*p)).collect();
                draw_filled(
                    inks,
                    polygon_segments(&points, *closed),
                    fill,
                    pen.map(|p| place.nib_of_pen(p)),
                    scale,
                );
            }
            DrawingShape::Circle { centre, radius_px, fill, pen } => {
                let segs = circle_segments(place.paper_point_mm(*centre), radius_px * scale);
                draw_filled(inks, segs, fill, pen.map(|p| place.nib_of_pen(p)), scale);
            }
            DrawingShape::Text { .. } => draw_text(inks, letters, shape, &place, drawing.width_px),
            DrawingShape::Mark { centre, radius_px, state, renewed, .. } => {
                draw_fastener_mark(inks, place.paper_point_mm(*centre), radius_px * scale, *state, *renewed);
            }
        }
    }
}

fn draw_filled(inks: &mut PageInks, segs: Vec<InkSegment>, fill: &str, nib: Option<InkNib>, scale: f64) {
    if fill == HATCH {
        inks.0.push(InkItem::Hatch { segs: segs.clone(), gap_mm: 9.0 * scale });
    }
    let fill = parse_colour(fill);
    if fill.is_some() || nib.is_some() {
        inks.0.push(InkItem::Path { segs, fill, nib });
    }
}

/// A text, made smaller where it would leave the drawing.
fn draw_text(
    inks: &mut PageInks,
    letters: &LetterFaces,
    shape: &DrawingShape,
    place: &DrawingPlace,
    drawing_px: f64,
) {
    let DrawingShape::Text { at, turn_deg, size_px, anchor, bold, colour: ink, text } = shape else { return };
    let size_mm = size_px * place.scale;
    let natural_mm = letters.width_mm(text, size_mm, *bold);
    let begin_mm = at.0 * place.scale + anchor_shift_mm(natural_mm, *anchor);
    let over_mm = (begin_mm + natural_mm - drawing_px * place.scale).max(-begin_mm);
    let fits = *turn_deg != 0.0 || over_mm <= 0.0 || natural_mm <= 0.0;
    // A centred text gives way on both sides.
    let share = if *anchor == crate::drawing::TextAnchor::Middle { 2.0 } else { 1.0 };
    let ratio = if fits { 1.0 } else { ((natural_mm - share * over_mm) / natural_mm).max(0.2) };
    inks.0.push(InkItem::Text {
        at_mm: place.paper_point_mm(*at),
        shift_mm: anchor_shift_mm(natural_mm * ratio, *anchor),
        turn_deg: *turn_deg,
        size_mm: size_mm * ratio,
        bold: *bold,
        colour: parse_colour(ink).unwrap_or(INK),
        text: text.clone(),
    });
}

/// The mark of a fastener's state.
pub fn draw_fastener_mark(
    inks: &mut PageInks,
    centre_mm: (f64, f64),
    radius_mm: f64,
    state: FastenerState,
    renewed: bool,
) {
    let line = || Some(InkNib::full_line((mark::LINE_RATIO * radius_mm).max(MIN_LINE_MM)));
    if renewed {
        inks.circle(centre_mm, radius_mm * mark::RENEWED_RATIO, None, line());
    }
    inks.circle(centre_mm, radius_mm, Some(WHITE), None);
    for shape in mark::mark_shapes(state) {
        let segs = match shape.kind {
            MarkForm::Circle(ratio) => circle_segments(centre_mm, radius_mm * ratio),
            MarkForm::Path(_, stretches) => {
                stretches.iter().flat_map(|s| segments_of_stretch(*s, centre_mm, radius_mm)).collect()
            }
        };
        let (fill, nib) = match shape.class {
            "solid" => (Some(INK), None),
            "stripe" => {
                let width_mm = mark::STRIPE_RATIO * radius_mm;
                (None, Some(InkNib { width_mm, colour: WHITE, dash_mm: Vec::new() }))
            }
            _ => (None, line()),
        };
        inks.0.push(InkItem::Path { segs, fill, nib });
    }
}

fn segments_of_stretch(of: MarkStretch, (x, y): (f64, f64), radius_mm: f64) -> Vec<InkSegment> {
    match of {
        MarkStretch::Line(a, b, c, d) => vec![
            InkSegment::Move(x + a * radius_mm, y + b * radius_mm),
            InkSegment::Line(x + c * radius_mm, y + d * radius_mm),
        ],
        MarkStretch::Arc(start_deg, sweep_deg) => arc_segments((x, y), radius_mm, start_deg, sweep_deg),
        MarkStretch::Close => vec![InkSegment::Close],
    }
}

/// A colour as drawings write it: `#rrggbb`; `None` for anything else.
fn parse_colour(text: &str) -> Option<InkColour> {
    let digits = text.strip_prefix('#').filter(|d| d.len() == 6 && d.is_ascii())?;
    let part = |i: usize| u8::from_str_radix(digits.get(i..i + 2)?, 16).ok();
    Some((part(0)?, part(2)?, part(4)?))
}
