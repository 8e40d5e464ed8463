//! A power driver's clutch: readings kept in a file, what each step does, and the step for a wanted torque.
//!
//! **Method.** `bolting::driver`: torque against step with its scatter; the step below which 99 of 100 fasteners stay with
//! 95 % confidence; then the wrench. Readings marked `check` tell whether the clutch has drifted since. **A driver alone
//! never finishes a fastener marked critical**, and none without the maker's range.

mod plot;
pub mod readings;

pub use plot::{characters, drawing};

use super::{BoltingError, Grounds, read};
use bolting::driver::{
    self, Advice, Calibration, CalibrationError, Criticality, Demand, Drift, DriftVerdict, DriftWhy, Finish,
    More, Scatter, Shape, StepBound, Verdict,
};
use readings::{Line, Use};
use serde::{Deserialize, Serialize};
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};
use units::{Range, Torque};

/// Readings to add, as texts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct AddAsked {
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
pub struct ShowAsked {
    /// The driver; may be left out where the file has but one.
    pub driver: Option<String>,
    /// The kind of joint; may be left out where the driver has but one.
    pub joint: Option<String>,
}

/// Which step is wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct StepAsked {
    /// Which calibration is meant.
    pub of: ShowAsked,
    /// Torque wanted at the fastener.
    pub torque: String,
    /// What the maker allows: `4.5 to 5.5 N·m`.
    pub allowed: Option<String>,
    /// Whether nothing hangs on the fastener; else it counts as critical.
    pub plain: bool,
    /// Permitted error of the wrench that read the torques: `4 %`.
    pub wrench_error: Option<String>,
}

/// A reading as a plot shows it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Point {
    /// Clutch step.
    pub step: u32,
    /// Torque read.
    pub torque_n_m: f64,
    /// What it is for.
    pub purpose: Use,
}

/// What a step does.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StepLine {
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

impl From<&StepBound> for StepLine {
    fn from(bound: &StepBound) -> Self {
        Self {
            step: bound.step,
            mean_n_m: bound.mean.as_n_m(),
            scatter_n_m: bound.scatter.as_n_m(),
            lower_n_m: bound.lower.as_n_m(),
            upper_n_m: bound.upper.as_n_m(),
        }
    }
}

/// A calibration as it stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShowAnswer {
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
    /// Whether a line or stairs stand for the clutch; none where the data are too few.
    pub shape: Option<Shape>,
    /// Whether the scatter is even or grows with the torque.
    pub scatter: Option<Scatter>,
    /// What each step does.
    pub steps: Vec<StepLine>,
    /// Why there is no calibration.
    pub no_calibration: Option<String>,
    /// Whether the calibration still holds, in words.
    pub drift: String,
    /// Whether a check found that it does not.
    pub is_void: bool,
    /// All readings.
    pub points: Vec<Point>,
    /// What it rests on.
    pub why: Grounds,
}

/// What to do with the driver.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ToDo {
    /// Run down at the step, then finish with the wrench.
    RunDownThenWrench,
    /// Run down at the step; its scatter lies inside what the maker allows.
    RunDown,
    /// By hand: no step stays below, or the data do not show it.
    ByHand,
    /// Calibrate anew: the clutch has drifted.
    CalibrateAnew,
}

/// The step for a wanted torque.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StepAnswer {
    /// What to do.
    pub to_do: ToDo,
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
    pub more: Option<More>,
    /// The calibration behind it.
    pub calibration: ShowAnswer,
}

/// Adds readings to a file; the lines as added.
///
/// # Errors
/// [`BoltingError`] with the field that cannot be used, or where the file cannot be.
pub fn add(path: &Path, asked: &AddAsked) -> Result<Vec<Line>, BoltingError> {
    let named = |field: &'static str, text: &str| {
        let text = text.trim();
        if text.is_empty() { Err(read::bad(field, "give it a name")) } else { Ok(text.to_owned()) }
    };
    let (driver, joint_kind) = (named("driver", &asked.driver)?, named("joint", &asked.joint)?);
    let step = readings::step(&asked.step).map_err(|words| read::bad("step", words))?;
    let date = match read::given(asked.date.as_ref()) {
        Some(text) => readings::date(text).map_err(|words| read::bad("date", words))?,
        None => today(),
    };
    if asked.torques.is_empty() {
        return Err(read::bad("torque", "give at least one torque as the wrench read it, `4.1 N·m`"));
    }
    let purpose = if asked.check { Use::Check } else { Use::Calibration };
    let line = |text: &String| {
        let (torque, _) = read::torque("torque", text)?;
        let reading = driver::Reading { step, torque, fastener: 0 };
        let observation =
            driver::Observation { driver: driver.clone(), joint_kind: joint_kind.clone(), reading };
        Ok(Line { observation, date: date.clone(), purpose })
    };
    let lines = asked.torques.iter().map(line).collect::<Result<Vec<_>, BoltingError>>()?;
    readings::add(path, &lines)?;
    Ok(lines)
}

