//! Many drawings on one page: pens, fills and letters are told once for all of them, so that a page of hundreds stays light.

use core::fmt::Write as _;
use std::collections::BTreeMap;

use crate::drawing::{Drawing, DrawingPen, DrawingShape, HATCH, INK, TextAnchor};
use crate::face::FACE_FAMILY;
use crate::mark;
use crate::svg::{escape_text, svg_number};
use crate::words::text_width_px;

/// The hatching that all drawings of a page share.
const PAGE_HATCH: &str = "page-metal";

/// A length in drawing units, with one decimal at most.
fn page_number(value_px: f64) -> String {
    svg_number(units::math::round(value_px * 10.0) / 10.0)
}

/// Drawings of one page, and the rules of style that they share.
#[derive(Debug, Default)]
pub struct PageDrawings {
    /// Rules by what they say, each with its name.
    rules: BTreeMap<String, usize>,
}

impl PageDrawings {
    /// A drawing as SVG text; its styles stand in [`PageDrawings::style`], which is asked after the last one.
    pub fn write(&mut self, drawing: &Drawing) -> String {
        let (w, h) = (page_number(drawing.width_px), page_number(drawing.height_px));
        let title = escape_text(&drawing.title);
        let mut out = format!("<svg viewBox=\"0 0 {w} {h}\" role=\"img\" aria-label=\"{title}\">");
        let mut joined = JoinedPath::default();
        for shape in &drawing.shapes {
            match self.path_of_shape(shape) {
                Some((class, may_join, words)) => joined.add(&mut out, class, may_join, &words),
                None => {
                    joined.end(&mut out);
                    self.write_shape(&mut out, shape);
                }
            }
        }
        joined.end(&mut out);
        out.push_str("</svg>\n");
        out
    }

    /// The class and the words of a line or a path, and whether its like may be drawn with it in one: only what is not both filled
    /// and outlined, as the fill of one would not cover the outline of the other.
    fn path_of_shape(&mut self, shape: &DrawingShape) -> Option<(String, bool, String)> {
        match shape {
            DrawingShape::Line { from, to, pen } => Some((
                self.name_pen("none", Some(*pen)),
                pen.dash.is_empty(),
                path_words(&[*from, *to], false),
            )),
            DrawingShape::Path { points, closed, fill, pen } => {
                let may_join = (fill == "none" && pen.is_none_or(|pen| pen.dash.is_empty())) || pen.is_none();
                Some((self.name_pen(fill, *pen), may_join, path_words(points, *closed)))
            }
            DrawingShape::Circle { .. } | DrawingShape::Text { .. } | DrawingShape::Mark { .. } => None,
        }
    }

    fn name_rule(&mut self, rule: String) -> String {
        let next = self.rules.len();
        format!("d{}", self.rules.entry(rule).or_insert(next))
    }

    fn name_pen(&mut self, fill: &str, pen: Option<DrawingPen>) -> String {
        let fill = if fill == HATCH { format!("url(#{PAGE_HATCH})") } else { fill.to_owned() };
        let rule = pen.map_or_else(
            || format!("fill:{fill};stroke:none"),
            |pen| {
                let dash = if pen.dash.is_empty() {
                    String::new()
                } else {
                    format!(";stroke-dasharray:{}", pen.dash.replace(' ', ","))
                };
                format!("fill:{fill};stroke:{};stroke-width:{}{dash}", pen.colour, svg_number(pen.width_px))
            },
        );
        self.name_rule(rule)
    }

