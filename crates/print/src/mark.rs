//! The mark of a fastener's state: the same on screen, on the hole card and in the title block, readable in one colour.
//!
//! Each mark is drawn in a group whose unit is the mark's radius, so that a page can draw another state into the same
//! group; `marks.js` of the pages holds the same shapes and words, and a test compares them.

use crate::svg::escape_text;
use model::FastenerState;

/// Width of a line in a mark, of its radius.
pub(crate) const LINE_RATIO: f64 = 0.16;

/// Width of the white stripe of a checked fastener, of its radius.
pub(crate) const STRIPE_RATIO: f64 = 0.28;

/// Radius of the ring round the mark of a renewed fastener.
pub(crate) const RENEWED_RATIO: f64 = 1.32;

/// One stretch of a path: the same that its `d` says, for paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum MarkStretch {
    /// From x, y to x, y.
    Line(f64, f64, f64, f64),
    /// On the ring from an angle by an angle, degrees, clockwise as seen.
    Arc(f64, f64),
    /// Back to the beginning.
    Close,
}

/// What a shape of a mark is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum MarkForm {
    /// A circle of a radius.
    Circle(f64),
    /// A path as SVG writes it, and the same in stretches.
    Path(&'static str, &'static [MarkStretch]),
}

/// One shape of a mark, radius 1, centre 0 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct MarkShape {
    /// What it is.
    pub(crate) kind: MarkForm,
    /// How it is drawn: `line`, `solid` or `stripe`.
    pub(crate) class: &'static str,
}

const RING: MarkShape = MarkShape { kind: MarkForm::Circle(1.0), class: "line" };
const DOT: MarkShape = MarkShape { kind: MarkForm::Circle(0.32), class: "solid" };
const DISC: MarkShape = MarkShape { kind: MarkForm::Circle(1.0), class: "solid" };
const GAP: MarkShape = MarkShape {
    kind: MarkForm::Path("M.7-.7A1 1 0 1 1-.7-.7", &[MarkStretch::Arc(-45.0, 270.0)]),
    class: "line",
};
const HALF: MarkShape = MarkShape {
    kind: MarkForm::Path("M-1 0A1 1 0 0 0 1 0Z", &[MarkStretch::Arc(180.0, -180.0), MarkStretch::Close]),
    class: "solid",
};
const STRIPE: MarkShape = MarkShape {
    kind: MarkForm::Path("M-1.35 1.35L1.35-1.35", &[MarkStretch::Line(-1.35, 1.35, 1.35, -1.35)]),
    class: "stripe",
};
const CROSS: MarkShape = MarkShape {
    kind: MarkForm::Path(
        "M-1-1L1 1M-1 1L1-1",
        &[MarkStretch::Line(-1.0, -1.0, 1.0, 1.0), MarkStretch::Line(-1.0, 1.0, 1.0, -1.0)],
    ),
    class: "line",
};

/// The shapes of a state's mark.
pub(crate) const fn mark_shapes(state: FastenerState) -> &'static [MarkShape] {
    match state {
        FastenerState::InPlace => &[DOT],
        FastenerState::Freed => &[DOT, GAP],
        FastenerState::Off => &[RING],
        FastenerState::FingerTight => &[RING, HALF],
        FastenerState::Tight => &[DISC],
        FastenerState::Checked => &[DISC, STRIPE],
        FastenerState::Broken | FastenerState::Missing => &[RING, CROSS],
    }
}

/// The shapes of a state's mark as SVG, radius 1, centre 0 0.
#[must_use]
pub fn mark_svg(state: FastenerState) -> String {
    mark_shapes(state)
        .iter()
        .map(|part| match part.kind {
            MarkForm::Circle(ratio) => format!(r#"<circle r="{ratio}" class="{}"/>"#, part.class),
            MarkForm::Path(d, _) => format!(r#"<path d="{d}" class="{}"/>"#, part.class),
        })
        .collect()
}

/// How lines and areas of marks look; once in each drawing that has marks.
pub(crate) fn mark_style_svg() -> String {
    format!("<style>{}</style>", mark_rules(""))
}

/// The rules of style of all marks, for what lies within `scope`.
pub(crate) fn mark_rules(scope: &str) -> String {
    format!(
        "{scope}.line{{fill:none;stroke:#111;stroke-width:{LINE_RATIO}}}{scope}.solid{{fill:#111}}\
         {scope}.stripe{{fill:none;stroke:#fff;stroke-width:{STRIPE_RATIO}}}{scope}.touch{{fill:#fff;fill-opacity:0}}"
    )
}

/// The attributes by which a page finds the group of a fastener, and the state that it shows.
#[must_use]
pub fn mark_group_names_svg(fixing: &str, hole: &str, state: FastenerState) -> String {
    let (fixing, hole) = (escape_text(fixing), escape_text(hole));
    format!(r#" data-fixing="{fixing}" data-hole="{hole}" data-state="{}""#, state.file_word())
}

/// The end of the tag and the inside of the group of a mark.
pub(crate) fn mark_group_svg(state: FastenerState, renewed: bool) -> String {
    let around =
        if renewed { format!(r#"<circle r="{RENEWED_RATIO}" class="line"/>"#) } else { String::new() };
    // The finger needs more room than the mark, and white under the mark hides the path of the work.
    format!(
        r##"><circle r="1.9" class="touch"/>{around}<circle r="1" fill="#fff"/><g class="mark">{}</g>"##,
        mark_svg(state)
    )
}
