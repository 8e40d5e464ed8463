//! The stack drawn to scale in its corridor: metal hatched, axis as a chain line, the dimensions that decide.
//!
//! The fastener lies at the bottom, the hand at the top. One scale serves both directions. The stack, what is in hand
//! now, is the only thing in the accent colour.

use crate::axis::CorridorAxis;
use crate::drawing::{Drawing, DrawingPen, HATCH, INK, NOW, TextAnchor};
use crate::foot::{FOOT_PX, draw_title_block};
use crate::svg::svg_number;
use crate::view::{PieceView, SectionView, SegmentView, StackView, SwingView};
use crate::words::{fit_size_px, shorten_to_width, text_width_px, wrap_to_width};
use units::significant;

/// Size of the sheet, and the place of the stack on it.
#[derive(Clone, Copy)]
struct StackPage {
    width_px: f64,
    height_px: f64,
    /// Left, top, width and height of the drawing's field.
    field_px: (f64, f64, f64, f64),
    /// Room that the names beside the pieces take.
    names_px: f64,
    /// Whether they are named.
    has_names: bool,
}

/// A sheet of paper or of a page: the words are beside the stack.
const SHEET: StackPage = StackPage {
    width_px: 1000.0,
    height_px: 760.0,
    field_px: (20.0, 24.0, 580.0, 600.0),
    names_px: 225.0,
    has_names: true,
};

/// The bench: the page says the words, so the stack has the drawing to itself, its letters large on a phone.
const BENCH: StackPage = StackPage {
    width_px: 430.0,
    height_px: 460.0,
    field_px: (6.0, 14.0, 418.0, 372.0),
    names_px: 170.0,
    has_names: true,
};

/// Thickness of the hatched metal beside the corridor.
const WALL_MM: f64 = 9.0;
/// Below the head: the part it sits on.
const GROUND_MM: f64 = 14.0;

/// Maps millimetres of the corridor to the sheet.
struct StackSheet<'a> {
    view: &'a StackView,
    frame: StackPage,
    axis: CorridorAxis,
    scale_px_per_mm: f64,
    shift_px: (f64, f64),
}

impl StackSheet<'_> {
    fn px_of_point(&self, point_mm: (f64, f64)) -> (f64, f64) {
        (
            self.shift_px.0 + point_mm.0 * self.scale_px_per_mm,
            self.shift_px.1 - point_mm.1 * self.scale_px_per_mm,
        )
    }
    fn point_px(&self, z_mm: f64, beside_mm: f64) -> (f64, f64) {
        self.px_of_point(self.axis.point_at(z_mm, beside_mm))
    }
    fn band_px(&self, from_mm: f64, to_mm: f64, left_mm: f64, right_mm: f64) -> Vec<(f64, f64)> {
        self.axis
            .band_outline(from_mm, to_mm, left_mm, right_mm)
            .into_iter()
            .map(|p| self.px_of_point(p))
            .collect()
    }
}

/// Outer end of the stack.
fn pieces_top_mm(view: &StackView) -> f64 {
    view.pieces.iter().flat_map(|p| &p.sections).map(|s| s.end_mm).fold(0.0, f64::max)
}

/// Height of the drawing: to the hand's end, and to the headroom where that is not far beyond.
fn drawn_top_mm(view: &StackView) -> f64 {
    let hand_mm = pieces_top_mm(view) + view.hand_room_mm;
    let depth_mm = view.segments.iter().filter_map(|s| s.end_mm).fold(0.0, f64::max);
    let enough_mm = hand_mm.max(depth_mm + 30.0);
    if view.headroom_mm <= enough_mm * 1.35 { view.headroom_mm.max(enough_mm) } else { enough_mm * 1.12 }
}

/// Half the width that has to be shown beside the axis.
fn half_width_mm(view: &StackView) -> f64 {
    let closed = view.segments.iter().filter(|s| s.end_mm.is_some()).map(|s| s.clear_mm / 2.0 + WALL_MM);
    let bodies =
        view.pieces.iter().flat_map(|p| p.sections.iter().map(|s| p.offset_mm + s.diameter_mm / 2.0));
    let side = view.side.map_or(0.0, |s| s.radial_mm + WALL_MM);
    closed.chain(bodies).fold(view.head_diameter_mm / 2.0 + 6.0, f64::max).max(side).max(16.0)
}

