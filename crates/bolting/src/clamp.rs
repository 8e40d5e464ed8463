//! What a torque leaves in the joint: the range of preload, its share of proof load and of yield.
//!
//! **Question.** 25 N·m on an oiled M8: between which loads does the bolt end up, and how near is the worst of them to harm?
//!
//! **Symbols.** `T` range of torque at the fastener, `Tp` prevailing torque, `mu` range of friction, `F` preload, `Sp` proof
//! stress, `ν` share of yield under tension and torsion together, `fz` share lost by settling.
//!
//! ```text
//! F low  = (T low  − Tp high)/lever(mu high)·(1 − fz)      F high = (T high − Tp low)/lever(mu low)
//! ν      = F·√(1 + 3·[t·(d2/ds)·(P/(π·d2) + 1.155·mu)]²)/(As·Rp0.2)
//! ```
//!
//! **Assumptions and range.** Up to yield: a torque whose preload would lie beyond is answered with `ν` above 1, not
//! with the load that a yielding bolt settles at. The ends are worst cases taken together, so they are wider than what most
//! bolts do. Settling of 5 % is taken off the low end only.
//!
//! **Worked example.** M8, 8.8, 25 N·m ± 4 %, oiled (0.08 to 0.18), hexagon: levers 0.944 and 1.874 mm, so 12.2 kN after settling up
//! to 27.6 kN: 57 to 130 % of the proof load of 21.2 kN. A range of friction is why.
//!
//! **Sources.** VDI 2230 (long form, combined stress); settling NASA-STD-5020B table 1 and NASA TM-106943 eq. 11 (5 %), NSTS
//! 08307A 3.6 (2 to 10 %).

use units::{Force, Length, Range, Torque, math};

use crate::torque::{preload_for_torque, torsion_growth_ratio};
use crate::{Edition, Friction, FrictionRange, PropertyClass, Thread, prevailing};

/// Preload lost by settling: NASA-STD-5020B, table 1.
pub const SETTLING_FRACTION: f64 = 0.05;

/// A tightening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TorqueTightening {
    /// The thread.
    pub thread: Thread,
    /// The property class, where it is known.
    pub class: Option<PropertyClass>,
    /// Bearing diameter of the head.
    pub bearing: Length,
    /// Friction to allow for.
    pub friction: FrictionRange,
    /// Torque at the fastener, with the tool's error in it.
    pub torque: Range<Torque>,
    /// Torque that a locking nut eats.
    pub prevailing: Range<Torque>,
    /// Rule of the combined stress.
    pub edition: Edition,
}

/// What a torque leaves in the joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClampLoad {
    /// Least preload, after settling.
    pub low: Force,
    /// Preload in the middle of torque and friction, before settling.
    pub middle: Force,
    /// Greatest preload, before settling.
    pub high: Force,
    /// Share of the proof load at both ends, least and greatest; `None` without a class.
    pub proof_share: Option<(f64, f64)>,
    /// Greatest share of yield under tension and torsion; above 1 the bolt is stretched for good. `None` without a class.
    pub yield_share: Option<f64>,
}

impl ClampLoad {
    /// Greatest over least preload.
    #[must_use]
    pub fn scatter_ratio(&self) -> f64 {
        if self.low > Force::ZERO { self.high / self.low } else { f64::INFINITY }
    }
}

/// The range of preload of a tightening.
#[must_use]
pub fn clamp_load(case: &TorqueTightening) -> ClampLoad {
    let making = prevailing::torque_range_left_for_preload(&case.torque, &case.prevailing);
    let preload = |torque, friction| preload_for_torque(case.thread, torque, friction, case.bearing);
    let low = preload(making.low(), case.friction.high) * (1.0 - SETTLING_FRACTION);
    let high = preload(making.high(), case.friction.low);
    let middle_torque = (making.low() + making.high()) * 0.5;
    let middle = preload(middle_torque, middle_friction(&case.friction));
    let proof = |class: PropertyClass| class.proof_load(case.thread);
    ClampLoad {
        low,
        middle,
        high,
        proof_share: case.class.map(|class| (low / proof(class), high / proof(class))),
        yield_share: case
            .class
            .map(|class| yield_share(case.thread, class, high, case.friction.low, case.edition)),
    }
}

/// Friction in the middle of a range.
#[must_use]
pub fn middle_friction(range: &FrictionRange) -> Friction {
    let middle = |of: fn(Friction) -> f64| f64::midpoint(of(range.low), of(range.high));
    Friction::new(middle(Friction::mu_g), middle(Friction::mu_k)).unwrap_or(range.low)
}

/// Share of yield that a preload uses up under tension and torsion together.
#[must_use]
pub fn yield_share(
    thread: Thread,
    class: PropertyClass,
    preload: Force,
    friction: Friction,
    edition: Edition,
) -> f64 {
    let growth = torsion_growth_ratio(thread, friction.mu_g(), edition);
    growth * preload.as_n() / (thread.stress_area_mm2() * edition.yield_mpa(class, thread.d_mm()))
}

/// Deviation that independent ones make together: the root of the sum of squares.
///
/// A wrench of ±4 % and friction of ±25 % make ±25.3 %: lubrication comes first.
#[must_use]
pub fn combined_deviation_fraction(parts_fraction: &[f64]) -> f64 {
    math::sqrt(parts_fraction.iter().map(|part| part * part).sum())
}
