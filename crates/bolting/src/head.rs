//! Heads and what they turn on: the bearing face of hexagon, flange, washer, cylinder and countersunk heads.
//!
//! **Question.** At which diameter does the friction under this head act, so that half of the torque is not guessed?
//!
//! **Symbols.** `dw` outer diameter of the bearing face, `dh` diameter of the hole below it (mm), `DKm = (dw + dh)/2` mean
//! bearing diameter, `α` half of a countersunk head's cone angle, `F` preload, `mu_k` friction under the head.
//!
//! ```text
//! torque under the head = F·mu_k·DKm/2            flat face
//!                       = F·mu_k·DKm/(2·sin α)    cone: the wedge presses harder than the bolt pulls
//! ```
//!
//! **Assumptions and range.** M3 to M24, interpolated between tabled sizes, outside them at the ratio of the nearest one;
//! inch heads are taken as the metric ones of their diameter. The mean diameter is taken as the centre of pressure, as VDI
//! 2230 has it; even pressure over the face would put it up to 2 % further out. A washer is taken to lie still, so the head slides on it.
//!
//! **Worked example.** M10: hexagon (14.63 + 11)/2 = 12.8 mm; flange (19.6 + 11)/2 = 15.3 mm, so 19 % more head friction;
//! countersunk (19.22 + 11)/2/sin 45° = 21.4 mm.
//!
//! **Sources.** `dw`: EN 1665 (flange; read on a fastener maker's page), ISO 4014 (hexagon), ISO 4162 (small flange), ISO 4762 (cylinder),
//! ISO 10642 (countersunk, head diameter); `dh`: ISO 273 medium, washers ISO 7089; all but EN 1665 from memory. Cone: equilibrium of forces.

use units::{Length, math};

use crate::Thread;

/// Half of the cone angle of ISO 10642.
const COUNTERSUNK_HALF_DEG: f64 = 45.0;

units::worded! {
    /// A form of head by what it bears on.
    pub enum BearingHead {
        /// Hexagon head on a medium hole.
        Hexagon = "hexagon" / "hexagon head",
        /// Hexagon head on a plain washer.
        HexagonOnWasher = "hexagon-on-washer" / "hexagon head on a washer",
        /// Hexagon head with a flange, EN 1665.
        Flange = "flange" / "flange head",
        /// Hexagon head with a flange of the small series, ISO 4162.
        SmallFlange = "small-flange" / "flange head, small series",
        /// Cylinder head with a socket.
        Cylinder = "cylinder" / "cylinder head",
        /// Countersunk head, 90°.
        Countersunk = "countersunk" / "countersunk head",
    }
}

/// What a head turns on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BearingFace {
    outer_mm: f64,
    hole_mm: f64,
    half_cone_deg: f64,
}

/// Diameters that make no bearing face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BearingFaceError {
    /// Outer diameter given.
    pub outer: Length,
    /// Hole given.
    pub hole: Length,
}

impl core::fmt::Display for BearingFaceError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let Self { outer, hole } = self;
        write!(
            f,
            "a bearing face of {outer} over a hole of {hole} has nothing to bear on; the face must be wider than the hole"
        )
    }
}

impl core::error::Error for BearingFaceError {}

/// `d`; `dw` of hexagon, flange, small flange, cylinder heads; head diameter of countersunk; hole; hole of the washer. 0 where none.
const FACES_MM: &[(f64, [f64; 5], [f64; 2])] = &[
    (3.0, [4.57, 0.0, 0.0, 5.07, 5.54], [3.4, 3.2]),
    (4.0, [5.88, 0.0, 0.0, 6.53, 7.53], [4.5, 4.3]),
    (5.0, [6.88, 9.8, 9.4, 8.03, 9.43], [5.5, 5.3]),
    (6.0, [8.88, 12.2, 11.6, 9.38, 11.34], [6.6, 6.4]),
    (8.0, [11.63, 15.8, 14.9, 12.33, 15.24], [9.0, 8.4]),
    (10.0, [14.63, 19.6, 18.7, 15.33, 19.22], [11.0, 10.5]),
    (12.0, [16.63, 23.8, 22.5, 17.23, 23.12], [13.5, 13.0]),
    (14.0, [19.37, 27.6, 26.4, 20.17, 0.0], [15.5, 15.0]),
    (16.0, [22.49, 31.9, 30.6, 23.17, 29.01], [17.5, 17.0]),
    (18.0, [25.34, 0.0, 0.0, 0.0, 0.0], [20.0, 19.0]),
    (20.0, [28.19, 39.9, 38.5, 28.87, 36.05], [22.0, 21.0]),
    (22.0, [31.71, 0.0, 0.0, 0.0, 0.0], [24.0, 23.0]),
    (24.0, [33.61, 0.0, 0.0, 34.81, 0.0], [26.0, 25.0]),
];

