//! A small writer of SVG: escaped text, fixed decimals, no styles beyond what the look needs.

use core::fmt::Write as _;

/// Near-black ink.
pub const INK: &str = "#111111";
/// The one accent, a deep drafting blue (9.7:1 on white): what is in hand now.
pub const NOW: &str = "#0b3d91";
/// Thin and thick line widths of ISO 128, in drawing units.
pub const THIN: f64 = 1.0;
/// Thick line width.
pub const THICK: f64 = 2.2;

/// A point or a length in drawing units, with two decimals at most.
#[must_use]
pub fn number(value_px: f64) -> String {
    let rounded = units::math::round(value_px * 100.0) / 100.0;
    let rounded = if rounded == 0.0 { 0.0 } else { rounded };
    format!("{rounded}")
}

/// Text made safe for SVG and HTML.
#[must_use]
pub fn escape(text: &str) -> String {
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

/// Where a text stands against its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Begins there.
    Start,
    /// Is centred there.
    Middle,
    /// Ends there.
    End,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Colour.
    pub colour: &'static str,
    /// Width in drawing units.
    pub width_px: f64,
    /// Dash pattern, empty for a full line.
    pub dash: &'static str,
}

impl Pen {
    /// Full thin line.
    pub const THIN: Self = Self { colour: INK, width_px: THIN, dash: "" };
    /// Full thick line.
    pub const THICK: Self = Self { colour: INK, width_px: THICK, dash: "" };
    /// Long-dash dot line for axes (ISO 128-2, type 04.1).
    pub const AXIS: Self = Self { colour: INK, width_px: THIN, dash: "16 4 2 4" };
    /// Dashed line for limits that are not edges.
    pub const LIMIT: Self = Self { colour: INK, width_px: THIN, dash: "7 4" };
    /// The accent.
    pub const NOW: Self = Self { colour: NOW, width_px: THICK, dash: "" };
}

/// A drawing that grows by appending elements.
#[derive(Debug, Clone)]
pub struct Svg {
    width_px: f64,
    height_px: f64,
    title: String,
    id: String,
    body: String,
}

impl Svg {
    /// An empty drawing of a size; `id` keeps its patterns apart from other drawings in one page.
    #[must_use]
    pub fn new(id: &str, title: &str, width_px: f64, height_px: f64) -> Self {
        let id = id.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
        Self { width_px, height_px, title: title.into(), id, body: String::new() }
    }

