//! The corners of the card's codes to a fraction of a pixel.
//!
//! **Question.** `rqrr` tells corners to whole pixels, and those of its fourth corner to a few; a tenth of a pixel is wanted.
//!
//! **Method.** Each of a code's three finder patterns is three squares, one in the other, of 7, 5 and 3 modules. Along each of their sides the
//! edge is looked for across the side, at several places, as the middle of the gradient of the right sign; a straight line goes through these
//! places, and lines of neighbouring sides meet in a corner. Twelve corners a pattern, 72 on the card. Ink that spreads moves the corners of dark
//! squares outward and those of light ones inward, so that the three squares of a pattern cancel it.
//!
//! The search runs three times, each time from the map that the last one gave, in a narrower strip.

use units::math;

use crate::homography::{PlaneHomography, PointPair};
use crate::layout::{CODE_MODULES, CardCode, MODULE_MM};
use crate::picture::GreyPicture;

/// Half width of the strip in which an edge is looked for, in modules, search by search.
const STRIPS_MODULES: [f64; 3] = [0.9, 0.6, 0.5];
/// Places along a side at which the edge is looked for.
const PLACES: usize = 9;
/// Fewest places of a side that give a line.
const MIN_PLACES: usize = 5;
/// Smallest module in the picture, px; below, the edges of one ring run into each other.
pub const MIN_MODULE_PX: f64 = 2.5;
/// Weakest change of shade across an edge that counts.
const MIN_CHANGE_SHADES: f64 = 12.0;
/// Fewest corners of a code, of 36.
const MIN_CORNERS: usize = 16;

/// A square of a finder pattern: its inset and side in modules, and whether it is dark within.
const SQUARES: [(f64, f64, bool); 3] = [(0.0, 7.0, true), (1.0, 5.0, false), (2.0, 3.0, true)];

/// The corners of a code, refined from coarse ones; `None` where it is too small in the picture or too few edges are clear.
#[must_use]
pub fn refine_code_corners(
    picture: &GreyPicture<'_>,
    code: CardCode,
    coarse: &[PointPair],
) -> Option<Vec<PointPair>> {
    let mut map = PlaneHomography::fit_pairs(coarse)?;
    module_px(&map, code).filter(|px| *px >= MIN_MODULE_PX)?;
    let mut pairs = Vec::new();
    for strip in STRIPS_MODULES {
        pairs = find_corners(picture, code, &map, strip * MODULE_MM);
        if pairs.len() < MIN_CORNERS {
            return None;
        }
        map = PlaneHomography::fit_pairs(&pairs)?;
    }
    Some(pairs)
}

/// Size of a module in the picture, px: root of the code's area over its modules.
fn module_px(map: &PlaneHomography, code: CardCode) -> Option<f64> {
    let corners = code.corners_mm().map(|corner| map.picture_px(corner));
    let [Some(a), Some(b), Some(c), Some(d)] = corners else {
        return None;
    };
    let doubled = (c.0 - a.0) * (d.1 - b.1) - (c.1 - a.1) * (d.0 - b.0);
    Some((doubled.abs() / 2.0).sqrt() / CODE_MODULES as f64)
}

/// One search over a code.
fn find_corners(
    picture: &GreyPicture<'_>,
    code: CardCode,
    map: &PlaneHomography,
    strip_mm: f64,
) -> Vec<PointPair> {
    let (left_mm, top_mm) = code.origin_mm();
    let far = (CODE_MODULES - 7) as f64;
    let mut pairs = Vec::new();
    for (across, down) in [(0.0, 0.0), (far, 0.0), (0.0, far)] {
        for (inset, side, is_dark) in SQUARES {
            let origin_mm = (left_mm + (across + inset) * MODULE_MM, top_mm + (down + inset) * MODULE_MM);
            pairs.extend(find_square(picture, map, origin_mm, side * MODULE_MM, (is_dark, strip_mm)));
        }
    }
    pairs
}

/// The corners of one square whose two sides are both clear.
fn find_square(
    picture: &GreyPicture<'_>,
    map: &PlaneHomography,
    origin_mm: (f64, f64),
    side_mm: f64,
    (is_dark, strip_mm): (bool, f64),
) -> Vec<PointPair> {
    let (x_mm, y_mm) = origin_mm;
    let corners =
        [(x_mm, y_mm), (x_mm + side_mm, y_mm), (x_mm + side_mm, y_mm + side_mm), (x_mm, y_mm + side_mm)];
    let lines: Vec<Option<EdgeLine>> = (0..4)
        .map(|at| {
            let (from_mm, to_mm) = (corners[at], corners[(at + 1) % 4]);
            // Clockwise with y downward: inward is to the right of the way along a side.
            let along = ((to_mm.0 - from_mm.0) / side_mm, (to_mm.1 - from_mm.1) / side_mm);
            let inward = (-along.1, along.0);
            let places = (0..PLACES).filter_map(|place| {
                let share = 0.14 + 0.72 * place as f64 / (PLACES - 1) as f64;
                let at_mm = (from_mm.0 + along.0 * share * side_mm, from_mm.1 + along.1 * share * side_mm);
                find_edge(picture, map, at_mm, inward, (is_dark, strip_mm))
            });
            EdgeLine::fit_places(&places.collect::<Vec<_>>())
        })
        .collect();
    let meet = |at: usize| {
        let picture_px = lines[(at + 3) % 4].as_ref()?.meet_line(lines[at].as_ref()?)?;
        Some(PointPair { card_mm: corners[at], picture_px })
    };
    (0..4).filter_map(meet).collect()
}

