//! Fixings: sets of like fasteners holding one part, and their holes.

use crate::{Access, Drive, PartId};
use bolting::{Lubrication, PropertyClass, TappedIn, Thread};
use units::{Angle, Length, Torque};

units::worded! {
    /// What kind of fastener it is.
    pub enum FastenerKind {
        /// A bolt through a hole into a tapped hole or a nut.
        Bolt = "bolt",
        /// A nut on a stud or bolt.
        Nut = "nut",
        /// A stud that is itself taken out.
        Stud = "stud",
        /// A screw, thread-forming ones included.
        Screw = "screw",
        /// A hose or pipe clamp.
        Clamp = "clamp",
        /// A push-in clip.
        Clip = "clip",
        /// A pipe union.
        Union = "union",
        /// An electrical connector or quick coupling.
        Connector = "connector",
        /// A threaded plug: drain, fill, blanking, or a spark plug.
        ThreadedPlug = "threaded-plug" / "plug",
        /// A sensor that screws in.
        Sensor = "sensor",
    }
}

/// One hole of a fixing: its label on the part and its place on the part's face.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// Label, unique on the part: `1`, `2`, `L3`.
    pub label: String,
    /// Place on the part's face, rightward.
    pub x: Length,
    /// Place on the part's face, upward.
    pub y: Length,
}

/// What one pass of tightening aims at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum StageTarget {
    /// A torque.
    Torque(Torque),
    /// A further angle from where the stage before ended.
    Angle(Angle),
    /// Until it seats, by feel.
    Seat,
}

impl StageTarget {
    /// The torque, where it aims at one.
    #[must_use]
    pub const fn torque(self) -> Option<Torque> {
        match self {
            Self::Torque(torque) => Some(torque),
            Self::Angle(_) | Self::Seat => None,
        }
    }

    /// The angle, where it aims at one.
    #[must_use]
    pub const fn angle(self) -> Option<Angle> {
        match self {
            Self::Angle(angle) => Some(angle),
            Self::Torque(_) | Self::Seat => None,
        }
    }
}

/// One pass of tightening over all holes of the joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// What the pass aims at.
    pub target: StageTarget,
    /// The figure as the book writes it.
    pub as_written: String,
}

/// The order in which a joint's holes are tightened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PatternRule {
    /// Chosen from the hole positions.
    Auto,
    /// Opposite pairs, then the pairs between.
    CrissCross,
    /// From the centre outwards.
    Spiral,
    /// The maker's sequence, by hole labels.
    Given(Vec<String>),
}

/// How a fixing is tightened.
#[derive(Debug, Clone, PartialEq)]
pub struct Tightening {
    /// Passes in order; empty where nothing is tightened.
    pub stages: Vec<Stage>,
    /// Order of the holes.
    pub pattern: PatternRule,
    /// Torque at the end of an angle stage, where the book gives one.
    pub end_torque: Option<Torque>,
    /// Allowed deviation of the torque, as a fraction.
    pub tolerance_fraction: f64,
    /// Whether one more pass at the last torque closes the joint.
    pub closing_pass: bool,
    /// Where the figures come from.
    pub source: String,
}

units::worded! {
    /// Why a fastener breaks loose harder than it was tightened.
    pub enum HistoryCause {
        /// Heat cycles.
        Heat = "heat",
        /// Corrosion.
        Corrosion = "corrosion",
        /// Thread-locker.
        ThreadLocker = "thread-locker",
        /// Paint or dirt.
        Paint = "paint",
        /// Worked before by an unknown hand.
        UnknownHand = "unknown-hand" / "an unknown hand",
    }
}

units::worded! {
    /// Where the mechanic wants a fixing kept while it is off.
    pub enum KeepPlace {
        /// A compartment of the tray.
        Tray = "tray",
        /// A labelled bag.
        Bag = "bag",
        /// A cardboard hole card with the bolt pattern.
        HoleCard = "hole-card" / "hole card",
        /// On the part that came off.
        OnPart = "on-part" / "on part",
        /// Back in its hole, by hand.
        InHole = "in-hole" / "in hole",
    }
}

/// The head, or what is taken hold of, in the dimensions that tools need.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadDimensions {
    /// Height of an external drive, or depth of an internal recess.
    pub grip_height: Length,
    /// Largest diameter, flange or washer included.
    pub diameter: Length,
    /// How far a stud projects above its nut; 0 otherwise.
    pub protrusion: Length,
}

