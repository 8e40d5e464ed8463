//! Where the rings of holes stand on a page: as the holes lie, each ring large enough for a thumb and none over another.
//!
//! Rings keep one size whatever the drawing's scale. Where holes lie closer than that, their rings are moved apart as little as
//! it takes, and a line leads from each ring to its hole.

// symbol: points, middle = units of the plane in which holes lie: mm, or pixels of a picture
// symbol: px_per_unit, max_px_per_unit = px of the room for one unit of that plane

use super::DrawingRoom;

/// Radius of a ring, px: 48 px across is 8 mm on a phone (390 px are 64.5 mm).
pub(super) const RING_PX: f64 = 24.0;

/// Least radius where a great many holes share a small drawing, px.
const LEAST_RING_PX: f64 = 17.0;

/// Room between two rings, px.
const GAP_PX: f64 = 7.0;

/// What a ring has round it besides, px: the mark of its state and the letter of its length.
pub(super) const RIM_PX: f64 = 10.0;

/// Greatest scale of holes in millimetres, px per mm: two holes alone need not fill a page.
pub(super) const MAX_PX_PER_MM: f64 = 6.0;

/// How often rings are moved apart.
const ROUNDS: usize = 400;

/// A ring and the hole that it is for, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct RingPlace {
    /// Middle of the ring.
    pub(super) ring_px: (f64, f64),
    /// Where the hole lies.
    pub(super) hole_px: (f64, f64),
}

/// Places of rings, and their radius.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RingLayout {
    /// One for each hole, in the order given.
    pub(super) places: Vec<RingPlace>,
    /// Radius of all rings, px.
    pub(super) radius_px: f64,
    /// How the plane of the holes lies in the room.
    pub(super) fit: RoomFit,
}

/// How a plane, y upward, lies in a room: upright, its middle in the room's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct RoomFit {
    /// px per unit of the plane.
    px_per_unit: f64,
    /// What lies in the middle of the room.
    middle: (f64, f64),
    /// The middle of the room, px.
    middle_px: (f64, f64),
}

impl RoomFit {
    /// The largest that shows all points with a margin, up to a scale.
    fn of_points(points: &[(f64, f64)], room: DrawingRoom, margin_px: f64, max_px_per_unit: f64) -> Self {
        let bounds = |side: fn(&(f64, f64)) -> f64| {
            let all = points.iter().map(side);
            (all.clone().fold(f64::INFINITY, f64::min), all.fold(f64::NEG_INFINITY, f64::max))
        };
        let ((x0, x1), (y0, y1)) = (bounds(|p| p.0), bounds(|p| p.1));
        let free = ((room.width_px - 2.0 * margin_px).max(1.0), (room.height_px - 2.0 * margin_px).max(1.0));
        let scale = (free.0 / (x1 - x0).max(1.0)).min(free.1 / (y1 - y0).max(1.0));
        Self {
            px_per_unit: scale.min(max_px_per_unit),
            middle: (f64::midpoint(x0, x1), f64::midpoint(y0, y1)),
            middle_px: (room.width_px / 2.0, room.height_px / 2.0),
        }
    }

    /// Where a point of the plane lies, px from the room's upper left corner.
    pub(super) fn place_px(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (
            self.middle_px.0 + (x - self.middle.0) * self.px_per_unit,
            self.middle_px.1 - (y - self.middle.1) * self.px_per_unit,
        )
    }
}

/// Lays out rings for holes at points (y upwards) in a room, to a scale of at most so many px per unit of the points; the largest
/// rings that have room.
pub(super) fn lay_rings(points: &[(f64, f64)], room: DrawingRoom, max_px_per_unit: f64) -> RingLayout {
    let mut radius_px = RING_PX;
    loop {
        let fit = RoomFit::of_points(points, room, radius_px + RIM_PX, max_px_per_unit);
        let places = lay_rings_of(points, room, radius_px, &fit);
        let is_enough = least_gap_px(&places, radius_px) >= 0.0 || radius_px <= LEAST_RING_PX;
        if is_enough {
            return RingLayout { places, radius_px, fit };
        }
        radius_px -= 1.0;
    }
}

/// The least room between two rings; negative where they overlap.
fn least_gap_px(places: &[RingPlace], radius_px: f64) -> f64 {
    let mut least = f64::INFINITY;
    for (i, a) in places.iter().enumerate() {
        for b in &places[i + 1..] {
            let apart = units::math::hypot(a.ring_px.0 - b.ring_px.0, a.ring_px.1 - b.ring_px.1);
            least = least.min(apart - 2.0 * radius_px);
        }
    }
    least
}

