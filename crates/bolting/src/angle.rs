//! Torque, then angle: what a turn after snug does to bolt and parts, and whether the bolt is stretched for good.
//!
//! **Question.** 30 N·m and then 90°: what preload does that leave, how long has the bolt become, and may it be used again?
//!
//! **Symbols.** `θ` angle after snug (degrees), `P` pitch, `δS`, `δP` compliance of bolt and parts (mm/N), `Fs` preload at snug, `F` after
//! the turn, `Fy` preload at which the bolt yields under tension and torsion, `Fm` at which it would break.
//!
//! ```text
//! F = Fs + θ/360·P/(δS + δP)     up to Fy; beyond it the preload stays between Fy and Fm
//! stretch of the bolt = F·δS     set for good = (F without yielding − Fy)·(δS + δP)
//! ```
//!
//! **Assumptions and range.** The faces lie close at snug: what the parts settle after that is lost from the turn. Angle error is that of the
//! tool and of whatever twists between it and the fastener (`twist`). Hardening beyond yield is only bounded, by `Fm`.
//!
//! **Worked example.** Steel bolt 129 mm², copper tube 387 mm², 406 mm long, pitch 1.32 mm, a quarter turn: δS 1.522e-5, δP 9.51e-6 mm/N,
//! F = 0.25·1.32/2.473e-5 = 13.3 kN (3000 lbf): 103 MPa in the bolt, 34 in the tube.
//!
//! **Sources.** Gere, Mechanics of Materials, problem 2.5-17; MIL-HDBK-60, 6.2.4; yield under torsion VDI 2230; reuse: NSTS 08307A 3.11,
//! NASA-STD-5020B table 2, MIL-HDBK-60 5.3. No standard gives a general length at which a stretched bolt is done: **that is the
//! maker's figure, never a default**.

use serde::{Deserialize, Serialize};
use units::{Angle, Force, Length, Range, Torque};

use crate::torque::{assembly_preload, breaking_preload, preload_for_torque, torque_for_preload};
use crate::{Edition, FrictionRange, PropertyClass, Thread};

/// A bolt and its parts as two springs in a row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointSprings {
    /// Pitch.
    pub pitch: Length,
    /// Compliance of the bolt.
    pub bolt_mm_per_n: f64,
    /// Compliance of the parts.
    pub parts_mm_per_n: f64,
}

impl JointSprings {
    /// Both together, never zero.
    fn both_mm_per_n(&self) -> f64 {
        (self.bolt_mm_per_n.max(0.0) + self.parts_mm_per_n.max(0.0)).max(f64::MIN_POSITIVE)
    }

    /// Preload that a turn adds while everything is elastic.
    #[must_use]
    pub fn preload_gain(&self, turned: Angle) -> Force {
        Force::from_n(turned.as_turns() * self.pitch.as_mm() / self.both_mm_per_n())
    }

    /// Turn that adds a preload while everything is elastic.
    #[must_use]
    pub fn turn_for_gain(&self, gain: Force) -> Angle {
        Angle::from_turns(gain.as_n() * self.both_mm_per_n() / self.pitch.as_mm().max(f64::MIN_POSITIVE))
    }

    /// How much a preload stretches the bolt.
    #[must_use]
    pub fn bolt_stretch(&self, preload: Force) -> Length {
        Length::from_mm(preload.as_n() * self.bolt_mm_per_n)
    }

    /// How much a preload squeezes the parts.
    #[must_use]
    pub fn parts_squeeze(&self, preload: Force) -> Length {
        Length::from_mm(preload.as_n() * self.parts_mm_per_n)
    }
}

/// A tightening by torque and angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AngleTightening {
    /// The thread.
    pub thread: Thread,
    /// The property class.
    pub class: PropertyClass,
    /// Bearing diameter of the head.
    pub bearing: Length,
    /// Friction to allow for.
    pub friction: FrictionRange,
    /// Snug torque with the tool's error in it.
    pub snug: Range<Torque>,
    /// Angle with the tool's error in it.
    pub turned: Range<Angle>,
    /// The joint's springs.
    pub springs: JointSprings,
    /// Rule of the combined stress.
    pub edition: Edition,
}

/// How far a turn takes the bolt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum YieldReach {
    /// Elastic at every friction of the range.
    Elastic,
    /// Past yield at some friction of the range.
    MayYield,
    /// Past yield at every friction of the range.
    Yields,
    /// Past what the bolt holds by elastic calculation several times over: a misprint, or a joint more compliant than assumed.
    Doubtful,
}

/// What a torque and an angle leave behind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AnglePreload {
    /// Preload at snug.
    pub snug: Range<Force>,
    /// Preload after the turn.
    pub preload: Range<Force>,
    /// Preload at which the bolt yields.
    pub yields_at: Range<Force>,
    /// Turn after snug at which the first bolt of the range yields.
    pub first_yield: Angle,
    /// Elastic stretch of the bolt after the turn.
    pub stretch: Range<Length>,
    /// Greatest stretch that stays after loosening.
    pub set: Length,
    /// Torque felt at the end of the turn.
    pub end_torque: Range<Torque>,
    /// How far the turn takes the bolt.
    pub reach: YieldReach,
}

/// Elastic preload over breaking preload from which the calculation is doubtful (assumption: yield-controlled bolts are turned to at
/// most about twice their yield angle).
const DOUBTFUL_RATIO: f64 = 2.5;

