//! A power driver's clutch: readings kept in the workshop's stream or read from a file, what each step does, and the step for a wanted torque.
//!
//! **Method.** `bolting::driver`: each step by its own readings; the step below which 99 of 100 fasteners stay with
//! 95 % confidence; then the wrench. Readings marked `check` show whether the clutch has drifted since. **A driver alone
//! never finishes a fastener marked critical**, and none without the maker's range.

mod days;
mod plot;
pub mod readings;

pub use plot::{draw_calibration, plot_in_characters};

use super::{AnswerGrounds, BoltingError, read};
use crate::text::table::count_with_noun;
use bolting::driver::{
    self, ClutchAdvice, ClutchCalibration, ClutchCalibrationError, ClutchDemand, ClutchDrift,
    ClutchStepBound, ClutchVerdict, DriftCause, DriftVerdict, FastenerCriticality, MoreRunDowns,
    RunDownFinish, ScatterTrend,
};
use days::today_utc;
use readings::{ReadingLine, ReadingUse};
use serde::{Deserialize, Serialize};
use units::{Range, Torque};

/// Readings to add, as texts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct AddReadingsRequest {
    /// The driver, as its owner calls it.
    pub driver: String,
    /// The kind of joint.
    pub joint: String,
    /// Clutch step.
    pub step: String,
    /// Torques read, each on a fresh fastener.
    pub torques: Vec<String>,
    /// Day, `2026-03-14`; today where none is given.
    pub date: Option<String>,
    /// Whether they check an older calibration.
    pub check: bool,
}

/// Which calibration is meant.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct CalibrationRequest {
    /// The driver; may be left out where there is but one.
    pub driver: Option<String>,
    /// The kind of joint; may be left out where the driver has only one.
    pub joint: Option<String>,
    /// Day on which it is asked, `2026-10-01`, for the age of the readings; the computer's where none is given.
    pub today: Option<String>,
}

/// Which step is wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct ClutchStepRequest {
    /// Which calibration is meant.
    pub of: CalibrationRequest,
    /// Torque wanted at the fastener.
    pub torque: String,
    /// What the maker allows: `4.5 to 5.5 N·m`.
    pub allowed: Option<String>,
    /// Whether nothing depends on the fastener; otherwise it counts as critical.
    pub plain: bool,
    /// Permitted error of the wrench that read the torques: `4 %`.
    pub wrench_error: Option<String>,
}

/// A reading as a plot shows it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingPoint {
    /// Clutch step.
    pub step: u32,
    /// Torque read.
    pub torque_n_m: f64,
    /// What it is for.
    pub purpose: ReadingUse,
}

/// What a step does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ClutchStepLine {
    /// Clutch step.
    pub step: u32,
    /// Mean torque.
    pub mean_n_m: f64,
    /// Standard deviation of single run-downs.
    pub scatter_n_m: f64,
    /// 99 of 100 stay above, with 95 % confidence.
    pub lower_n_m: f64,
    /// 99 of 100 stay below, with 95 % confidence.
    pub upper_n_m: f64,
}

impl From<&ClutchStepBound> for ClutchStepLine {
    fn from(bound: &ClutchStepBound) -> Self {
        Self {
            step: bound.step,
            mean_n_m: bound.mean.as_n_m(),
            scatter_n_m: bound.scatter.as_n_m(),
            lower_n_m: bound.lower.as_n_m(),
            upper_n_m: bound.upper.as_n_m(),
        }
    }
}

/// A calibration and what follows from it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CalibrationAnswer {
    /// The driver.
    pub driver: String,
    /// The kind of joint.
    pub joint: String,
    /// Readings of the calibration.
    pub readings: usize,
    /// Readings of later checks.
    pub checks: usize,
    /// Day of the newest reading of the calibration.
    pub calibrated_on: Option<String>,
    /// Day of the newest check.
    pub checked_on: Option<String>,
    /// Whether the scatter is rather even or grows with the torque; none where the data are too few.
    pub scatter: Option<ScatterTrend>,
    /// What each step does.
    pub steps: Vec<ClutchStepLine>,
    /// Why there is no calibration.
    pub no_calibration: Option<String>,
    /// Whether the calibration still holds, in words.
    pub drift: String,
    /// Whether a check found that it does not.
    pub is_void: bool,
    /// All readings.
    pub points: Vec<ReadingPoint>,
    /// What it rests on.
    pub why: AnswerGrounds,
}

