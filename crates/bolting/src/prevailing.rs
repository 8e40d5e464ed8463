//! Prevailing torque: what a locking nut takes up before any preload builds, and that it is added, never taken off.
//!
//! **Question.** The book says 25 N·m for a self-locking nut that already turns at 4 N·m: what goes on the scale?
//!
//! **Symbols.** `T` torque that makes preload, `Tp` prevailing (running) torque, `Ts = T + Tp` what the wrench must reach.
//!
//! **Assumptions.** `Tp` is read on this nut, just before its face touches, and acts unchanged while the preload grows. A book's
//! figure for a locking nut may already hold it: **the maker's words decide; this module only works with a torque that is
//! known to be the preload's alone.**
//!
//! **Worked example.** NASA-STD-5020B, A.2: 60 ± 3 lbf·in above a running torque of 8: the wrench reaches 68, and the
//! preload is made by 57 to 63.
//!
//! **Sources.** Added: NASA-STD-5020B, A.2, equations 27 to 30; MIL-HDBK-60, 110.3. Table of limits: ISO 2320, classes 5 to 10,
//! **from memory, a hint only**.

use units::{Range, Torque};

use crate::Thread;

/// Nominal diameter; greatest torque at the first screwing on, least at the first and the fifth taking off; N·m.
const LIMITS_N_M: &[(f64, f64, f64, f64)] = &[
    (5.0, 1.6, 0.29, 0.2),
    (6.0, 3.0, 0.45, 0.3),
    (8.0, 6.0, 0.85, 0.6),
    (10.0, 10.5, 1.5, 1.0),
    (12.0, 15.5, 2.3, 1.6),
    (14.0, 24.0, 3.3, 2.3),
    (16.0, 32.0, 4.5, 3.0),
    (20.0, 54.0, 7.5, 5.3),
];

/// Prevailing torques that a locking nut of a size must keep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrevailingLimits {
    /// Greatest at the first screwing on.
    pub first_on_max: Torque,
    /// Least at the first taking off.
    pub first_off_min: Torque,
    /// Least at the fifth taking off; below it the nut has done its work and is renewed.
    pub fifth_off_min: Torque,
}

/// Limits of ISO 2320 for a coarse metric thread, from memory; `None` for other sizes.
#[must_use]
pub fn prevailing_limits(thread: Thread) -> Option<PrevailingLimits> {
    let row = LIMITS_N_M.iter().find(|row| (row.0 - thread.d_mm()).abs() < 1.0e-9)?;
    let n_m = Torque::from_n_m;
    thread.is_metric().then_some(PrevailingLimits {
        first_on_max: n_m(row.1),
        first_off_min: n_m(row.2),
        fifth_off_min: n_m(row.3),
    })
}

/// What the wrench must reach: the torque that makes preload and the prevailing one together.
#[must_use]
pub fn torque_to_reach(making_preload: Torque, prevailing: Torque) -> Torque {
    making_preload + prevailing.max(Torque::ZERO)
}

/// What is left to make preload of a torque reached; none where the nut eats all of it.
#[must_use]
pub fn torque_left_for_preload(reached: Torque, prevailing: Torque) -> Torque {
    (reached - prevailing.max(Torque::ZERO)).max(Torque::ZERO)
}

/// The range of torque left to make preload, from the ranges of what is reached and of what the nut eats.
#[must_use]
pub fn torque_range_left_for_preload(reached: &Range<Torque>, prevailing: &Range<Torque>) -> Range<Torque> {
    let low = torque_left_for_preload(reached.low(), prevailing.high());
    let high = torque_left_for_preload(reached.high(), prevailing.low());
    Range::new(low, high.max(low)).expect("the high end was raised to the low one")
}
