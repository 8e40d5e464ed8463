//! A drawing as SVG text: escaped words, fixed decimals; the same drawing gives the same bytes.

use core::fmt::Write as _;

use crate::drawing::{Drawing, DrawingPen, DrawingShape, HATCH, INK, TextAnchor};
use crate::face::FACE_FAMILY;
use crate::mark;
use crate::words::text_width_px;

/// A point or a length in drawing units, with two decimals at most.
#[must_use]
pub fn svg_number(value_px: f64) -> String {
    let rounded = units::math::round(value_px * 100.0) / 100.0;
    let rounded = if rounded == 0.0 { 0.0 } else { rounded };
    format!("{rounded}")
}

/// Text made safe for SVG and HTML.
#[must_use]
pub fn escape_text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// The drawing as text.
#[must_use]
pub fn write_svg(drawing: &Drawing) -> String {
    let (w, h) = (svg_number(drawing.width_px), svg_number(drawing.height_px));
    let id = &drawing.id;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" role=\"img\" \
         aria-labelledby=\"{id}-title\" font-family=\"{FACE_FAMILY}\">\n\
         <title id=\"{id}-title\">{}</title>\n\
         <defs><pattern id=\"{id}-metal\" width=\"9\" height=\"9\" patternUnits=\"userSpaceOnUse\" \
         patternTransform=\"rotate(45)\"><line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"9\" stroke=\"{INK}\" \
         stroke-width=\"1\" stroke-opacity=\"0.55\"/></pattern></defs>\n\
         <rect width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>\n",
        escape_text(&drawing.title)
    );
    if drawing.shapes.iter().any(|s| matches!(s, DrawingShape::Mark { .. })) {
        out.push_str(&mark::mark_style_svg());
        out.push('\n');
    }
    drawing.shapes.iter().for_each(|shape| write_shape(&mut out, shape, id));
    out.push_str("</svg>\n");
    out
}

fn write_shape(out: &mut String, shape: &DrawingShape, id: &str) {
    let _ = match shape {
        DrawingShape::Line { from, to, pen } => writeln!(
            out,
            r#"<line x1="{}" y1="{}" x2="{}" y2="{}"{}/>"#,
            svg_number(from.0),
            svg_number(from.1),
            svg_number(to.0),
            svg_number(to.1),
            stroke_attributes(Some(*pen))
        ),
        DrawingShape::Path { points, closed, fill, pen } => {
            let mut d = String::new();
            for (i, (x, y)) in points.iter().enumerate() {
                let _ = write!(d, "{}{} {}", if i == 0 { "M" } else { " L" }, svg_number(*x), svg_number(*y));
            }
            let end = if *closed { " Z" } else { "" };
            writeln!(
                out,
                r#"<path d="{d}{end}" fill="{}"{}/>"#,
                fill_value(fill, id),
                stroke_attributes(*pen)
            )
        }
        DrawingShape::Circle { centre, radius_px, fill, pen } => writeln!(
            out,
            r#"<circle cx="{}" cy="{}" r="{}" fill="{}"{}/>"#,
            svg_number(centre.0),
            svg_number(centre.1),
            svg_number(*radius_px),
            fill_value(fill, id),
            stroke_attributes(*pen)
        ),
        DrawingShape::Text { at, turn_deg, size_px, anchor, bold, colour, text } => {
            let anchor = match anchor {
                TextAnchor::Start => "start",
                TextAnchor::Middle => "middle",
                TextAnchor::End => "end",
            };
            let (x, y) = (svg_number(at.0), svg_number(at.1));
            let place = if *turn_deg == 0.0 {
                format!(r#"x="{x}" y="{y}""#)
            } else {
                format!(r#"transform="translate({x} {y}) rotate({})""#, svg_number(-turn_deg))
            };
            let weight = if *bold { r#" font-weight="700""# } else { "" };
            let (size, words) = (svg_number(*size_px), escape_text(text));
            // Another face than ours is drawn no wider.
            let wide = svg_number(text_width_px(text, *size_px, *bold));
            writeln!(
                out,
                r#"<text {place} font-size="{size}" text-anchor="{anchor}"{weight} fill="{colour}" textLength="{wide}" lengthAdjust="spacingAndGlyphs">{words}</text>"#
            )
        }
        DrawingShape::Mark { centre, radius_px, state, renewed } => {
            let (x, y, k) = (svg_number(centre.0), svg_number(centre.1), svg_number(*radius_px));
            let inner = mark::mark_group_svg(*state, *renewed);
            writeln!(out, r#"<g transform="translate({x} {y}) scale({k})"{inner}</g>"#)
        }
    };
}

fn fill_value(fill: &str, id: &str) -> String {
    if fill == HATCH { format!("url(#{id}-metal)") } else { fill.into() }
}

/// The stroke attributes of a pen.
fn stroke_attributes(pen: Option<DrawingPen>) -> String {
    let Some(pen) = pen else { return String::from(r#" stroke="none""#) };
    let dash =
        if pen.dash.is_empty() { String::new() } else { format!(r#" stroke-dasharray="{}""#, pen.dash) };
    format!(r#" stroke="{}" stroke-width="{}"{dash}"#, pen.colour, svg_number(pen.width_px))
}
