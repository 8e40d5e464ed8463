//! The keys of pieces and sets: their names, and which kinds of piece have them.

use model::PieceKind;

/// Which pieces have a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum KeyScope {
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
pub(crate) const KEYS: &[(&str, KeyScope, &str)] = &[
    ("set", KeyScope::Sets, "many pieces in one line of words, such as `1/4 in deep sockets 4 to 14 mm`"),
    ("except", KeyScope::Sets, "sizes of the words that are not there"),
    ("also", KeyScope::Sets, "sizes that are there besides"),
    ("key", KeyScope::All, "short name, unique in the store"),
    ("title", KeyScope::All, "what a person calls it"),
    ("kind", KeyScope::All, "kind of piece"),
    ("link", KeyScope::All, "square drive or hexagonal shank"),
    ("hand_link", KeyScope::All, "link on the hand's side alone"),
    ("fastener_link", KeyScope::All, "link on the fastener's side alone"),
    ("size", KeyScope::Grip, "size in the kind's own form: 10 mm, E10, T30, PH2, slot 6, 8x9"),
    ("fits", KeyScope::Grip, "drives that it takes, instead of a size"),
    ("points", KeyScope::Grip, "6 or 12"),
    ("length", KeyScope::All, "length along the axis; of swung handles, spanners and keys across it"),
    ("diameter", KeyScope::All, "largest diameter"),
    ("height", KeyScope::Swung, "height of a swung handle's head along the axis"),
    ("outline", KeyScope::All, "body from the fastener's end to the hand's"),
    ("depth", KeyScope::Grip, "how far it goes over a head or into a recess"),
    ("thickness", KeyScope::Side, "thickness of a head worked from the side"),
    ("head_width", KeyScope::Side, "width across such a head"),
    ("offset", KeyScope::Side, "distance from the fastener's axis to the square's"),
    ("approach", KeyScope::Grip, "axial or side"),
    ("index", KeyScope::Grip, "angle after which it can be put on again"),
    ("retention", KeyScope::Grip, "what keeps the fastener in it"),
    ("thin", KeyScope::Grip, "thin-walled socket, thin spanner"),
    ("max_angle", KeyScope::Bend, "greatest angle of a joint"),
    ("bend_at", KeyScope::Bend, "distance of the joint's centre from the fastener's end"),
    ("stays_straight", KeyScope::Bend, "whether it stands straight by itself"),
    ("handle", KeyScope::Handle, "how it is moved"),
    ("teeth", KeyScope::Ratchet, "teeth of a ratchet"),
    ("step", KeyScope::Ratchet, "step of a ratchet, instead of teeth"),
    ("radius", KeyScope::Handle, "radius that needs free swing"),
    ("arm", KeyScope::Handle, "distance from the axis to the middle of the hand"),
    ("hand_room", KeyScope::Handle, "room for the hand beyond the body"),
    ("range", KeyScope::Measure, "torques it can be set to or shows"),
    ("tolerance", KeyScope::Measure, "error allowed by its class"),
    ("scale_step", KeyScope::Measure, "smallest step of its scale"),
    ("speed", KeyScope::Power, "speed without load"),
    ("max_torque", KeyScope::Power, "greatest torque"),
    ("clutch", KeyScope::Power, "torques of its clutch steps, rising"),
    ("strength", KeyScope::All, "greatest torque that it stands"),
    ("answers", KeyScope::All, "names of special tools in books that it is"),
    ("place", KeyScope::All, "cabinet / drawer"),
    ("count", KeyScope::All, "how many are owned"),
    ("lent", KeyScope::All, "how many are lent out"),
    ("in_calibration", KeyScope::All, "how many are out for calibration"),
    ("price", KeyScope::All, "price of one more"),
    ("dimensions", KeyScope::All, "where the dimensions come from"),
    ("exact", KeyScope::All, "nothing is filled in"),
];

/// All names.
pub(crate) fn key_names() -> impl Iterator<Item = &'static str> {
    KEYS.iter().map(|(name, ..)| *name)
}

/// Whether a piece or a set has a key.
pub(crate) fn is_known_key(name: &str) -> bool {
    key_names().any(|known| known == name)
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
pub(crate) const fn takes_from_side(kind: PieceKind) -> bool {
    matches!(kind, K::RingSpanner | K::OpenSpanner | K::FlareSpanner | K::RatchetingRing | K::CrowFoot)
}

/// Whether the handle of a kind is swung across the axis (bent keys apart, which are told by their make).
pub(crate) const fn is_swung(kind: PieceKind) -> bool {
    let square = matches!(kind, K::Ratchet | K::BreakerBar | K::TorqueWrench);
    square || (takes_from_side(kind) && !matches!(kind, K::CrowFoot))
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
pub(crate) const fn applies_to_kind(has: KeyScope, kind: PieceKind) -> bool {
    if matches!(kind, K::Special) {
        return true;
    }
    match has {
        KeyScope::All | KeyScope::Sets => true,
        KeyScope::Grip => has_grip(kind),
        KeyScope::Side => takes_from_side(kind),
        KeyScope::Bend => matches!(kind, K::Joint | K::TiltingExtension | K::Socket | K::BitSocket),
        KeyScope::Handle => has_handle(kind),
        KeyScope::Swung => is_swung(kind),
        KeyScope::Ratchet => matches!(kind, K::Ratchet | K::RatchetingRing | K::TorqueWrench),
        KeyScope::Measure => matches!(kind, K::TorqueWrench | K::TorqueScrewdriver),
        KeyScope::Power => matches!(kind, K::PowerDriver),
    }
}
