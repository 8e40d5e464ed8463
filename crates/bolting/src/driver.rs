//! Calibration of a power driver's clutch: which step stays below a wanted torque, and where the wrench takes over.
//!
//! **Question.** A driver with a numbered clutch is quick, but its torque scatters and nobody printed it. Which step may run
//! a joint's fasteners down so that hardly any overshoots the wanted torque, and how sure is that?
//!
//! **Symbols.** `y` torque read with a wrench after a run-down, `x` clutch step, `n` independent run-downs, `s` scatter, `k` tolerance
//! factor of a line, `U(x)` torque that 99 of 100 fasteners stay below with 95 % confidence, `e` permitted error of the wrench, `T` wanted torque.
//!
//! ```text
//! y = a + b·x + scatter, even or growing with the torque;   U(x) = ŷ(x) + k·s(x),   d² = 1/Σw + (x − x̄)²/Sxx
//! highest step with U/(1 − e) ≤ T at it and at all steps below it, then the wrench at T
//! ```
//!
//! **Method.** One reading counts per fastener and step, the first: repeats on one bolt are not independent. The scatter of all steps is pooled. A line is
//! used where it fits (lack of fit, F test at 20 %), otherwise each step has its own mean. Scatter grows with torque where a
//! test says so; where the data cannot decide, the higher of both bounds is used. Nothing is carried beyond the steps tried.
//!
//! **Assumptions and range.** Normal scatter; same driver, battery state, joint kind and lubrication. A bound is no torque:
//! **a critical fastener is always finished with the wrench**, whatever the driver can do. Impact drivers have no clutch and no place here.
//!
//! **Worked example.** Five steps of five run-downs, step 3: ŷ 4.041, s 0.0550, d² = 1/25, ν 23: k 3.177, U = 4.041 + 3.177·0.0550 = 4.216.
//! From its own five alone it would be 4.038 + 5.741·0.0653 = 4.413.
//!
//! **Sources.** Tolerance bounds as in [`crate::tolerance`]; repeats on one bolt: data of NASA-STD-5020B, A.2; lack of fit: Montgomery,
//! Peck and Vining, Introduction to Linear Regression Analysis; least numbers of readings are assumptions.

use core::fmt;
use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use units::Torque;

mod advice;
mod drift;
mod fit;

pub use advice::{
    ClutchAdvice, ClutchDemand, ClutchVerdict, FastenerCriticality, MoreRunDowns, RunDownFinish, advise_step,
};
pub use drift::{ClutchDrift, DriftCause, DriftVerdict, check_drift};
use fit::ClutchFit;
pub use fit::{ClutchShape, ClutchStepBound, ScatterTrend};

/// Independent run-downs below which there is no verdict (assumption: at ten the factor has fallen to 4).
pub const LEAST_RUN_DOWNS: usize = 10;
/// Independent run-downs on a step without which it does not count (assumption: two still hide a wild one).
pub const LEAST_PER_STEP: usize = 3;
/// Maximum number of run-downs that are used.
const MAX_RUN_DOWNS: usize = 10_000;

/// One run-down as it was noted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunDownRecord {
    /// The driver, by the name its owner gives it.
    pub driver: String,
    /// The kind of joint: thread, material, lubrication, hard or soft.
    pub joint_kind: String,
    /// The run-down itself.
    pub reading: ClutchReading,
}

/// A clutch step and the torque that a wrench then read.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ClutchReading {
    /// Clutch step.
    pub step: u32,
    /// Torque read with the wrench.
    pub torque: Torque,
    /// Which fastener it was; repeats on one are not independent.
    pub fastener: u32,
}

/// Why readings make no calibration.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ClutchCalibrationError {
    /// Too few independent run-downs, or too few on each step.
    TooFew {
        /// Independent run-downs on steps that count.
        have: usize,
        /// How many more are wanted at least.
        more: usize,
    },
    /// A reading that is no torque.
    NotATorque {
        /// The text as written.
        torque: Torque,
        /// At which step.
        step: u32,
    },
    /// All readings are alike: the wrench's scale is too coarse to show the scatter.
    NoScatter,
    /// More readings than anybody takes.
    TooMany {
        /// How many.
        count: usize,
    },
}

impl fmt::Display for ClutchCalibrationError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { have, more } => write!(
                f,
                "{have} independent run-downs are not enough: make at least {more} more on fresh fasteners, and at least {LEAST_PER_STEP} at each step"
            ),
            Self::NotATorque { torque, step } => {
                write!(
                    f,
                    "step {step}: {torque} cannot be the torque of a run-down; enter the reading of the wrench"
                )
            }
            Self::NoScatter => f.write_str(
                "all readings at each step are the same; read with a finer scale so that the scatter shows",
            ),
            Self::TooMany { count } => {
                write!(f, "{count} readings are too many; use at most {MAX_RUN_DOWNS}")
            }
        }
    }
}

impl core::error::Error for ClutchCalibrationError {}

/// Something to say beside a calibration.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ClutchCaution {
    /// Repeats on a fastener, which were set aside.
    RepeatsSetAside {
        /// How many.
        count: usize,
    },
    /// Steps with too few run-downs, which were set aside.
    ThinStepsSetAside {
        /// How many readings they held.
        count: usize,
    },
    /// A reading so far out that the normal distribution is in doubt.
    FarOut {
        /// The step.
        step: u32,
        /// The reading.
        torque: Torque,
    },
    /// The wrench's scale is coarser than the scatter.
    CoarseScale {
        /// Step of the scale as the readings show it.
        step: Torque,
    },
    /// Torque does not rise from step to step.
    DoesNotRise,
}

