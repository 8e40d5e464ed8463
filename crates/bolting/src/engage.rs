//! Recommended length of engagement by tapped material and property class, as published trial values.
//!
//! The table holds for M6 to M16, 6g/6H, without the countersink; it carries a margin that the bare stripping formulas of
//! `strip` do not. Source: a drive-technology maker's annex, table "screw-in depth", trial values. For dynamic load a
//! design page adds 20 %.

use units::Length;

use crate::{PropertyClass, Thread};

/// What is tapped, by its tensile strength.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum TappedGrade {
    /// Steel above 360 MPa.
    Steel360,
    /// Steel above 500 MPa.
    Steel500,
    /// Steel above 800 MPa, heat treated.
    Steel800,
    /// Grey iron above 220 MPa.
    GreyIron220,
    /// Pure aluminium above 180 MPa.
    Aluminium180,
}

/// Grade; then lengths over `d` for 8.8 coarse, 8.8 fine, 10.9 coarse, 10.9 fine, 12.9 coarse; 0 where none is given.
const ROWS: &[(TappedGrade, [f64; 5])] = &[
    (TappedGrade::Steel360, [1.0, 1.25, 1.25, 1.4, 1.4]),
    (TappedGrade::Steel500, [0.9, 1.0, 1.0, 1.2, 1.2]),
    (TappedGrade::Steel800, [0.8, 0.8, 0.9, 0.9, 1.0]),
    (TappedGrade::GreyIron220, [1.0, 1.25, 1.25, 1.4, 1.4]),
    (TappedGrade::Aluminium180, [2.0, 2.5, 0.0, 0.0, 0.0]),
];

/// Recommended engagement; `None` where the table has no value.
#[must_use]
pub fn recommended_engagement(thread: Thread, class: PropertyClass, grade: TappedGrade) -> Option<Length> {
    let column = match (class, thread.is_coarse()) {
        (PropertyClass::C8_8, true) => 0,
        (PropertyClass::C8_8, false) => 1,
        (PropertyClass::C10_9, true) => 2,
        (PropertyClass::C10_9, false) => 3,
        (PropertyClass::C12_9, true) => 4,
        _ => return None,
    };
    let ratio = ROWS.iter().find(|row| row.0 == grade)?.1[column];
    (ratio > 0.0).then(|| Length::from_mm(ratio * thread.d_mm()))
}
