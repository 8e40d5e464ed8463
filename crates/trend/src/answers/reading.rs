//! `trend reading`: readings of one place or several against their limits, and against each other.
//!
//! symbol: gauge_uncertainty, own_uncertainty, limit = figures in the unit of the reading

use serde::Serialize;

use super::TrendFailure;
use crate::places::{
    PlaceJudgement, PlaceReadings, SpreadJudgement, SpreadLimit, judge_places, judge_spread, worst_outcome,
};
use crate::reading_verdict::{DecisionRule, ReadingLimit, ReadingOutcome, judge_grades};
use model::reading_kind::{ReadingKind, ReadingKindNote, UsualSide};

/// What is asked of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingRequest {
    /// Places with their readings.
    pub places: Vec<PlaceReadings>,
    /// What kind of reading, where it is told.
    pub kind: Option<ReadingKind>,
    /// Unit, where it is not that of the kind.
    pub unit: Option<String>,
    /// Standard uncertainty of the gauge.
    pub gauge_uncertainty: Option<f64>,
    /// Limit of each place.
    pub limit: Option<ReadingLimit>,
    /// Limit between the places.
    pub spread_limit: Option<SpreadLimit>,
    /// The rule.
    pub rule: DecisionRule,
}

/// The answer about readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingAnswer {
    /// What comes of all of it.
    pub outcome: ReadingOutcome,
    /// The kind, with how it is taken.
    pub kind: Option<ReadingKind>,
    /// How it is taken, with what, and how to do better.
    pub note: Option<ReadingKindNote>,
    /// Unit.
    pub unit: String,
    /// The rule in words.
    pub rule: &'static str,
    /// Limit of each place.
    pub limit: Option<ReadingLimit>,
    /// Standard uncertainty of the gauge.
    pub gauge_uncertainty: Option<f64>,
    /// Each place.
    pub places: Vec<PlaceJudgement>,
    /// Grades by eye: what comes of each place.
    pub grades: Vec<PlaceGrade>,
    /// The lowest against the highest.
    pub spread: Option<SpreadJudgement>,
    /// What to beware of.
    pub cautions: Vec<String>,
}

/// A place graded by eye.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlaceGrade {
    /// The place.
    pub place: String,
    /// The grades of all looks.
    pub looks: Vec<u32>,
    /// What comes of it.
    pub outcome: ReadingOutcome,
}

/// Answers about readings.
///
/// # Errors
/// [`TrendFailure`] when readings, limits or uncertainty cannot be used.
pub fn answer_reading(asked: &ReadingRequest) -> Result<ReadingAnswer, TrendFailure> {
    if asked.places.is_empty() {
        return Err(TrendFailure::new(
            "give a reading: --value 9.2, or --place \"cylinder 1=9.2\" for each place",
        ));
    }
    if asked.limit.is_none() && asked.spread_limit.is_none() {
        return Err(TrendFailure::new(
            "give a limit: --at-least, --at-most, both, or --spread-at-most, --lowest-at-least between places",
        ));
    }
    if asked.kind == Some(ReadingKind::VisualGrade) {
        return answer_grades(asked);
    }
    let places = match asked.limit {
        Some(limit) => judge_places(&asked.places, asked.gauge_uncertainty, limit, asked.rule)?,
        None => Vec::new(),
    };
    let spread = match asked.spread_limit {
        Some(limit) => Some(judge_spread(&asked.places, asked.gauge_uncertainty, limit, asked.rule)?),
        None => None,
    };
    let outcomes = places.iter().map(|p| p.judgement.outcome).chain(spread.iter().map(|s| s.outcome));
    let outcome = worst_outcome(outcomes).unwrap_or(ReadingOutcome::TooClose);
    let note = asked.kind.map(ReadingKind::note);
    Ok(ReadingAnswer {
        outcome,
        kind: asked.kind,
        note,
        unit: asked.unit.clone().unwrap_or_else(|| note.map_or_else(String::new, |n| n.unit.to_owned())),
        rule: asked.rule.words(),
        limit: asked.limit,
        gauge_uncertainty: asked.gauge_uncertainty,
        cautions: gather_cautions(asked),
        places,
        grades: Vec::new(),
        spread,
    })
}

fn answer_grades(asked: &ReadingRequest) -> Result<ReadingAnswer, TrendFailure> {
    let wants =
        || TrendFailure::new("grades by eye are whole numbers from 0, with --at-most the worst that will do");
    let whole = |v: f64| ((0.0..=1_000.0).contains(&v) && units::math::floor(v) == v).then_some(v as u32);
    let Some(ReadingLimit::AtMost(limit)) = asked.limit else { return Err(wants()) };
    let at_most = whole(limit).ok_or_else(wants)?;
    let mut grades = Vec::new();
    for place in &asked.places {
        let looks: Option<Vec<u32>> = place.readings.iter().map(|v| whole(*v)).collect();
        let looks = looks.ok_or_else(wants)?;
        let outcome = judge_grades(&looks, at_most).ok_or_else(wants)?;
        grades.push(PlaceGrade { place: place.place.clone(), looks, outcome });
    }
    Ok(ReadingAnswer {
        outcome: worst_outcome(grades.iter().map(|g| g.outcome)).unwrap_or(ReadingOutcome::TooClose),
        kind: asked.kind,
        note: asked.kind.map(ReadingKind::note),
        unit: String::new(),
        rule: "one look is good to one grade either way; two looks that agree count as they stand (assumption)",
        limit: asked.limit,
        gauge_uncertainty: None,
        places: Vec::new(),
        grades,
        spread: None,
        cautions: Vec::new(),
    })
}

fn gather_cautions(asked: &ReadingRequest) -> Vec<String> {
    let mut all = Vec::new();
    let side = asked.kind.map(|kind| kind.note().side);
    let is_turned = matches!(
        (side, asked.limit),
        (Some(UsualSide::AtLeast), Some(ReadingLimit::AtMost(_)))
            | (Some(UsualSide::AtMost), Some(ReadingLimit::AtLeast(_)))
    );
    if is_turned {
        all.push(String::from(
            "The limit lies on the other side than is usual for this kind of reading; check it.",
        ));
    }
    if asked.places.iter().any(|p| p.readings.len() >= 2 && p.readings.iter().all(|v| *v == p.readings[0])) {
        all.push(String::from(
            "Readings repeated to the last digit show no scatter; state the resolution as well.",
        ));
    }
    if asked.places.len() > 1 && asked.limit.is_some() {
        all.push(String::from("Each place is judged on its own at 95 %."));
    }
    if asked.rule == DecisionRule::Simple {
        all.push(String::from("Near its limit a reading judged simply is wrong in up to half of all cases."));
    }
    all
}
