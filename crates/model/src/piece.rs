//! Pieces: what one tool is to the stack it may be part of, and the store that holds them.
//!
//! A piece is described by what it offers, not by its name: a *grip* takes hold of a fastener, a *bend* lets the
//! axis turn, a *handle* takes the hand, a *measure* shows a torque, a *power* source turns by itself. A socket has a
//! grip and a female square; an extension has two squares and nothing else; a ring spanner has a grip and a handle.

use crate::{DriveForm, PieceId};
use serde::{Deserialize, Serialize};
use units::{Angle, Length, Money, Range, Torque};

units::worded! {
    /// What a person calls the kind of piece; the rules never use it; they use what the piece offers.
    pub enum PieceKind {
        /// Socket for external drives.
        Socket = "socket",
        /// Bit with a female square.
        BitSocket = "bit-socket" / "bit socket",
        /// Bit with a hexagonal shank.
        Bit = "bit",
        /// Holder for hexagonal-shank bits with a female square.
        BitHolder = "bit-holder" / "bit holder",
        /// Rigid extension.
        Extension = "extension",
        /// Extension whose end tilts in the socket.
        TiltingExtension = "tilting-extension" / "tilting extension",
        /// Universal joint.
        Joint = "joint",
        /// Square-to-square adapter.
        Adapter = "adapter",
        /// Reversible ratchet.
        Ratchet = "ratchet",
        /// Plain bar with a square, for breaking loose.
        BreakerBar = "breaker-bar" / "breaker bar",
        /// In-line handle with a square or a bit holder.
        SpinnerHandle = "spinner-handle" / "spinner handle",
        /// In-line handle with a fixed socket.
        NutDriver = "nut-driver" / "nut driver",
        /// In-line handle with a fixed blade.
        Screwdriver = "screwdriver",
        /// Battery or air driver.
        PowerDriver = "power-driver" / "power driver",
        /// Ring spanner.
        RingSpanner = "ring-spanner" / "ring spanner",
        /// Open-ended spanner.
        OpenSpanner = "open-spanner" / "open spanner",
        /// Slotted ring for pipe unions.
        FlareSpanner = "flare-spanner" / "flare spanner",
        /// Ring spanner with a ratchet.
        RatchetingRing = "ratcheting-ring" / "ratcheting ring",
        /// Flat head on a square, worked from the side.
        CrowFoot = "crow-foot",
        /// Torque wrench.
        TorqueWrench = "torque-wrench" / "torque wrench",
        /// Torque screwdriver.
        TorqueScrewdriver = "torque-screwdriver" / "torque screwdriver",
        /// Pliers for clamps and clips.
        Pliers = "pliers",
        /// Hook or lifter for latches and clips.
        Hook = "hook",
        /// Tool that answers to a name in a book.
        Special = "special" / "tool in one piece",
    }
}

impl PieceKind {
    /// Whether a grip of this kind has a gap that a pipe passes, unless its owner says otherwise.
    #[must_use]
    pub const fn has_gap(self) -> bool {
        matches!(self, Self::OpenSpanner | Self::FlareSpanner | Self::CrowFoot)
    }
}

/// A connection between two pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PieceLink {
    /// Square drive 6.3 mm (1/4 in), ISO 1174-1.
    Square6,
    /// Square drive 10 mm (3/8 in).
    Square10,
    /// Square drive 12.5 mm (1/2 in).
    Square12,
    /// Square drive 20 mm (3/4 in).
    Square20,
    /// Hexagonal shank 6.3 mm (1/4 in), ISO 1173.
    Hex6,
}

impl PieceLink {
    /// All links, smallest first.
    pub const ALL: [Self; 5] = [Self::Hex6, Self::Square6, Self::Square10, Self::Square12, Self::Square20];
}

impl core::fmt::Display for PieceLink {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(match self {
            Self::Square6 => "1/4 in",
            Self::Square10 => "3/8 in",
            Self::Square12 => "1/2 in",
            Self::Square20 => "3/4 in",
            Self::Hex6 => "1/4 in hex",
        })
    }
}

/// A form of drive and the sizes of it that a grip takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GripFit {
    /// The form.
    pub form: DriveForm,
    /// Smallest size, as in [`crate::Drive::size`].
    pub low: f64,
    /// Largest size; equal to `low` for a fixed size.
    pub high: f64,
}

