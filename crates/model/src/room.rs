//! Room classes: the space round a hole in one word, as stated bounds on all that reach asks of a room.
//!
//! **Question.** Nobody measures the room round a bolt before it is in the way. What does a word for it bound?
//!
//! **Method.** Each class states the least and the greatest of every figure ([`RoomBounds`]): whoever chooses the class says
//! that the room lies within. A class is given for a fixing or for some of its holes, never inherited. Room classes are
//! straight: a way that bends has none of these words.
//!
//! **Sources.** The bounds are this project's own statement of what the words mean (assumption; a fist passes 45 mm and a
//! forearm 100 mm by common practice, no single source). They bound and do not describe: a proof by class holds for
//! every room within them.

use crate::{Access, Sight, Swing};
use units::{Angle, Length};

units::worded! {
    /// The room round a hole in one word.
    pub enum RoomClass {
        /// Nothing is near: a hand and any handle go all round it.
        Open = "open",
        /// Reached and seen with an arm stretched out, other things beside it.
        ArmsLength = "arms-length" / "at arm's length",
        /// At the bottom of a bore, or between walls as high as a finger or a hand.
        Deep = "deep",
        /// Covered from above: only a flat tool comes at it, from beside.
        BesideOnly = "beside-only" / "from beside only",
        /// Found by feel.
        Blind = "blind",
    }
}

/// The least and the greatest that a class allows for one figure.
pub type LengthBounds = (Length, Length);

/// What a class bounds of the room beside a head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SideBounds {
    /// Radius that is clear all round.
    pub radial: LengthBounds,
    /// Clear height from the seat of the head.
    pub height: LengthBounds,
    /// How far it reaches in its best direction.
    pub reach: LengthBounds,
    /// Length of a shaft beside the head, hand included.
    pub headroom: LengthBounds,
}

/// The bounds that a class states.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomBounds {
    /// Length of the closed part of the way; zero where there is none.
    pub depth: LengthBounds,
    /// Diameter that is clear round the axis, in the closed part or where there is none.
    pub clear: LengthBounds,
    /// Length beyond the closed part, hand included.
    pub beyond: LengthBounds,
    /// Least arc free for a handle of up to 150 mm, and of any longer one; the greatest is all round.
    pub least_arcs: (Angle, Angle),
    /// The room beside the head.
    pub side: SideBounds,
    /// Whether there may be no room beside the head at all.
    pub may_lack_side: bool,
    /// Whether the head is found by feel alone.
    pub is_felt: bool,
}

/// Radius up to which the first of [`RoomBounds::least_arcs`] holds.
pub const SHORT_HANDLE_MM: f64 = 150.0;
/// Longest handle that a bound is stated for.
pub const LONG_HANDLE_MM: f64 = 1000.0;
/// Diameter that is clear beyond a closed part (assumption: an arm passes).
pub const CLEAR_BEYOND_MM: (f64, f64) = (60.0, 1000.0);

const fn bounds_mm(low_mm: f64, high_mm: f64) -> LengthBounds {
    (Length::from_mm(low_mm), Length::from_mm(high_mm))
}

const fn arcs_deg(short_deg: f64, long_deg: f64) -> (Angle, Angle) {
    (Angle::from_deg(short_deg), Angle::from_deg(long_deg))
}

/// Bounds beside a head from their least values.
const fn side_from(radial_mm: f64, height_mm: f64, reach_mm: f64, headroom_mm: f64) -> SideBounds {
    SideBounds {
        radial: bounds_mm(radial_mm, 1000.0),
        height: bounds_mm(height_mm, 1000.0),
        reach: bounds_mm(reach_mm, 1000.0),
        headroom: bounds_mm(headroom_mm, 2000.0),
    }
}

