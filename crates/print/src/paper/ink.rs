//! What a page is made of before it is written: letters, outlines and pictures at their places in millimetres.

use crate::drawing::TextAnchor;
use crate::paper::font::LetterFaces;

/// A colour: red, green, blue.
pub type InkColour = (u8, u8, u8);
/// Near-black ink.
pub const INK: InkColour = (17, 17, 17);
/// Paper.
pub const WHITE: InkColour = (255, 255, 255);

/// One stretch of an outline, mm from the top left, y downwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum InkSegment {
    /// Begins here.
    Move(f64, f64),
    /// Straight to here.
    Line(f64, f64),
    /// A curve with two guides.
    Curve([f64; 6]),
    /// Back to the beginning.
    Close,
}

/// How an outline is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct InkNib {
    /// Width, mm.
    pub width_mm: f64,
    /// Colour.
    pub colour: InkColour,
    /// Lengths of dashes and gaps, mm; empty for a full line.
    pub dash_mm: Vec<f64>,
}

impl InkNib {
    /// A full line in ink.
    #[must_use]
    pub const fn full_line(width_mm: f64) -> Self {
        Self { width_mm, colour: INK, dash_mm: Vec::new() }
    }

    /// A dashed line in ink.
    #[must_use]
    pub fn dashed_line(width_mm: f64, on_mm: f64, off_mm: f64) -> Self {
        Self { width_mm, colour: INK, dash_mm: vec![on_mm, off_mm] }
    }
}

/// What a stretch of ink is to somebody who hears the page read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum InkRole {
    /// Title of a sheet.
    Title,
    /// A heading within a sheet.
    Heading,
    /// A paragraph, or a step.
    Paragraph,
    /// A further line of the last paragraph or heading.
    Further,
    /// A row of a table, its cells within; `true` for the heading row.
    Row(bool),
    /// A cell.
    Cell,
    /// A picture, and what it shows.
    Figure(String),
    /// What is on every page and not read again.
    PageMark,
}

/// Something on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum InkItem {
    /// What follows has a role, until [`InkItem::RoleEnd`]; only cells lie within another role, their row.
    Role(InkRole),
    /// Ends [`InkItem::Role`].
    RoleEnd,
    /// A line of text from its left end on the base line.
    Text {
        /// Place, mm.
        at_mm: (f64, f64),
        /// Where the left end lies from there, along the base line.
        shift_mm: f64,
        /// Turned against the clock about its place.
        turn_deg: f64,
        /// Size of the letters.
        size_mm: f64,
        /// Bold.
        bold: bool,
        /// Colour.
        colour: InkColour,
        /// What it says.
        text: String,
    },
    /// An outline, filled or not.
    Path {
        /// Its stretches.
        segs: Vec<InkSegment>,
        /// Fill.
        fill: Option<InkColour>,
        /// Line.
        nib: Option<InkNib>,
    },
    /// Parallel lines at 45° within an outline.
    Hatch {
        /// The outline.
        segs: Vec<InkSegment>,
        /// Distance of the lines.
        gap_mm: f64,
    },
    /// A photograph: which of the pack's, at its place and size.
    Photo {
        /// JPEG bytes.
        jpeg: Vec<u8>,
        /// Top left.
        at_mm: (f64, f64),
        /// Width and height.
        size_mm: (f64, f64),
    },
    /// What follows is seen only within a rectangle (left, top, width, height), until [`Op::Free`].
    Within(f64, f64, f64, f64),
    /// Ends [`Op::Within`].
    Free,
}

/// Everything drawn on one page or in one piece, in order.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PageInks(pub Vec<InkItem>);

impl PageInks {
    /// Text with its left end at a place.
    pub fn text(&mut self, at_mm: (f64, f64), size_mm: f64, bold: bool, text: &str) {
        let (text, colour) = (text.into(), INK);
        self.0.push(InkItem::Text { at_mm, shift_mm: 0.0, turn_deg: 0.0, size_mm, bold, colour, text });
    }

    /// Text that begins, is centred or ends at a place.
    pub fn anchored_text(
        &mut self,
        letters: &LetterFaces,
        at_mm: (f64, f64),
        anchor: TextAnchor,
        (size_mm, bold): (f64, bool),
        text: &str,
    ) {
        let shift_mm = anchor_shift_mm(letters.width_mm(text, size_mm, bold), anchor);
        self.text((at_mm.0 + shift_mm, at_mm.1), size_mm, bold, text);
    }

    /// A straight line.
    pub fn line(&mut self, from_mm: (f64, f64), to_mm: (f64, f64), nib: InkNib) {
        let segs = vec![InkSegment::Move(from_mm.0, from_mm.1), InkSegment::Line(to_mm.0, to_mm.1)];
        self.0.push(InkItem::Path { segs, fill: None, nib: Some(nib) });
    }

    /// A rectangle.
    pub fn rect(
        &mut self,
        at_mm: (f64, f64),
        size_mm: (f64, f64),
        fill: Option<InkColour>,
        nib: Option<InkNib>,
    ) {
        let ((x, y), (w, h)) = (at_mm, size_mm);
        let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
        self.0.push(InkItem::Path { segs: polygon_segments(&corners, true), fill, nib });
    }

    /// A circle.
    pub fn circle(
        &mut self,
        centre_mm: (f64, f64),
        radius_mm: f64,
        fill: Option<InkColour>,
        nib: Option<InkNib>,
    ) {
        self.0.push(InkItem::Path { segs: circle_segments(centre_mm, radius_mm), fill, nib });
    }

