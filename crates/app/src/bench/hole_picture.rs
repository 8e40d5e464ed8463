//! The holes of a step as they lie, to be tapped with a glove: a ring with one number for each.
//!
//! The number is the place in the order of the work where order matters, else the hole's own name. What state its fastener is in
//! stands as a mark on the ring; the letter of its length below it, where several lengths belong to one part. The page fills the
//! ring that comes next and points to it. Where the heads were tapped in a picture, the rings stand on that picture.

use core::fmt::Write as _;

use model::plan::{Plan, Step, StepKind};
use model::{Book, FastenerState, Fixing, Hole, HoleOrderOrigin};
use print::svg::{escape_text, svg_number};
use print::{mark_group_names_svg, mark_svg};
use record::Visit;

use super::DrawingRoom;
use super::head_picture::head_picture;
use super::hole_places::{MAX_PX_PER_MM, RingLayout, RingPlace, lay_rings};
use super::sheet::fastener_mark;
use crate::draw::last_pass;
use crate::size_letters::SizeLetters;

/// Places of holes in rows, where a book does not tell where they lie: holes in a row, and mm between them.
const HOLES_IN_ROW: usize = 6;
const ROW_STEP_MM: f64 = 30.0;

/// A name of a hole that fits its ring, letters at most.
const LETTERS_IN_RING: usize = 3;

/// A hole with what its ring shows.
struct RingView<'b> {
    fixing: &'b Fixing,
    hole: &'b Hole,
    /// The number or name in the ring.
    words: String,
    /// The letter of the fastener's length.
    letter: String,
    state: FastenerState,
    is_renewed: bool,
}

/// The holes of a step; `None` where it has no more than one, and that lies in no picture.
pub(super) fn hole_picture(
    book: &Book,
    plan: &Plan,
    step: &Step,
    visit: &Visit,
    room: DrawingRoom,
) -> Option<String> {
    let keys = step.fixings.iter();
    let fixings: Vec<&Fixing> =
        keys.filter_map(|key| book.fixing_by_key(key)).map(|id| book.fixing(id)).collect();
    let rings = ring_views(book, plan, step, visit, &fixings);
    let is_ordered = is_order_shown(step, &fixings);
    if let Some(picture) = head_picture(visit, &fixings)
        && let Some((layout, ground)) = picture.lay(room, &format!("ground-{}", step.number))
    {
        let title = on_picture_words(is_ordered, picture.outside());
        return Some(picture_svg(step, &title, &rings, &layout, (room, Some(&ground))));
    }
    if rings.len() < 2 {
        return None;
    }
    let are_places_known = fixings.iter().all(|fixing| fixing.are_places_known);
    let points: Vec<(f64, f64)> =
        rings.iter().enumerate().map(|(at, ring)| point_mm(ring, at, are_places_known)).collect();
    let layout = lay_rings(&points, room, MAX_PX_PER_MM);
    let title = match (is_ordered, are_places_known) {
        (true, _) => "numbers are the order of the work",
        (false, true) => "as they lie, in any order",
        (false, false) => "in rows, not as they lie: their places are not told",
    };
    Some(picture_svg(step, title, &rings, &layout, (room, None)))
}

/// What is said of rings on a picture.
fn on_picture_words(is_ordered: bool, outside: usize) -> String {
    let order = if is_ordered { "numbers are the order of the work" } else { "in any order" };
    match outside {
        0 => format!("in the picture, {order}"),
        count => format!("in the picture, {count} below it, {order}"),
    }
}

fn ring_views<'b>(
    book: &'b Book,
    plan: &Plan,
    step: &Step,
    visit: &Visit,
    fixings: &[&'b Fixing],
) -> Vec<RingView<'b>> {
    let lengths = SizeLetters::of_fixings(book, fixings);
    let order = if is_order_shown(step, fixings) { last_pass(plan, step) } else { Vec::new() };
    let holes = fixings.iter().flat_map(|fixing| fixing.holes.iter().map(move |hole| (*fixing, hole)));
    let ring = |(at, (fixing, hole)): (usize, (&'b Fixing, &'b Hole))| {
        let (state, is_renewed) = fastener_mark(visit, &fixing.key, &hole.label);
        let turn = order.iter().position(|label| *label == hole.label).map(|turn| (turn + 1).to_string());
        let name = (hole.label.chars().count() <= LETTERS_IN_RING).then(|| hole.label.clone());
        let words = turn.or(name).unwrap_or_else(|| (at + 1).to_string());
        RingView { fixing, hole, words, letter: lengths.letter_of_fixing(fixing), state, is_renewed }
    };
    holes.enumerate().map(ring).collect()
}

