//! The keys of pieces and sets: their names, and which kinds of piece have them.

use model::PieceKind;

/// Which pieces have a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Has {
    /// Every piece.
    All,
    /// Sets alone.
    Sets,
    /// Pieces that take hold of a fastener.
    Grip,
    /// Pieces that take hold from the side.
    Side,
    /// Pieces whose axis can turn.
    Bend,
    /// Pieces that take the hand.
    Handle,
    /// Handles that are swung.
    Swung,
    /// Handles with a ratchet.
    Ratchet,
    /// Torque tools.
    Measure,
    /// Power drivers.
    Power,
}

/// Every key of a piece or a set, with what it means.
pub(crate) const KEYS: &[(&str, Has, &str)] = &[
    ("set", Has::Sets, "many pieces in one line of words, such as `1/4 in deep sockets 4 to 14 mm`"),
    ("except", Has::Sets, "sizes of the words that are not there"),
    ("also", Has::Sets, "sizes that are there besides"),
    ("key", Has::All, "short name, unique in the store"),
    ("title", Has::All, "what a person calls it"),
    ("kind", Has::All, "kind of piece"),
    ("link", Has::All, "square drive or hexagonal shank"),
    ("hand_link", Has::All, "link on the hand's side alone"),
    ("fastener_link", Has::All, "link on the fastener's side alone"),
    ("size", Has::Grip, "size in the kind's own form: 10 mm, E10, T30, PH2, slot 6, 8x9"),
    ("fits", Has::Grip, "drives that it takes, instead of a size"),
    ("points", Has::Grip, "6 or 12"),
    ("length", Has::All, "length along the axis; of swung handles, spanners and keys across it"),
    ("diameter", Has::All, "largest diameter"),
    ("height", Has::Swung, "height of a swung handle's head along the axis"),
    ("outline", Has::All, "body from the fastener's end to the hand's"),
    ("depth", Has::Grip, "how far it goes over a head or into a recess"),
    ("thickness", Has::Side, "thickness of a head worked from the side"),
    ("head_width", Has::Side, "width across such a head"),
    ("offset", Has::Side, "distance from the fastener's axis to the square's"),
    ("approach", Has::Grip, "axial or side"),
    ("index", Has::Grip, "angle after which it can be put on again"),
    ("retention", Has::Grip, "what keeps the fastener in it"),
    ("thin", Has::Grip, "thin-walled socket, thin spanner"),
    ("max_angle", Has::Bend, "greatest angle of a joint"),
    ("bend_at", Has::Bend, "distance of the joint's centre from the fastener's end"),
    ("stays_straight", Has::Bend, "whether it stands straight by itself"),
    ("handle", Has::Handle, "how it is moved"),
    ("teeth", Has::Ratchet, "teeth of a ratchet"),
    ("step", Has::Ratchet, "step of a ratchet, instead of teeth"),
    ("radius", Has::Handle, "radius that needs free swing"),
    ("arm", Has::Handle, "distance from the axis to the middle of the hand"),
    ("hand_room", Has::Handle, "room for the hand beyond the body"),
    ("range", Has::Measure, "torques it can be set to or shows"),
    ("tolerance", Has::Measure, "error allowed by its class"),
    ("scale_step", Has::Measure, "smallest step of its scale"),
    ("speed", Has::Power, "speed without load"),
    ("max_torque", Has::Power, "greatest torque"),
    ("clutch", Has::Power, "torques of its clutch steps, rising"),
    ("strength", Has::All, "greatest torque that it stands"),
    ("answers", Has::All, "names of special tools in books that it is"),
    ("place", Has::All, "cabinet / drawer"),
    ("count", Has::All, "how many are owned"),
    ("lent", Has::All, "how many are lent out"),
    ("in_calibration", Has::All, "how many are out for calibration"),
    ("price", Has::All, "price of one more"),
    ("dimensions", Has::All, "where the dimensions come from"),
    ("exact", Has::All, "nothing is filled in"),
];

/// All names.
pub(crate) fn names() -> impl Iterator<Item = &'static str> {
    KEYS.iter().map(|(name, ..)| *name)
}

/// Whether a piece or a set has a key.
pub(crate) fn is_known(name: &str) -> bool {
    names().any(|known| known == name)
}

use PieceKind as K;

/// Whether pieces of a kind take hold of a fastener.
pub(crate) const fn has_grip(kind: PieceKind) -> bool {
    !matches!(
        kind,
        K::BitHolder
            | K::Extension
            | K::TiltingExtension
            | K::Joint
            | K::Adapter
            | K::Ratchet
            | K::BreakerBar
            | K::SpinnerHandle
            | K::PowerDriver
            | K::TorqueWrench
            | K::TorqueScrewdriver
    )
}

/// Whether pieces of a kind take hold from the side.
pub(crate) const fn is_side(kind: PieceKind) -> bool {
    matches!(kind, K::RingSpanner | K::OpenSpanner | K::FlareSpanner | K::RatchetingRing | K::CrowFoot)
}

/// Whether the handle of a kind is swung across the axis (bent keys apart, which are told by their make).
pub(crate) const fn is_swung(kind: PieceKind) -> bool {
    let square = matches!(kind, K::Ratchet | K::BreakerBar | K::TorqueWrench);
    square || (is_side(kind) && !matches!(kind, K::CrowFoot))
}

/// Whether a kind has a handle.
const fn has_handle(kind: PieceKind) -> bool {
    is_swung(kind)
        || matches!(
            kind,
            K::SpinnerHandle
                | K::NutDriver
                | K::Screwdriver
                | K::PowerDriver
                | K::TorqueScrewdriver
                | K::Pliers
                | K::Hook
        )
}

/// Whether a kind of piece has a key.
pub(crate) const fn fits_kind(has: Has, kind: PieceKind) -> bool {
    if matches!(kind, K::Special) {
        return true;
    }
    match has {
        Has::All | Has::Sets => true,
        Has::Grip => has_grip(kind),
        Has::Side => is_side(kind),
        Has::Bend => matches!(kind, K::Joint | K::TiltingExtension | K::Socket | K::BitSocket),
        Has::Handle => has_handle(kind),
        Has::Swung => is_swung(kind),
        Has::Ratchet => matches!(kind, K::Ratchet | K::RatchetingRing | K::TorqueWrench),
        Has::Measure => matches!(kind, K::TorqueWrench | K::TorqueScrewdriver),
        Has::Power => matches!(kind, K::PowerDriver),
    }
}
