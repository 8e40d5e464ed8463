//! Says which step runs a fastener down, where the wrench takes over, or what is missing.
//!
//! A step is taken only if it and all steps below it stay under the wanted torque: a fluke of one bound cannot carry a
//! step past a lower one that overshoots. The wrench that read the torques may have been off by its permitted error, so the
//! bound is raised by it: `U/(1 − e) ≤ T`.

use core::fmt;

use serde::{Deserialize, Serialize};
use units::{Range, Torque};

use super::{ClutchCalibration, ClutchDrift, ClutchStepBound, DriftCause, DriftVerdict};
use crate::tolerance;

/// Maximum number of further run-downs ever suggested; beyond that the step is given up (assumption).
const MAX_MORE_RUN_DOWNS: u32 = 300;

/// Whether a fastener's failure harms.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FastenerCriticality {
    /// Cover screws and the like.
    Plain,
    /// Always finished with a torque wrench.
    Critical,
}

/// What is wanted of the driver.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClutchDemand {
    /// Torque at the fastener.
    pub wanted: Torque,
    /// What the maker allows it to be, where he says so; without it the driver never finishes alone.
    pub allowed: Option<Range<Torque>>,
    /// Permitted error of the wrench that read the torques.
    pub wrench_error_fraction: f64,
    /// Share of fasteners that must stay below.
    pub covered_share: f64,
    /// Confidence in that.
    pub confidence_share: f64,
    /// Whether its failure harms.
    pub criticality: FastenerCriticality,
}

impl ClutchDemand {
    /// 99 % of fasteners with 95 % confidence, readings by a wrench of ±4 %, no allowance, critical.
    #[must_use]
    pub const fn new(wanted: Torque) -> Self {
        Self {
            wanted,
            allowed: None,
            wrench_error_fraction: 0.04,
            covered_share: 0.99,
            confidence_share: 0.95,
            criticality: FastenerCriticality::Critical,
        }
    }
}

/// How a fastener is finished after the run-down.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RunDownFinish {
    /// With the torque wrench.
    WithWrench {
        /// Torque at the fastener.
        at: Torque,
    },
    /// The driver's scatter is within the maker's tolerance, and the fastener is not critical.
    DriverAlone {
        /// The maker's range.
        allowed: Range<Torque>,
    },
}

/// A higher step, and the run-downs that would allow it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct MoreRunDowns {
    /// The step.
    pub step: u32,
    /// Further run-downs on it, if they come out like those so far.
    pub run_downs: u32,
}

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ClutchVerdict {
    /// Run down at a step, then finish.
    RunDown {
        /// The step with its bounds.
        at: ClutchStepBound,
        /// How to finish.
        then: RunDownFinish,
    },
    /// The lowest step would do, but the data do not yet show it.
    TooFew {
        /// Which step, and how many run-downs more.
        more: MoreRunDowns,
    },
    /// Even the lowest step overshoots: run down by hand.
    NoStep {
        /// What the lowest step does.
        lowest: ClutchStepBound,
    },
    /// The clutch has drifted: calibrate anew.
    Void {
        /// Which test failed.
        why: DriftCause,
    },
}

/// What to do, with the bounds behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct ClutchAdvice {
    /// What to do.
    pub verdict: ClutchVerdict,
    /// Every step that the calibration covers; a plot draws these.
    pub bounds: Vec<ClutchStepBound>,
    /// A higher step within reach of more data.
    pub better: Option<MoreRunDowns>,
    /// Whether the clutch was checked since.
    pub drift: DriftVerdict,
    /// Torque that the bound must not pass: the wanted one less the wrench's error.
    pub ceiling: Torque,
}

