//! Readings of a book: every figure in doubt at one of its ends.
//!
//! **Question.** A figure lies between two ends, or is not known at all. What holds whatever it is?
//!
//! **Method.** A *reading* of a book is the book with every figure at an end, so that all that asks for plain figures works on
//! it. Most figures of a room help in one direction only: more clear width, headroom, side room or arc never hurts, more
//! depth, bend or protrusion never helps. The *roomy* reading takes them all at their best end; what fails there fails
//! everywhere. The *tight* readings take them at their worst. Three things help in neither direction alone and are read
//! at both ends, in all combinations: the height of the head and the protrusion of a stud (engagement wants one end,
//! headroom the other) and the torque reckoned with where no figure is told (strength wants one end, feel the other).
//! For one stack each rule gets worse towards one corner of these, so what holds at all tight readings holds at
//! every value.
//!
//! The roomy reading takes the head at its lowest and gives the headroom back what a higher head would sink: a stack that
//! fits at any height fits there.
//!
//! A *possible room* is a corner between the two: wide or narrow, shallow or deep, free or cramped to swing in, each with head,
//! stud and torque at either end ([`BookReading::all_corners`]). The gap beyond the mouth of a way keeps its size there: a deeper
//! way has the hand further out. Openings of which nobody tells lie below narrow rooms and not below wide ones. Corners are counted, they prove nothing.
//!
//! **Where it stops holding.** The place of a bend between ends, the length of a stretch before a narrower one, and bends
//! that are not told of a room without a class are bounded by no end ([`crate::ReachDoubts::is_unbounded`]).

use crate::figures::{AccessFigures, HoldFigures, SideFigures, SideRoomFigures, SwingFigures};
use crate::room::{CLEAR_BEYOND_MM, LONG_HANDLE_MM, LengthBounds, RoomBounds, SHORT_HANDLE_MM};
use crate::{
    Access, AccessBend, Book, CorridorSegment, Fixing, FixingFigures, FixingId, HeadDimensions, Known,
    OpeningId, SideRoom, Sight, Swing,
};
use bolting::FastenerThread;
use bolting::guard::{TorqueContext, torque_window, torque_window_of_hexagon};
use units::{Angle, Length, Torque};

/// At which ends a book is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BookReading {
    /// All figures at their best end.
    Roomy,
    /// All figures at their worst end.
    Tight {
        /// Heads at their highest, else at their lowest.
        high_grip: bool,
        /// Studs at their longest above the nut, else at their shortest.
        high_protrusion: bool,
        /// The torque reckoned with at its greatest, else at its least.
        high_torque: bool,
    },
    /// One of the rooms that the figures allow.
    Corner {
        /// Which ends the room has.
        room: RoomCorner,
        /// Heads at their highest, else at their lowest.
        high_grip: bool,
        /// Studs at their longest above the nut, else at their shortest.
        high_protrusion: bool,
        /// The torque reckoned with at its greatest, else at its least.
        high_torque: bool,
    },
}

/// The ends of a room that have nothing to do with one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RoomCorner {
    /// Widths, side room and what lies beyond the mouth at their greatest, else at their least.
    pub is_wide: bool,
    /// The way to the head at its shortest and straightest, else at its deepest.
    pub is_shallow: bool,
    /// Arcs at their greatest, else at their least.
    pub is_free: bool,
}

impl RoomCorner {
    const BEST: Self = Self { is_wide: true, is_shallow: true, is_free: true };
    const WORST: Self = Self { is_wide: false, is_shallow: false, is_free: false };
    const BOTH: [bool; 2] = [true, false];

    fn all() -> impl Iterator<Item = Self> {
        let of_width = |is_wide| {
            Self::BOTH.into_iter().flat_map(move |is_shallow| {
                Self::BOTH.into_iter().map(move |is_free| Self { is_wide, is_shallow, is_free })
            })
        };
        Self::BOTH.into_iter().flat_map(of_width)
    }
}

/// The greater end where asked for, else the least.
fn end_of<T>((low, high): (T, T), is_high: bool) -> T {
    if is_high { high } else { low }
}

