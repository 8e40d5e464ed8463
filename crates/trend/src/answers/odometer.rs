//! `trend odometer`: slips, distance a day, the day of a milestone, and what is due first.
//!
//! symbol: low_km_per_day, high_km_per_day, estimate_km_per_day, noted_km, suggested_km, due_at_km, due_in_km = km, and km a day
//! symbol: due_day, since_day, day, low_days, high_days, estimate_days, span_days = days

use serde::Serialize;

use super::wear::StatedPrior;
use super::{TrendFailure, check_confidence};
use crate::days::{DayForm, show_day};
use crate::next_due::{DueBy, find_next_due};
use crate::odometer::{
    ENOUGH_INCREMENTS, LOOK_BACK_DAYS, OdometerBasis, OdometerInterval, OdometerModel, OdometerPoint,
    OdometerPrior, choose_recent, learn_use,
};
use crate::slips::{OdometerNote, OdometerSlip, OdometerSlipKind, sift_readings};

/// What is asked of an odometer.
#[derive(Debug, Clone, PartialEq)]
pub struct OdometerRequest {
    /// Readings as they were noted.
    pub notes: Vec<OdometerNote>,
    /// How their days are written.
    pub day_form: DayForm,
    /// Milestone on the odometer.
    pub due_at_km: Option<f64>,
    /// Or so much further than the last reading.
    pub due_in_km: Option<f64>,
    /// Day by which it is due in any case.
    pub due_day: Option<f64>,
    /// Older readings do not count.
    pub since_day: Option<f64>,
    /// Older readings count as well.
    pub all_readings: bool,
    /// Nine in ten rates, in the place of those of usual vehicles.
    pub usual_rate: Option<(f64, f64)>,
    /// Confidence of the intervals.
    pub confidence_share: f64,
}

// symbol: usual_rate = km a day

/// A slip as it is told.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OdometerSlipLine {
    /// Line of the file.
    pub line: u64,
    /// Its day.
    pub date: Option<String>,
    /// What was noted.
    pub noted_km: f64,
    /// What it is.
    pub kind: OdometerSlipKind,
    /// In words.
    pub words: &'static str,
    /// What was probably meant.
    pub suggested_km: Option<f64>,
    /// Whether the reading counts all the same.
    pub is_kept: bool,
}

/// A rate with its interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OdometerRate {
    /// Best estimate.
    pub estimate_km_per_day: f64,
    /// Lower end.
    pub low_km_per_day: f64,
    /// Upper end.
    pub high_km_per_day: Option<f64>,
}

/// The day of a milestone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MilestoneDay {
    /// Days from the last reading.
    pub estimate_days: f64,
    /// Lower end.
    pub low_days: f64,
    /// Upper end; `None` where the readings tell none.
    pub high_days: Option<f64>,
    /// As dates.
    pub estimate_date: Option<String>,
    /// Lower end.
    pub low_date: Option<String>,
    /// Upper end.
    pub high_date: Option<String>,
}

/// What one basis says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OdometerView {
    /// The basis.
    pub basis: OdometerBasis,
    /// Distance a day; `None` where this basis does not tell.
    pub rate: Option<OdometerRate>,
    /// The milestone; `None` where none is asked or this basis does not tell.
    pub milestone: Option<MilestoneDay>,
}

/// What is due first.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DueAnswer {
    /// Distance or date.
    pub first: DueBy,
    /// Probability that the distance comes first.
    pub distance_first_probability: Option<f64>,
    /// Best estimate.
    pub estimate_date: Option<String>,
    /// Lower end.
    pub low_date: Option<String>,
    /// Upper end; `None` where nothing tells one.
    pub high_date: Option<String>,
}

/// The answer about an odometer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OdometerAnswer {
    /// Readings noted.
    pub readings: usize,
    /// Readings that count.
    pub used: usize,
    /// Slips.
    pub slips: Vec<OdometerSlipLine>,
    /// Day of the last reading that counts.
    pub last_date: Option<String>,
    /// What it showed.
    pub last_km: f64,
    /// Days that the readings cover.
    pub span_days: f64,
    /// The milestone.
    pub due_at_km: Option<f64>,
    /// The basis of what is answered.
    pub basis: OdometerBasis,
    /// What it says.
    pub answered: OdometerView,
    /// What the readings say by themselves.
    pub alone: OdometerView,
    /// What they say with the prior.
    pub with_prior: OdometerView,
    /// The prior.
    pub prior: StatedPrior,
    /// What is due first.
    pub due: Option<DueAnswer>,
    /// Confidence of the intervals.
    pub confidence: f64,
    /// What to beware of.
    pub cautions: Vec<String>,
    /// For a drawing: readings that count.
    #[serde(skip)]
    pub points: Vec<OdometerPoint>,
}

// symbol: last_km, confidence = km; a share

