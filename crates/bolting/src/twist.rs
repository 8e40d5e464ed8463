//! How far an extension winds up, and what that does to an angle read at the handle.
//!
//! **Question.** After snug the handle was turned by 90°, through a long thin extension: how far has the bolt turned?
//!
//! **Symbols.** `T` torque, `l` length of the bar, `G` shear modulus (79 300 MPa for steel), `J` torsion constant: `π·d⁴/32` round,
//! `π·(d⁴ − i⁴)/32` a tube, `0.1406·a⁴` square; `θ = T·l/(G·J)`. Between snug `T1` and the end `T2` the bar winds up by
//! `θ(T2) − θ(T1)`, and the fastener turns that much less than the handle.
//!
//! **Assumptions and range.** Uniform bar, elastic; play in the squares and in a universal joint comes on top. The torque is not
//! changed by a straight bar. **An angle gauge belongs on the fastener's side of the extension.**
//!
//! **Worked example.** Square bar 9.53 mm, 250 mm long, from 20 to 60 N·m: J 1160 mm⁴, 40 000·250/(79 300·1160) = 0.109 rad = 6.2°.
//!
//! **Sources.** Saint-Venant torsion, square bar: Timoshenko and Goodier, Theory of Elasticity (factor 0.1406, checked by its series);
//! that twist falsifies an angle read at the handle: a transducer-wrench maker's note.

use core::f64::consts::PI;

use units::{Angle, Length, Torque};

/// Shear modulus of steel (textbook value for E 207 GPa and Poisson's ratio 0.29 to 0.3).
const SHEAR_MPA: f64 = 79_300.0;

/// Cross-section of a bar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BarSection {
    /// Round.
    Round {
        /// Its diameter.
        d: Length,
    },
    /// A round tube.
    Tube {
        /// Outer diameter.
        outer: Length,
        /// Inner diameter.
        inner: Length,
    },
    /// Square.
    Square {
        /// Its width.
        a: Length,
    },
}

impl BarSection {
    /// Torsion constant in mm⁴.
    fn torsion_constant(self) -> f64 {
        let fourth =
            |length: Length| length.as_mm().max(0.0) * length.as_mm() * length.as_mm() * length.as_mm();
        match self {
            Self::Round { d } => PI / 32.0 * fourth(d),
            Self::Tube { outer, inner } => PI / 32.0 * (fourth(outer) - fourth(inner)).max(0.0),
            Self::Square { a } => 0.1406 * fourth(a),
        }
    }

    /// How far a length of it winds up under a torque; bars without a section do not count.
    #[must_use]
    pub fn twist_angle(self, length: Length, torque: Torque) -> Angle {
        let constant = self.torsion_constant();
        if constant <= 0.0 {
            return Angle::ZERO;
        }
        let rad = torque.as_n_m() * 1000.0 * length.as_mm().max(0.0) / (SHEAR_MPA * constant);
        Angle::from_deg(rad * 180.0 / PI)
    }

    /// What the handle must turn so that the fastener turns an angle while the torque grows from snug to the end.
    #[must_use]
    pub fn handle_turn(self, length: Length, fastener: Angle, snug: Torque, end: Torque) -> Angle {
        fastener + self.lost_turn(length, snug, end)
    }

    /// What the fastener turned when the handle turned an angle; none where the bar took it all.
    #[must_use]
    pub fn fastener_turn(self, length: Length, handle: Angle, snug: Torque, end: Torque) -> Angle {
        (handle - self.lost_turn(length, snug, end)).max(Angle::ZERO)
    }

    /// What the bar takes of the handle's turn.
    #[must_use]
    pub fn lost_turn(self, length: Length, snug: Torque, end: Torque) -> Angle {
        self.twist_angle(length, (end - snug).max(Torque::ZERO))
    }
}