impl BookReading {
    /// All tight readings.
    #[must_use]
    pub fn all_tight() -> Vec<Self> {
        let mut all = Vec::new();
        for high_grip in [true, false] {
            for high_protrusion in [true, false] {
                for high_torque in [true, false] {
                    all.push(Self::Tight { high_grip, high_protrusion, high_torque });
                }
            }
        }
        all
    }

    /// Every possible room, at either end of head, stud and torque: at most 64.
    #[must_use]
    pub fn all_corners() -> Vec<Self> {
        let with_head = |tight: Self| {
            let Self::Tight { high_grip, high_protrusion, high_torque } = tight else { return Vec::new() };
            let corner = |room| Self::Corner { room, high_grip, high_protrusion, high_torque };
            RoomCorner::all().map(corner).collect()
        };
        Self::all_tight().into_iter().flat_map(with_head).collect()
    }

    const fn is_roomy(self) -> bool {
        matches!(self, Self::Roomy)
    }

    const fn room(self) -> RoomCorner {
        match self {
            Self::Roomy => RoomCorner::BEST,
            Self::Tight { .. } => RoomCorner::WORST,
            Self::Corner { room, .. } => room,
        }
    }

    /// Whether heads are at their highest; `None` where they are taken at their best.
    const fn has_high_grip(self) -> Option<bool> {
        match self {
            Self::Roomy => None,
            Self::Tight { high_grip, .. } | Self::Corner { high_grip, .. } => Some(high_grip),
        }
    }

    /// Whether studs are at their longest; `None` where they are taken at their best.
    const fn has_high_protrusion(self) -> Option<bool> {
        match self {
            Self::Roomy => None,
            Self::Tight { high_protrusion, .. } | Self::Corner { high_protrusion, .. } => {
                Some(high_protrusion)
            }
        }
    }

    /// Whether the torque reckoned with is at its greatest; `None` where it is taken at its best.
    const fn has_high_torque(self) -> Option<bool> {
        match self {
            Self::Roomy => None,
            Self::Tight { high_torque, .. } | Self::Corner { high_torque, .. } => Some(high_torque),
        }
    }

    /// The end of a width, of which more never hurts.
    fn width<T>(self, ends: (T, T)) -> T {
        end_of(ends, self.room().is_wide)
    }

    /// The end of a depth or of a bend, of which less never hurts.
    fn depth<T>(self, ends: (T, T)) -> T {
        end_of(ends, !self.room().is_shallow)
    }

    /// The end of an arc, of which more never hurts.
    fn arc<T>(self, ends: (T, T)) -> T {
        end_of(ends, self.room().is_free)
    }
}

/// Ends of what nothing bounds (far beyond any engine).
const ANY_LENGTH: LengthBounds = (Length::ZERO, Length::from_mm(3000.0));
/// A head of which no standard is named and nothing is told: from a thin sheet to a deep nut (assumption).
const ANY_GRIP: LengthBounds = (Length::from_mm(1.0), Length::from_mm(40.0));
/// A stud above a nut of which nothing is told (assumption).
const ANY_PROTRUSION: LengthBounds = (Length::ZERO, Length::from_mm(60.0));

/// A head and the spaces round its holes at one reading.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadSpaces {
    /// The head.
    pub head: HeadDimensions,
    /// The spaces.
    pub accesses: Vec<Access>,
}

/// Ends of the height of a fixing's head: told, else by the standards of its drive.
#[must_use]
pub fn grip_height_ends(told: Known<Length>, drive: crate::Drive) -> LengthBounds {
    told.ends().or_else(|| crate::standard_grip_height(drive).ends()).unwrap_or(ANY_GRIP)
}