/// Answers about an odometer.
///
/// # Errors
/// [`TrendFailure`] when the readings or what is asked cannot be used.
pub fn answer_odometer(asked: &OdometerRequest) -> Result<OdometerAnswer, TrendFailure> {
    check_confidence(asked.confidence_share)?;
    let sifted = sift_readings(&asked.notes)?;
    let since: Vec<OdometerPoint> =
        sifted.points.iter().copied().filter(|p| asked.since_day.is_none_or(|day| p.day >= day)).collect();
    let look_back = if asked.all_readings { f64::INFINITY } else { LOOK_BACK_DAYS };
    let recent = choose_recent(&since, look_back);
    let prior = state_prior(asked)?;
    let model = learn_use(recent, prior.0, asked.confidence_share)?;
    let last = model.last();
    let distance = find_distance(asked, &last)?;
    let view = |basis| view_basis(&model, basis, distance, asked.day_form);
    let due = find_next_due(&model, distance, asked.due_day, model.basis());
    let day_text = |day: f64| show_day(day, asked.day_form);
    Ok(OdometerAnswer {
        readings: asked.notes.len(),
        used: recent.len(),
        slips: sifted.slips.iter().map(|s| tell_slip(s, asked.day_form)).collect(),
        last_date: day_text(last.day),
        last_km: last.km,
        span_days: model.span_days(),
        due_at_km: distance.map(|d| last.km + d),
        basis: model.basis(),
        answered: view(model.basis()),
        alone: view(OdometerBasis::ReadingsAlone),
        with_prior: view(OdometerBasis::WithPrior),
        prior: prior.1,
        due: due.filter(|_| asked.due_day.is_some()).map(|due| DueAnswer {
            first: due.first,
            distance_first_probability: due.distance_first_probability,
            estimate_date: day_text(due.estimate_day),
            low_date: day_text(due.low_day),
            high_date: due.high_day.and_then(day_text),
        }),
        confidence: asked.confidence_share,
        cautions: gather_cautions(asked, &sifted.slips, &since, recent, &model),
        points: recent.to_vec(),
    })
}

fn state_prior(asked: &OdometerRequest) -> Result<(OdometerPrior, StatedPrior), TrendFailure> {
    let (low, high) = asked.usual_rate.unwrap_or(OdometerPrior::USUAL_VEHICLES);
    let prior = OdometerPrior::from_rates(low, high).ok_or_else(|| {
        TrendFailure::new("--usual-rate wants two distances a day, the lower first: \"20 to 60\"")
    })?;
    let whose = if asked.usual_rate.is_some() { "as stated" } else { "of usual vehicles (assumption)" };
    let words = format!(
        "nine in ten rates {whose} lie from {} to {} km a day, on a logarithmic scale; scatter of {} days, worth {} degrees of freedom",
        units::significant(low, 3),
        units::significant(high, 3),
        prior.tau_days,
        prior.freedom
    );
    Ok((prior, StatedPrior { low, high, median: prior.rate.median_number(), words }))
}

/// Distance from the last reading to the milestone.
fn find_distance(asked: &OdometerRequest, last: &OdometerPoint) -> Result<Option<f64>, TrendFailure> {
    let distance = match (asked.due_at_km, asked.due_in_km) {
        (None, None) => return Ok(None),
        (Some(km), _) => km - last.km,
        (None, Some(km)) => km,
    };
    if distance > 0.0 && distance < 1.0e9 {
        Ok(Some(distance))
    } else {
        Err(crate::odometer::OdometerError::Behind.into())
    }
}

fn view_basis(
    model: &OdometerModel,
    basis: OdometerBasis,
    distance_km: Option<f64>,
    form: DayForm,
) -> OdometerView {
    // symbol: distance_km = km from the last reading
    let milestone = distance_km.and_then(|km| model.days_until(km, basis));
    let rate = model.rate_interval(basis).map(|r| OdometerRate {
        estimate_km_per_day: r.estimate,
        low_km_per_day: r.low,
        high_km_per_day: r.high,
    });
    OdometerView { basis, rate, milestone: milestone.map(|days| date_interval(days, model.last().day, form)) }
}

fn date_interval(days: OdometerInterval, last_day: f64, form: DayForm) -> MilestoneDay {
    // symbol: last_day = day of the last reading
    let date = |ahead: f64| show_day(last_day + ahead, form);
    MilestoneDay {
        estimate_days: days.estimate,
        low_days: days.low,
        high_days: days.high,
        estimate_date: date(days.estimate),
        low_date: date(days.low),
        high_date: days.high.and_then(date),
    }
}

fn tell_slip(slip: &OdometerSlip, form: DayForm) -> OdometerSlipLine {
    OdometerSlipLine {
        line: slip.line,
        date: show_day(slip.day, form),
        noted_km: slip.km,
        kind: slip.kind,
        words: slip.kind.words(),
        suggested_km: slip.suggested_km,
        is_kept: slip.kind.is_kept(),
    }
}

fn gather_cautions(
    asked: &OdometerRequest,
    slips: &[OdometerSlip],
    since: &[OdometerPoint],
    recent: &[OdometerPoint],
    model: &OdometerModel,
) -> Vec<String> {
    let mut all = Vec::new();
    let set_aside = slips.iter().filter(|s| !s.kind.is_kept()).count();
    if set_aside > 0 {
        all.push(format!(
            "Left out until somebody looks at them: {set_aside}. Compare with the invoice or the picture, and correct the file."
        ));
    }
    let last_day = model.last().day;
    if slips.iter().any(|s| !s.kind.is_kept() && s.day > last_day) {
        all.push(String::from("The newest reading is among them, so this rests on older ones."));
    }
    if slips.iter().any(|s| s.kind == OdometerSlipKind::InstrumentReplaced) {
        all.push(String::from(
            "The milestone is counted on the instrument that is in now; write down what the old one showed last.",
        ));
    }
    if model.increments() < ENOUGH_INCREMENTS {
        all.push(format!(
            "Few readings ({}): what is usual counts as well; state --usual-rate if this vehicle is not.",
            recent.len()
        ));
    }
    if recent.len() < since.len() {
        all.push(format!(
            "{} readings older than two years before the last do not count; --all-readings brings them back.",
            since.len() - recent.len()
        ));
    }
    if recent.iter().any(|p| p.rounded_to_km.is_some()) && asked.due_at_km.or(asked.due_in_km).is_some() {
        all.push(String::from(
            "Some readings look rounded; that is counted at the first and the last of them.",
        ));
    }
    all.push(String::from(
        "Holds while the vehicle is used as it was: a new owner or a new job begins anew (--since).",
    ));
    all
}