/// Finds the scale and place at which everything fits the field.
fn fit_stack(view: &StackView, frame: StackPage) -> StackSheet<'_> {
    let axis = CorridorAxis::new(&view.bends);
    let (half_mm, top) = (half_width_mm(view), drawn_top_mm(view));
    let bottom_mm = -view.head_height_mm - GROUND_MM;
    let mut points = Vec::new();
    for z_mm in [bottom_mm, 0.0, top].into_iter().chain(view.bends.iter().map(|b| b.at_mm)) {
        points.push(axis.point_at(z_mm, -half_mm));
        points.push(axis.point_at(z_mm, half_mm));
    }
    let low = points.iter().fold((f64::MAX, f64::MAX), |m, p| (m.0.min(p.0), m.1.min(p.1)));
    let high = points.iter().fold((f64::MIN, f64::MIN), |m, p| (m.0.max(p.0), m.1.max(p.1)));
    let (left, upper, width, height) = frame.field_px;
    let room = (width - frame.names_px - 105.0, height);
    let scale = (room.0 / (high.0 - low.0)).min(room.1 / (high.1 - low.1)).min(6.0);
    let shift_x = left + 70.0 + (room.0 - (high.0 - low.0) * scale) / 2.0 - low.0 * scale;
    let shift_px = (shift_x, upper + height + low.1 * scale);
    StackSheet { view, frame, axis, scale_px_per_mm: scale, shift_px }
}

/// Draws the stack of a view.
#[must_use]
pub fn draw_stack(view: &StackView) -> Drawing {
    let mut svg = draw_in_corridor(view, SHEET, SHEET.height_px - FOOT_PX - 16.0);
    draw_facts(&mut svg, view);
    if let Some(swing) = view.swing {
        draw_swing_plan(&mut svg, swing);
    }
    draw_title_block(&mut svg, SHEET.width_px, SHEET.height_px - FOOT_PX, &view.foot);
    svg
}

/// Draws the stack of a view for a page or sheet that says the words itself.
#[must_use]
pub fn draw_stack_alone(view: &StackView) -> Drawing {
    draw_in_corridor(view, BENCH, BENCH.height_px - 10.0)
}

/// The same in a room of a page, px, at its true size: a third of the width is for the names of the pieces.
#[must_use]
pub fn draw_stack_in_room(view: &StackView, (width_px, height_px): (f64, f64)) -> Drawing {
    let field_px = (4.0, 12.0, width_px - 8.0, height_px - 84.0);
    let names_px = (width_px * 0.42).min(200.0);
    let page = StackPage { width_px, height_px, field_px, names_px, has_names: true };
    draw_in_corridor(view, page, height_px - 8.0)
}

/// The stack in its corridor with names and dimensions, and the scale at a height.
/// The same without the names of its pieces, for a page that says them beside it: as wide and high as this, px.
#[must_use]
pub fn draw_stack_bare(view: &StackView, (width_px, height_px): (f64, f64)) -> Drawing {
    // Beside the hole its width is told.
    let (field_px, names_px) = ((4.0, 12.0, width_px - 8.0, height_px - 84.0), 80.0);
    let page = StackPage { width_px, height_px, field_px, names_px, has_names: false };
    draw_in_corridor(view, page, height_px - 8.0)
}

fn draw_in_corridor(view: &StackView, frame: StackPage, scale_y_px: f64) -> Drawing {
    let title = format!("{}: {}", view.title, view.words);
    let mut svg = Drawing::new(&view.id, &title, frame.width_px, frame.height_px);
    let sheet = fit_stack(view, frame);
    draw_ground(&mut svg, &sheet);
    draw_corridor(&mut svg, &sheet);
    for piece in &view.pieces {
        draw_piece(&mut svg, &sheet, piece);
    }
    draw_arm(&mut svg, &sheet);
    draw_axis_line(&mut svg, &sheet);
    if frame.has_names {
        draw_piece_names(&mut svg, &sheet);
    }
    draw_dimensions(&mut svg, &sheet);
    draw_scale_bar(&mut svg, &sheet, scale_y_px);
    svg
}