/// What to do with the driver.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DriverToDo {
    /// Run down at the step, then finish with the wrench.
    RunDownThenWrench,
    /// Run down at the step; its scatter is within the maker's tolerance.
    RunDown,
    /// By hand: no step stays below, or the data do not show it.
    ByHand,
    /// Calibrate anew: the clutch has drifted.
    CalibrateAnew,
}

/// The step for a wanted torque.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ClutchStepAnswer {
    /// What to do.
    pub to_do: DriverToDo,
    /// The same in words.
    pub words: String,
    /// The step to run down at.
    pub step: Option<u32>,
    /// Torque that 99 of 100 fasteners stay below at it, with 95 % confidence.
    pub upper_n_m: Option<f64>,
    /// Torque wanted at the fastener.
    pub torque_n_m: f64,
    /// What the bound must not pass: the torque less the error of the wrench that read.
    pub ceiling_n_m: f64,
    /// Further run-downs that would show a step, or a higher one, to be safe.
    pub more: Option<MoreRunDowns>,
    /// The calibration behind it.
    pub calibration: CalibrationAnswer,
}

/// The readings that somebody gave, checked; nothing is kept yet.
///
/// # Errors
/// [`BoltingError`] with the field that cannot be used.
pub fn check_readings(asked: &AddReadingsRequest) -> Result<Vec<ReadingLine>, BoltingError> {
    let named = |field: &'static str, text: &str| {
        let text = text.trim();
        if text.is_empty() {
            Err(read::field_error(field, "must not be empty; give a name"))
        } else {
            Ok(text.to_owned())
        }
    };
    let (driver, joint_kind) = (named("driver", &asked.driver)?, named("joint", &asked.joint)?);
    let step = readings::parse_clutch_step(&asked.step).map_err(|words| read::field_error("step", words))?;
    let date = match read::given_text(asked.date.as_ref()) {
        Some(text) => readings::parse_date(text).map_err(|words| read::field_error("date", words))?,
        None => today_utc(),
    };
    if asked.torques.is_empty() {
        return Err(read::field_error(
            "torque",
            "give at least one torque as read on the wrench, such as `4.1 N·m`",
        ));
    }
    let purpose = if asked.check { ReadingUse::Check } else { ReadingUse::Calibration };
    let line = |text: &String| {
        let (torque, _) = read::parse_torque("torque", text)?;
        let reading = driver::ClutchReading { step, torque, fastener: 0 };
        let observation =
            driver::RunDownRecord { driver: driver.clone(), joint_kind: joint_kind.clone(), reading };
        Ok(ReadingLine { observation, date: date.clone(), purpose })
    };
    asked.torques.iter().map(line).collect()
}

/// One driver on one kind of joint, with what its readings say.
struct DriverOnJoint {
    driver: String,
    joint: String,
    lines: Vec<ReadingLine>,
    calibration: Result<ClutchCalibration, ClutchCalibrationError>,
    drift: ClutchDrift,
    today: String,
}

fn find_driver_on_joint(
    lines: &[ReadingLine],
    asked: &CalibrationRequest,
) -> Result<DriverOnJoint, BoltingError> {
    let driver = choose_name(
        "driver",
        read::given_text(asked.driver.as_ref()),
        lines.iter().map(|l| &l.observation.driver),
    )?;
    let of_driver = lines.iter().filter(|l| l.observation.driver == driver);
    let joint = choose_name(
        "joint",
        read::given_text(asked.joint.as_ref()),
        of_driver.map(|l| &l.observation.joint_kind),
    )?;
    let today = match read::given_text(asked.today.as_ref()) {
        Some(text) => readings::parse_date(text).map_err(|words| read::field_error("now", words))?,
        None => today_utc(),
    };
    let same = |l: &ReadingLine| l.observation.driver == driver && l.observation.joint_kind == joint;
    let lines: Vec<ReadingLine> = lines.iter().filter(|l| same(l)).cloned().collect();
    let of = |purpose: ReadingUse| -> Vec<driver::ClutchReading> {
        lines.iter().filter(|l| l.purpose == purpose).map(|l| l.observation.reading).collect()
    };
    let calibration = driver::calibrate_clutch(&of(ReadingUse::Calibration));
    let drift = calibration
        .as_ref()
        .map_or(ClutchDrift::unchecked(), |c| driver::check_drift(c, &of(ReadingUse::Check)));
    Ok(DriverOnJoint { driver, joint, lines, calibration, drift, today })
}

