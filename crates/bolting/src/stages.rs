//! A joint's tightening as a list of passes: which holes, in which order, at which torque.
//!
//! **Question.** Ten bolts at 40 N·m: what is done in which pass, and what does the last pass find?
//!
//! **Symbols.** Shares of the final torque by pass, 0.3, 0.6, 1 where the book gives none; `n` holes.
//!
//! **Method.** Every pass but the closing one goes in the pattern's order; the closing pass goes round hole by hole at the full
//! torque, because each bolt loosens those beside it while the joint closes. After an angle or at yield there is no closing pass:
//! a bolt past yield must not be touched again. The order comes from the holes' places alone (`pattern`).
//!
//! **Elastic interaction.** A gasket, or a cover that is soft beside its bolts, gives the load of the first bolts to the later ones. One round at the full
//! torque then leaves loads that differ by far more than the wrench. **With a gasket more closing rounds are needed until no bolt
//! turns**, and again after some hours where the gasket creeps.
//!
//! **Worked example.** Four bolts, 20 N·m: 6 N·m 1-3-2-4, 12 N·m 1-3-2-4, 20 N·m 1-3-2-4, 20 N·m 1-2-3-4.
//!
//! **Sources.** 30/60/100 % and a circular pass: ASME PCC-1, appendix F, as gasket suppliers print it; 75 then 110 %: EN 1090-2 (structural; not used
//! here); repeat after hours with a gasket: MIL-HDBK-60, 5.7; the book's stages go first.

use core::fmt;

use serde::Serialize;
use units::{Angle, Torque};

use crate::pattern::{HolePattern, HolePosition, PatternError, ring_order, tightening_order};

/// Shares of the final torque where the book gives none.
pub const USUAL_SHARES: [f64; 3] = [0.3, 0.6, 1.0];

/// What a joint closes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum JointFaces {
    /// Metal on metal: stiff beside its bolts.
    MetalToMetal,
    /// A gasket or a soft seal lies between.
    Gasket,
}

/// What the book says about stages.
#[derive(Debug, Clone, PartialEq)]
pub enum GivenStages {
    /// Nothing: 30, 60 and 100 % of a torque.
    Usual(Torque),
    /// Torques one after the other.
    Torques(Vec<Torque>),
    /// Torques, then angles.
    TorquesThenAngles(Vec<Torque>, Vec<Angle>),
}

/// What a pass does at each hole.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PassAct {
    /// Tighten to a torque.
    Torque(Torque),
    /// Turn on by an angle.
    Turn(Angle),
    /// Go round at a torque until no bolt turns.
    Close(Torque),
}

/// One pass over the holes.
#[derive(Debug, Clone, PartialEq)]
pub struct TighteningPass {
    /// What is done.
    pub act: PassAct,
    /// Holes in their order, as indices into the places.
    pub order: Vec<usize>,
}

/// A note to show with the passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PassWarning {
    /// Bolts lose load to their neighbours: close until none turns, and again after the gasket has settled.
    ElasticInteraction,
    /// No closing pass: the bolts end past a plain torque.
    NoClosingAfterAngle,
}

impl fmt::Display for PassWarning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::ElasticInteraction => {
                "on a gasket each bolt relaxes its neighbours: go round until no bolt turns, and again \
                 after some hours if the maker says so"
            }
            Self::NoClosingAfterAngle => {
                "do not tighten any bolt again after its angle: the wrench would stretch it further"
            }
        })
    }
}

/// A joint's passes with what must be shown beside them.
#[derive(Debug, Clone, PartialEq)]
pub struct JointPasses {
    /// The passes in their order.
    pub passes: Vec<TighteningPass>,
    /// What must be shown.
    pub warnings: Vec<PassWarning>,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq)]
pub enum GivenStagesError {
    /// The given sequence does not name each hole once.
    Pattern(PatternError),
    /// A stage below the one before it, or none at all.
    NotRising {
        /// The stage, from 1.
        stage: usize,
    },
}

impl fmt::Display for GivenStagesError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Pattern(error) => error.fmt(f),
            Self::NotRising { stage } => {
                write!(
                    f,
                    "stage {stage} is not higher than the one before; the torques must increase, starting above zero"
                )
            }
        }
    }
}

impl core::error::Error for GivenStagesError {}

impl From<PatternError> for GivenStagesError {
    fn from(error: PatternError) -> Self {
        Self::Pattern(error)
    }
}

/// The passes of a joint.
///
/// # Errors
/// [`GivenStagesError`] when a given sequence is unsound, or torques do not rise from stage to stage.
pub fn plan_passes(
    places: &[HolePosition],
    pattern: &HolePattern,
    stages: &GivenStages,
    closing: JointFaces,
) -> Result<JointPasses, GivenStagesError> {
    let order = tightening_order(places, pattern)?;
    let (torques, angles): (Vec<Torque>, &[Angle]) = match stages {
        GivenStages::Usual(torque) => (USUAL_SHARES.map(|share| *torque * share).to_vec(), &[]),
        GivenStages::Torques(torques) => (torques.clone(), &[]),
        GivenStages::TorquesThenAngles(torques, angles) => (torques.clone(), angles),
    };
    let last = last_of_rising(&torques)?;
    let acts = torques.iter().map(|t| PassAct::Torque(*t)).chain(angles.iter().map(|a| PassAct::Turn(*a)));
    let mut passes: Vec<TighteningPass> =
        acts.map(|act| TighteningPass { act, order: order.clone() }).collect();
    let mut warnings = Vec::new();
    if !angles.is_empty() {
        warnings.push(PassWarning::NoClosingAfterAngle);
    } else if places.len() > 1 {
        passes.push(TighteningPass { act: PassAct::Close(last), order: ring_order(places) });
    }
    if closing == JointFaces::Gasket && places.len() > 1 {
        warnings.push(PassWarning::ElasticInteraction);
    }
    Ok(JointPasses { passes, warnings })
}

/// The last torque, when all rise from above zero.
fn last_of_rising(torques: &[Torque]) -> Result<Torque, GivenStagesError> {
    let mut last = Torque::ZERO;
    for (index, torque) in torques.iter().enumerate() {
        if *torque <= last {
            return Err(GivenStagesError::NotRising { stage: index + 1 });
        }
        last = *torque;
    }
    if torques.is_empty() { Err(GivenStagesError::NotRising { stage: 1 }) } else { Ok(last) }
}