/// A range from two ends in either order.
#[must_use]
pub fn range_in_order<Q: Copy + PartialOrd + core::fmt::Debug>(a: Q, b: Q) -> Range<Q> {
    let (low, high) = if b < a { (b, a) } else { (a, b) };
    Range::new(low, high).expect("the ends were put in order")
}

/// What a torque and an angle leave behind.
#[must_use]
pub fn preload_after_turn(case: &AngleTightening) -> AnglePreload {
    let (rough, slippery) = (case.friction.high, case.friction.low);
    let at_snug = |torque, friction| preload_for_torque(case.thread, torque, friction, case.bearing);
    let snug = range_in_order(at_snug(case.snug.low(), rough), at_snug(case.snug.high(), slippery));
    let yields = |friction: crate::Friction| {
        assembly_preload(case.thread, case.class, friction.mu_g(), 1.0, case.edition)
    };
    let (weak, strong) = (yields(rough), yields(slippery));
    let low = snug.low() + case.springs.preload_gain(case.turned.low());
    let high = snug.high() + case.springs.preload_gain(case.turned.high());
    let breaks = breaking_preload(case.thread, case.class, slippery, case.edition);
    let preload = range_in_order(low.min(weak), high.min(breaks));
    let over = (high - weak.min(strong)).max(Force::ZERO);
    AnglePreload {
        snug,
        preload,
        yields_at: range_in_order(weak, strong),
        first_yield: case.springs.turn_for_gain((weak - snug.high()).max(Force::ZERO)),
        stretch: range_in_order(
            case.springs.bolt_stretch(preload.low()),
            case.springs.bolt_stretch(preload.high()),
        ),
        set: case.springs.bolt_stretch(over) + case.springs.parts_squeeze(over),
        end_torque: range_in_order(
            torque_for_preload(case.thread, preload.low(), slippery, case.bearing),
            torque_for_preload(case.thread, preload.high(), rough, case.bearing),
        ),
        reach: yield_reach(low, high, (weak, strong), breaks),
    }
}

fn yield_reach(low: Force, high: Force, (weak, strong): (Force, Force), breaks: Force) -> YieldReach {
    if high > breaks * DOUBTFUL_RATIO {
        YieldReach::Doubtful
    } else if low >= strong {
        YieldReach::Yields
    } else if high > weak {
        YieldReach::MayYield
    } else {
        YieldReach::Elastic
    }
}

/// Turn after snug that structural practice gives by clamped length over diameter: a range to compare a figure with, never a figure to use.
///
/// EN 1090-2, table 21 (60° below 2 d, 90° below 6 d, 120° to 10 d), widened by the turn-of-nut table of the RCSC (120° to 4 d, 180° to 8 d,
/// 240° to 12 d); both read on fastener makers' pages, for 8.8 and 10.9. `None` beyond 12 d.
#[must_use]
pub fn structural_turn(clamped: Length, d: Length) -> Option<Range<Angle>> {
    let long = if d > Length::ZERO { clamped / d } else { f64::INFINITY };
    let (low_deg, high_deg) = match long {
        l if l < 2.0 => (60.0, 120.0),
        l if l <= 4.0 => (90.0, 120.0),
        l if l < 6.0 => (90.0, 180.0),
        l if l <= 8.0 => (120.0, 180.0),
        l if l <= 10.0 => (120.0, 240.0),
        l if l <= 12.0 => (240.0, 240.0),
        _ => return None,
    };
    Some(range_in_order(Angle::from_deg(low_deg), Angle::from_deg(high_deg)))
}

/// How the tightening is controlled, as the book says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TighteningControl {
    /// By torque alone.
    Torque,
    /// Torque, then angle.
    TorqueAngle,
    /// Until yield is felt, or so said by the maker.
    Yield,
}

/// What the maker says about using a fastener again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MakersReuseRule {
    /// One use only.
    OneUse,
    /// May be used again.
    Reusable,
    /// May be used again up to a length, which the maker gives.
    UpToLength,
    /// Nothing is stated.
    Silent,
}

/// What to do with the old fastener.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReuseVerdict {
    /// Use it again if it is clean and undamaged.
    Again,
    /// Measure it against the maker's length first.
    MeasureFirst,
    /// Ask: nothing is said and it may have yielded.
    Ask,
    /// Put in a new one.
    Renew,
}

/// Whether a fastener may be used again: the maker's word first, then what the tightening does to it.
#[must_use]
pub const fn judge_reuse(
    control: TighteningControl,
    word: MakersReuseRule,
    reach: Option<YieldReach>,
) -> ReuseVerdict {
    match (word, control, reach) {
        (MakersReuseRule::OneUse, ..) => ReuseVerdict::Renew,
        (MakersReuseRule::Reusable, ..) => ReuseVerdict::Again,
        (MakersReuseRule::UpToLength, ..) => ReuseVerdict::MeasureFirst,
        (MakersReuseRule::Silent, TighteningControl::Yield, _)
        | (MakersReuseRule::Silent, _, Some(YieldReach::Yields)) => ReuseVerdict::Renew,
        (MakersReuseRule::Silent, TighteningControl::TorqueAngle, None)
        | (MakersReuseRule::Silent, _, Some(YieldReach::MayYield | YieldReach::Doubtful)) => {
            ReuseVerdict::Ask
        }
        (MakersReuseRule::Silent, TighteningControl::Torque, None)
        | (MakersReuseRule::Silent, _, Some(YieldReach::Elastic)) => ReuseVerdict::Again,
    }
}