/// The part below and the fastener's head.
fn draw_ground(svg: &mut Drawing, sheet: &StackSheet<'_>) {
    let view = sheet.view;
    let half_mm = half_width_mm(view);
    let seat_mm = -view.head_height_mm;
    svg.path(
        &sheet.band_px(seat_mm - GROUND_MM, seat_mm, -half_mm, half_mm),
        true,
        HATCH,
        Some(DrawingPen::THIN),
    );
    let r_mm = view.head_diameter_mm / 2.0;
    svg.path(&sheet.band_px(seat_mm, 0.0, -r_mm, r_mm), true, "#ffffff", Some(DrawingPen::THICK));
    if view.internal {
        let recess_mm = r_mm * 0.45;
        svg.path(&sheet.band_px(seat_mm, 0.0, -recess_mm, recess_mm), true, "none", Some(DrawingPen::LIMIT));
    }
    if let Some(side) = view.side {
        let room = sheet.band_px(seat_mm, seat_mm + side.height_mm, -side.radial_mm, side.radial_mm);
        svg.path(&room, true, "none", Some(DrawingPen::LIMIT));
    }
}

/// Metal beside the closed segments, and the clear width of the open one.
fn draw_corridor(svg: &mut Drawing, sheet: &StackSheet<'_>) {
    let end_mm = drawn_top_mm(sheet.view);
    for (i, segment) in sheet.view.segments.iter().enumerate() {
        let from_mm = if i == 0 { -sheet.view.head_height_mm } else { segment.start_mm };
        let r_mm = segment.clear_mm / 2.0;
        match segment.end_mm {
            Some(to_mm) => {
                for sign in [-1.0, 1.0] {
                    let wall = sheet.band_px(from_mm, to_mm, sign * r_mm, sign * (r_mm + WALL_MM));
                    svg.path(&wall, true, HATCH, Some(DrawingPen::THIN));
                    let edge = sheet.band_px(from_mm, to_mm, sign * r_mm, sign * r_mm);
                    svg.path(&edge[..edge.len() / 2], false, "none", Some(DrawingPen::THICK));
                }
            }
            None => draw_open_segment(svg, sheet, segment, end_mm),
        }
    }
}

/// The open-ended segment: a dashed limit where it is narrow enough to matter on the sheet.
fn draw_open_segment(svg: &mut Drawing, sheet: &StackSheet<'_>, segment: &SegmentView, end_mm: f64) {
    let r_mm = segment.clear_mm / 2.0;
    if r_mm > half_width_mm(sheet.view) * 1.3 {
        return;
    }
    for sign in [-1.0, 1.0] {
        let edge = sheet.band_px(segment.start_mm, end_mm, sign * r_mm, sign * r_mm);
        svg.path(&edge[..edge.len() / 2], false, "none", Some(DrawingPen::LIMIT));
    }
}

/// A piece, section by section.
fn draw_piece(svg: &mut Drawing, sheet: &StackSheet<'_>, piece: &PieceView) {
    for s in &piece.sections {
        let r_mm = s.diameter_mm / 2.0;
        let (left_mm, right_mm) = (piece.offset_mm - r_mm, piece.offset_mm + r_mm);
        svg.path(
            &sheet.band_px(s.start_mm, s.end_mm, left_mm, right_mm),
            true,
            "#ffffff",
            Some(DrawingPen::NOW),
        );
    }
}