/// A set of like fasteners holding one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Fixing {
    /// Short name, unique in the book.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// The part that it holds.
    pub part: PartId,
    /// Kind of fastener.
    pub kind: FastenerKind,
    /// Thread, where there is one.
    pub thread: Option<Thread>,
    /// Length under the head (studs: whole length).
    pub length: Option<Length>,
    /// Property class.
    pub class: Option<PropertyClass>,
    /// What the tool takes hold of.
    pub drive: Drive,
    /// Head dimensions.
    pub head: HeadDimensions,
    /// Holes, at least one.
    pub holes: Vec<Hole>,
    /// Length of thread engaged; turns follow from it and the pitch.
    pub engagement: Length,
    /// Thickness clamped under the head.
    pub clamped: Option<Length>,
    /// Depth of usable thread from the joint face; `None` for a through hole or unknown.
    pub tapped_depth: Option<Length>,
    /// What it is tapped into.
    pub tapped_in: TappedIn,
    /// How it is tightened.
    pub tightening: Tightening,
    /// Fixings of one part with the same joint name are tightened as one pattern.
    pub joint: Option<String>,
    /// Surface and lubrication that the figures hold for.
    pub lubrication: Lubrication,
    /// Renewed each time.
    pub one_time: bool,
    /// Price of one new fastener.
    pub price: Option<units::Money>,
    /// Stays on the part by itself when undone.
    pub captive: bool,
    /// Never finished by a power driver, and looked at a second time.
    pub critical: bool,
    /// What makes it break loose harder, as factors on the tightening torque.
    pub history: Vec<(HistoryCause, f64)>,
    /// The mechanic's or the book's wish for where to keep it.
    pub keep: Option<KeepPlace>,
    /// The spaces round its holes; each hole has at least one.
    pub accesses: Vec<Access>,
}

impl Fixing {
    /// The greatest torque of its stages, end torque of an angle stage included.
    ///
    /// An angle stage without a stated end torque counts as the last torque times
    /// [`crate::rules::ANGLE_STAGE_TORQUE_RATIO`].
    #[must_use]
    pub fn greatest_torque(&self) -> Option<Torque> {
        let stages = &self.tightening.stages;
        let torque = stages.iter().filter_map(|s| s.target.torque()).reduce(Torque::max)?;
        let has_angle = stages.iter().any(|s| s.target.angle().is_some());
        let end = match self.tightening.end_torque {
            Some(end) => end,
            None if has_angle => torque * crate::rules::ANGLE_STAGE_TORQUE_RATIO,
            None => torque,
        };
        Some(torque.max(end))
    }

    /// The factor from tightening torque to the torque that breaks it loose.
    #[must_use]
    pub fn break_loose_factor(&self) -> f64 {
        let product: f64 = self.history.iter().map(|(_, factor)| factor).product();
        crate::rules::BREAK_LOOSE_RATIO * product
    }

    /// The torque expected to break it loose.
    #[must_use]
    pub fn break_loose_torque(&self) -> Option<Torque> {
        self.greatest_torque().map(|t| t * self.break_loose_factor())
    }

    /// Whether it may well break, round off or seize on the way out.
    #[must_use]
    pub fn is_risky(&self) -> bool {
        self.drive.is_turned() && self.break_loose_factor() >= crate::rules::RISKY_BREAK_LOOSE_RATIO
    }

    /// Thread, length and class as a person writes them, "M6 × 25, 8.8"; `None` without a thread.
    #[must_use]
    pub fn size_words(&self) -> Option<String> {
        let thread = self.thread?;
        let length =
            self.length.map_or_else(String::new, |l| format!(" × {}", units::significant(l.as_mm(), 4)));
        let class = self.class.map_or_else(String::new, |c| format!(", {c}"));
        Some(format!("{thread}{length}{class}"))
    }

    /// As [`Self::size_words`]; the drive where there is no thread.
    #[must_use]
    pub fn size_or_drive_words(&self) -> String {
        self.size_words().unwrap_or_else(|| self.drive.to_string())
    }

    /// Turns from seated to free of the thread; 0 without a thread.
    #[must_use]
    pub fn turns_to_free(&self) -> f64 {
        self.thread.map_or(0.0, |t| self.engagement.as_mm() / t.pitch_mm())
    }
}