/// Today as the machine's clock has it, in universal time.
fn today() -> String {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    civil(i64::try_from(now / 86_400).unwrap_or(0))
}

/// The day that lies so many days after the first of January 1970, in the Gregorian calendar.
fn civil(days: i64) -> String {
    // Years are counted from the first of March, so that the leap day is the last of its year.
    let shifted = days + 719_468;
    let (era, day_of_era) = (shifted.div_euclid(146_097), shifted.rem_euclid(146_097));
    let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * from_march + 2) / 5 + 1;
    let month = if from_march < 10 { from_march + 3 } else { from_march - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

/// One driver on one kind of joint, with what its readings say.
struct Case {
    driver: String,
    joint: String,
    lines: Vec<Line>,
    calibration: Result<Calibration, CalibrationError>,
    drift: Drift,
}

fn case(path: &Path, asked: &ShowAsked) -> Result<Case, BoltingError> {
    let lines = readings::load(path)?;
    let driver =
        chosen("driver", read::given(asked.driver.as_ref()), lines.iter().map(|l| &l.observation.driver))?;
    let of_driver = lines.iter().filter(|l| l.observation.driver == driver);
    let joint =
        chosen("joint", read::given(asked.joint.as_ref()), of_driver.map(|l| &l.observation.joint_kind))?;
    let same = |l: &Line| l.observation.driver == driver && l.observation.joint_kind == joint;
    let lines: Vec<Line> = lines.into_iter().filter(same).collect();
    let of = |purpose: Use| -> Vec<driver::Reading> {
        lines.iter().filter(|l| l.purpose == purpose).map(|l| l.observation.reading).collect()
    };
    let calibration = driver::calibrate(&of(Use::Calibration));
    let drift = calibration.as_ref().map_or(Drift::unchecked(), |c| driver::check_drift(c, &of(Use::Check)));
    Ok(Case { driver, joint, lines, calibration, drift })
}

/// The name asked for, or the only one there is.
fn chosen<'l>(
    field: &'static str,
    asked: Option<&str>,
    names: impl Iterator<Item = &'l String>,
) -> Result<String, BoltingError> {
    let mut known: Vec<&String> = names.collect();
    known.sort();
    known.dedup();
    let list = || known.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ");
    match (asked, &known[..]) {
        (_, []) => {
            Err(read::bad("readings", "the file holds no readings; `traywright driver add` begins it"))
        }
        (Some(name), _) if known.iter().any(|n| *n == name) => Ok(name.to_owned()),
        (Some(name), _) => {
            Err(read::bad(field, format!("the file has no {field} `{name}`; it has {}", list())))
        }
        (None, [one]) => Ok((*one).clone()),
        (None, _) => Err(read::bad(field, format!("the file has several; name one of {}", list()))),
    }
}

/// Shows a calibration.
///
/// # Errors
/// [`BoltingError`] where the file cannot be used, or with the field that fits no reading.
pub fn show(path: &Path, asked: &ShowAsked) -> Result<ShowAnswer, BoltingError> {
    Ok(shown(&case(path, asked)?))
}

const COVERED_SHARE: f64 = 0.99;
const CONFIDENCE_SHARE: f64 = 0.95;

fn shown(case: &Case) -> ShowAnswer {
    let of = |purpose: Use| case.lines.iter().filter(move |l| l.purpose == purpose);
    let newest = |purpose: Use| of(purpose).map(|l| l.date.clone()).filter(|d| !d.is_empty()).max();
    let calibration = case.calibration.as_ref().ok();
    let steps = calibration.map_or_else(Vec::new, |c| {
        let bounds = c.steps().into_iter().filter_map(|step| c.bound(step, COVERED_SHARE, CONFIDENCE_SHARE));
        bounds.map(|b| StepLine::from(&b)).collect()
    });
    let point = |l: &Line| {
        let reading = l.observation.reading;
        Point { step: reading.step, torque_n_m: reading.torque.as_n_m(), purpose: l.purpose }
    };
    ShowAnswer {
        driver: case.driver.clone(),
        joint: case.joint.clone(),
        readings: of(Use::Calibration).count(),
        checks: of(Use::Check).count(),
        calibrated_on: newest(Use::Calibration),
        checked_on: newest(Use::Check),
        shape: calibration.map(Calibration::shape),
        scatter: calibration.map(Calibration::scatter),
        steps,
        no_calibration: case.calibration.as_ref().err().map(ToString::to_string),
        drift: drift_words(&case.drift),
        is_void: matches!(case.drift.verdict, DriftVerdict::Void { .. }),
        points: case.lines.iter().map(point).collect(),
        why: grounds(calibration),
    }
}