/// The swung handle, broken off at the edge of the field.
fn draw_arm(svg: &mut Drawing, sheet: &StackSheet<'_>) {
    let Some(swing) = sheet.view.swing else { return };
    let start_mm =
        sheet.view.pieces.last().and_then(|p| p.sections.last()).map_or(0.0, |s| s.diameter_mm / 2.0);
    let shown_mm = swing.radius_mm.min(half_width_mm(sheet.view) + 12.0).max(start_mm + 6.0);
    let half_mm = 3.0;
    let z_mm = swing.arm_plane_mm;
    let bar = sheet.band_px(z_mm - half_mm, z_mm + half_mm, -start_mm, -shown_mm);
    svg.path(&bar, true, "#ffffff", Some(DrawingPen::NOW));
    let (x, y) = sheet.point_px(z_mm, -shown_mm);
    svg.path(
        &[(x + 3.0, y - 14.0), (x - 4.0, y - 3.0), (x + 4.0, y + 3.0), (x - 3.0, y + 14.0)],
        false,
        "none",
        Some(DrawingPen::NOW),
    );
}

/// The chain line of the axis.
fn draw_axis_line(svg: &mut Drawing, sheet: &StackSheet<'_>) {
    let low_mm = -sheet.view.head_height_mm - GROUND_MM;
    let mut points = vec![sheet.point_px(low_mm, 0.0)];
    points.extend(sheet.view.bends.iter().map(|b| sheet.point_px(b.at_mm, 0.0)));
    points.push(sheet.point_px(drawn_top_mm(sheet.view), 0.0));
    svg.path(&points, false, "none", Some(DrawingPen::AXIS));
}

/// Names beside the pieces, spread so that none covers another.
fn draw_piece_names(svg: &mut Drawing, sheet: &StackSheet<'_>) {
    let x = sheet.frame.field_px.0 + sheet.frame.field_px.2 - sheet.frame.names_px;
    let room_px = sheet.frame.names_px - 6.0;
    let mut last_y = f64::MAX;
    for piece in &sheet.view.pieces {
        let (Some(first), Some(last)) = (piece.sections.first(), piece.sections.last()) else { continue };
        let z_mm = f64::midpoint(first.start_mm.max(0.0), last.end_mm);
        let section = piece.sections.iter().find(|s| s.start_mm <= z_mm && z_mm <= s.end_mm).unwrap_or(last);
        // A leader ends in a dot within what it names (ISO 128-22).
        let from = sheet.point_px(z_mm, piece.offset_mm + section.diameter_mm / 4.0);
        let y = from.1.min(last_y - 40.0);
        last_y = y;
        svg.line(from, (x - 6.0, y), DrawingPen::THIN);
        svg.circle(from, LEADER_DOT_PX, INK, None);
        for (i, line) in wrap_to_width(&piece.name, 16.0, false, room_px, 2).iter().enumerate() {
            svg.text((x, y + 5.0 + 17.0 * i as f64), 16.0, TextAnchor::Start, false, NOW, line);
        }
    }
    for bend in &sheet.view.bends {
        let (bx, by) = sheet.point_px(bend.at_mm, 0.0);
        svg.circle((bx, by), 5.0, INK, None);
        let words = format!("{}°", significant(bend.angle_deg, 3));
        svg.text((bx - 12.0, by - 6.0), 17.0, TextAnchor::End, true, INK, &words);
    }
}