/// From where a grip comes to the fastener.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum GripApproach {
    /// Along its axis.
    Axial,
    /// From the side, flat on the head.
    Side,
}

/// What keeps the fastener from dropping out of the tool.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Retention {
    /// Nothing.
    None,
    /// A magnet (holds steel only).
    Magnet,
    /// A spring ball or clip.
    Spring,
    /// A rubber insert.
    Rubber,
    /// Jaws that hold it.
    Jaws,
}

/// The end that takes hold of a fastener.
#[derive(Debug, Clone, PartialEq)]
pub struct Grip {
    /// What it takes hold of.
    pub fits: Vec<GripFit>,
    /// From where.
    pub approach: GripApproach,
    /// Axial grips: how far it goes over a head (bore depth) or into a recess. Side grips: its thickness.
    pub depth: Length,
    /// Side grips: width across the head of the tool; 0 for axial ones.
    pub head_width: Length,
    /// Side grips on a square: distance from the fastener's axis to the square's; 0 otherwise.
    pub offset: Length,
    /// Angle after which it can be put on again: 60° six-point, 30° twelve-point or turned-over open end.
    pub index: Angle,
    /// What keeps the fastener in it.
    pub retention: Retention,
    /// Whether it has a gap that a pipe passes: open ends and flare spanners.
    pub is_open: bool,
}

/// One stretch of a piece's outline, from the fastener's end to the hand's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutlineSection {
    /// Length along the axis that it adds to a stack (tangs inside the next piece do not count).
    pub length: Length,
    /// Largest diameter there.
    pub diameter: Length,
}

/// A place where a piece lets the axis turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PieceBend {
    /// Greatest angle.
    pub max_angle: Angle,
    /// Distance of the joint's centre from the piece's end nearer the fastener.
    pub at: Length,
    /// Whether it can also be used straight (a tilting extension does, a universal joint does not).
    pub may_stay_straight: bool,
}

/// How a handle is moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HandleStyle {
    /// Swung, with a ratchet.
    Ratchet,
    /// Swung, put on again after each stroke.
    Bar,
    /// Turned in the fist, in line with the axis.
    InLine,
    /// Turns by itself.
    Power,
    /// Squeezed or pulled: pliers and hooks.
    Squeeze,
}

/// The end that takes the hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Handle {
    /// How it is moved.
    pub style: HandleStyle,
    /// Radius that needs free swing.
    pub radius: Length,
    /// Distance from the axis at which the hand's force acts.
    pub arm: Length,
    /// Ratchet step; `None` where the grip's index counts.
    pub step: Option<Angle>,
    /// Room for the hand beyond the piece's own length.
    pub hand_room: Length,
}

/// The ability to show or limit a torque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TorqueMeasure {
    /// From the lowest to the full-scale torque that it can be set to or shows.
    pub range: Range<Torque>,
    /// Error allowed by its class, as a fraction of the reading.
    pub tolerance_fraction: f64,
    /// Smallest step of its scale, if it has one.
    pub scale_step: Option<Torque>,
    /// Distance from its square's axis to the hand's load point, which an offset adds to.
    pub arm: Length,
}

impl TorqueMeasure {
    /// The torques it may be trusted with: 20 % to 100 % of full scale (ISO 6789-1), within its own scale.
    #[must_use]
    pub fn usable_torques(&self) -> (Torque, Torque) {
        let floor = self.range.high() * crate::rules::TORQUE_TOOL_LOWEST_FRACTION;
        (self.range.low().max(floor), self.range.high())
    }
}

/// A source of turning that needs no hand force.
#[derive(Debug, Clone, PartialEq)]
pub struct PowerSource {
    /// Speed without load.
    pub speed_rpm: f64,
    /// Greatest torque.
    pub max: Torque,
    /// Torques of its clutch steps, rising; empty without a clutch.
    pub clutch: Vec<Torque>,
}

/// Where a piece is kept.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct StorePlace {
    /// Room or cabinet.
    pub cabinet: String,
    /// Drawer, roll or hook.
    pub drawer: String,
}

impl core::fmt::Display for StorePlace {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{} / {}", self.cabinet, self.drawer)
    }
}

