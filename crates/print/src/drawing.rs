//! A drawing as a list of shapes, for page and paper alike: no styles beyond what the look needs.

use model::FastenerState;

/// Near-black ink.
pub const INK: &str = "#111111";
/// The one accent, a deep drafting blue (9.7:1 on white): what is in hand now.
pub const NOW: &str = "#0b3d91";
/// Thin and thick line widths of ISO 128, in drawing units.
pub const THIN: f64 = 1.0;
/// Thick line width.
pub const THICK: f64 = 2.2;

/// How a text is aligned to its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextAnchor {
    /// Begins there.
    Start,
    /// Is centred there.
    Middle,
    /// Ends there.
    End,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawingPen {
    /// Colour.
    pub colour: &'static str,
    /// Width in drawing units.
    pub width_px: f64,
    /// Dash pattern, empty for a full line.
    pub dash: &'static str,
}

impl DrawingPen {
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

/// The fill that hatches metal.
pub const HATCH: &str = "hatch";

/// One element of a drawing, in drawing units, y downwards.
#[derive(Debug, Clone, PartialEq)]
pub enum DrawingShape {
    /// A straight line.
    Line {
        /// One end.
        from: (f64, f64),
        /// The other end.
        to: (f64, f64),
        /// How it is drawn.
        pen: DrawingPen,
    },
    /// A polygon or polyline.
    Path {
        /// Its corners.
        points: Vec<(f64, f64)>,
        /// Whether the last joins the first.
        closed: bool,
        /// Colour, `none` or [`HATCH`].
        fill: String,
        /// Outline, if any.
        pen: Option<DrawingPen>,
    },
    /// A circle.
    Circle {
        /// Centre.
        centre: (f64, f64),
        /// Radius.
        radius_px: f64,
        /// Colour, `none` or [`HATCH`].
        fill: String,
        /// Outline, if any.
        pen: Option<DrawingPen>,
    },
    /// A line of text.
    Text {
        /// Its point on the base line.
        at: (f64, f64),
        /// Turned against the clock about its point.
        turn_deg: f64,
        /// Size of the letters.
        size_px: f64,
        /// How it is aligned to its point.
        anchor: TextAnchor,
        /// Bold where it is the one thing to read.
        bold: bool,
        /// Colour.
        colour: String,
        /// What it says.
        text: String,
    },
    /// The mark of a hole.
    Mark {
        /// Centre.
        centre: (f64, f64),
        /// Radius.
        radius_px: f64,
        /// State of the fastener.
        state: FastenerState,
        /// A new fastener is there.
        renewed: bool,
    },
}

/// A drawing that grows by appending shapes.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Keeps its patterns apart from those of other drawings in one page.
    pub id: String,
    /// What it shows, for those who do not see it.
    pub title: String,
    /// Width.
    pub width_px: f64,
    /// Height.
    pub height_px: f64,
    /// What it is made of, the lowest first.
    pub shapes: Vec<DrawingShape>,
}

impl Drawing {
    /// An empty drawing of a size.
    #[must_use]
    pub fn new(id: &str, title: &str, width_px: f64, height_px: f64) -> Self {
        let id = id.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
        Self { id, title: title.into(), width_px, height_px, shapes: Vec::new() }
    }

    /// A straight line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), pen: DrawingPen) {
        self.shapes.push(DrawingShape::Line { from, to, pen });
    }

    /// A polygon or polyline through points, closed or open, filled with a colour, [`HATCH`] or `none`.
    pub fn path(&mut self, points: &[(f64, f64)], closed: bool, fill: &str, pen: Option<DrawingPen>) {
        self.shapes.push(DrawingShape::Path { points: points.to_vec(), closed, fill: fill.into(), pen });
    }

    /// A rectangle.
    pub fn rect(&mut self, at: (f64, f64), size: (f64, f64), fill: &str, pen: Option<DrawingPen>) {
        let (x, y) = at;
        let (w, h) = size;
        self.path(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)], true, fill, pen);
    }

    /// A circle.
    pub fn circle(&mut self, centre: (f64, f64), radius_px: f64, fill: &str, pen: Option<DrawingPen>) {
        self.shapes.push(DrawingShape::Circle { centre, radius_px, fill: fill.into(), pen });
    }

    /// A text; bold where it is the one thing to read.
    pub fn text(
        &mut self,
        at: (f64, f64),
        size_px: f64,
        anchor: TextAnchor,
        bold: bool,
        colour: &str,
        text: &str,
    ) {
        let (colour, text) = (colour.into(), text.into());
        self.shapes.push(DrawingShape::Text { at, turn_deg: 0.0, size_px, anchor, bold, colour, text });
    }

    /// A dimension line between two points with arrow heads and its figure beside the middle.
    pub fn dimension(&mut self, from: (f64, f64), to: (f64, f64), figure: &str) {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length_px = units::math::hypot(dx, dy);
        if length_px < 1.0 {
            return;
        }
        let (ux, uy) = (dx / length_px, dy / length_px);
        self.line(from, to, DrawingPen::THIN);
        for (tip, sign) in [(from, 1.0), (to, -1.0)] {
            let back = (tip.0 + sign * ux * 9.0, tip.1 + sign * uy * 9.0);
            let points =
                [tip, (back.0 - uy * 3.0, back.1 + ux * 3.0), (back.0 + uy * 3.0, back.1 - ux * 3.0)];
            self.path(&points, true, INK, None);
        }
        if figure.is_empty() {
            return;
        }
        let middle = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
        let upright = units::math::hypot(dx, 0.0) < 0.5;
        let (at, turn_deg) =
            if upright { ((middle.0 - 5.0, middle.1), 90.0) } else { ((middle.0, middle.1 - 5.0), 0.0) };
        let (colour, text) = (INK.into(), figure.into());
        self.shapes.push(DrawingShape::Text {
            at,
            turn_deg,
            size_px: 16.0,
            anchor: TextAnchor::Middle,
            bold: false,
            colour,
            text,
        });
    }

    /// A dimension line whose length is not to scale: with a break in it, and its true figure.
    pub fn broken_dimension(&mut self, from: (f64, f64), to: (f64, f64), figure: &str) {
        self.dimension(from, to, figure);
        let near_end = (to.0 + (from.0 - to.0) * 0.12, to.1 + (from.1 - to.1) * 0.12);
        self.break_mark(near_end, 9.0);
    }

    /// A break line of ISO 128-2 across an upright axis: beyond it the drawing is not to scale.
    pub fn break_mark(&mut self, (x, y): (f64, f64), half_px: f64) {
        let lift = half_px * 0.35;
        let blank = [(x - half_px, y + 3.0), (x + half_px, y - 3.0)];
        self.line(blank[0], blank[1], DrawingPen { colour: "#ffffff", width_px: 6.0, dash: "" });
        for dy in [-4.0, 4.0] {
            let points = [
                (x - half_px, y + dy + 2.0),
                (x - half_px * 0.25, y + dy),
                (x - half_px * 0.1, y + dy - lift),
                (x + half_px * 0.1, y + dy + lift),
                (x + half_px * 0.25, y + dy),
                (x + half_px, y + dy - 2.0),
            ];
            self.path(&points, false, "none", Some(DrawingPen::THIN));
        }
    }
}