/// The edge across a side at one place, px.
fn find_edge(
    picture: &GreyPicture<'_>,
    map: &PlaneHomography,
    at_mm: (f64, f64),
    // symbol: inward = a direction of length 1
    inward: (f64, f64),
    (is_dark, strip_mm): (bool, f64),
) -> Option<(f64, f64)> {
    let end_px = |by_mm: f64| map.picture_px((at_mm.0 + inward.0 * by_mm, at_mm.1 + inward.1 * by_mm));
    let (from_px, to_px) = (end_px(-strip_mm)?, end_px(strip_mm)?);
    let length_px = math::hypot(to_px.0 - from_px.0, to_px.1 - from_px.1);
    if !(1.0..=2_000.0).contains(&length_px) {
        return None;
    }
    let steps = ((length_px * 3.0) as usize).clamp(12, 120);
    let place =
        |share: f64| (from_px.0 + (to_px.0 - from_px.0) * share, from_px.1 + (to_px.1 - from_px.1) * share);
    let shades: Vec<f64> =
        (0..=steps).map(|step| picture.shade_at(place(step as f64 / steps as f64))).collect::<Option<_>>()?;
    // Over a pixel or so, so that the noise of one pixel is no edge.
    let reach = (steps / 12).max(1);
    let sign = if is_dark { -1.0 } else { 1.0 };
    let change = |step: usize| sign * (shades[step + reach] - shades[step - reach]);
    let changes: Vec<(f64, f64)> =
        (reach..=steps - reach).map(|step| (step as f64 / steps as f64, change(step))).collect();
    let top = changes.iter().enumerate().max_by(|a, b| a.1.1.total_cmp(&b.1.1))?;
    let (peak, strongest) = (top.0, top.1.1);
    if strongest < MIN_CHANGE_SHADES {
        return None;
    }
    let floor = 0.3 * strongest;
    let low = (0..peak).rev().find(|at| changes[*at].1 <= floor)?;
    let high = (peak..changes.len()).find(|at| changes[*at].1 <= floor)?;
    let (weight, sum) = changes[low + 1..high]
        .iter()
        .map(|(share, change)| (change - floor, share))
        .fold((0.0, 0.0), |(weight, sum), (each, share)| (weight + each, sum + each * share));
    (weight > 0.0).then(|| place(sum / weight))
}

/// A straight line in the picture, as a point on it and a direction of length 1.
// symbol: along = a direction of length 1
struct EdgeLine {
    at_px: (f64, f64),
    along: (f64, f64),
}

impl EdgeLine {
    /// The line nearest to places, once more without those far off.
    fn fit_places(places_px: &[(f64, f64)]) -> Option<Self> {
        let first = Self::through_all(places_px)?;
        let mut distances: Vec<f64> = places_px.iter().map(|place| first.distance_px(*place)).collect();
        distances.sort_by(f64::total_cmp);
        let limit_px = (2.5 * distances[distances.len() / 2]).max(0.3);
        let near: Vec<(f64, f64)> =
            places_px.iter().copied().filter(|place| first.distance_px(*place) <= limit_px).collect();
        Self::through_all(&near)
    }

    /// Total least squares: the direction in which the places spread most.
    fn through_all(places_px: &[(f64, f64)]) -> Option<Self> {
        if places_px.len() < MIN_PLACES {
            return None;
        }
        let count = places_px.len() as f64;
        let sum = places_px.iter().fold((0.0, 0.0), |sum, at| (sum.0 + at.0, sum.1 + at.1));
        let at_px = (sum.0 / count, sum.1 / count);
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for place in places_px {
            let (x, y) = (place.0 - at_px.0, place.1 - at_px.1);
            (xx, xy, yy) = (xx + x * x, xy + x * y, yy + y * y);
        }
        let angle_rad = 0.5 * math::atan2(2.0 * xy, xx - yy);
        Some(Self { at_px, along: (math::cos(angle_rad), math::sin(angle_rad)) })
    }

    fn distance_px(&self, place_px: (f64, f64)) -> f64 {
        let (x, y) = (place_px.0 - self.at_px.0, place_px.1 - self.at_px.1);
        (x * self.along.1 - y * self.along.0).abs()
    }

    /// Where two lines meet; `None` where they are nearly parallel.
    fn meet_line(&self, other: &Self) -> Option<(f64, f64)> {
        let cross = self.along.0 * other.along.1 - self.along.1 * other.along.0;
        if cross.abs() < 0.1 {
            return None;
        }
        let (x, y) = (other.at_px.0 - self.at_px.0, other.at_px.1 - self.at_px.1);
        let way_px = (x * other.along.1 - y * other.along.0) / cross;
        Some((self.at_px.0 + way_px * self.along.0, self.at_px.1 + way_px * self.along.1))
    }
}
