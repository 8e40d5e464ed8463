//! Thread inserts: the larger thread that a coil of wire or a bushing needs, and what it holds in soft metal.
//!
//! **Question.** The M8 thread in the casting is stripped: how long must an insert be to hold more than the bolt does?
//!
//! **Symbols.** `d` and `P` of the bolt; the insert's outer thread has the same pitch and, `H = P·√3/2`:
//!
//! ```text
//! tapped minor  d + H/4   = d + 0.216506·P      pitch  d + 3/4·H = d + 0.649519·P      major  d + 3/2·H = d + 1.299038·P
//! holds         π/P·L·D·[ P/2 + 0.57735·(D − D2) ]·τ,   D major, D2 greatest pitch diameter of the tapped hole
//! ```
//!
//! **Assumptions and range.** Wire inserts of free-running form; the coil fits the tapped hole to its full major diameter, so no flank is lost
//! to play as it is with a bolt. The pitch tolerance is that of 6H on the larger diameter. Solid bushings are larger still; for them this is a lower bound.
//! The bolt's own thread then turns in steel and rarely decides.
//!
//! **Worked example.** M8 in cast aluminium of 130 MPa: pitch diameter 8.812, major 9.624 mm; a coil of 1.5 d = 12 mm shears 290 mm² and holds
//! 37.7 kN, the bolt of class 10.9 breaks at 38.1 kN; bare threads of 12 mm hold 26.4 kN.
//!
//! **Sources.** Geometry: ASME B18.29.1 and DIN 8140 (from memory; 1/4-20: 0.2608, 0.2825, 0.3150 in and M8: 8.271, 8.812, 9.624 mm);
//! shear area FED-STD-H28/2B eq. 2a; a design page after Roloff and Matek: M8 10.9 in aluminium of 250 to 270 MPa needs 2 d bare and 1.5 d with a coil.

use units::{Force, Length, math};

use crate::thread_strip::{STRENGTH_FACTOR, TappedIn, breaking_load, internal_area_per_mm};
use crate::{PropertyClass, Thread};

/// Height of the sharp triangle over the pitch.
const TRIANGLE: f64 = 0.866_025_403_784_438_6;

/// The tapped hole for an insert.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InsertHole {
    /// Basic minor diameter, near the drill's.
    pub minor: Length,
    /// Basic pitch diameter.
    pub pitch: Length,
    /// Basic major diameter.
    pub major: Length,
}

/// The tapped hole that a wire insert for a thread needs.
#[must_use]
pub fn insert_hole(thread: Thread) -> InsertHole {
    let (d_mm, h_mm) = (thread.d_mm(), TRIANGLE * thread.pitch_mm());
    let mm = Length::from_mm;
    InsertHole { minor: mm(d_mm + 0.25 * h_mm), pitch: mm(d_mm + 0.75 * h_mm), major: mm(d_mm + 1.5 * h_mm) }
}

/// Load at which an insert of a length tears out.
#[must_use]
pub fn insert_pull_out_load(thread: Thread, length: Length, tapped_in: TappedIn) -> Force {
    let hole = insert_hole(thread);
    let (p, major_mm) = (thread.pitch_mm(), hole.major.as_mm());
    // ISO 965-1, TD2(6) = 1.32·90·P^0.4·d^0.1 µm, from memory, as in `strip`.
    let play_mm = 1.32 * 0.09 * math::pow(p, 0.4) * math::pow(major_mm, 0.1);
    let per_mm = internal_area_per_mm(p, major_mm, hole.pitch.as_mm() + play_mm);
    Force::from_n(per_mm * length.as_mm().max(0.0) * tapped_in.shear_strength().tau_mpa)
}

/// Length of insert at which the bolt breaks before it tears out.
#[must_use]
pub fn needed_insert_length(thread: Thread, class: PropertyClass, tapped_in: TappedIn) -> Length {
    Length::from_mm(
        breaking_load(thread, class) / insert_pull_out_load(thread, Length::from_mm(1.0), tapped_in),
    )
}

/// The stock length, 1, 1.5, 2, 2.5 or 3 d, that holds more than a strong bolt of the class; `None` where even 3 d does not.
#[must_use]
pub fn stock_insert_length(thread: Thread, class: PropertyClass, tapped_in: TappedIn) -> Option<Length> {
    let needed = needed_insert_length(thread, class, tapped_in) * STRENGTH_FACTOR;
    let stock = [1.0, 1.5, 2.0, 2.5, 3.0].map(|times| Length::from_mm(times * thread.d_mm()));
    stock.into_iter().find(|length| *length >= needed)
}