/// Depth, stack and headroom beside each other, clear and tool width below: what is to be proven, each with its figure.
fn draw_dimensions(svg: &mut Drawing, sheet: &StackSheet<'_>) {
    let view = sheet.view;
    let x = sheet.frame.field_px.0 + 18.0;
    let zero_y = sheet.point_px(0.0, 0.0).1;
    svg.line((x - 8.0, zero_y), (sheet.point_px(0.0, 0.0).0 - 24.0, zero_y), DrawingPen::THIN);
    if view.side.is_some() {
        return;
    }
    draw_widths(svg, sheet);
    let top_mm = drawn_top_mm(view);
    let words = format!("headroom {}", length_words(view.headroom_mm));
    if view.headroom_mm <= top_mm + 1e-6 {
        let (hx, hy) = sheet.point_px(view.headroom_mm, 0.0);
        svg.line((x - 8.0, hy), (hx + 90.0, hy), DrawingPen::THICK);
        svg.dimension((x, zero_y), (x, hy), &words);
    } else {
        // Not to scale beyond here: the line is broken, and its figure is the true one.
        let (tx, ty) = sheet.point_px(top_mm, 0.0);
        svg.broken_dimension((x, zero_y), (x, ty), &words);
        svg.break_mark((tx, ty), 16.0);
    }
    let stack_mm = pieces_top_mm(view) + view.hand_room_mm;
    let stack_y = sheet.point_px(stack_mm, 0.0).1;
    let stack_x = x + 28.0;
    svg.dimension((stack_x, zero_y), (stack_x, stack_y), &format!("stack {}", length_words(stack_mm)));
    let depth_mm = view.segments.iter().filter_map(|s| s.end_mm).fold(0.0, f64::max);
    let (depth_x, depth_y) = sheet.point_px(depth_mm, 0.0);
    let words = format!("depth {}", length_words(depth_mm));
    let is_long = (zero_y - depth_y) > text_width_px(&words, DIMENSION_PX, false) + 24.0;
    if depth_mm > 0.0 && is_long {
        svg.dimension((stack_x + 28.0, zero_y), (stack_x + 28.0, depth_y), &words);
        svg.line((stack_x + 20.0, depth_y), (depth_x - 20.0, depth_y), DrawingPen::THIN);
    }
}

/// Clear width of the tightest stretch above the head, and below it the widest piece within: below the part, with their figures.
fn draw_widths(svg: &mut Drawing, sheet: &StackSheet<'_>) {
    let view = sheet.view;
    let closed = view.segments.iter().filter(|s| s.end_mm.is_some());
    let Some(tight) = closed.min_by(|a, b| a.clear_mm.total_cmp(&b.clear_mm)) else { return };
    let end_mm = tight.end_mm.unwrap_or(tight.start_mm);
    let within = |s: &SectionView| s.end_mm > tight.start_mm && s.start_mm < end_mm;
    let sections = view.pieces.iter().flat_map(|p| p.sections.iter().map(move |s| (p.offset_mm, s)));
    let tool = sections.filter(|(_, s)| within(s)).max_by(|a, b| a.1.diameter_mm.total_cmp(&b.1.diameter_mm));
    let seat_mm = -view.head_height_mm - GROUND_MM;
    let (foot_y, axis_x) = (sheet.point_px(seat_mm, 0.0).1, sheet.point_px(seat_mm, 0.0).0);
    let mut row_y = foot_y + 22.0;
    let mut width = |centre_mm: f64, width_mm: f64, name: &str| {
        let half_px = width_mm / 2.0 * sheet.scale_px_per_mm;
        let middle = axis_x + centre_mm * sheet.scale_px_per_mm;
        for x in [middle - half_px, middle + half_px] {
            svg.line((x, foot_y - 4.0), (x, row_y + 5.0), DrawingPen::THIN);
        }
        svg.dimension((middle - half_px, row_y), (middle + half_px, row_y), "");
        let words = format!("{name} {}", length_words(width_mm));
        let at = (middle + half_px + 6.0, row_y + 5.0);
        svg.text(at, DIMENSION_PX, TextAnchor::Start, false, INK, &words);
        row_y += 22.0;
    };
    width(0.0, tight.clear_mm, "clear");
    if let Some((offset_mm, section)) = tool {
        width(offset_mm, section.diameter_mm, "tool");
    }
}

/// A length with its unit, to the millimetre.
fn length_words(length_mm: f64) -> String {
    format!("{} mm", units::math::round(length_mm) as i64)
}

/// Size of the figures of dimensions, and radius of the dot that ends a leader.
const DIMENSION_PX: f64 = 16.0;
const LEADER_DOT_PX: f64 = 2.6;
/// Width of the words at the right.
const FACTS_PX: f64 = 345.0;

