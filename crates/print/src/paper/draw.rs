//! A drawing on paper: its shapes to scale, with real hatching, dashes and turned words.

use crate::drawing::{Drawing, HATCH, Pen, Shape};
use crate::mark::{self, Kind, Stretch};
use crate::paper::font::Letters;
use crate::paper::ink::{Colour, INK, Inks, Nib, Op, Seg, WHITE, anchor_shift, arc, circle, polygon};
use crate::view::HoleMark;

/// Thinnest line that a printer holds, mm.
const THINNEST_MM: f64 = 0.13;

/// Where a drawing lies on the sheet.
#[derive(Debug, Clone, Copy)]
struct Place {
    at_mm: (f64, f64),
    /// Millimetres of paper for one unit of the drawing.
    scale: f64,
}

impl Place {
    fn point(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.at_mm.0 + x * self.scale, self.at_mm.1 + y * self.scale)
    }

    fn nib(&self, pen: Pen) -> Nib {
        let dash_mm = pen.dash.split(' ').filter_map(|d| d.parse::<f64>().ok()).map(|d| d * self.scale);
        Nib {
            width_mm: (pen.width_px * self.scale).max(THINNEST_MM),
            colour: colour(pen.colour).unwrap_or(INK),
            dash_mm: dash_mm.collect(),
        }
    }
}

/// Draws with the top left corner at a place, so many millimetres for one unit.
pub fn draw(inks: &mut Inks, letters: &Letters, drawing: &Drawing, at_mm: (f64, f64), scale: f64) {
    let place = Place { at_mm, scale };
    for shape in &drawing.shapes {
        match shape {
            Shape::Line { from, to, pen } => {
                inks.line(place.point(*from), place.point(*to), place.nib(*pen));
            }
            Shape::Path { points, closed, fill, pen } => {
                let points: Vec<_> = points.iter().map(|p| place.point(*p)).collect();
                filled(inks, polygon(&points, *closed), fill, pen.map(|p| place.nib(p)), scale);
            }
            Shape::Circle { centre, radius_px, fill, pen } => {
                let segs = circle(place.point(*centre), radius_px * scale);
                filled(inks, segs, fill, pen.map(|p| place.nib(p)), scale);
            }
            Shape::Text { .. } => text(inks, letters, shape, &place, drawing.width_px),
            Shape::Mark { centre, radius_px, state, renewed, .. } => {
                fastener(inks, place.point(*centre), radius_px * scale, *state, *renewed);
            }
        }
    }
}

fn filled(inks: &mut Inks, segs: Vec<Seg>, fill: &str, nib: Option<Nib>, scale: f64) {
    if fill == HATCH {
        inks.0.push(Op::Hatch { segs: segs.clone(), gap_mm: 9.0 * scale });
    }
    let fill = colour(fill);
    if fill.is_some() || nib.is_some() {
        inks.0.push(Op::Path { segs, fill, nib });
    }
}

/// A text, made smaller where it would leave the drawing.
fn text(inks: &mut Inks, letters: &Letters, shape: &Shape, place: &Place, drawing_px: f64) {
    let Shape::Text { at, turn_deg, size_px, anchor, bold, colour: ink, text } = shape else { return };
    let size_mm = size_px * place.scale;
    let natural_mm = letters.width_mm(text, size_mm, *bold);
    let begin_mm = at.0 * place.scale + anchor_shift(natural_mm, *anchor);
    let over_mm = (begin_mm + natural_mm - drawing_px * place.scale).max(-begin_mm);
    let fits = *turn_deg != 0.0 || over_mm <= 0.0 || natural_mm <= 0.0;
    // A centred text gives way on both sides.
    let share = if *anchor == crate::drawing::Anchor::Middle { 2.0 } else { 1.0 };
    let ratio = if fits { 1.0 } else { ((natural_mm - share * over_mm) / natural_mm).max(0.2) };
    inks.0.push(Op::Text {
        at_mm: place.point(*at),
        shift_mm: anchor_shift(natural_mm * ratio, *anchor),
        turn_deg: *turn_deg,
        size_mm: size_mm * ratio,
        bold: *bold,
        colour: colour(ink).unwrap_or(INK),
        text: text.clone(),
    });
}

/// The mark of a fastener's state.
pub fn fastener(inks: &mut Inks, centre_mm: (f64, f64), radius_mm: f64, state: HoleMark, renewed: bool) {
    let line = || Some(Nib::full((mark::LINE_RATIO * radius_mm).max(THINNEST_MM)));
    if renewed {
        inks.circle(centre_mm, radius_mm * mark::RENEWED_RATIO, None, line());
    }
    inks.circle(centre_mm, radius_mm, Some(WHITE), None);
    for shape in mark::shapes(state) {
        let segs = match shape.kind {
            Kind::Circle(ratio) => circle(centre_mm, radius_mm * ratio),
            Kind::Path(_, stretches) => {
                stretches.iter().flat_map(|s| stretch(*s, centre_mm, radius_mm)).collect()
            }
        };
        let (fill, nib) = match shape.class {
            "solid" => (Some(INK), None),
            "stripe" => {
                let width_mm = mark::STRIPE_RATIO * radius_mm;
                (None, Some(Nib { width_mm, colour: WHITE, dash_mm: Vec::new() }))
            }
            _ => (None, line()),
        };
        inks.0.push(Op::Path { segs, fill, nib });
    }
}

fn stretch(of: Stretch, (x, y): (f64, f64), radius_mm: f64) -> Vec<Seg> {
    match of {
        Stretch::Line(a, b, c, d) => vec![
            Seg::Move(x + a * radius_mm, y + b * radius_mm),
            Seg::Line(x + c * radius_mm, y + d * radius_mm),
        ],
        Stretch::Arc(start_deg, sweep_deg) => arc((x, y), radius_mm, start_deg, sweep_deg),
        Stretch::Close => vec![Seg::Close],
    }
}

/// A colour as drawings write it: `#rrggbb`; `None` for anything else.
fn colour(text: &str) -> Option<Colour> {
    let digits = text.strip_prefix('#').filter(|d| d.len() == 6 && d.is_ascii())?;
    let part = |i: usize| u8::from_str_radix(digits.get(i..i + 2)?, 16).ok();
    Some((part(0)?, part(2)?, part(4)?))
}
