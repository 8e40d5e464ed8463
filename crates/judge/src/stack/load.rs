//! Rules 9 and 10: does every piece withstand the torque, and can a hand give it and feel it?

use super::DutyNotes;
use super::side::{ActDemand, FastenerSide};
use model::{Act, Handle, HandleStyle, Piece, rules};

/// Strength.
pub(super) fn rule_9(ask: &ActDemand, chain: &[&Piece], notes: &mut DutyNotes) {
    let Some(torque_n_m) = ask.torque_n_m else { return };
    for piece in chain {
        let stands_n_m = piece.strength.as_n_m() / rules::STRENGTH_MARGIN;
        notes.check_at_most("J409", torque_n_m, stands_n_m, &format!("`{}` is too weak, N·m", piece.key));
        if let Some(power) = &piece.power {
            let gives_n_m = power.max.as_n_m() / rules::STRENGTH_MARGIN;
            notes.check_at_most(
                "J409",
                torque_n_m,
                gives_n_m,
                &format!("`{}` gives too little torque, N·m", piece.key),
            );
        }
    }
}

/// Force and feel.
pub(super) fn rule_10(side: &FastenerSide, ask: &ActDemand, handle: &Handle, notes: &mut DutyNotes) {
    let Some(torque_n_m) = ask.torque_n_m.filter(|_| handle.style != HandleStyle::Squeeze) else { return };
    let force_n = arm_force_n(torque_n_m, handle);
    notes.check_at_most("J410", force_n, side.hand_force_n, "more force than a hand gives, N");
    if ask.act == Act::Tighten {
        notes.check_at_most("J410", rules::MIN_FEEL_N, force_n, "too little force to feel it seat, N needed");
    }
}

/// Force at the arm.
pub(super) fn arm_force_n(torque_n_m: f64, handle: &Handle) -> f64 {
    torque_n_m / (handle.arm.as_mm() / 1000.0)
}