    fn write_shape(&mut self, out: &mut String, shape: &DrawingShape) {
        let _ = match shape {
            DrawingShape::Line { .. } | DrawingShape::Path { .. } => Ok(()),
            DrawingShape::Circle { centre, radius_px, fill, pen } => {
                let class = self.name_pen(fill, *pen);
                let (x, y, r) = (page_number(centre.0), page_number(centre.1), page_number(*radius_px));
                write!(out, "<circle class=\"{class}\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>")
            }
            DrawingShape::Text { at, turn_deg, size_px, anchor, bold, colour, text } => {
                let anchor = match anchor {
                    TextAnchor::Start => "start",
                    TextAnchor::Middle => "middle",
                    TextAnchor::End => "end",
                };
                let weight = if *bold { ";font-weight:700" } else { "" };
                let size = svg_number(*size_px);
                let rule = format!("font-size:{size}px;text-anchor:{anchor};fill:{colour}{weight}");
                let class = self.name_rule(rule);
                let (x, y) = (page_number(at.0), page_number(at.1));
                let place = if *turn_deg == 0.0 {
                    format!("x=\"{x}\" y=\"{y}\"")
                } else {
                    format!("transform=\"translate({x} {y}) rotate({})\"", page_number(-turn_deg))
                };
                // Another face than ours runs no wider.
                let wide = page_number(text_width_px(text, *size_px, *bold));
                write!(
                    out,
                    "<text class=\"{class}\" {place} textLength=\"{wide}\">{}</text>",
                    escape_text(text)
                )
            }
            DrawingShape::Mark { centre, radius_px, state, renewed } => {
                let (x, y, k) = (page_number(centre.0), page_number(centre.1), page_number(*radius_px));
                let inner = mark::mark_group_svg(*state, *renewed);
                write!(out, "<g transform=\"translate({x} {y}) scale({k})\"{inner}</g>")
            }
        };
    }

    /// The rules of all drawings written so far.
    #[must_use]
    pub fn style(&self) -> String {
        let rule = |(rule, at): (&String, &usize)| format!(".d{at}{{{rule}}}");
        format!(
            "svg{{font-family:{FACE_FAMILY}}}{}{}",
            mark::mark_rules("svg "),
            self.rules.iter().map(rule).collect::<String>()
        )
    }

    /// What the page has once, before the first drawing.
    #[must_use]
    pub fn hatch() -> String {
        format!(
            "<svg width=\"0\" height=\"0\" style=\"position:absolute\" aria-hidden=\"true\"><defs><pattern id=\"{PAGE_HATCH}\" \
             width=\"9\" height=\"9\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><path d=\"M0 0V9\" stroke=\"{INK}\" \
             stroke-width=\"1\" stroke-opacity=\"0.55\"/></pattern></defs></svg>\n"
        )
    }
}

/// Paths of one class that follow each other, as one.
#[derive(Default)]
struct JoinedPath {
    class: String,
    words: String,
}

impl JoinedPath {
    fn add(&mut self, out: &mut String, class: String, may_join: bool, words: &str) {
        if !(may_join && self.class == class) {
            self.end(out);
        }
        self.class = class;
        self.words.push_str(words);
        if !may_join {
            self.end(out);
        }
    }

    fn end(&mut self, out: &mut String) {
        if !self.words.is_empty() {
            let _ = write!(out, "<path class=\"{}\" d=\"{}\"/>", self.class, self.words);
        }
        self.class.clear();
        self.words.clear();
    }
}

/// "M1 2H5V4Z": lines from point to point, level and upright ones by one figure.
fn path_words(points: &[(f64, f64)], closed: bool) -> String {
    let mut words = String::new();
    let mut last: Option<(String, String)> = None;
    for (x, y) in points {
        let (x, y) = (page_number(*x), page_number(*y));
        match &last {
            None => words.push_str(&format!("M{x} {y}")),
            Some((at_x, at_y)) if *at_x == x && *at_y == y => {}
            Some((_, at_y)) if *at_y == y => words.push_str(&format!("H{x}")),
            Some((at_x, _)) if *at_x == x => words.push_str(&format!("V{y}")),
            Some(_) => words.push_str(&format!("L{x} {y}")),
        }
        last = Some((x, y));
    }
    if closed {
        words.push('Z');
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_drawings_share_their_pens_and_one_hatching() {
        let mut drawing = Drawing::new("a", "a hatched block", 100.0, 50.0);
        drawing.path(&[(0.0, 0.0), (10.04, 0.0), (10.0, 5.0)], true, HATCH, Some(DrawingPen::THIN));
        drawing.text((5.0, 9.0), 16.0, TextAnchor::Start, false, INK, "10 < 12");
        let mut page = PageDrawings::default();
        let (first, second) = (page.write(&drawing), page.write(&drawing));
        assert_eq!(first, second);
        assert!(first.contains("d=\"M0 0H10V5Z\""), "{first}");
        assert!(first.contains("10 &lt; 12"), "{first}");
        assert_eq!(page.style().matches(".d").count(), 2, "a pen and letters: {}", page.style());
        assert!(
            page.style().contains("fill:url(#page-metal)")
                && PageDrawings::hatch().contains("id=\"page-metal\"")
        );
        assert!(first.len() * 2 < crate::svg::write_svg(&drawing).len());
    }
}