impl fmt::Display for ClutchCaution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::RepeatsSetAside { count } => {
                write!(
                    f,
                    "repeats on the same fastener are left out ({count}); use a fresh fastener for each reading"
                )
            }
            Self::ThinStepsSetAside { count } => {
                write!(f, "readings at steps with fewer than {LEAST_PER_STEP} are left out ({count})")
            }
            Self::FarOut { step, torque } => {
                write!(
                    f,
                    "step {step}: {torque} is an outlier; find the cause, because the bound assumes normal scatter"
                )
            }
            Self::CoarseScale { step } => {
                write!(f, "the readings are {step} apart, more than the scatter: use a finer scale")
            }
            Self::DoesNotRise => f.write_str(
                "the torque does not increase with the clutch step: check the clutch and the battery",
            ),
        }
    }
}

/// A driver's clutch as it was found.
#[derive(Debug, Clone, PartialEq)]
pub struct ClutchCalibration {
    pub(crate) readings: Vec<ClutchReading>,
    pub(crate) shape: ClutchShape,
    /// The likelier scatter first; the second is there only where the data cannot decide.
    pub(crate) fits: Vec<ClutchFit>,
    cautions: Vec<ClutchCaution>,
}

/// The readings of one driver on one kind of joint.
#[must_use]
pub fn readings_of(observations: &[RunDownRecord], driver: &str, joint_kind: &str) -> Vec<ClutchReading> {
    let same = |o: &&RunDownRecord| o.driver == driver && o.joint_kind == joint_kind;
    observations.iter().filter(same).map(|o| o.reading).collect()
}

/// Fits a driver's clutch.
///
/// # Errors
/// [`ClutchCalibrationError`] when readings are too few, too many, alike, or no torques.
pub fn calibrate_clutch(readings: &[ClutchReading]) -> Result<ClutchCalibration, ClutchCalibrationError> {
    if readings.len() > MAX_RUN_DOWNS {
        return Err(ClutchCalibrationError::TooMany { count: readings.len() });
    }
    if let Some(bad) = readings.iter().find(|r| !is_torque(r.torque)) {
        return Err(ClutchCalibrationError::NotATorque { torque: bad.torque, step: bad.step });
    }
    let mut cautions = Vec::new();
    let first = first_on_each_fastener(readings);
    let repeats = readings.len() - first.len();
    let kept = keep_full_steps(&first);
    let thin = first.len() - kept.len();
    refuse_too_few(kept.len())?;
    if repeats > 0 {
        cautions.push(ClutchCaution::RepeatsSetAside { count: repeats });
    }
    if thin > 0 {
        cautions.push(ClutchCaution::ThinStepsSetAside { count: thin });
    }
    let (shape, fits) = fit::fit_curves(&kept).ok_or(ClutchCalibrationError::NoScatter)?;
    cautions.extend(fit::far_out(&kept, &fits[0]));
    cautions.extend(fit::coarse_scale(&kept, &fits[0]));
    if !fits[0].torque_rises() {
        cautions.push(ClutchCaution::DoesNotRise);
    }
    Ok(ClutchCalibration { readings: kept, shape, fits, cautions })
}

fn is_torque(torque: Torque) -> bool {
    (1.0e-3..=1.0e5).contains(&torque.as_n_m())
}

fn refuse_too_few(have: usize) -> Result<(), ClutchCalibrationError> {
    let more = LEAST_RUN_DOWNS.saturating_sub(have);
    if more > 0 {
        Err(ClutchCalibrationError::TooFew { have, more: more.max(LEAST_PER_STEP) })
    } else {
        Ok(())
    }
}

fn first_on_each_fastener(readings: &[ClutchReading]) -> Vec<ClutchReading> {
    let mut seen = BTreeSet::new();
    readings.iter().filter(|r| seen.insert((r.step, r.fastener))).copied().collect()
}

fn keep_full_steps(readings: &[ClutchReading]) -> Vec<ClutchReading> {
    let on = |step| readings.iter().filter(|r| r.step == step).count();
    let steps: BTreeSet<u32> = readings.iter().map(|r| r.step).collect();
    let full: BTreeSet<u32> = steps.into_iter().filter(|step| on(*step) >= LEAST_PER_STEP).collect();
    readings.iter().filter(|r| full.contains(&r.step)).copied().collect()
}

impl ClutchCalibration {
    /// The independent readings it rests on.
    #[must_use]
    pub fn readings(&self) -> &[ClutchReading] {
        &self.readings
    }

    /// Whether a line or stairs model the clutch.
    #[must_use]
    pub const fn shape(&self) -> ClutchShape {
        self.shape
    }

    /// How the scatter goes, the likelier kind.
    #[must_use]
    pub fn scatter(&self) -> ScatterTrend {
        self.fits[0].scatter()
    }

    /// What must be shown with it.
    #[must_use]
    pub fn cautions(&self) -> &[ClutchCaution] {
        &self.cautions
    }

    /// The steps that it covers: all between the ends where a line holds, else those tried.
    #[must_use]
    pub fn covered_steps(&self) -> Vec<u32> {
        let tried: BTreeSet<u32> = self.readings.iter().map(|r| r.step).collect();
        match (self.shape, tried.first(), tried.last()) {
            (ClutchShape::Line, Some(first), Some(last)) if last - first <= 100 => (*first..=*last).collect(),
            _ => tried.into_iter().collect(),
        }
    }

    /// Mean, scatter and bounds at a step; `None` beyond the steps it covers.
    #[must_use]
    pub fn bound_at_step(
        &self,
        step: u32,
        covered_share: f64,
        confidence_share: f64,
    ) -> Option<ClutchStepBound> {
        if !self.covered_steps().contains(&step) {
            return None;
        }
        let bounds =
            self.fits.iter().filter_map(|fit| fit.bound_at_step(step, covered_share, confidence_share));
        bounds.reduce(ClutchStepBound::wider_bound)
    }
}