/// The name asked for, or the only one there is.
fn choose_name<'l>(
    field: &'static str,
    asked: Option<&str>,
    names: impl Iterator<Item = &'l String>,
) -> Result<String, BoltingError> {
    let mut known: Vec<&String> = names.collect();
    known.sort();
    known.dedup();
    let list = || known.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ");
    match (asked, &known[..]) {
        (_, []) => Err(read::field_error(
            "readings",
            "there are no readings; `traywright driver add` keeps the first",
        )),
        (Some(name), _) if known.iter().any(|n| *n == name) => Ok(name.to_owned()),
        (Some(name), _) => {
            Err(read::field_error(field, format!("there is no {field} `{name}`; there is {}", list())))
        }
        (None, [one]) => Ok((*one).clone()),
        (None, _) => Err(read::field_error(field, format!("there are several; name one of {}", list()))),
    }
}

/// Shows a calibration.
///
/// # Errors
/// [`BoltingError`] with the field that fits no reading.
pub fn show_calibration(
    lines: &[ReadingLine],
    asked: &CalibrationRequest,
) -> Result<CalibrationAnswer, BoltingError> {
    Ok(calibration_answer(&find_driver_on_joint(lines, asked)?))
}

const COVERED_SHARE: f64 = 0.99;
const CONFIDENCE_SHARE: f64 = 0.95;

fn calibration_answer(case: &DriverOnJoint) -> CalibrationAnswer {
    let of = |purpose: ReadingUse| case.lines.iter().filter(move |l| l.purpose == purpose);
    let newest = |purpose: ReadingUse| of(purpose).map(|l| l.date.clone()).filter(|d| !d.is_empty()).max();
    let calibration = case.calibration.as_ref().ok();
    let steps = calibration.map_or_else(Vec::new, |c| {
        let bounds = c
            .covered_steps()
            .into_iter()
            .filter_map(|step| c.bound_at_step(step, COVERED_SHARE, CONFIDENCE_SHARE));
        bounds.map(|b| ClutchStepLine::from(&b)).collect()
    });
    let point = |l: &ReadingLine| {
        let reading = l.observation.reading;
        ReadingPoint { step: reading.step, torque_n_m: reading.torque.as_n_m(), purpose: l.purpose }
    };
    CalibrationAnswer {
        driver: case.driver.clone(),
        joint: case.joint.clone(),
        readings: of(ReadingUse::Calibration).count(),
        checks: of(ReadingUse::Check).count(),
        calibrated_on: newest(ReadingUse::Calibration),
        checked_on: newest(ReadingUse::Check),
        scatter: calibration.map(ClutchCalibration::scatter),
        steps,
        no_calibration: case.calibration.as_ref().err().map(ToString::to_string),
        drift: drift_words(&case.drift),
        is_void: matches!(case.drift.verdict, DriftVerdict::Void { .. }),
        points: case.lines.iter().map(point).collect(),
        why: driver_grounds(case, calibration),
    }
}

fn drift_words(drift: &ClutchDrift) -> String {
    let percent = |fraction: f64| format!("{} %", units::significant(fraction * 100.0, 2));
    match drift.verdict {
        DriftVerdict::Unchecked => {
            String::from("not checked since calibration; a check takes three fresh run-downs (`--check`)")
        }
        DriftVerdict::TooFew { more } => {
            let run_downs = count_with_noun(more, "more fresh run-down");
            format!("too few check readings; take {run_downs}")
        }
        DriftVerdict::Holds => {
            format!(
                "holds: a shift of {} or more would probably have been detected",
                percent(drift.detectable_fraction)
            )
        }
        DriftVerdict::Void { why } => {
            let what = match why {
                DriftCause::MeanMoved => {
                    let way = if drift.shift_fraction < 0.0 { "down" } else { "up" };
                    format!("the mean has moved {way} by {}", percent(drift.shift_fraction.abs()))
                }
                DriftCause::ScatterGrew => {
                    format!("the scatter is {} times what it was", units::significant(drift.scatter_ratio, 2))
                }
                DriftCause::OneTooHigh => {
                    format!("one reading lies {} above its step", percent(drift.highest_fraction))
                }
            };
            format!("VOID: {what}; calibrate again")
        }
    }
}

