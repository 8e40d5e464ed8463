//! The mark of a fastener's state: the same on screen, on the hole card and in the title block, readable in one colour.
//!
//! Each mark is drawn in a group whose unit is the mark's radius, so that a page can draw another state into the same
//! group; `marks.js` of the pages holds the same shapes, and a test compares them.

use crate::svg::escape;
use crate::view::HoleMark;

/// Width of a line in a mark, of its radius.
const LINE_RATIO: f64 = 0.16;

/// Radius of the ring round the mark of a renewed fastener.
pub(crate) const RENEWED_RATIO: f64 = 1.32;

/// The shapes of a state's mark, radius 1, centre 0 0.
#[must_use]
pub fn mark(state: HoleMark) -> String {
    let ring = r#"<circle r="1" class="line"/>"#;
    let dot = r#"<circle r="0.32" class="solid"/>"#;
    let disc = r#"<circle r="1" class="solid"/>"#;
    match state {
        HoleMark::InPlace => String::from(dot),
        HoleMark::Freed => format!(r#"{dot}<path d="M.7-.7A1 1 0 1 1-.7-.7" class="line"/>"#),
        HoleMark::Off => String::from(ring),
        HoleMark::FingerTight => format!(r#"{ring}<path d="M-1 0A1 1 0 0 0 1 0Z" class="solid"/>"#),
        HoleMark::Tight => String::from(disc),
        HoleMark::Checked => format!(r#"{disc}<path d="M-1.35 1.35L1.35-1.35" class="stripe"/>"#),
        HoleMark::Broken | HoleMark::Missing => {
            format!(r#"{ring}<path d="M-1-1L1 1M-1 1L1-1" class="line"/>"#)
        }
    }
}

/// The word of a state, for `data-state`.
#[must_use]
pub(crate) const fn word(state: HoleMark) -> &'static str {
    match state {
        HoleMark::InPlace => "in-place",
        HoleMark::Freed => "freed",
        HoleMark::Off => "off",
        HoleMark::FingerTight => "finger-tight",
        HoleMark::Tight => "tight",
        HoleMark::Checked => "checked",
        HoleMark::Broken => "broken",
        HoleMark::Missing => "missing",
    }
}

/// How lines and areas of marks look; once in each drawing that has marks.
pub(crate) fn style() -> String {
    format!(
        "<style>.line{{fill:none;stroke:#111;stroke-width:{LINE_RATIO}}}.solid{{fill:#111}}\
         .stripe{{fill:none;stroke:#fff;stroke-width:.28}}.touch{{fill:#fff;fill-opacity:0}}</style>"
    )
}

/// The attributes and the inside of the group of a mark; `names` are fixing and hole where a page shall find it.
pub(crate) fn group(state: HoleMark, renewed: bool, names: Option<&(String, String)>) -> String {
    let names = names.map_or_else(String::new, |(fixing, hole)| {
        let (fixing, hole) = (escape(fixing), escape(hole));
        format!(r#" data-fixing="{fixing}" data-hole="{hole}" data-state="{}""#, word(state))
    });
    let around =
        if renewed { format!(r#"<circle r="{RENEWED_RATIO}" class="line"/>"#) } else { String::new() };
    // The finger needs more room than the mark, and white under the mark hides the path of the work.
    format!(
        r##"{names}><circle r="1.9" class="touch"/>{around}<circle r="1" fill="#fff"/><g class="mark">{}</g>"##,
        mark(state)
    )
}