units::worded! {
    /// Why a piece or special tool is not at hand.
    pub enum PieceAbsence {
        /// None is owned.
        NotOwned = "not owned",
        /// Lent to somebody.
        LentOut = "lent out",
        /// Sent away to be calibrated.
        InCalibration = "out for calibration",
    }
}

/// Where a piece's dimensions come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DimensionsSource {
    /// The user gave them.
    Stated,
    /// Worked out from published standard dimensions, named here.
    Standard(String),
}

/// One tool.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Short name, unique in the store.
    pub key: String,
    /// What a person calls it: "10 mm deep socket, 1/4 in".
    pub title: String,
    /// Kind, for words and drawings.
    pub kind: PieceKind,
    /// End that takes hold of a fastener.
    pub grip: Option<Grip>,
    /// Link on the fastener's side.
    pub toward_fastener: Option<PieceLink>,
    /// Link on the hand's side.
    pub toward_hand: Option<PieceLink>,
    /// Outline from the fastener's end to the hand's.
    pub outline: Vec<OutlineSection>,
    /// Place where the axis can turn.
    pub bend: Option<PieceBend>,
    /// End that takes the hand.
    pub handle: Option<Handle>,
    /// Greatest torque that it withstands.
    pub strength: Torque,
    /// Ability to show or limit a torque.
    pub measure: Option<TorqueMeasure>,
    /// Ability to turn by itself.
    pub power: Option<PowerSource>,
    /// Names in books that it answers to.
    pub answers: Vec<String>,
    /// Where it is kept.
    pub place: StorePlace,
    /// How many are owned.
    pub count: u16,
    /// How many of them are lent out.
    pub lent: u16,
    /// How many of them are out for calibration.
    pub in_calibration: u16,
    /// Price of one more, where known.
    pub price: Option<Money>,
    /// Where its dimensions come from.
    pub dimensions: DimensionsSource,
}

impl Piece {
    /// Length that it adds to a stack.
    #[must_use]
    pub fn length_in_stack(&self) -> Length {
        self.outline.iter().map(|s| s.length).sum()
    }
    /// Largest diameter.
    #[must_use]
    pub fn largest_diameter(&self) -> Length {
        self.outline.iter().map(|s| s.diameter).fold(Length::ZERO, Length::max)
    }
    /// Why those that are not at hand are away; lent ones are named first.
    #[must_use]
    pub const fn absence(&self) -> PieceAbsence {
        if self.count == 0 {
            PieceAbsence::NotOwned
        } else if self.lent > 0 {
            PieceAbsence::LentOut
        } else {
            PieceAbsence::InCalibration
        }
    }

    /// How many are at hand now.
    #[must_use]
    pub fn at_hand(&self) -> u16 {
        self.count.saturating_sub(self.lent).saturating_sub(self.in_calibration)
    }
}

/// All pieces the mechanic owns.
#[derive(Debug, Clone, PartialEq)]
pub struct Store {
    /// What a person calls it.
    pub title: String,
    /// Pieces; ids are positions.
    pub pieces: Vec<Piece>,
    /// Places on the cart; `None` if it holds all.
    pub cart_places: Option<u16>,
    /// Compartments of the trays, by tray: rows, columns, and the inner size of one in mm.
    pub trays: Vec<Tray>,
}

/// A tray with like compartments.
#[derive(Debug, Clone, PartialEq)]
pub struct Tray {
    /// Letter or short name that starts its addresses.
    pub key: String,
    /// Rows.
    pub rows: u16,
    /// Columns.
    pub columns: u16,
    /// Inner width of a compartment.
    pub width: Length,
    /// Inner depth (front to back) of a compartment.
    pub depth: Length,
    /// Inner height of a compartment.
    pub height: Length,
}

impl Store {
    /// A piece by id.
    #[must_use]
    pub fn piece(&self, id: PieceId) -> &Piece {
        &self.pieces[id.index()]
    }
    /// All piece ids.
    pub fn piece_ids(&self) -> impl Iterator<Item = PieceId> + use<> {
        (0..self.pieces.len()).map(PieceId::new)
    }
    /// The piece of a key.
    #[must_use]
    pub fn piece_by_key(&self, key: &str) -> Option<PieceId> {
        self.pieces.iter().position(|p| p.key == key).map(PieceId::new)
    }
}