fn lay_rings_of(points: &[(f64, f64)], room: DrawingRoom, radius_px: f64, fit: &RoomFit) -> Vec<RingPlace> {
    let margin_px = radius_px + RIM_PX;
    let holes_px: Vec<(f64, f64)> = points.iter().map(|point| fit.place_px(*point)).collect();
    let mut rings_px = holes_px.clone();
    let inside = |(x, y): (f64, f64)| {
        let hold =
            |at: f64, side: f64| at.clamp(margin_px.min(side / 2.0), (side - margin_px).max(side / 2.0));
        (hold(x, room.width_px), hold(y, room.height_px))
    };
    let apart_px = 2.0 * radius_px + GAP_PX;
    for _ in 0..ROUNDS {
        if !part_rings(&mut rings_px, apart_px) {
            break;
        }
        for at in &mut rings_px {
            *at = inside(*at);
        }
    }
    rings_px.into_iter().zip(holes_px).map(|(ring_px, hole_px)| RingPlace { ring_px, hole_px }).collect()
}

/// Moves rings that are too near apart, each by half; whether any was.
fn part_rings(rings_px: &mut [(f64, f64)], apart_px: f64) -> bool {
    let mut is_moved = false;
    for i in 0..rings_px.len() {
        for j in i + 1..rings_px.len() {
            let (dx, dy) = (rings_px[j].0 - rings_px[i].0, rings_px[j].1 - rings_px[i].1);
            let distance = units::math::hypot(dx, dy);
            // A hair of slack, so that rings which just touch come to rest.
            if distance >= apart_px - 0.05 {
                continue;
            }
            is_moved = true;
            // Holes at one place part along a direction of their own, so that several fan out.
            let along = if distance > 1.0e-6 {
                (dx / distance, dy / distance)
            } else {
                let turn = (i * 7 + j) as f64;
                (units::math::cos(turn), units::math::sin(turn))
            };
            let half_px = (apart_px - distance) / 2.0;
            rings_px[i] = (rings_px[i].0 - along.0 * half_px, rings_px[i].1 - along.1 * half_px);
            rings_px[j] = (rings_px[j].0 + along.0 * half_px, rings_px[j].1 + along.1 * half_px);
        }
    }
    is_moved
}

#[cfg(test)]
mod tests {
    use super::*;

    const PHONE: DrawingRoom = DrawingRoom { width_px: 348.0, height_px: 200.0 };

    /// A ring of holes, as round a flange.
    fn flange(count: usize, radius_mm: f64) -> Vec<(f64, f64)> {
        let turn = |n: usize| n as f64 * core::f64::consts::TAU / count as f64;
        (0..count)
            .map(|n| (radius_mm * units::math::cos(turn(n)), radius_mm * units::math::sin(turn(n))))
            .collect()
    }

    #[test]
    fn rings_are_8_mm_and_never_over_one_another() {
        for (count, radius_mm) in [(2, 9.0), (4, 40.0), (8, 22.0), (12, 300.0), (16, 12.0)] {
            let layout = lay_rings(&flange(count, radius_mm), PHONE, MAX_PX_PER_MM);
            assert!(least_gap_px(&layout.places, layout.radius_px) >= 0.0, "{count} holes of {radius_mm} mm");
            if count <= 12 {
                assert!(
                    (layout.radius_px - RING_PX).abs() < 1.0e-9,
                    "{count} holes: {} px",
                    layout.radius_px
                );
            }
        }
    }

    #[test]
    fn no_ring_leaves_the_drawing() {
        for count in [1, 2, 19, 30] {
            let layout = lay_rings(&flange(count, 75.0), PHONE, MAX_PX_PER_MM);
            for place in &layout.places {
                let (x, y) = place.ring_px;
                let r = layout.radius_px;
                assert!(
                    x >= r && x <= PHONE.width_px - r && y >= r && y <= PHONE.height_px - r,
                    "{count}: {place:?}"
                );
            }
        }
    }

    #[test]
    fn far_holes_stand_where_they_are() {
        let layout = lay_rings(&[(0.0, 0.0), (200.0, 0.0), (200.0, 100.0)], PHONE, MAX_PX_PER_MM);
        assert!(layout.places.iter().all(|place| place.ring_px == place.hole_px), "{layout:?}");
    }

    #[test]
    fn holes_at_one_place_part() {
        let layout = lay_rings(&[(5.0, 5.0); 5], PHONE, MAX_PX_PER_MM);
        assert!(least_gap_px(&layout.places, layout.radius_px) >= 0.0, "{layout:?}");
    }
}
