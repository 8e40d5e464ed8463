//! Stacks: pieces joined from the fastener to the hand, what they can do, and the nearest miss where none can.

use crate::{Drive, PieceId, PieceKind, PieceLink};
use serde::{Deserialize, Serialize};
use units::{Angle, Duration, Force, Length, Torque};

/// A bend that one piece of a stack takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BendTaken {
    /// Position of the piece in the stack.
    pub piece: u8,
    /// Angle taken.
    pub angle: Angle,
}

/// Pieces joined from the fastener to the hand; empty for the bare hand.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stack {
    /// Pieces from the fastener to the hand.
    pub pieces: Vec<PieceId>,
    /// Bends taken, by piece.
    pub bends: Vec<BendTaken>,
    /// Pieces that hold the other side, from the fastener to the hand; empty if none are needed.
    pub hold: Vec<PieceId>,
}

impl Stack {
    /// All pieces with the counter-hold's, sorted: the multiset that domination and the kit look at.
    #[must_use]
    pub fn all_pieces(&self) -> Vec<PieceId> {
        let mut all: Vec<PieceId> = self.pieces.iter().chain(&self.hold).copied().collect();
        all.sort_unstable();
        all
    }
}

/// A stack that can do a duty, with the figures that a person needs to see.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkingStack {
    /// The stack.
    pub stack: Stack,
    /// Time for all holes of the duty, without set-up.
    pub time: Duration,
    /// Time plus the fetching of its pieces: what domination compares.
    pub cost: Duration,
    /// Reach from the top of the head to the outer end of the handle piece.
    pub top: Length,
    /// Force of the hand, where the torque is known and a hand gives it.
    pub force: Option<Force>,
    /// What the torque tool is to be set to, adapters counted.
    pub setting: Option<Torque>,
    /// Greatest deviation of torque by joints at an angle, as a fraction.
    pub joint_error_fraction: f64,
}

/// Which rule the nearest stack fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MissKind {
    /// No grip for the drive.
    NoGrip,
    /// Nothing joins grip to handle.
    NoJoin,
    /// Too little engagement.
    Engagement,
    /// Too thick for the corridor.
    Clearance,
    /// Does not reach out of the corridor.
    TooShort,
    /// Too long for the headroom.
    Headroom,
    /// No joint where the corridor bends.
    Bend,
    /// Too little swing.
    Swing,
    /// Too little room beside the head.
    SideRoom,
    /// Too weak.
    Strength,
    /// More force than a hand gives.
    Force,
    /// Too long a handle to feel anything.
    Feel,
    /// No torque tool covers the figure.
    TorqueRange,
    /// Joint at too great an angle for the tolerance.
    JointError,
    /// Fastener may drop into an opening.
    Retention,
    /// The other side cannot be held.
    CounterHold,
    /// Owned, but lent or out for calibration.
    Away,
}

/// How to obtain a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ObtainKind {
    /// Sold as a usual size.
    Buy,
    /// Seldom needed and expensive, or lent out: borrow it or fetch it back.
    Borrow,
    /// Outside usual dimensions: make it.
    Make,
}

/// The geometry of a piece that would close a gap.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PieceSpec {
    /// Kind of piece.
    pub kind: PieceKind,
    /// What it has to take hold of.
    pub drive: Option<Drive>,
    /// Link towards the hand (grips), or on its own square (handles).
    pub link: Option<PieceLink>,
    /// Least length it must add, mm.
    pub min_length_mm: Option<f64>,
    /// Greatest length it may add, mm.
    pub max_length_mm: Option<f64>,
    /// Greatest diameter (side grips: thickness), mm.
    pub max_diameter_mm: Option<f64>,
    /// Torque that it must cover or withstand, N·m.
    pub torque_n_m: Option<f64>,
    /// Greatest step or index, degrees.
    pub max_step_deg: Option<f64>,
    /// Angle that a joint must take, degrees.
    pub bend_deg: Option<f64>,
    /// Must hold the fastener.
    pub retention: bool,
    /// How to obtain it.
    pub how: ObtainKind,
    /// The whole in one line: "extension 1/4 in, 40 to 57 mm long, at most 14 mm thick".
    pub words: String,
}

/// The stack that came nearest, what it fails by, and what would close the gap.
#[derive(Debug, Clone, PartialEq)]
pub struct NearestMiss {
    /// The rule it fails.
    pub kind: MissKind,
    /// The stack; empty where there is not even a grip.
    pub stack: Vec<PieceId>,
    /// The piece that fails, if one does.
    pub piece: Option<PieceId>,
    /// By how much, in the unit of the rule (mm, °, N·m, N), always positive.
    pub short_by: f64,
    /// One sentence: "18 mm too little headroom with the 75 mm extension; a 50 mm extension would fit".
    pub words: String,
    /// What would close the gap.
    pub wanted: PieceSpec,
}