/// Whether the numbers are the order of the work: where a joint is tightened whose order matters, and where the maker says one for
/// undoing as for tightening.
fn is_order_shown(step: &Step, fixings: &[&Fixing]) -> bool {
    let origin = HoleOrderOrigin::of_fixings(fixings);
    match step.kind {
        StepKind::Tighten => origin.has_order(),
        StepKind::Undo => origin == HoleOrderOrigin::MakersSequence,
        _ => false,
    }
}

fn point_mm(ring: &RingView<'_>, at: usize, are_places_known: bool) -> (f64, f64) {
    if are_places_known {
        return (ring.hole.x.as_mm(), ring.hole.y.as_mm());
    }
    let (row, column) = (at / HOLES_IN_ROW, at % HOLES_IN_ROW);
    (column as f64 * ROW_STEP_MM, -(row as f64) * ROW_STEP_MM)
}

fn picture_svg(
    step: &Step,
    title: &str,
    rings: &[RingView<'_>],
    layout: &RingLayout,
    (room, ground): (DrawingRoom, Option<&str>),
) -> String {
    let (w, h) = (svg_number(room.width_px), svg_number(room.height_px));
    let id = format!("holes-{}", step.number);
    let on_picture = if ground.is_some() { " on-picture" } else { "" };
    let mut svg = format!(
        "<svg class=\"holes{on_picture}\" viewBox=\"0 0 {w} {h}\" role=\"group\" aria-labelledby=\"{id}\"><title id=\"{id}\">Holes: {title}</title>"
    );
    svg.push_str(ground.unwrap_or_default());
    for place in &layout.places {
        write_leader(&mut svg, place, layout.radius_px);
    }
    for (ring, place) in rings.iter().zip(&layout.places) {
        write_ring(&mut svg, ring, place, layout.radius_px);
    }
    svg.push_str("</svg>");
    svg
}

/// The line from a ring that had to be moved to its hole, which it ends on with a dot.
fn write_leader(svg: &mut String, place: &RingPlace, radius_px: f64) {
    let ((x, y), (hole_x, hole_y)) = (place.ring_px, place.hole_px);
    if units::math::hypot(hole_x - x, hole_y - y) > radius_px * 0.35 {
        let [x, y, hole_x, hole_y] = [x, y, hole_x, hole_y].map(svg_number);
        let _ = write!(
            svg,
            r#"<path class="leader" d="M{x} {y}L{hole_x} {hole_y}"/><circle class="leader-dot" cx="{hole_x}" cy="{hole_y}" r="3"/>"#
        );
    }
}

fn write_ring(svg: &mut String, ring: &RingView<'_>, place: &RingPlace, radius_px: f64) {
    let [x, y, k] = [place.ring_px.0, place.ring_px.1, radius_px].map(svg_number);
    let names = mark_group_names_svg(&ring.fixing.key, &ring.hole.label, ring.state);
    let renewed = if ring.is_renewed { r#"<circle r="1.32" class="line"/>"# } else { "" };
    let words_size = if ring.words.chars().count() > 2 { ".76" } else { ".95" };
    let letter = if ring.letter.is_empty() {
        String::new()
    } else {
        format!(
            r#"<text class="length" x=".98" y="1.22" font-size=".72">{}</text>"#,
            escape_text(&ring.letter)
        )
    };
    let _ = write!(
        svg,
        r#"<g transform="translate({x} {y}) scale({k})"{names}><circle r="1.16" class="touch"/><circle r="1" class="ring"/><text class="number" y=".34" font-size="{words_size}">{words}</text>{letter}<g transform="translate(.8 -.8) scale(.42)"><circle r="1.5" class="under"/>{renewed}<g class="mark">{mark}</g></g></g>"#,
        words = escape_text(&ring.words),
        mark = mark_svg(ring.state),
    );
}