fn drift_words(drift: &Drift) -> String {
    let percent = |fraction: f64| format!("{} %", units::significant(fraction * 100.0, 2));
    match drift.verdict {
        DriftVerdict::Unchecked => {
            String::from("not checked since; a check takes three fresh run-downs (`--check`)")
        }
        DriftVerdict::TooFew { more } => format!("checked with too few; {more} more fresh run-downs"),
        DriftVerdict::Holds => {
            format!(
                "holds: a shift of {} or more would likely have been seen",
                percent(drift.detectable_fraction)
            )
        }
        DriftVerdict::Void { why } => {
            let what = match why {
                DriftWhy::MeanMoved => "the mean has moved",
                DriftWhy::ScatterGrew => "the scatter has grown",
                DriftWhy::OneTooHigh => "one reading lies too high",
            };
            format!("VOID: {what}, by {} on average; calibrate anew", percent(drift.shift_fraction))
        }
    }
}

fn grounds(calibration: Option<&Calibration>) -> Grounds {
    let formula = ["U(x) = ŷ(x) + k·s(x)     99 of 100 stay below, with 95 % confidence"];
    let holds =
        "this driver, battery, kind of joint and lubrication; normal scatter; only between the steps tried";
    let sources = [
        "one-sided tolerance bounds of a line: any text on regression, factors by the noncentral t distribution",
        "repeats on one fastener do not count: as the test data of NASA-STD-5020B, A.2 show",
        "least numbers of readings: assumptions, 10 run-downs and 3 a step",
    ];
    let mut grounds = Grounds::new(&formula, holds, &sources);
    let cautions = calibration.map_or(&[][..], Calibration::cautions);
    for caution in cautions {
        grounds.caution(caution.to_string());
    }
    grounds.caution("A fastener marked critical is always finished with the torque wrench.");
    grounds
}

/// Which step to use for a wanted torque.
///
/// # Errors
/// [`BoltingError`] where the file cannot be used, or with the field that cannot be.
pub fn step(path: &Path, asked: &StepAsked) -> Result<StepAnswer, BoltingError> {
    let wanted = read::torque("torque", &asked.torque)?.0;
    let mut demand = Demand::new(wanted);
    demand.allowed = read::given(asked.allowed.as_ref()).map(allowed).transpose()?;
    if let Some(text) = read::given(asked.wrench_error.as_ref()) {
        demand.wrench_error_fraction = read::share("wrench-error", text, 0.5)?;
    }
    if asked.plain {
        demand.criticality = Criticality::Plain;
    }
    let case = case(path, &asked.of)?;
    let calibration = shown(&case);
    let ceiling_n_m = wanted.as_n_m() * (1.0 - demand.wrench_error_fraction);
    let blank = StepAnswer {
        to_do: ToDo::ByHand,
        words: String::new(),
        step: None,
        upper_n_m: None,
        torque_n_m: wanted.as_n_m(),
        ceiling_n_m,
        more: None,
        calibration,
    };
    Ok(match &case.calibration {
        Err(error) => StepAnswer { words: format!("{error}; until then tighten by hand"), ..blank },
        Ok(calibration) => advised(&driver::advise(calibration, &demand, &case.drift), blank),
    })
}

fn advised(advice: &Advice, blank: StepAnswer) -> StepAnswer {
    let words = advice.verdict.to_string();
    let blank = StepAnswer { words, more: advice.better, ..blank };
    match advice.verdict {
        Verdict::RunDown { at, then } => {
            let alone = matches!(then, Finish::DriverAlone { .. });
            let to_do = if alone { ToDo::RunDown } else { ToDo::RunDownThenWrench };
            StepAnswer { to_do, step: Some(at.step), upper_n_m: Some(at.upper.as_n_m()), ..blank }
        }
        Verdict::TooFew { more } => StepAnswer { more: Some(more), ..blank },
        Verdict::NoStep { .. } => blank,
        Verdict::Void { .. } => StepAnswer { to_do: ToDo::CalibrateAnew, ..blank },
    }
}

/// Reads `4.5 to 5.5 N·m`.
fn allowed(text: &str) -> Result<Range<Torque>, BoltingError> {
    let sample = "write the range that the maker allows as `4.5 to 5.5 N·m`";
    let (low, high) = text.split_once(" to ").ok_or_else(|| read::bad("allowed", sample))?;
    let (high, unit) = read::torque("allowed", high)?;
    let bare = low.trim().parse::<f64>().is_ok();
    let low = if bare { format!("{} {}", low.trim(), unit.symbol) } else { low.to_owned() };
    let low = read::torque("allowed", &low)?.0;
    Range::new(low, high).map_err(|_| read::bad("allowed", sample))
}

#[cfg(test)]
mod tests {
    use super::civil;

    /// Days of the Gregorian calendar by hand: leap days of 2000 and 2024 stand, that of 2100 does not.
    #[test]
    fn days_are_named_by_the_calendar() {
        for (days, expected) in [
            (0, "1970-01-01"),
            (58, "1970-02-28"),
            (59, "1970-03-01"),
            (11_016, "2000-02-29"),
            (19_782, "2024-02-29"),
            (47_540, "2100-02-28"),
            (47_541, "2100-03-01"),
        ] {
            assert_eq!(civil(days), expected);
        }
    }
}
