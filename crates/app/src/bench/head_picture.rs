//! The picture that the heads of a step were tapped in, as the ground for the rings of its holes: cropped to the taps, to the room of a drawing.
//!
//! What a tap says is where a hole lies in the picture, and no more: no scale, no order. Holes that lie in no picture, or in
//! another one, stand in a row below it.

// symbol: points = pixels of the picture

use core::fmt::Write as _;

use model::Fixing;
use print::svg::svg_number;
use record::visit::MeasuredHeads;
use record::{ContentDigest, PictureSides, SeenPoint, Visit};

use super::DrawingRoom;
use super::hole_places::{RIM_PX, RING_PX, RingLayout, RingPlace, lay_rings};

/// Greatest scale, px of the page a pixel of the picture: larger shows no more.
const MAX_PX_PER_PIXEL: f64 = 1.5;

/// Share of a picture's side that is shown at least, so that one head is still seen with what is round it.
const LEAST_SHOWN_RATIO: f64 = 1.0 / 3.0;

/// Room between two rings of the row below, px.
const ROW_GAP_PX: f64 = 8.0;

/// The picture of a step with the places of its holes.
pub(super) struct HeadPicture<'v> {
    picture: &'v ContentDigest,
    sides: PictureSides,
    /// Of each hole, in the order of the rings: pixels of the picture, y upward; `None` where it lies in no picture.
    points: Vec<Option<(f64, f64)>>,
}

/// The picture in which the most holes of some fixings were tapped; `None` where none was.
pub(super) fn head_picture<'v>(visit: &'v Visit, fixings: &[&Fixing]) -> Option<HeadPicture<'v>> {
    let tapped = |fixing: &&Fixing| {
        let seen = visit.seen.fixings.get(&fixing.key)?;
        Some((visit.seen.measured_heads(&fixing.key)?, seen.heads.len())).filter(|(_, heads)| *heads > 0)
    };
    let all: Vec<(&MeasuredHeads, usize)> = fixings.iter().filter_map(tapped).collect();
    let heads_in = |picture: &ContentDigest| -> usize {
        all.iter().filter(|(known, _)| known.picture == *picture).map(|(_, heads)| heads).sum()
    };
    // The first of those with the most.
    let (known, _) = all.iter().rev().max_by_key(|(known, _)| heads_in(&known.picture))?;
    let point = |head: &SeenPoint| {
        let share = |thousandths: u16, side_px: u32| f64::from(thousandths) / 1000.0 * f64::from(side_px);
        (share(head.across, known.sides.width_px), -share(head.down, known.sides.height_px))
    };
    let of_fixing = |fixing: &&Fixing| {
        let is_here = visit.seen.measured_heads(&fixing.key).is_some_and(|own| own.picture == known.picture);
        let seen = visit.seen.fixings.get(&fixing.key).filter(|_| is_here);
        let at = |label: &str| -> Option<(f64, f64)> {
            let seen = seen?;
            let place = seen.labels().position(|known| known == label)?;
            seen.heads.get(place).map(point)
        };
        fixing.holes.iter().map(|hole| at(&hole.label)).collect::<Vec<_>>()
    };
    let points: Vec<_> = fixings.iter().flat_map(of_fixing).collect();
    points.iter().any(Option::is_some).then_some(HeadPicture {
        picture: &known.picture,
        sides: known.sides,
        points,
    })
}

impl HeadPicture<'_> {
    /// Holes that lie in no picture, or in another one.
    pub(super) fn outside(&self) -> usize {
        self.points.iter().filter(|point| point.is_none()).count()
    }

    /// Where the rings stand, and the picture beneath them as a drawing, cut to its room by a path of that name; `None` where the holes outside of it have no room.
    pub(super) fn lay(&self, room: DrawingRoom, name: &str) -> Option<(RingLayout, String)> {
        let row = self.row_below(room)?;
        let row_px = if row.is_empty() { 0.0 } else { 2.0 * (RING_PX + RIM_PX) };
        let above = DrawingRoom { height_px: room.height_px - row_px, ..room };
        let inside: Vec<(f64, f64)> = self.points.iter().copied().flatten().collect();
        let (width_px, height_px) = (f64::from(self.sides.width_px), f64::from(self.sides.height_px));
        let whole = (above.width_px / width_px).min(above.height_px / height_px);
        let layout = lay_rings(&inside, above, (whole / LEAST_SHOWN_RATIO).min(MAX_PX_PER_PIXEL));
        let ground = self.ground_svg(above, &layout, name);
        let (mut inside, mut row) = (layout.places.iter(), row.into_iter());
        let place = |point: &Option<(f64, f64)>| match point {
            Some(_) => inside.next().copied(),
            None => row.next(),
        };
        let places = self.points.iter().filter_map(place).collect();
        Some((RingLayout { places, ..layout }, ground))
    }

    /// Rings of holes outside of the picture, in a row at the foot of the room.
    fn row_below(&self, room: DrawingRoom) -> Option<Vec<RingPlace>> {
        let step_px = 2.0 * RING_PX + ROW_GAP_PX;
        let count = self.outside();
        let fits = ((room.width_px - 2.0 * RIM_PX) / step_px).max(0.0) as usize;
        if count > fits {
            return None;
        }
        let y = room.height_px - RING_PX - RIM_PX;
        let ring = |at: usize| (RING_PX + RIM_PX + at as f64 * step_px, y);
        Some((0..count).map(|at| RingPlace { ring_px: ring(at), hole_px: ring(at) }).collect())
    }

    /// The picture to the scale of the rings, cut off at the edges of its room.
    fn ground_svg(&self, room: DrawingRoom, layout: &RingLayout, name: &str) -> String {
        let (left, top) = layout.fit.place_px((0.0, 0.0));
        let corner = (f64::from(self.sides.width_px), -f64::from(self.sides.height_px));
        let (right, bottom) = layout.fit.place_px(corner);
        let [x, y, width, height] = [left, top, right - left, bottom - top].map(svg_number);
        let [w, h] = [room.width_px, room.height_px].map(svg_number);
        let mut svg = String::new();
        let _ = write!(
            svg,
            r#"<clipPath id="{name}"><rect width="{w}" height="{h}"/></clipPath><g clip-path="url(#{name})"><image href="/picture/{}" x="{x}" y="{y}" width="{width}" height="{height}" preserveAspectRatio="none"/></g>"#,
            self.picture
        );
        svg
    }
}
