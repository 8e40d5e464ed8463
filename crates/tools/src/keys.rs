//! Which kinds of piece have a use for which keys.

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

/// Whether the handle of a kind is swung across the axis (bent keys apart, which are known by their make).
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
