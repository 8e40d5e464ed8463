//! What a page is made of before it is written: letters, outlines and pictures at their places in millimetres.

use crate::drawing::Anchor;
use crate::paper::font::Letters;

/// A colour: red, green, blue.
pub type Colour = (u8, u8, u8);
/// Near-black ink.
pub const INK: Colour = (17, 17, 17);
/// Paper.
pub const WHITE: Colour = (255, 255, 255);

/// One stretch of an outline, mm from the top left, y downwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seg {
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
pub struct Nib {
    /// Width, mm.
    pub width_mm: f64,
    /// Colour.
    pub colour: Colour,
    /// Lengths of dashes and gaps, mm; empty for a full line.
    pub dash_mm: Vec<f64>,
}

impl Nib {
    /// A full line in ink.
    #[must_use]
    pub const fn full(width_mm: f64) -> Self {
        Self { width_mm, colour: INK, dash_mm: Vec::new() }
    }

    /// A dashed line in ink.
    #[must_use]
    pub fn dashed(width_mm: f64, on_mm: f64, off_mm: f64) -> Self {
        Self { width_mm, colour: INK, dash_mm: vec![on_mm, off_mm] }
    }
}

/// Something on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Op {
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
        colour: Colour,
        /// What it says.
        text: String,
    },
    /// An outline, filled or not.
    Path {
        /// Its stretches.
        segs: Vec<Seg>,
        /// Fill.
        fill: Option<Colour>,
        /// Line.
        nib: Option<Nib>,
    },
    /// Parallel lines at 45° within an outline.
    Hatch {
        /// The outline.
        segs: Vec<Seg>,
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

/// A field that is drawn on.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Inks(pub Vec<Op>);

impl Inks {
    /// Text with its left end at a place.
    pub fn text(&mut self, at_mm: (f64, f64), size_mm: f64, bold: bool, text: &str) {
        let (text, colour) = (text.into(), INK);
        self.0.push(Op::Text { at_mm, shift_mm: 0.0, turn_deg: 0.0, size_mm, bold, colour, text });
    }

    /// Text that begins, is centred or ends at a place.
    pub fn anchored(
        &mut self,
        letters: &Letters,
        at_mm: (f64, f64),
        anchor: Anchor,
        (size_mm, bold): (f64, bool),
        text: &str,
    ) {
        let shift_mm = anchor_shift(letters.width_mm(text, size_mm, bold), anchor);
        self.text((at_mm.0 + shift_mm, at_mm.1), size_mm, bold, text);
    }

    /// A straight line.
    pub fn line(&mut self, from_mm: (f64, f64), to_mm: (f64, f64), nib: Nib) {
        let segs = vec![Seg::Move(from_mm.0, from_mm.1), Seg::Line(to_mm.0, to_mm.1)];
        self.0.push(Op::Path { segs, fill: None, nib: Some(nib) });
    }

    /// A rectangle.
    pub fn rect(&mut self, at_mm: (f64, f64), size_mm: (f64, f64), fill: Option<Colour>, nib: Option<Nib>) {
        let ((x, y), (w, h)) = (at_mm, size_mm);
        let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)];
        self.0.push(Op::Path { segs: polygon(&corners, true), fill, nib });
    }

    /// A circle.
    pub fn circle(&mut self, centre_mm: (f64, f64), radius_mm: f64, fill: Option<Colour>, nib: Option<Nib>) {
        self.0.push(Op::Path { segs: circle(centre_mm, radius_mm), fill, nib });
    }

    /// Takes over what another field holds, moved.
    pub fn take(&mut self, other: Self, by_mm: (f64, f64)) {
        self.0.extend(other.0.into_iter().map(|op| moved(op, by_mm)));
    }
}

/// Where a text of a width begins against its point.
#[must_use]
pub fn anchor_shift(width_mm: f64, anchor: Anchor) -> f64 {
    match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -width_mm / 2.0,
        Anchor::End => -width_mm,
    }
}

/// The stretches of a polygon.
#[must_use]
pub fn polygon(corners_mm: &[(f64, f64)], closed: bool) -> Vec<Seg> {
    let mut segs: Vec<Seg> = corners_mm
        .iter()
        .enumerate()
        .map(|(i, (x, y))| if i == 0 { Seg::Move(*x, *y) } else { Seg::Line(*x, *y) })
        .collect();
    if closed && !segs.is_empty() {
        segs.push(Seg::Close);
    }
    segs
}

