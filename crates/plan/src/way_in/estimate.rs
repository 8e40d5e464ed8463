//! What a part or a condition costs off and on again, before any stack is known.
//!
//! The figures are the same for every tool, so that the way in does not depend on what the store holds.

use model::{Book, ConditionId, Fixing, PartId};

/// Estimated seconds to undo and do up all fasteners of a fixing.
///
/// Turned: `APPLY_S + TAKE_S + HAND_START_S + APPLY_S + 2·turns·TURN_S + stages·(APPLY_S + READ_S)` each; others:
/// `2·SQUEEZE_S` each.
#[must_use]
pub fn fixing_s(fixing: &Fixing) -> f64 {
    let holes = fixing.holes.len() as f64;
    if !fixing.drive.is_turned() {
        return holes * 2.0 * times::SQUEEZE_S;
    }
    let stages = fixing.tightening.stages.len() as f64;
    let on_and_off = 2.0 * times::APPLY_S + times::TAKE_S + times::HAND_START_S;
    holes
        * (on_and_off
            + 2.0 * fixing.turns_to_free() * times::TURN_S
            + stages * (times::APPLY_S + times::READ_S))
}

/// Estimated hands-on seconds of a part off and on again.
#[must_use]
pub fn part_s(book: &Book, part: PartId) -> f64 {
    let fixings: f64 = book.fixings_of(part).map(|f| fixing_s(book.fixing(f))).sum();
    book.part(part).lift_s() + book.part(part).place_s() + fixings
}

/// Hands-on seconds of a condition made and undone; the wait for it is not hands-on.
#[must_use]
pub fn condition_s(book: &Book, condition: ConditionId) -> f64 {
    (book.condition(condition).establish_time + book.condition(condition).restore_time).as_s()
}
