//! Reach: can this fastener be worked in the space it sits in, and with which pieces of the store?
//!
//! # Question
//!
//! For each duty (an act on the fasteners of a fixing through one access): every stack of pieces at hand that obeys
//! the rules of [`model::rules`] and is not dominated, cheapest first; and where there is none, the *nearest miss*: the
//! stack that fails by least, by how much, and the geometry of a piece that would close the gap.
//!
//! # Nomenclature
//!
//! `z`: distance along the corridor's axis from the top of the head, mm; `e`: engagement, mm; `T`: torque of the
//! act, N·m; `β`: angle of a joint, °; a *chain* is a list of pieces from grip to handle that link to each other; a
//! *site* is one side of a fastener with its space; a *least set* is a set of pieces between a grip and a handle of
//! which no smaller part would do.
//!
//! # Method
//!
//! [`plain`] builds every chain and checks all rules at the end. [`find_reach`] finds, once for each space, the least sets for
//! each grip and handle, which are exactly the non-dominated ones, and checks the rules on torque once for each act.
//! Both call the same rule functions (`rules/`), one question a file; an independent judge shares none of them.
//!
//! # Assumptions and range
//!
//! Pieces are bodies of revolution on one axis; a bend is a point; a hand is a length. Times are the assumptions
//! named in [`model::rules`]. Service data of the engine's maker win over anything worked out here.
//!
//! # Worked example
//!
//! A 10 mm hexagon, 6 mm high, at the bottom of a bore 40 mm deep and 22 mm wide; a socket 25 mm long, a 75 mm
//! extension, a ratchet 28 mm high: `e = 6`, the ratchet's arm plane lies at `−6 + 25 + 75 + 28 − 14 = 108 ≥ 40`.
//! Without the extension it lies at 33 mm, inside the bore, so the extension is needed.

mod answer;
mod chain;
mod duty_times;
mod fast;
mod hold;
mod index;
mod key;
mod lane;
mod miss;
mod placed;
pub mod plain;
mod rules;
mod search;
mod site;
mod words;

pub use answer::{drop_dominated, drop_dominated_in_rooms, work_with_stack};
pub use fast::find_reach;
pub use miss::imagine_wanted_piece;
pub use placed::{PlacedBend, PlacedHandle, PlacedPiece, PlacedSection, PlacedStack, place_stack};
pub use words::describe_stack;

use model::{Duty, NearestMiss, WorkingStack};

/// What the search may use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReachOptions {
    /// Threads; the answer does not depend on it.
    pub threads: u16,
}

/// The answer for one duty.
#[derive(Debug, Clone, PartialEq)]
pub struct DutyReach {
    /// The duty.
    pub duty: Duty,
    /// Every non-dominated working: cheapest first, then fewer pieces, then by piece ids.
    pub workings: Vec<WorkingStack>,
    /// What came nearest; only where nothing works.
    pub miss: Option<NearestMiss>,
}
