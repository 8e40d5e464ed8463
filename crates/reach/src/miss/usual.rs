//! What is usual: dimensions that pieces are sold in, so that a wanted piece can be called one to buy or to make.
//!
//! The limits are assumptions from common practice, wide on purpose: a piece outside them is hard to find.

use model::{DriveForm, ObtainKind, PieceKind, PieceLink, PieceSpec};

/// Whether a kind shows a torque.
pub(crate) const fn kind_measures_torque(kind: PieceKind) -> bool {
    matches!(kind, PieceKind::TorqueWrench | PieceKind::TorqueScrewdriver)
}

/// Usual lengths that a kind adds to a stack, shortest and longest.
pub(crate) const fn lengths_mm(kind: PieceKind) -> (f64, f64) {
    match kind {
        PieceKind::Socket => (18.0, 90.0),
        PieceKind::BitSocket => (25.0, 150.0),
        PieceKind::Extension | PieceKind::TiltingExtension => (30.0, 600.0),
        PieceKind::Joint => (30.0, 75.0),
        PieceKind::Ratchet | PieceKind::BreakerBar | PieceKind::TorqueWrench => (20.0, 60.0),
        PieceKind::SpinnerHandle | PieceKind::TorqueScrewdriver => (100.0, 250.0),
        PieceKind::Pliers | PieceKind::Hook => (40.0, 300.0),
        PieceKind::Bit
        | PieceKind::BitHolder
        | PieceKind::Adapter
        | PieceKind::NutDriver
        | PieceKind::Screwdriver
        | PieceKind::PowerDriver
        | PieceKind::RingSpanner
        | PieceKind::OpenSpanner
        | PieceKind::FlareSpanner
        | PieceKind::RatchetingRing
        | PieceKind::CrowFoot
        | PieceKind::Special => (10.0, 400.0),
    }
}

/// Usual thickness of a square's shaft or of the piece round it.
pub(crate) const fn shaft_mm(link: Option<PieceLink>) -> f64 {
    match link {
        None | Some(PieceLink::Hex6) => 7.0,
        Some(PieceLink::Square6) => 12.0,
        Some(PieceLink::Square10) => 17.0,
        Some(PieceLink::Square12) => 22.0,
        Some(PieceLink::Square20) => 35.0,
    }
}

/// Usual diameter of a piece, at its slimmest.
pub(crate) fn slim_mm(spec: &PieceSpec) -> f64 {
    let shaft = shaft_mm(spec.link);
    match (spec.kind, spec.drive) {
        // Across corners and a wall of 1.5 mm.
        (PieceKind::Socket, Some(drive)) => (drive.size() * 1.155 + 3.0).max(shaft),
        (PieceKind::Ratchet | PieceKind::TorqueWrench | PieceKind::BreakerBar, _) => shaft * 1.6,
        (PieceKind::SpinnerHandle | PieceKind::TorqueScrewdriver, _) => 25.0,
        (PieceKind::Pliers | PieceKind::Hook, _) => 12.0,
        (kind, Some(drive)) if is_flat(kind) => 0.35 * drive.size() + 1.5,
        _ => shaft,
    }
}

/// Below this even a purpose-made piece is too weak: the metal round a drive or square (assumption).
pub(crate) fn least_diameter_mm(spec: &PieceSpec) -> f64 {
    match (spec.kind, spec.drive) {
        (PieceKind::Socket | PieceKind::Special, Some(drive))
            if !drive.is_internal() && drive.is_turned() =>
        {
            let corners_ratio = if drive.form() == DriveForm::Square { 1.414 } else { 1.155 };
            drive.size() * corners_ratio + 1.0
        }
        (kind, _) if is_flat(kind) => 1.5,
        _ => 5.0,
    }
}

/// Whether a kind lies flat on the head.
pub(crate) const fn is_flat(kind: PieceKind) -> bool {
    matches!(
        kind,
        PieceKind::RingSpanner
            | PieceKind::OpenSpanner
            | PieceKind::FlareSpanner
            | PieceKind::RatchetingRing
            | PieceKind::CrowFoot
    )
}

/// Greatest angle of joints that are sold, and the finest usual ratchet step (120 teeth).
const MAX_SOLD_JOINT_DEG: f64 = 45.0;
const MIN_RATCHET_STEP_DEG: f64 = 3.0;

/// How to obtain a piece of these dimensions.
pub(crate) fn how_to_obtain(spec: &PieceSpec) -> ObtainKind {
    let (shortest_mm, longest_mm) = lengths_mm(spec.kind);
    let sold = spec.min_length_mm.is_none_or(|low| low <= longest_mm)
        && spec.max_length_mm.is_none_or(|high| high >= shortest_mm)
        && spec.max_diameter_mm.is_none_or(|d| d >= slim_mm(spec))
        && spec.max_step_deg.is_none_or(|s| s >= MIN_RATCHET_STEP_DEG)
        && spec.bend_deg.is_none_or(|b| b <= MAX_SOLD_JOINT_DEG && spec.kind != PieceKind::Extension)
        && spec.kind != PieceKind::Special;
    match (sold, kind_measures_torque(spec.kind)) {
        (false, _) => ObtainKind::Make,
        (true, true) => ObtainKind::Borrow,
        (true, false) => ObtainKind::Buy,
    }
}