/// Which step to use for a wanted torque.
#[must_use]
pub fn advise_step(
    calibration: &ClutchCalibration,
    demand: &ClutchDemand,
    drift: &ClutchDrift,
) -> ClutchAdvice {
    let ceiling = demand.wanted * (1.0 - demand.wrench_error_fraction.clamp(0.0, 0.5));
    let bound = |step| calibration.bound_at_step(step, demand.covered_share, demand.confidence_share);
    let bounds: Vec<ClutchStepBound> = calibration.covered_steps().into_iter().filter_map(bound).collect();
    let passing = bounds.iter().take_while(|b| b.upper <= ceiling).count();
    let next = bounds.get(passing).and_then(|b| more_run_downs_for(calibration, demand, b, ceiling));
    let (verdict, better) = match (drift.verdict, passing.checked_sub(1)) {
        (DriftVerdict::Void { why }, _) => (ClutchVerdict::Void { why }, None),
        (_, Some(last)) => {
            let at = bounds[last];
            (ClutchVerdict::RunDown { at, then: choose_finish(&at, demand) }, next)
        }
        (_, None) => (verdict_without_step(next, &bounds), None),
    };
    ClutchAdvice { verdict, bounds, better, drift: drift.verdict, ceiling }
}

/// The answer where no step passes.
fn verdict_without_step(next: Option<MoreRunDowns>, bounds: &[ClutchStepBound]) -> ClutchVerdict {
    let none = ClutchStepBound {
        step: 0,
        mean: Torque::ZERO,
        scatter: Torque::ZERO,
        lower: Torque::ZERO,
        upper: Torque::ZERO,
    };
    next.map_or(ClutchVerdict::NoStep { lowest: bounds.first().copied().unwrap_or(none) }, |more| {
        ClutchVerdict::TooFew { more }
    })
}

fn choose_finish(at: &ClutchStepBound, demand: &ClutchDemand) -> RunDownFinish {
    let error = demand.wrench_error_fraction.clamp(0.0, 0.5);
    let inside = |allowed: &Range<Torque>| {
        allowed.contains(at.upper / (1.0 - error)) && allowed.contains(at.lower / (1.0 + error))
    };
    match (demand.criticality, demand.allowed) {
        (FastenerCriticality::Plain, Some(allowed)) if inside(&allowed) => {
            RunDownFinish::DriverAlone { allowed }
        }
        _ => RunDownFinish::WithWrench { at: demand.wanted },
    }
}

/// Run-downs on a step after which it would pass, if mean and scatter stay as they are.
fn more_run_downs_for(
    calibration: &ClutchCalibration,
    demand: &ClutchDemand,
    at: &ClutchStepBound,
    ceiling: Torque,
) -> Option<MoreRunDowns> {
    let sample = *calibration.fits.first()?.samples().get(&at.step)?;
    let passes = |more: u32| {
        let count = sample.count.saturating_add(more);
        let k = tolerance::one_sided_factor_of(count, demand.covered_share, demand.confidence_share);
        at.mean + at.scatter * k <= ceiling
    };
    if !passes(MAX_MORE_RUN_DOWNS) {
        return None;
    }
    // The factor falls with every reading, so the least number is found by halving.
    let (mut low, mut high) = (0, MAX_MORE_RUN_DOWNS);
    while high - low > 1 {
        let middle = u32::midpoint(low, high);
        if passes(middle) { high = middle } else { low = middle }
    }
    Some(MoreRunDowns { step: at.step, run_downs: high })
}

impl fmt::Display for ClutchVerdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::RunDown { at, then: RunDownFinish::WithWrench { at: torque } } => {
                write!(f, "run down at step {}, then finish with the wrench at {torque}", at.step)
            }
            Self::RunDown { at, then: RunDownFinish::DriverAlone { .. } } => {
                write!(f, "run down at step {}: its scatter is within the maker's tolerance", at.step)
            }
            Self::TooFew { more } => write!(
                f,
                "not enough data: make {} more run-downs at step {} on fresh fasteners",
                more.run_downs, more.step
            ),
            Self::NoStep { lowest } => {
                write!(
                    f,
                    "no step is safe: even step {} may reach {}; run the fasteners down by hand",
                    lowest.step, lowest.upper
                )
            }
            Self::Void { .. } => {
                f.write_str("the clutch has drifted and the calibration no longer holds: calibrate again")
            }
        }
    }
}
