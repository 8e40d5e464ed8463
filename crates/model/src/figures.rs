//! Figures as a book tells them: the room and the head of a fixing, each figure told, in doubt, or left out.
//!
//! A fixing whose figures are all told exactly has none of this ([`crate::Fixing::figures`] is empty): its plain fields say
//! everything. Where something is left out or in doubt, what was told stands here, and the plain fields hold the most that is
//! possible ([`crate::BookReading`]).

use crate::{
    Access, AccessBend, CorridorSegment, Fixing, HeadDimensions, Known, RoomClass, SideRoom, Sight, Swing,
};
use units::{Angle, Length};

/// Head and room of a fixing as told.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FixingFigures {
    /// Height of an outer drive, or depth of a recess.
    pub grip_height: Known<Length>,
    /// Largest diameter, flange or washer included.
    pub diameter: Known<Length>,
    /// How far a stud projects above its nut; exactly 0 for what is no nut.
    pub protrusion: Known<Length>,
    /// The spaces, in the order of [`Fixing::accesses`].
    pub accesses: Vec<AccessFigures>,
}

/// A space as told.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AccessFigures {
    /// Its class, which bounds what is not told.
    pub room: Option<RoomClass>,
    /// The way to the head from the head outward.
    pub corridor: Option<Vec<SegmentFigures>>,
    /// Where it bends.
    pub bends: Option<Vec<BendFigures>>,
    /// The greatest length from the head, hand included.
    pub headroom: Known<Length>,
    /// Free arcs for handles.
    pub swings: Option<Vec<SwingFigures>>,
    /// The room beside the head.
    pub side: SideFigures,
    /// Whether the head can be seen.
    pub sight: Option<Sight>,
    /// Whether the openings below are told.
    pub tells_openings: bool,
    /// The other side, where it is held.
    pub hold: Option<Box<HoldFigures>>,
}

/// A stretch of the way as told.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SegmentFigures {
    /// Its length; nothing at all for the last, open-ended one.
    pub length: Option<Known<Length>>,
    /// Diameter that is clear round the axis.
    pub clear: Known<Length>,
}

/// A bend as told.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BendFigures {
    /// Distance from the head.
    pub at: Known<Length>,
    /// By how much the axis turns.
    pub angle: Known<Angle>,
}

/// A free arc as told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwingFigures {
    /// Radius of the handle.
    pub radius: Length,
    /// Arc that is free for it.
    pub arc: Known<Angle>,
}

/// The room beside a head as told.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum SideFigures {
    /// Nothing is told of it.
    #[default]
    NotKnown,
    /// There is none.
    Absent,
    /// There is some.
    Present(SideRoomFigures),
}

/// A room beside a head as told.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SideRoomFigures {
    /// Radius that is clear all round.
    pub radial: Known<Length>,
    /// Clear height from the seat of the head.
    pub height: Known<Length>,
    /// How far it reaches in its best direction.
    pub reach: Known<Length>,
    /// Length of a shaft beside the head, hand included.
    pub headroom: Known<Length>,
    /// Free arcs at the head.
    pub swings: Option<Vec<SwingFigures>>,
}

/// A held side as told.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct HoldFigures {
    /// Height of the held head, or depth of its recess.
    pub grip_height: Known<Length>,
    /// The way to it.
    pub access: AccessFigures,
}

const fn is_exact<T: Copy>(figure: &Known<T>) -> bool {
    matches!(figure, Known::Exact(_))
}

impl AccessFigures {
    /// Whether all that reach asks of the space is told exactly.
    #[must_use]
    pub fn is_exact(&self) -> bool {
        let corridor = self.corridor.iter().flatten();
        let bends = self.bends.iter().flatten();
        self.corridor.is_some()
            && corridor.clone().all(|s| is_exact(&s.clear) && s.length.is_none_or(|l| is_exact(&l)))
            && self.bends.is_some()
            && bends.clone().all(|b| is_exact(&b.at) && is_exact(&b.angle))
            && is_exact(&self.headroom)
            && are_arcs_exact(self.swings.as_ref())
            && self.side.is_exact()
            && self.tells_openings
            && self.hold.as_ref().is_none_or(|hold| is_exact(&hold.grip_height) && hold.access.is_exact())
    }
}

impl SideFigures {
    fn is_exact(&self) -> bool {
        match self {
            Self::NotKnown => false,
            Self::Absent => true,
            Self::Present(room) => {
                [room.radial, room.height, room.reach, room.headroom].iter().all(is_exact)
                    && are_arcs_exact(room.swings.as_ref())
            }
        }
    }
}

fn are_arcs_exact(swings: Option<&Vec<SwingFigures>>) -> bool {
    swings.is_some_and(|swings| swings.iter().all(|swing| is_exact(&swing.arc)))
}

impl FixingFigures {
    /// Whether everything is told exactly and no class is given, so that the plain fields say it all.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        let head = [self.grip_height, self.diameter, self.protrusion].iter().all(is_exact);
        head && self.accesses.iter().all(|access| access.room.is_none() && access.is_exact())
    }

    /// The figures of a fixing whose plain fields say everything.
    #[must_use]
    pub fn of_plain(head: &HeadDimensions, accesses: &[Access]) -> Self {
        Self {
            grip_height: head.grip_height.into(),
            diameter: head.diameter.into(),
            protrusion: head.protrusion.into(),
            accesses: accesses.iter().map(AccessFigures::of_plain).collect(),
        }
    }
}

impl AccessFigures {
    /// The figures of a space that is told exactly.
    #[must_use]
    pub fn of_plain(access: &Access) -> Self {
        let segment = |s: &CorridorSegment| SegmentFigures {
            length: s.length.map(Known::Exact),
            clear: s.clear.into(),
        };
        let bend = |b: &AccessBend| BendFigures { at: b.at.into(), angle: b.angle.into() };
        let hold = access.counter_hold.as_ref();
        Self {
            room: None,
            corridor: Some(access.corridor.iter().map(segment).collect()),
            bends: Some(access.bends.iter().map(bend).collect()),
            headroom: access.headroom.into(),
            swings: Some(told_swings(&access.swings)),
            side: access.side.as_ref().map_or(SideFigures::Absent, |room| SideFigures::Present(room.into())),
            sight: Some(access.sight),
            tells_openings: true,
            hold: hold.map(|hold| {
                let access = Self::of_plain(&hold.access);
                Box::new(HoldFigures { grip_height: hold.grip_height.into(), access })
            }),
        }
    }
}

/// Free arcs that are told exactly.
fn told_swings(swings: &[Swing]) -> Vec<SwingFigures> {
    swings.iter().map(|s| SwingFigures { radius: s.radius, arc: s.arc.into() }).collect()
}

impl From<&SideRoom> for SideRoomFigures {
    fn from(room: &SideRoom) -> Self {
        Self {
            radial: room.radial.into(),
            height: room.height.into(),
            reach: room.reach.into(),
            headroom: room.headroom.into(),
            swings: Some(told_swings(&room.swings)),
        }
    }
}

impl Fixing {
    /// What is told of head and room, whether in doubt or not.
    #[must_use]
    pub fn told_figures(&self) -> FixingFigures {
        let told = self.figures.as_deref().cloned();
        told.unwrap_or_else(|| FixingFigures::of_plain(&self.head, &self.accesses))
    }
}