/// Head and spaces of a fixing with these figures at a reading; the plain accesses give what has no doubt.
///
/// `open_below` are the openings that cannot be capped: what is dropped may fall into any of them where nobody tells.
#[must_use]
pub fn read_spaces(
    drive: crate::Drive,
    figures: &FixingFigures,
    plain: &[Access],
    reading: BookReading,
    open_below: &[OpeningId],
) -> ReadSpaces {
    let grip = grip_height_ends(figures.grip_height, drive);
    let stud = figures.protrusion.ends_or(ANY_PROTRUSION);
    let sinks = if reading.is_roomy() { (grip.1 - grip.0) + (stud.1 - stud.0) } else { Length::ZERO };
    let grip_height = end_of(grip, reading.has_high_grip().unwrap_or(false));
    let protrusion = end_of(stud, reading.has_high_protrusion().unwrap_or(false));
    let diameter = figures.diameter.ends().or_else(|| crate::standard_head_diameter(drive).ends());
    let head = HeadDimensions {
        grip_height,
        diameter: diameter.map_or(grip_height, |ends| end_of(ends, !reading.room().is_wide)),
        protrusion,
    };
    let reader = SpaceReader { reading, sinks, open_below };
    let accesses = figures.accesses.iter().zip(plain).map(|(told, plain)| reader.read_access(told, plain));
    ReadSpaces { head, accesses: accesses.collect() }
}

/// Reads the figures of one space after the other at one reading.
struct SpaceReader<'o> {
    reading: BookReading,
    /// What a higher head would sink a stack by.
    sinks: Length,
    open_below: &'o [OpeningId],
}