impl RoomClass {
    /// What the class states.
    #[must_use]
    pub const fn bounds(self) -> RoomBounds {
        match self {
            Self::Open => RoomBounds {
                depth: bounds_mm(0.0, 0.0),
                clear: bounds_mm(60.0, 1000.0),
                beyond: bounds_mm(300.0, 3000.0),
                least_arcs: arcs_deg(360.0, 360.0),
                side: side_from(30.0, 40.0, 60.0, 150.0),
                may_lack_side: false,
                is_felt: false,
            },
            Self::ArmsLength => RoomBounds {
                depth: bounds_mm(0.0, 30.0),
                clear: bounds_mm(36.0, 1000.0),
                beyond: bounds_mm(120.0, 1500.0),
                least_arcs: arcs_deg(60.0, 30.0),
                side: side_from(18.0, 20.0, 30.0, 0.0),
                may_lack_side: true,
                is_felt: false,
            },
            Self::Deep => RoomBounds {
                depth: bounds_mm(30.0, 250.0),
                clear: bounds_mm(24.0, 100.0),
                beyond: bounds_mm(120.0, 2000.0),
                least_arcs: arcs_deg(60.0, 30.0),
                side: side_from(12.0, 12.0, 12.0, 0.0),
                may_lack_side: true,
                is_felt: false,
            },
            Self::BesideOnly => RoomBounds {
                depth: bounds_mm(0.0, 0.0),
                clear: bounds_mm(24.0, 1000.0),
                beyond: bounds_mm(8.0, 120.0),
                least_arcs: arcs_deg(32.0, 0.0),
                side: side_from(16.0, 12.0, 20.0, 0.0),
                may_lack_side: false,
                is_felt: false,
            },
            Self::Blind => RoomBounds {
                depth: bounds_mm(0.0, 100.0),
                clear: bounds_mm(30.0, 1000.0),
                beyond: bounds_mm(60.0, 1500.0),
                least_arcs: arcs_deg(20.0, 0.0),
                side: side_from(12.0, 12.0, 12.0, 0.0),
                may_lack_side: true,
                is_felt: true,
            },
        }
    }
}

impl RoomClass {
    /// Whether a measured room lies within the class.
    #[must_use]
    pub fn holds_room(self, access: &Access) -> bool {
        let bounds = self.bounds();
        let within = |length: Length, (low, high): LengthBounds| low <= length && length <= high;
        let depth = access.corridor_depth();
        let Some((last, closed)) = access.corridor.split_last() else { return false };
        let beyond =
            if closed.is_empty() { bounds.clear } else { bounds_mm(CLEAR_BEYOND_MM.0, CLEAR_BEYOND_MM.1) };
        let arcs = |swings: &[Swing]| {
            let (short, long) = bounds.least_arcs;
            let arc = |radius_mm: f64| Access::arc_for(swings, Length::from_mm(radius_mm));
            arc(SHORT_HANDLE_MM) >= short && (long <= Angle::ZERO || arc(LONG_HANDLE_MM) >= long)
        };
        let side = access.side.as_ref();
        let side_holds = side.map_or(bounds.may_lack_side, |room| {
            within(room.radial, bounds.side.radial)
                && within(room.height, bounds.side.height)
                && within(room.reach, bounds.side.reach)
                && within(room.headroom, bounds.side.headroom)
                && arcs(&room.swings)
        });
        access.bends.is_empty()
            && within(depth, bounds.depth)
            && closed.iter().all(|segment| within(segment.clear, bounds.clear))
            && within(last.clear, beyond)
            && within(access.headroom - depth, bounds.beyond)
            && arcs(&access.swings)
            && side_holds
            && (access.sight == Sight::FeltOnly) == bounds.is_felt
    }
}

#[cfg(test)]
mod tests {
    use super::RoomClass;

    #[test]
    fn bounds_of_every_class_rise_and_leave_nothing_untold() {
        for class in RoomClass::ALL {
            let room = class.bounds();
            for (low, high) in [
                room.depth,
                room.clear,
                room.beyond,
                room.side.radial,
                room.side.height,
                room.side.reach,
                room.side.headroom,
            ] {
                assert!(low <= high, "{class:?}: {low} to {high}");
            }
            assert!(room.least_arcs.1 <= room.least_arcs.0, "{class:?}: a longer handle has no more arc");
            assert!(room.side.radial.0 <= room.side.reach.0, "{class:?}");
        }
    }
}