fn driver_grounds(case: &DriverOnJoint, calibration: Option<&ClutchCalibration>) -> AnswerGrounds {
    let formula = ["U = ȳ + k(n)·s     of each step by itself: 99 of 100 stay below, with 95 % confidence"];
    let holds = "this driver, battery, kind of joint and lubrication; normal scatter, without outliers or a lean to one side; only \
                 the steps tried";
    let without = bolting::tolerance::readings_without_distribution_count(COVERED_SHARE, CONFIDENCE_SHARE);
    let sources = [
        "one-sided tolerance bound of one normal sample, factors by the noncentral t distribution: NIST/SEMATECH e-Handbook, 7.2.6.3",
        "repeats on one fastener do not count: as the test data of NASA-STD-5020B, A.2 show",
        "minimum number of readings: 10 run-downs and 3 per step (assumptions)",
    ];
    let mut grounds = AnswerGrounds::new(&formula, holds, &sources);
    grounds.add_source(&format!(
        "without any assumption on the scatter {without} run-downs on a step would do, their highest being the bound: 1 − 0.99^n ≥ 0.95, \
         NIST/SEMATECH e-Handbook, 7.2.6"
    ));
    for caution in days::session_cautions(&case.lines, &case.today) {
        grounds.add_caution(caution);
    }
    let cautions = calibration.map_or(&[][..], ClutchCalibration::cautions);
    for caution in cautions {
        grounds.add_caution(caution.to_string());
    }
    grounds.add_caution("A fastener marked critical is always finished with the torque wrench.");
    grounds
}

/// Which step to use for a wanted torque.
///
/// # Errors
/// [`BoltingError`] with the field that cannot be used.
pub fn find_clutch_step(
    lines: &[ReadingLine],
    asked: &ClutchStepRequest,
) -> Result<ClutchStepAnswer, BoltingError> {
    let wanted = read::parse_torque("torque", &asked.torque)?.0;
    let mut demand = ClutchDemand::new(wanted);
    demand.allowed = read::given_text(asked.allowed.as_ref()).map(parse_allowed_range).transpose()?;
    if let Some(text) = read::given_text(asked.wrench_error.as_ref()) {
        demand.wrench_error_fraction = read::parse_share_fraction("wrench-error", text, 0.5)?;
    }
    if asked.plain {
        demand.criticality = FastenerCriticality::Plain;
    }
    let case = find_driver_on_joint(lines, &asked.of)?;
    let calibration = calibration_answer(&case);
    let ceiling_n_m = wanted.as_n_m() * (1.0 - demand.wrench_error_fraction);
    let blank = ClutchStepAnswer {
        to_do: DriverToDo::ByHand,
        words: String::new(),
        step: None,
        upper_n_m: None,
        torque_n_m: wanted.as_n_m(),
        ceiling_n_m,
        more: None,
        calibration,
    };
    Ok(match &case.calibration {
        Err(error) => ClutchStepAnswer { words: format!("{error}; until then tighten by hand"), ..blank },
        Ok(calibration) => apply_advice(&driver::advise_step(calibration, &demand, &case.drift), blank),
    })
}

fn apply_advice(advice: &ClutchAdvice, blank: ClutchStepAnswer) -> ClutchStepAnswer {
    let words = advice.verdict.to_string();
    let blank = ClutchStepAnswer { words, more: advice.better, ..blank };
    match advice.verdict {
        ClutchVerdict::RunDown { at, then } => {
            let alone = matches!(then, RunDownFinish::DriverAlone { .. });
            let to_do = if alone { DriverToDo::RunDown } else { DriverToDo::RunDownThenWrench };
            ClutchStepAnswer { to_do, step: Some(at.step), upper_n_m: Some(at.upper.as_n_m()), ..blank }
        }
        ClutchVerdict::TooFew { more } => ClutchStepAnswer { more: Some(more), ..blank },
        ClutchVerdict::NoStep { .. } => blank,
        ClutchVerdict::Void { .. } => ClutchStepAnswer { to_do: DriverToDo::CalibrateAnew, ..blank },
    }
}

/// Reads `4.5 to 5.5 N·m`.
fn parse_allowed_range(text: &str) -> Result<Range<Torque>, BoltingError> {
    let sample = "write the range that the maker allows as `4.5 to 5.5 N·m`";
    let (low, high) = text.split_once(" to ").ok_or_else(|| read::field_error("allowed", sample))?;
    let (high, unit) = read::parse_torque("allowed", high)?;
    let bare = low.trim().parse::<f64>().is_ok();
    let low = if bare { format!("{} {}", low.trim(), unit.symbol) } else { low.to_owned() };
    let low = read::parse_torque("allowed", &low)?.0;
    Range::new(low, high).map_err(|_| read::field_error("allowed", sample))
}