impl SpaceReader<'_> {
    fn read_access(&self, told: &AccessFigures, plain: &Access) -> Access {
        let bounds = told.room.map(crate::RoomClass::bounds);
        let drop_over = if told.tells_openings || self.reading.room().is_wide {
            plain.drop_over.clone()
        } else {
            self.open_below.to_vec()
        };
        let felt = bounds.is_some_and(|b| b.is_felt);
        Access {
            corridor: self.read_corridor(told, bounds.as_ref()),
            bends: self.read_bends(told),
            headroom: self.read_headroom(told, bounds.as_ref()),
            swings: self.read_swings(told.swings.as_ref(), bounds.as_ref()),
            side: self.read_side(&told.side, bounds.as_ref()),
            sight: told.sight.unwrap_or(if felt { Sight::FeltOnly } else { Sight::Seen }),
            drop_over,
            counter_hold: self.read_hold(told.hold.as_deref(), plain),
            ..plain.clone()
        }
    }

    fn read_corridor(&self, told: &AccessFigures, bounds: Option<&RoomBounds>) -> Vec<CorridorSegment> {
        if let Some(segments) = &told.corridor {
            let segment = |s: &crate::SegmentFigures| CorridorSegment {
                length: s.length.map(|length| self.reading.depth(length.ends_or(ANY_LENGTH))),
                clear: self.reading.width(s.clear.ends_or(bounds.map_or(ANY_LENGTH, |b| b.clear))),
            };
            return segments.iter().map(segment).collect();
        }
        let clear = self.reading.width(bounds.map_or(ANY_LENGTH, |b| b.clear));
        let depth = self.reading.depth(bounds.map_or((Length::ZERO, Length::ZERO), |b| b.depth));
        let beyond = (Length::from_mm(CLEAR_BEYOND_MM.0), Length::from_mm(CLEAR_BEYOND_MM.1));
        let beyond = self.reading.width(beyond).max(clear);
        if depth <= Length::ZERO {
            // At the mouth of a way that may be deep there is what lies beyond it.
            let is_mouth = matches!(self.reading, BookReading::Corner { .. })
                && bounds.is_some_and(|b| b.depth.1 > Length::ZERO);
            return vec![CorridorSegment { length: None, clear: if is_mouth { beyond } else { clear } }];
        }
        vec![CorridorSegment { length: Some(depth), clear }, CorridorSegment { length: None, clear: beyond }]
    }

    fn read_bends(&self, told: &AccessFigures) -> Vec<AccessBend> {
        let any_angle = (Angle::ZERO, Angle::from_deg(90.0));
        let bend = |b: &crate::BendFigures| {
            let (low, high) = b.at.ends_or(ANY_LENGTH);
            AccessBend { at: (low + high) * 0.5, angle: self.reading.depth(b.angle.ends_or(any_angle)) }
        };
        told.bends.iter().flatten().map(bend).collect()
    }

    fn read_headroom(&self, told: &AccessFigures, bounds: Option<&RoomBounds>) -> Length {
        let by_class = bounds.map_or(ANY_LENGTH, |b| {
            let depth = told_depth(told).unwrap_or(b.depth);
            match self.reading {
                // The gap beyond the mouth stays what it is: a deeper way has more headroom from its head.
                BookReading::Corner { .. } => {
                    let depth = self.reading.depth(depth);
                    (depth + b.beyond.0, depth + b.beyond.1)
                }
                BookReading::Roomy | BookReading::Tight { .. } => {
                    (depth.0 + b.beyond.0, depth.1 + b.beyond.1)
                }
            }
        });
        self.reading.width(told.headroom.ends_or(by_class)) + self.sinks
    }

    fn read_swings(&self, told: Option<&Vec<SwingFigures>>, bounds: Option<&RoomBounds>) -> Vec<Swing> {
        let turn = Angle::from_turns(1.0);
        if let Some(swings) = told {
            let swing = |s: &SwingFigures| Swing {
                radius: s.radius,
                arc: self.reading.arc(s.arc.ends_or((Angle::ZERO, turn))),
            };
            return swings.iter().map(swing).collect();
        }
        let (short, long) = bounds.map_or((Angle::ZERO, Angle::ZERO), |b| b.least_arcs);
        if self.reading.room().is_free || long >= turn {
            return Vec::new();
        }
        vec![
            Swing { radius: Length::from_mm(SHORT_HANDLE_MM), arc: short },
            Swing { radius: Length::from_mm(LONG_HANDLE_MM), arc: long },
        ]
    }

    fn read_side(&self, told: &SideFigures, bounds: Option<&RoomBounds>) -> Option<SideRoom> {
        let nothing = SideRoomFigures::default();
        let room = match told {
            SideFigures::Absent => return None,
            SideFigures::Present(room) => room,
            SideFigures::NotKnown
                if !self.reading.room().is_wide && bounds.is_none_or(|b| b.may_lack_side) =>
            {
                return None;
            }
            SideFigures::NotKnown => &nothing,
        };
        let end = |figure: Known<Length>, by_class: Option<LengthBounds>| {
            self.reading.width(figure.ends_or(by_class.unwrap_or(ANY_LENGTH)))
        };
        let side = bounds.map(|b| &b.side);
        let radial = end(room.radial, side.map(|s| s.radial));
        Some(SideRoom {
            radial,
            height: end(room.height, side.map(|s| s.height)),
            reach: match room.reach {
                Known::Nothing => end(room.reach, side.map(|s| s.reach)).max(radial),
                told => end(told, None),
            },
            headroom: end(room.headroom, side.map(|s| s.headroom)) + self.sinks,
            swings: self.read_swings(room.swings.as_ref(), bounds),
        })
    }

    fn read_hold(&self, told: Option<&HoldFigures>, plain: &Access) -> Option<crate::CounterHold> {
        let hold = plain.counter_hold.as_ref()?;
        let Some(told) = told else { return Some(hold.clone()) };
        let grip = grip_height_ends(told.grip_height, hold.drive);
        let is_high = self.reading.has_high_grip() == Some(true);
        let within =
            Self { sinks: if self.reading.is_roomy() { grip.1 - grip.0 } else { Length::ZERO }, ..*self };
        Some(crate::CounterHold {
            drive: hold.drive,
            grip_height: if is_high { grip.1 } else { grip.0 },
            access: Box::new(within.read_access(&told.access, &hold.access)),
        })
    }
}

/// Ends of the told length of the closed part of a way.
fn told_depth(told: &AccessFigures) -> Option<LengthBounds> {
    let segments = told.corridor.as_ref()?;
    let ends = segments.iter().filter_map(|s| s.length).map(|length| length.ends_or(ANY_LENGTH));
    Some(ends.fold((Length::ZERO, Length::ZERO), |sum, ends| (sum.0 + ends.0, sum.1 + ends.1)))
}

