//! What a step measures: each value with its limits, and whether it has been read.

use model::Book;
use model::plan::{Step, StepKind};
use record::{EventPlace, MeasuredReading, Visit};

/// One value to be read.
#[derive(Debug, Clone, PartialEq)]
pub struct StepMeasure {
    /// What is measured, with its place: "valve clearance, cylinder 3".
    pub what: String,
    /// Its unit; empty where the book does not tell.
    pub unit: String,
    /// The least that is right.
    pub low: Option<f64>,
    /// The greatest that is right.
    pub high: Option<f64>,
    /// What it is measured with.
    pub with: String,
    /// The value that was read last.
    pub taken: Option<MeasuredReading>,
}

/// The values that a step measures; one without a name where the book tells of none.
#[must_use]
pub(super) fn step_measures(book: &Book, step: &Step, visit: &Visit) -> Vec<StepMeasure> {
    let task = step.task.as_deref().unwrap_or_default();
    let Some(id) = book.task_by_key(task) else { return Vec::new() };
    let is_of_task = |measure: &&model::Measure| measure.task == Some(id);
    let mut all: Vec<StepMeasure> =
        book.measures.iter().filter(is_of_task).flat_map(measure_places).collect();
    if all.is_empty() && step.kind == StepKind::Measure {
        let what = book.task(id).title.clone();
        all.push(StepMeasure {
            what,
            unit: String::new(),
            low: None,
            high: None,
            with: String::new(),
            taken: None,
        });
    }
    for measure in &mut all {
        let is_it = |at: &EventPlace, reading: &MeasuredReading| {
            at.task.as_deref() == Some(task) && reading.what == measure.what
        };
        let taken = visit.readings.iter().rev().find(|taken| is_it(&taken.at, &taken.reading));
        measure.taken = taken.map(|taken| taken.reading.clone());
    }
    all
}

fn measure_places(measure: &model::Measure) -> Vec<StepMeasure> {
    let split = |text: &Option<String>| {
        let (figure, unit) = text.as_deref()?.split_once(' ')?;
        Some((figure.parse::<f64>().ok()?, unit.trim().to_owned()))
    };
    let (low, high) = (split(&measure.low), split(&measure.high));
    let unit = high.as_ref().or(low.as_ref()).map_or_else(String::new, |(_, unit)| unit.clone());
    let one = |place: &str| StepMeasure {
        what: if place.is_empty() { measure.title.clone() } else { format!("{}, {place}", measure.title) },
        unit: unit.clone(),
        low: low.as_ref().map(|(figure, _)| *figure),
        high: high.as_ref().map(|(figure, _)| *figure),
        with: measure.with.clone().unwrap_or_default(),
        taken: None,
    };
    if measure.places.is_empty() {
        vec![one("")]
    } else {
        measure.places.iter().map(|place| one(place)).collect()
    }
}
