//! Readings judged, lines through readings, wear to a limit, odometer and next due.
//!
//! **Question.** A mechanic measures few things, rarely, with gauges of limited quality: does a reading pass, when is the wear at its limit, when
//! does the odometer show the next milestone? Every answer has an interval, and says *cannot tell* where the readings do not tell.
//!
//! | question | modules |
//! |---|---|
//! | does a reading pass its limit, or is it too close to call | [`reading_verdict`], [`places`] |
//! | what does a line say | [`mod@line`], [`least_squares`], [`twofold`] |
//! | where does it reach a level | [`crossing`], [`inverse`] |
//! | when is the wear at its limit | [`wear`], [`posterior`] |
//! | when does the odometer show a milestone, what is due first | [`odometer`], [`slips`], [`next_due`] |
//! | how is it read, and answered as a whole | [`columns`], [`days`], [`answers`] |
//!
//! Pure: figures in, answers out. Nothing here knows of files, the clock or a vehicle's journal.

pub mod answers;
pub mod columns;
pub mod crossing;
pub mod days;
pub mod inverse;
pub mod least_squares;
pub mod line;
pub mod next_due;
pub mod odometer;
pub mod places;
pub mod posterior;
pub mod reading_verdict;
pub mod shown;
pub mod slips;
pub mod twofold;
pub mod wear;