/// The torques to reckon reach with where no tightening figure is told: the band of its thread, or of the threads that
/// its hexagon may carry, over the usual classes, and a wide one of the size of a pipe thread; nothing where neither is known.
///
/// Assumed, and never a figure to tighten to.
#[must_use]
pub fn reckoned_torques(fixing: &Fixing) -> Option<(Torque, Torque)> {
    if !fixing.is_figure_missing() {
        return None;
    }
    let (class, lubrication, tapped_in) = (fixing.class, fixing.lubrication, fixing.tapped_in);
    let window = match fixing.thread {
        Some(FastenerThread::Screw(thread)) => {
            torque_window(&TorqueContext { thread, class, lubrication, tapped_in })
        }
        Some(FastenerThread::Pipe(thread)) => {
            let band = thread.torques_to_reckon_with();
            return Some((band.low(), band.high()));
        }
        None => {
            let is_hexagon =
                matches!(fixing.drive.form(), crate::DriveForm::Hexagon | crate::DriveForm::BiHexagon);
            let width = is_hexagon.then(|| Length::from_mm(fixing.drive.size()))?;
            torque_window_of_hexagon(width, class, lubrication, tapped_in)?
        }
    };
    Some((window.range.low(), window.range.high()))
}

impl Fixing {
    /// The fixing with these figures of head and room: plain where all are exact, else at the roomy reading.
    #[must_use]
    pub fn with_figures(self, figures: FixingFigures) -> Self {
        let spaces = read_spaces(self.drive, &figures, &self.accesses, BookReading::Roomy, &[]);
        let figures = (!figures.is_plain()).then(|| Box::new(figures));
        Self { head: spaces.head, accesses: spaces.accesses, figures, ..self }
    }
}

impl Book {
    /// Whether no figure that reach asks for is in doubt, so that every reading is the book itself.
    #[must_use]
    pub fn is_exact_for_reach(&self) -> bool {
        self.fixings.iter().all(|fixing| fixing.figures.is_none() && reckoned_torques(fixing).is_none())
    }

    /// The openings that cannot be capped.
    #[must_use]
    pub fn uncapped_openings(&self) -> Vec<OpeningId> {
        let openings = self.openings.iter().enumerate();
        openings.filter(|(_, opening)| opening.cap.is_none()).map(|(at, _)| OpeningId::new(at)).collect()
    }

    /// The book at a reading.
    #[must_use]
    pub fn at_reading(&self, reading: BookReading) -> Self {
        let open_below = self.uncapped_openings();
        let mut read = self.clone();
        for fixing in &mut read.fixings {
            if let Some(figures) = fixing.figures.take() {
                let spaces = read_spaces(fixing.drive, &figures, &fixing.accesses, reading, &open_below);
                fixing.head = spaces.head;
                fixing.accesses = spaces.accesses;
            }
            if let (Some(is_high), Some(ends)) = (reading.has_high_torque(), reckoned_torques(fixing)) {
                fixing.reckoned_torque = Some(end_of(ends, is_high));
            }
        }
        read
    }

    /// The positions in [`BookReading::all_corners`] of the different rooms that an access of a fixing may have, rising; one where
    /// nothing is in doubt.
    #[must_use]
    pub fn room_corners_of(corners: &[Self], id: FixingId, access: u16) -> Vec<usize> {
        let read = |at: usize| {
            let fixing = corners[at].fixing(id);
            (&fixing.head, fixing.accesses.get(usize::from(access)), fixing.reckoned_torque)
        };
        let mut different: Vec<usize> = Vec::new();
        for at in 0..corners.len() {
            if !different.iter().any(|known| read(*known) == read(at)) {
                different.push(at);
            }
        }
        different
    }

    /// All tight readings, each different one once; none where nothing is in doubt.
    #[must_use]
    pub fn tight_readings(&self) -> Vec<Self> {
        if self.is_exact_for_reach() {
            return Vec::new();
        }
        let mut readings: Vec<Self> = Vec::new();
        for reading in BookReading::all_tight() {
            let read = self.at_reading(reading);
            if !readings.contains(&read) {
                readings.push(read);
            }
        }
        readings
    }
}