/// Title, figure and facts at the right.
fn draw_facts(svg: &mut Drawing, view: &StackView) {
    let x = 640.0;
    let mut y = 52.0;
    for line in &wrap_to_width(&view.title, 21.0, true, FACTS_PX, 3) {
        svg.text((x, y), 21.0, TextAnchor::Start, true, INK, line);
        y += 26.0;
    }
    y += 44.0;
    svg.text(
        (x, y),
        fit_size_px(&view.figure, 52.0, true, FACTS_PX),
        TextAnchor::Start,
        true,
        INK,
        &view.figure,
    );
    y += 36.0;
    for line in &wrap_to_width(&view.words, 19.0, false, FACTS_PX, 5) {
        svg.text((x, y), 19.0, TextAnchor::Start, false, NOW, line);
        y += 24.0;
    }
    y += 12.0;
    for fact in view.facts.iter().take(7) {
        for line in &wrap_to_width(fact, 16.0, false, FACTS_PX, 2) {
            svg.text((x, y), 16.0, TextAnchor::Start, false, INK, line);
            y += 21.0;
        }
    }
    for opening in view.openings_below.iter().take(2) {
        svg.text(
            (x, y),
            16.0,
            TextAnchor::Start,
            true,
            INK,
            &shorten_to_width(&format!("opening below: {opening}"), 16.0, true, FACTS_PX),
        );
        y += 21.0;
    }
}

/// The handle from above: free arc, and the stroke within it.
fn draw_swing_plan(svg: &mut Drawing, swing: SwingView) {
    let centre = (810.0, 590.0);
    let reach_px = 82.0;
    let free_deg = swing.free_arc_deg.min(360.0);
    if free_deg < 359.0 {
        svg.circle(centre, reach_px + 14.0, HATCH, None);
        svg.path(&sector_points(centre, reach_px + 15.0, free_deg), true, "#ffffff", Some(DrawingPen::THIN));
    } else {
        svg.circle(centre, reach_px + 14.0, "none", Some(DrawingPen::LIMIT));
    }
    svg.path(
        &sector_points(centre, reach_px, swing.stroke_deg.min(free_deg)),
        true,
        "none",
        Some(DrawingPen::NOW),
    );
    svg.circle(centre, 5.0, NOW, None);
    let words = if free_deg < 359.0 {
        format!(
            "{} free, {} per stroke, handle radius {}",
            angle_words(free_deg),
            angle_words(swing.stroke_deg),
            length_words(swing.radius_mm)
        )
    } else {
        format!("free all round, handle radius {}", length_words(swing.radius_mm))
    };
    svg.text((centre.0, centre.1 - reach_px - 26.0), 16.0, TextAnchor::Middle, false, INK, &words);
}

/// An angle with its sign.
fn angle_words(angle_deg: f64) -> String {
    format!("{}°", significant(angle_deg, 3))
}

/// A sector that opens upward, centred on the vertical.
fn sector_points(centre: (f64, f64), radius_px: f64, arc_deg: f64) -> Vec<(f64, f64)> {
    let parts = (arc_deg / 4.0).clamp(2.0, 90.0) as usize;
    let mut points = vec![centre];
    for i in 0..=parts {
        let a_deg = -arc_deg / 2.0 + arc_deg * i as f64 / parts as f64;
        points.push((
            centre.0 + radius_px * units::math::sin_deg(a_deg),
            centre.1 - radius_px * units::math::cos_deg(a_deg),
        ));
    }
    points
}

/// A bar of a round length, so that the drawing can be measured at any size.
fn draw_scale_bar(svg: &mut Drawing, sheet: &StackSheet<'_>, y_px: f64) {
    let y = y_px;
    let length_mm = if sheet.scale_px_per_mm * 50.0 < 150.0 { 50.0 } else { 20.0 };
    let x = sheet.frame.width_px - 30.0 - length_mm * sheet.scale_px_per_mm;
    let end = x + length_mm * sheet.scale_px_per_mm;
    svg.line((x, y), (end, y), DrawingPen::THICK);
    for tick in [x, end] {
        svg.line((tick, y - 6.0), (tick, y + 6.0), DrawingPen::THIN);
    }
    svg.text((x - 8.0, y + 5.0), 16.0, TextAnchor::End, false, INK, &format!("{} mm", svg_number(length_mm)));
}
