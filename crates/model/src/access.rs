//! Access: the space round a hole that a tool has to pass.
//!
//! Distances along the axis are measured outward from the top of the fastener's head (`z = 0`).

use crate::{Drive, OpeningId, StationId};
use units::{Angle, Length};

/// One coaxial stretch of the way to a head: how long, and how wide it is clear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CorridorSegment {
    /// Length along the axis; `None` for the last, open-ended one.
    pub length: Option<Length>,
    /// Diameter that is clear round the axis.
    pub clear: Length,
}

/// The free axis turns by an angle at a distance from the head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AccessBend {
    /// Distance from the head along the axis.
    pub at: Length,
    /// By how much the axis turns.
    pub angle: Angle,
}

/// The free arc of a handle of a radius.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// Radius of the handle from the axis.
    pub radius: Length,
    /// Arc that is free for a handle up to that radius.
    pub arc: Angle,
}

/// The room beside the head for a flat tool: ring, open end, crow-foot.
#[derive(Debug, Clone, PartialEq)]
pub struct SideRoom {
    /// Radius that is clear all round the axis at the head.
    pub radial: Length,
    /// Clear height from the seating face of the head.
    pub height: Length,
    /// How far the room reaches from the axis in its best direction, for a crow-foot's offset.
    pub reach: Length,
    /// Greatest length along the axis, hand included, that fits beside the head for a crow-foot's shaft; 0 if none.
    pub headroom: Length,
    /// Free arcs at the head; empty means free all round.
    pub swings: Vec<Swing>,
}

units::worded! {
    /// Whether the head can be seen.
    pub enum Sight {
        /// Seen, if only with a mirror.
        Seen = "seen",
        /// Found by feel alone.
        FeltOnly = "felt" / "found by feel",
    }
}

/// The space of some holes of a fixing.
#[derive(Debug, Clone, PartialEq)]
pub struct Access {
    /// Positions of the holes in [`crate::Fixing::holes`] that this access serves, rising.
    pub holes: Vec<u16>,
    /// Position in [`crate::Part::ways`] of the way that opens this access; `None` if any does.
    pub way: Option<u16>,
    /// Working position, where it differs from the part's.
    pub station: Option<StationId>,
    /// From the head outward; at least one segment, the last open-ended.
    pub corridor: Vec<CorridorSegment>,
    /// Rising by distance.
    pub bends: Vec<AccessBend>,
    /// The greatest length from the head, hand included, that fits along the corridor.
    pub headroom: Length,
    /// Free arcs for handles at the end of the corridor; empty means free all round.
    pub swings: Vec<Swing>,
    /// Room for a flat tool at the head, if there is any.
    pub side: Option<SideRoom>,
    /// Whether the head can be seen.
    pub sight: Sight,
    /// Openings that lie below: what is dropped falls in.
    pub drop_over: Vec<OpeningId>,
    /// The other side, where it needs holding.
    pub counter_hold: Option<CounterHold>,
}

/// The other side of a fastener that turns with it unless held.
#[derive(Debug, Clone, PartialEq)]
pub struct CounterHold {
    /// What is held.
    pub drive: Drive,
    /// Height of the held head, or depth of its recess.
    pub grip_height: Length,
    /// The way to it (its own `counter_hold` is `None`).
    pub access: Box<Access>,
}

impl Access {
    /// Length of the closed part of the corridor: where the hand can be.
    #[must_use]
    pub fn corridor_depth(&self) -> Length {
        self.corridor.iter().filter_map(|s| s.length).sum()
    }

    /// The arc free for a handle of a radius: that of the smallest listed radius not below it.
    ///
    /// An empty list means free all round; a handle longer than every listed radius has none.
    #[must_use]
    pub fn arc_for(swings: &[Swing], radius: Length) -> Angle {
        if swings.is_empty() {
            return Angle::from_turns(1.0);
        }
        swings
            .iter()
            .filter(|s| s.radius >= radius)
            .min_by(|a, b| a.radius.as_mm().total_cmp(&b.radius.as_mm()))
            .map_or(Angle::ZERO, |s| s.arc)
    }
}
