//! Calibration of a power driver's clutch: which step stays below a wanted torque, and where the wrench takes over.
//!
//! **Question.** A driver with a numbered clutch is quick, but its torque scatters and nobody printed it. Which step may run
//! a joint's fasteners down so that hardly any overshoots the wanted torque, and how sure is that?
//!
//! **Symbols.** `y` torque read with a wrench after a run-down, `n` independent run-downs on a step, `ȳ`, `s` their mean and scatter, `k` tolerance
//! factor, `U` torque that 99 of 100 fasteners stay below with 95 % confidence, `e` permitted error of the wrench, `T` wanted torque.
//!
//! ```text
//! U = ȳ + k(n)·s     of each step by itself;     highest step with U/(1 − e) ≤ T at it and at all steps below it, then the wrench at T
//! ```
//!
//! **Method.** One reading counts per fastener and step, the first: repeats on one bolt are not independent. Each step stands on its own
//! readings: no test on the same data picks a formula, a bent curve and an uneven scatter do no harm, and the confidence is
//! that of the tolerance factor. What it costs is width: five run-downs a step have k 5.74, ten 3.98. Beside it the scatter of the
//! steps, the order in the session and the sessions are tested ([`find_session_shift`]) and told. Nothing is said beyond the steps tried.
//!
//! **Condition of the promise.** Normal scatter; same driver, battery state, joint kind and lubrication. Where readings lie far out or lean to one
//! side it does not hold; 299 run-downs on the step would do without (their highest is then the bound). A bound is no torque:
//! **a critical fastener is always finished with the wrench**, whatever the driver can do. Impact drivers have no clutch and no place here.
//!
//! **Worked example.** Five run-downs at step 3: ȳ 4.038, s 0.0653: U = 4.038 + 5.741·0.0653 = 4.413.
//!
//! **Sources.** Tolerance bounds as in [`crate::tolerance`]; 299: `1 − 0.99^n ≥ 0.95`, NIST/SEMATECH e-Handbook 7.2.6; repeats on one bolt: data of
//! NASA-STD-5020B, A.2; least numbers of readings are assumptions.

use core::fmt;
use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use units::Torque;

mod advice;
mod drift;
mod fit;
mod session;

pub use advice::{
    ClutchAdvice, ClutchDemand, ClutchVerdict, FastenerCriticality, MoreRunDowns, RunDownFinish, advise_step,
};
pub use drift::{ClutchDrift, DriftCause, DriftVerdict, check_drift};
use fit::ClutchFit;
pub use fit::{ClutchStepBound, ScatterTrend};
pub use session::{find_session_shift, session_change_fraction, uneven_scatter_probability};

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
    /// A step scatters unlike the others.
    UnevenScatter {
        /// The step.
        step: u32,
        /// Its scatter over that of the others.
        scatter_ratio: f64,
    },
    /// Torque changes along the session.
    OrderMatters {
        /// Change from the first reading to the last, as a share of the torque.
        change_fraction: f64,
    },
    /// A change along the session could not have been seen.
    OrderHidden {
        /// The least change that would have been seen in 9 of 10 cases.
        unseen_fraction: f64,
    },
    /// A session disagrees with the others.
    SessionsDiffer {
        /// Its number.
        session: u32,
        /// By how much, as a share of the torque.
        shift_fraction: f64,
    },
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
            Self::UnevenScatter { step, scatter_ratio } => write!(
                f,
                "step {step} scatters {} × as much as the others; its bound includes that; find the cause",
                units::significant(*scatter_ratio, 2)
            ),
            Self::OrderMatters { change_fraction } => write!(
                f,
                "torque {} by {} % from the first reading to the last: the battery or the clutch changed; charge it and take the readings again",
                if *change_fraction < 0.0 { "falls" } else { "rises" },
                units::significant(change_fraction.abs() * 100.0, 2)
            ),
            Self::OrderHidden { unseen_fraction } => write!(
                f,
                "a change of less than {} % during the session would not be detected; take the steps in turn: 1 2 3, 1 2 3",
                units::significant(unseen_fraction * 100.0, 2)
            ),
            Self::SessionsDiffer { session, shift_fraction } => write!(
                f,
                "session {session} reads {} % {} than the others, so they are not one calibration; take a new one",
                units::significant(shift_fraction.abs() * 100.0, 2),
                if *shift_fraction < 0.0 { "lower" } else { "higher" }
            ),
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
    /// Even and growing scatter, the likelier first.
    pub(crate) fits: Vec<ClutchFit>,
    cautions: Vec<ClutchCaution>,
}

/// The readings of one driver on one kind of joint.
#[must_use]
pub fn readings_of(observations: &[RunDownRecord], driver: &str, joint_kind: &str) -> Vec<ClutchReading> {
    let same = |o: &&RunDownRecord| o.driver == driver && o.joint_kind == joint_kind;
    observations.iter().filter(same).map(|o| o.reading).collect()
}

/// Fits a driver's clutch; the readings stand in the order in which they were taken.
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
    let fits = fit::fit_steps(&kept).ok_or(ClutchCalibrationError::NoScatter)?;
    cautions.extend(fit::far_out(&kept, &fits[0]));
    cautions.extend(fit::coarse_scale(&kept, &fits[0]));
    if !fits[0].torque_rises() {
        cautions.push(ClutchCaution::DoesNotRise);
    }
    cautions.extend(session::uneven_step(&kept));
    cautions.extend(session::session_order(&kept));
    Ok(ClutchCalibration { readings: kept, fits, cautions })
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

    /// The steps that it covers: those tried.
    #[must_use]
    pub fn covered_steps(&self) -> Vec<u32> {
        self.fits[0].samples().keys().copied().collect()
    }

    /// Mean, scatter and bounds at a step, from its own readings; `None` at a step that was not tried.
    #[must_use]
    pub fn bound_at_step(
        &self,
        step: u32,
        covered_share: f64,
        confidence_share: f64,
    ) -> Option<ClutchStepBound> {
        self.fits[0].bound_at_step(step, covered_share, confidence_share)
    }
}
