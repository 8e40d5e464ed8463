//! Rule 9: does every piece withstand the torque of the act, with a margin?

use model::Piece;
use model::rules::STRENGTH_MARGIN;
use units::Torque;

/// Greatest torque that a piece may carry, with the margin; for a power source also no more than it can give.
pub(crate) fn torque_capacity(piece: &Piece) -> Torque {
    let weakest = piece.power.as_ref().map_or(piece.strength, |p| p.max.min(piece.strength));
    weakest / STRENGTH_MARGIN
}

/// By how much a capacity lies below the torque.
pub(crate) fn strength_short_n_m(capacity: Torque, torque: Option<Torque>) -> f64 {
    torque.map_or(0.0, |t| t.as_n_m() - capacity.as_n_m())
}