    /// Gives a role to all that is drawn here.
    pub fn set_role(&mut self, role: InkRole) {
        self.0.insert(0, InkItem::Role(role));
        self.0.push(InkItem::RoleEnd);
    }

    /// Takes over what another field holds, moved.
    pub fn take_inks(&mut self, other: Self, by_mm: (f64, f64)) {
        self.0.extend(other.0.into_iter().map(|op| moved_item(op, by_mm)));
    }
}

/// Where a text of a width begins against its point.
#[must_use]
pub fn anchor_shift_mm(width_mm: f64, anchor: TextAnchor) -> f64 {
    match anchor {
        TextAnchor::Start => 0.0,
        TextAnchor::Middle => -width_mm / 2.0,
        TextAnchor::End => -width_mm,
    }
}

/// The stretches of a polygon.
#[must_use]
pub fn polygon_segments(corners_mm: &[(f64, f64)], closed: bool) -> Vec<InkSegment> {
    let mut segs: Vec<InkSegment> = corners_mm
        .iter()
        .enumerate()
        .map(|(i, (x, y))| if i == 0 { InkSegment::Move(*x, *y) } else { InkSegment::Line(*x, *y) })
        .collect();
    if closed && !segs.is_empty() {
        segs.push(InkSegment::Close);
    }
    segs
}

/// The stretches of a circle.
#[must_use]
pub fn circle_segments(centre_mm: (f64, f64), radius_mm: f64) -> Vec<InkSegment> {
    let mut segs = arc_segments(centre_mm, radius_mm, 0.0, 360.0);
    segs.push(InkSegment::Close);
    segs
}

/// An arc from an angle, clockwise as seen (y points down), as curves of at most 45° each.
///
/// A cubic with guides 4/3·tan(φ/4) along the tangents strays from the arc by less than 4·10⁻⁶ of the radius at 45°
/// (the usual approximation; the bound follows from its series, worked out by hand).
#[must_use]
pub fn arc_segments(
    centre_mm: (f64, f64),
    radius_mm: f64,
    start_deg: f64,
    sweep_deg: f64,
) -> Vec<InkSegment> {
    let count = (sweep_deg.abs() / 45.0).ceil().max(1.0) as u32;
    let step_deg = sweep_deg / f64::from(count);
    let guide = 4.0 / 3.0 * units::math::tan_deg(step_deg / 4.0);
    let at = |angle_deg: f64| (units::math::cos_deg(angle_deg), units::math::sin_deg(angle_deg));
    let place = |x: f64, y: f64| (centre_mm.0 + radius_mm * x, centre_mm.1 + radius_mm * y);
    let (cx, cy) = at(start_deg);
    let first = place(cx, cy);
    let mut segs = vec![InkSegment::Move(first.0, first.1)];
    for i in 0..count {
        let (x0, y0) = at(start_deg + step_deg * f64::from(i));
        let (x1, y1) = at(start_deg + step_deg * f64::from(i + 1));
        let a = place(x0 - guide * y0, y0 + guide * x0);
        let b = place(x1 + guide * y1, y1 - guide * x1);
        let end = place(x1, y1);
        segs.push(InkSegment::Curve([a.0, a.1, b.0, b.1, end.0, end.1]));
    }
    segs
}

/// A stretch moved.
fn moved_segment(seg: InkSegment, by_mm: (f64, f64)) -> InkSegment {
    let (dx, dy) = by_mm;
    match seg {
        InkSegment::Move(x, y) => InkSegment::Move(x + dx, y + dy),
        InkSegment::Line(x, y) => InkSegment::Line(x + dx, y + dy),
        InkSegment::Curve([a, b, c, d, e, f]) => {
            InkSegment::Curve([a + dx, b + dy, c + dx, d + dy, e + dx, f + dy])
        }
        InkSegment::Close => InkSegment::Close,
    }
}

/// Something moved.
#[must_use]
pub fn moved_item(op: InkItem, by_mm: (f64, f64)) -> InkItem {
    let (dx, dy) = by_mm;
    let shift = |segs: Vec<InkSegment>| segs.into_iter().map(|s| moved_segment(s, by_mm)).collect();
    match op {
        InkItem::Text { at_mm: (x, y), shift_mm, turn_deg, size_mm, bold, colour, text } => {
            InkItem::Text { at_mm: (x + dx, y + dy), shift_mm, turn_deg, size_mm, bold, colour, text }
        }
        InkItem::Path { segs, fill, nib } => InkItem::Path { segs: shift(segs), fill, nib },
        InkItem::Hatch { segs, gap_mm } => InkItem::Hatch { segs: shift(segs), gap_mm },
        InkItem::Photo { jpeg, at_mm: (x, y), size_mm } => {
            InkItem::Photo { jpeg, at_mm: (x + dx, y + dy), size_mm }
        }
        InkItem::Within(x, y, w, h) => InkItem::Within(x + dx, y + dy, w, h),
        same @ (InkItem::Free | InkItem::Role(_) | InkItem::RoleEnd) => same,
    }
}

/// Lowest and highest place of an outline: left, top, right, bottom; `None` for an empty one.
#[must_use]
pub fn outline_extent(segs: &[InkSegment]) -> Option<(f64, f64, f64, f64)> {
    let points = segs.iter().filter_map(|seg| match seg {
        InkSegment::Move(x, y) | InkSegment::Line(x, y) | InkSegment::Curve([_, _, _, _, x, y]) => {
            Some((*x, *y))
        }
        InkSegment::Close => None,
    });
    points.fold(None, |found, (x, y)| {
        let (l, t, r, b) = found.unwrap_or((x, y, x, y));
        Some((l.min(x), t.min(y), r.max(x), b.max(y)))
    })
}