impl BearingHead {
    /// Where its diameters come from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::Hexagon => "ISO 4014, hole ISO 273 medium (from memory)",
            Self::HexagonOnWasher => "ISO 4014, washer ISO 7089 (from memory)",
            Self::Flange => "EN 1665, hole ISO 273 medium (hole from memory)",
            Self::SmallFlange => "ISO 4162, hole ISO 273 medium (from memory)",
            Self::Cylinder => "ISO 4762, hole ISO 273 medium (from memory)",
            Self::Countersunk => "ISO 10642, hole ISO 273 medium (from memory)",
        }
    }

    /// What it turns on at a thread.
    #[must_use]
    pub fn bearing_face(self, thread: Thread) -> BearingFace {
        let (column, hole, half_cone_deg) = match self {
            Self::Hexagon => (0, 0, 90.0),
            Self::HexagonOnWasher => (0, 1, 90.0),
            Self::Flange => (1, 0, 90.0),
            Self::SmallFlange => (2, 0, 90.0),
            Self::Cylinder => (3, 0, 90.0),
            Self::Countersunk => (4, 0, COUNTERSUNK_HALF_DEG),
        };
        let d_mm = thread.d_mm();
        let outer_mm = interpolated_mm(d_mm, |row| row.1[column]);
        BearingFace { outer_mm, hole_mm: interpolated_mm(d_mm, |row| row.2[hole]), half_cone_deg }
    }
}

/// A column at a diameter: between its rows a line, beyond them the ratio of the nearest.
fn interpolated_mm(d_mm: f64, column: impl Fn(&(f64, [f64; 5], [f64; 2])) -> f64) -> f64 {
    let rows = FACES_MM.iter().map(|row| (row.0, column(row))).filter(|row| row.1 > 0.0);
    let (mut below, mut above) = (None, None);
    for row in rows {
        if row.0 <= d_mm {
            below = Some(row);
        } else if above.is_none() {
            above = Some(row);
        }
    }
    match (below, above) {
        (Some(low), Some(high)) => low.1 + (d_mm - low.0) / (high.0 - low.0) * (high.1 - low.1),
        (Some(only), None) | (None, Some(only)) => d_mm * only.1 / only.0,
        (None, None) => d_mm,
    }
}

impl BearingFace {
    /// A flat bearing face from its own diameters.
    ///
    /// # Errors
    /// [`BearingFaceError`] when the face is not wider than the hole, or the hole is negative.
    pub fn flat(outer: Length, hole: Length) -> Result<Self, BearingFaceError> {
        if outer > hole && hole >= Length::ZERO {
            Ok(Self { outer_mm: outer.as_mm(), hole_mm: hole.as_mm(), half_cone_deg: 90.0 })
        } else {
            Err(BearingFaceError { outer, hole })
        }
    }

    /// Outer diameter `dw`.
    #[must_use]
    pub const fn outer_diameter(self) -> Length {
        Length::from_mm(self.outer_mm)
    }

    /// Diameter `dh` of the hole.
    #[must_use]
    pub const fn hole_diameter(self) -> Length {
        Length::from_mm(self.hole_mm)
    }

    /// Mean diameter `DKm`; for a cone that of the flat face with the same friction torque, `DKm/sin α`.
    #[must_use]
    pub fn friction_diameter(self) -> Length {
        let mean_mm = f64::midpoint(self.outer_mm, self.hole_mm);
        let wedge = if self.half_cone_deg >= 90.0 { 1.0 } else { math::sin_deg(self.half_cone_deg) };
        Length::from_mm(mean_mm / wedge)
    }

    /// The diameter at which friction would act under even pressure: `2/3·(dw³ − dh³)/(dw² − dh²)`, flat faces.
    #[must_use]
    pub fn even_pressure_diameter(self) -> Length {
        let (w, h) = (self.outer_mm, self.hole_mm);
        // (w³ − h³)/(w² − h²), divided through by w − h.
        Length::from_mm(2.0 / 3.0 * (w * w + w * h + h * h) / (w + h).max(f64::MIN_POSITIVE))
    }
}