/// The stretches of a circle.
#[must_use]
pub fn circle(centre_mm: (f64, f64), radius_mm: f64) -> Vec<Seg> {
    let mut segs = arc(centre_mm, radius_mm, 0.0, 360.0);
    segs.push(Seg::Close);
    segs
}

/// An arc from an angle, clockwise as seen (y points down), as curves of at most 45° each.
///
/// A cubic with guides 4/3·tan(φ/4) along the tangents strays from the arc by less than 4·10⁻⁶ of the radius at 45°
/// (the usual approximation; the bound follows from its series, worked out by hand).
#[must_use]
pub fn arc(centre_mm: (f64, f64), radius_mm: f64, start_deg: f64, sweep_deg: f64) -> Vec<Seg> {
    let count = (sweep_deg.abs() / 45.0).ceil().max(1.0) as u32;
    let step_deg = sweep_deg / f64::from(count);
    let guide = 4.0 / 3.0 * units::math::tan_deg(step_deg / 4.0);
    let at = |angle_deg: f64| (units::math::cos_deg(angle_deg), units::math::sin_deg(angle_deg));
    let place = |x: f64, y: f64| (centre_mm.0 + radius_mm * x, centre_mm.1 + radius_mm * y);
    let (cx, cy) = at(start_deg);
    let first = place(cx, cy);
    let mut segs = vec![Seg::Move(first.0, first.1)];
    for i in 0..count {
        let (x0, y0) = at(start_deg + step_deg * f64::from(i));
        let (x1, y1) = at(start_deg + step_deg * f64::from(i + 1));
        let a = place(x0 - guide * y0, y0 + guide * x0);
        let b = place(x1 + guide * y1, y1 - guide * x1);
        let end = place(x1, y1);
        segs.push(Seg::Curve([a.0, a.1, b.0, b.1, end.0, end.1]));
    }
    segs
}

/// A stretch moved.
fn moved_seg(seg: Seg, by_mm: (f64, f64)) -> Seg {
    let (dx, dy) = by_mm;
    match seg {
        Seg::Move(x, y) => Seg::Move(x + dx, y + dy),
        Seg::Line(x, y) => Seg::Line(x + dx, y + dy),
        Seg::Curve([a, b, c, d, e, f]) => Seg::Curve([a + dx, b + dy, c + dx, d + dy, e + dx, f + dy]),
        Seg::Close => Seg::Close,
    }
}

/// Something moved.
#[must_use]
pub fn moved(op: Op, by_mm: (f64, f64)) -> Op {
    let (dx, dy) = by_mm;
    let shift = |segs: Vec<Seg>| segs.into_iter().map(|s| moved_seg(s, by_mm)).collect();
    match op {
        Op::Text { at_mm: (x, y), shift_mm, turn_deg, size_mm, bold, colour, text } => {
            Op::Text { at_mm: (x + dx, y + dy), shift_mm, turn_deg, size_mm, bold, colour, text }
        }
        Op::Path { segs, fill, nib } => Op::Path { segs: shift(segs), fill, nib },
        Op::Hatch { segs, gap_mm } => Op::Hatch { segs: shift(segs), gap_mm },
        Op::Photo { jpeg, at_mm: (x, y), size_mm } => Op::Photo { jpeg, at_mm: (x + dx, y + dy), size_mm },
        Op::Within(x, y, w, h) => Op::Within(x + dx, y + dy, w, h),
        Op::Free => Op::Free,
    }
}

/// Lowest and highest place of an outline: left, top, right, bottom; `None` for an empty one.
#[must_use]
pub fn extent(segs: &[Seg]) -> Option<(f64, f64, f64, f64)> {
    let points = segs.iter().filter_map(|seg| match seg {
        Seg::Move(x, y) | Seg::Line(x, y) | Seg::Curve([_, _, _, _, x, y]) => Some((*x, *y)),
        Seg::Close => None,
    });
    points.fold(None, |found, (x, y)| {
        let (l, t, r, b) = found.unwrap_or((x, y, x, y));
        Some((l.min(x), t.min(y), r.max(x), b.max(y)))
    })
}