    /// A straight line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), pen: Pen) {
        let _ = writeln!(
            self.body,
            r#"<line x1="{}" y1="{}" x2="{}" y2="{}"{}/>"#,
            number(from.0),
            number(from.1),
            number(to.0),
            number(to.1),
            stroke(pen)
        );
    }

    /// A polygon or polyline through points, closed or open, filled with a colour or pattern, or `none`.
    pub fn path(&mut self, points: &[(f64, f64)], closed: bool, fill: &str, pen: Option<Pen>) {
        let mut d = String::new();
        for (i, (x, y)) in points.iter().enumerate() {
            let _ = write!(d, "{}{} {}", if i == 0 { "M" } else { " L" }, number(*x), number(*y));
        }
        if closed {
            d.push_str(" Z");
        }
        let outline = pen.map_or_else(|| String::from(r#" stroke="none""#), stroke);
        let _ = writeln!(self.body, r#"<path d="{d}" fill="{fill}"{outline}/>"#);
    }

    /// A rectangle.
    pub fn rect(&mut self, at: (f64, f64), size: (f64, f64), fill: &str, pen: Option<Pen>) {
        let (x, y) = at;
        let (w, h) = size;
        self.path(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)], true, fill, pen);
    }

    /// A circle.
    pub fn circle(&mut self, centre: (f64, f64), radius_px: f64, fill: &str, pen: Option<Pen>) {
        let outline = pen.map_or_else(|| String::from(r#" stroke="none""#), stroke);
        let _ = writeln!(
            self.body,
            r#"<circle cx="{}" cy="{}" r="{}" fill="{fill}"{outline}/>"#,
            number(centre.0),
            number(centre.1),
            number(radius_px)
        );
    }

    /// Opens a group that is moved and scaled; `attributes` are written as they are, their values escaped by the caller.
    pub fn open_group(&mut self, at: (f64, f64), scale: f64, attributes: &str) {
        let (x, y, k) = (number(at.0), number(at.1), number(scale));
        let _ = writeln!(self.body, r#"<g transform="translate({x} {y}) scale({k})"{attributes}>"#);
    }

    /// Ends the group.
    pub fn close_group(&mut self) {
        self.body.push_str("</g>\n");
    }

    /// Elements of which the caller answers for every byte.
    pub fn raw(&mut self, elements: &str) {
        self.body.push_str(elements);
        self.body.push('\n');
    }

    /// A text; bold where it is the one thing to read.
    pub fn text(
        &mut self,
        at: (f64, f64),
        size_px: f64,
        anchor: Anchor,
        bold: bool,
        colour: &str,
        text: &str,
    ) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let weight = if bold { r#" font-weight="700""# } else { "" };
        let _ = writeln!(
            self.body,
            r#"<text x="{}" y="{}" font-size="{}" text-anchor="{anchor}"{weight} fill="{colour}">{}</text>"#,
            number(at.0),
            number(at.1),
            number(size_px),
            escape(text)
        );
    }

    /// The fill that hatches metal, as a value for `fill`.
    #[must_use]
    pub fn hatch(&self) -> String {
        format!("url(#{}-metal)", self.id)
    }

    /// A dimension line between two points with arrow heads and its figure beside the middle.
    pub fn dimension(&mut self, from: (f64, f64), to: (f64, f64), figure: &str) {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length_px = units::math::hypot(dx, dy);
        if length_px < 1.0 {
            return;
        }
        let (ux, uy) = (dx / length_px, dy / length_px);
        self.line(from, to, Pen::THIN);
        for (tip, sign) in [(from, 1.0), (to, -1.0)] {
            let back = (tip.0 + sign * ux * 9.0, tip.1 + sign * uy * 9.0);
            let points =
                [tip, (back.0 - uy * 3.0, back.1 + ux * 3.0), (back.0 + uy * 3.0, back.1 - ux * 3.0)];
            self.path(&points, true, INK, None);
        }
        let middle = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
        let turn_deg = if units::math::hypot(dx, 0.0) < 0.5 { -90.0 } else { 0.0 };
        let _ = writeln!(
            self.body,
            r#"<text transform="translate({} {}) rotate({turn_deg})" y="-5" font-size="15" text-anchor="middle" fill="{INK}">{}</text>"#,
            number(middle.0),
            number(middle.1),
            escape(figure)
        );
    }

    /// The finished drawing.
    #[must_use]
    pub fn finish(self) -> String {
        let (w, h) = (number(self.width_px), number(self.height_px));
        let id = &self.id;
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" role=\"img\" \
             aria-labelledby=\"{id}-title\" font-family=\"'Atkinson Hyperlegible', Verdana, sans-serif\">\n\
             <title id=\"{id}-title\">{}</title>\n\
             <defs><pattern id=\"{id}-metal\" width=\"9\" height=\"9\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"9\" stroke=\"{INK}\" \
             stroke-width=\"1\" stroke-opacity=\"0.55\"/></pattern></defs>\n\
             <rect width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>\n{}</svg>\n",
            escape(&self.title),
            self.body
        )
    }
}

/// The stroke attributes of a pen.
fn stroke(pen: Pen) -> String {
    let dash =
        if pen.dash.is_empty() { String::new() } else { format!(r#" stroke-dasharray="{}""#, pen.dash) };
    format!(r#" stroke="{}" stroke-width="{}"{dash}"#, pen.colour, number(pen.width_px))
}

/// Breaks a text into lines of at most so many characters, at spaces.
#[must_use]
pub fn wrap(text: &str, most_chars: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= most_chars => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.into()),
        }
    }
    lines
}
