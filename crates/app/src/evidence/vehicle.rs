//! A vehicle over the years: its visits, how far it goes, how its wear runs, what was left, and what falls due next.

// symbol: x, y, limit, value = km on the odometer, and figures in the unit of the measure

use jiff::tz::TimeZone;
use model::{Book, Measure};
use record::vehicle::OdometerValue;
use record::{OwnerWord, StepMark, VehicleId, Visit};
use trend::answers::line::TrendPicture;
use trend::crossing::LineCrossing;
use trend::line::{LineShape, fit_trend_line};
use trend::reading_verdict::combine_gauge_uncertainty;
use trend::wear::{WearQuestion, forecast_wear};

use super::alike::SeenAlike;
use super::due::{DueQuestion, TaskDue, list_tasks_due};
use super::odometer::{OdometerHistory, km_in_unit, read_odometer_history};
use super::readings::{ReadingBoard, boards_of_visit};
use crate::trend_drawing::draw_trend;
use crate::workshop::{KnownVehicle, LiveVisit, VisitId, Workshop, WorkshopError};

/// Confidence of every interval here.
pub const CONFIDENCE_SHARE: f64 = 0.9;

/// A vehicle over the years.
#[derive(Debug, Clone, PartialEq)]
pub struct VehicleHistory {
    /// The vehicle.
    pub known: KnownVehicle,
    /// Its odometer: readings, slips, distance a day.
    pub odometer: OdometerHistory,
    /// Its visits, the newest first.
    pub visits: Vec<PastVisit>,
    /// How its readings run towards their limits, by measure and place.
    pub wear: Vec<WearLine>,
    /// What falls due, the soonest first; what nobody has a record of comes last.
    pub due: Vec<TaskDue>,
    /// What turned up on other vehicles with this engine.
    pub alike: Vec<SeenAlike>,
    /// Findings that the owner left, of all visits, the newest first.
    pub left: Vec<LeftFinding>,
}

/// A visit of a vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct PastVisit {
    /// Its id.
    pub id: VisitId,
    /// The day it began, as 2026-03-14; `None`: its clock showed no day.
    pub day: Option<String>,
    /// What the odometer showed.
    pub odometer: Option<OdometerValue>,
    /// Title of the book.
    pub engine: Option<String>,
    /// Whether it is over.
    pub is_closed: bool,
    /// Titles of the tasks done.
    pub done: Vec<String>,
    /// What was fitted new, in words with its count.
    pub fitted: Vec<String>,
    /// What was measured.
    pub boards: Vec<ReadingBoard>,
    /// Pictures of it.
    pub pictures: usize,
}

/// A finding that the owner left as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeftFinding {
    /// What was found.
    pub words: String,
    /// What follows from leaving it.
    pub if_left: String,
    /// Who decided, and how.
    pub by: String,
    /// The day of the word, as 2026-03-14.
    pub day: Option<String>,
}

/// How one reading runs over the distance.
#[derive(Debug, Clone, PartialEq)]
pub struct WearLine {
    /// What is read, with its place.
    pub what: String,
    /// Its unit.
    pub unit: String,
    /// Distance, value and day of each visit's reading, the first first.
    pub points: Vec<WearPoint>,
    /// The limit that it runs towards.
    pub limit: f64,
    /// When the limit is reached, in words; says *cannot tell* where the readings do not tell.
    pub forecast: String,
    /// Where it is reached, km on the odometer: best estimate and both ends.
    pub reached_km: Option<(f64, f64, f64)>,
    /// For a drawing.
    pub picture: TrendPicture,
}

/// One visit's reading.
#[derive(Debug, Clone, PartialEq)]
pub struct WearPoint {
    /// What the odometer showed, km.
    pub km: f64,
    /// What was read.
    pub value: f64,
    /// The day.
    pub day: Option<String>,
}

impl WearLine {
    /// The readings over the distance, with the line through them and the limit, as SVG.
    #[must_use]
    pub fn to_svg(&self) -> String {
        let axes = ("km on the odometer", self.unit.as_str());
        draw_trend(&self.what, axes, "limit", &self.picture)
    }
}

impl Workshop {
    /// A vehicle over the years as it stands today, by the clock and the time zone of this computer.
    ///
    /// # Errors
    /// As [`Workshop::vehicle_history_on`].
    pub fn vehicle_history(&mut self, id: &VehicleId) -> Result<VehicleHistory, WorkshopError> {
        let zone = TimeZone::system();
        let today = zone.to_datetime(jiff::Timestamp::now()).date();
        self.vehicle_history_on(id, today, &zone)
    }

    /// A vehicle over the years as it stands on a day, its days in a time zone.
    ///
    /// # Errors
    /// [`WorkshopError::NoVehicle`], or when the archive cannot be read. A visit that cannot be read is left out.
    pub fn vehicle_history_on(
        &mut self,
        id: &VehicleId,
        today: jiff::civil::Date,
        zone: &TimeZone,
    ) -> Result<VehicleHistory, WorkshopError> {
        let known = self.vehicle(id)?;
        let ids = known.record.visit_ids();
        let mut looks = Vec::new();
        for visit in &ids {
            match self.visit(visit) {
                Ok(live) => looks.push(look_at_visit(live, zone)),
                Err(WorkshopError::NoVisit(_)) => {}
                Err(error) => return Err(error),
            }
        }
        looks.sort_by_key(|look| look.at_ms);
        let odometer = read_odometer_history(&known.record, zone);
        let book = looks.iter().rev().find_map(|look| look.book.clone());
        let due = book.as_ref().map_or_else(Vec::new, |book| {
            let done: Vec<(&str, Option<OdometerValue>, Option<String>)> = looks
                .iter()
                .flat_map(|look| {
                    look.tasks.iter().map(|task| (task.as_str(), look.visit.odometer, look.visit.day.clone()))
                })
                .collect();
            list_tasks_due(&DueQuestion {
                book,
                odometer: &odometer,
                done: &done,
                elsewhere: &known.record.elsewhere,
                today,
            })
        });
        let wear = book.as_ref().map_or_else(Vec::new, |book| wear_lines(book, &looks));
        let mut left: Vec<LeftFinding> = looks.iter().flat_map(|look| look.left.clone()).collect();
        left.reverse();
        let mut visits: Vec<PastVisit> = looks.into_iter().map(|look| look.visit).collect();
        visits.reverse();
        let alike = match &book {
            Some(book) => self.seen_alike(id, &book.key)?,
            None => Vec::new(),
        };
        Ok(VehicleHistory { odometer, due, wear, alike, left, visits, known })
    }
}

/// What is taken of a visit.
struct VisitLook {
    at_ms: i64,
    visit: PastVisit,
    book: Option<Book>,
    tasks: Vec<String>,
    left: Vec<LeftFinding>,
}

/// The day of a time, as 2026-03-14.
pub(super) fn day_of(at_ms: i64, zone: &TimeZone) -> Option<String> {
    if at_ms <= 0 {
        return None;
    }
    let at = jiff::Timestamp::from_millisecond(at_ms).ok()?;
    Some(zone.to_datetime(at).date().to_string())
}

fn look_at_visit(live: &LiveVisit, zone: &TimeZone) -> VisitLook {
    let state = live.state();
    let opened = state.opened.as_ref();
    let at_ms = opened.map_or(0, |opened| opened.stamp.at_ms);
    let tasks = done_tasks(state);
    let asked = live.plan().map_or(&[][..], |plan| plan.asked.tasks.as_slice());
    let title = |key: &String| {
        let known = live.book().and_then(|book| Some(book.task(book.task_by_key(key)?).title.clone()));
        known.unwrap_or_else(|| key.clone())
    };
    let visit = PastVisit {
        id: live.id(),
        day: day_of(at_ms, zone),
        odometer: opened.and_then(|opened| OdometerValue::parse_words(opened.odometer.as_deref()?)),
        engine: live.book().map(|book| book.title.clone()),
        is_closed: state.closed.is_some(),
        done: tasks.iter().map(title).collect(),
        fitted: live.book().map_or_else(Vec::new, |book| fitted_words(book, state)),
        boards: boards_of_visit(live.book(), asked, state)
            .into_iter()
            .filter(ReadingBoard::is_begun)
            .collect(),
        pictures: state.pictures.len(),
    };
    VisitLook { at_ms, visit, book: live.book().cloned(), tasks, left: left_findings(state, zone) }
}

/// Keys of the tasks that are done.
fn done_tasks(visit: &Visit) -> Vec<String> {
    let done = visit.tasks.iter().filter(|(_, standing)| standing.to == StepMark::Done);
    done.map(|(key, _)| key.clone()).collect()
}

/// What the done tasks fitted, and new fasteners: "thermostat 88 °C", "8 new bolts of the timing cover".
#[must_use]
pub fn fitted_words(book: &Book, visit: &Visit) -> Vec<String> {
    let tasks = done_tasks(visit);
    let done = book.tasks.iter().filter(|task| tasks.contains(&task.key));
    let supplies = done.flat_map(|task| &task.supplies).filter(|supply| supply.count > 0);
    let mut fitted: Vec<String> = supplies
        .map(|supply| match supply.count {
            1 => supply.name.clone(),
            count => format!("{count} × {}", supply.name),
        })
        .collect();
    for fixing in &book.fixings {
        let new =
            visit.fasteners.of_fixing(&fixing.key).filter(|(_, fastener)| fastener.is_renewed()).count();
        if new > 0 {
            fitted.push(format!("{new} new: {}", fixing.title));
        }
    }
    fitted
}

fn left_findings(visit: &Visit, zone: &TimeZone) -> Vec<LeftFinding> {
    let answered = visit.findings.values().filter_map(|finding| Some((finding, finding.answer.as_ref()?)));
    let no = answered.filter(|(_, answer)| answer.word == OwnerWord::No);
    no.map(|(finding, answer)| LeftFinding {
        words: finding.words.clone(),
        if_left: finding.if_left.clone(),
        by: answer.by.clone(),
        day: day_of(answer.stamp.at_ms, zone),
    })
    .collect()
}

/// An odometer's figure in km; `None` for hours of running.
pub(super) fn km_of(reading: OdometerValue) -> Option<f64> {
    km_in_unit(reading.unit).map(|unit_km| reading.value * unit_km)
}

/// A line for each measure and place that was read at two visits or more, with its limit.
fn wear_lines(book: &Book, looks: &[VisitLook]) -> Vec<WearLine> {
    let measures = book.measures.iter().filter(|measure| measure.grades.is_empty());
    measures
        .flat_map(|measure| measure.named_places().into_iter().map(move |place| (measure, place)))
        .filter_map(|(measure, place)| wear_line(measure, place, looks))
        .collect()
}

fn wear_line(measure: &Measure, place: &str, looks: &[VisitLook]) -> Option<WearLine> {
    let limits = measure.limits();
    let points: Vec<WearPoint> = looks
        .iter()
        .filter_map(|look| {
            let board = look.visit.boards.iter().find(|board| board.measure == measure.key)?;
            let at = board.places.iter().find(|at| at.place == place)?;
            let of_unit = at.readings.iter().filter(|reading| reading.unit == limits.unit);
            let values: Vec<f64> = of_unit.map(|reading| reading.value).collect();
            let km = km_of(look.visit.odometer?)?;
            let mean = values.iter().sum::<f64>() / values.len() as f64;
            mean.is_finite().then(|| WearPoint { km, value: mean, day: look.visit.day.clone() })
        })
        .collect();
    let (first, last) = (points.first()?, points.last()?);
    if points.len() < 2 {
        return None;
    }
    let limit = match (limits.low, limits.high) {
        (Some(low), Some(high)) => {
            if last.value < first.value {
                low
            } else {
                high
            }
        }
        (low, high) => low.or(high)?,
    };
    let (x, y): (Vec<f64>, Vec<f64>) = points.iter().map(|point| (point.km, point.value)).unzip();
    let found = forecast_wear(&WearQuestion {
        x: &x,
        y: &y,
        limit_y: limit,
        uncertainty_y: combine_gauge_uncertainty(None, limits.gauge_error),
        usual_rate: None,
        shape: LineShape::Free { degree: 1 },
        confidence_share: CONFIDENCE_SHARE,
    });
    let (forecast, reached_km) = match found {
        Ok(found) if found.is_past => (String::from("at its limit or beyond"), None),
        Ok(found) if found.leads_away => (String::from("it runs away from its limit"), None),
        Ok(found) => crossing_words(found.crossing, points.len()),
        Err(error) => (error.to_string(), None),
    };
    let picture = sketch_line(&x, &y, limit, reached_km);
    Some(WearLine {
        what: measure.name_at(place),
        unit: limits.unit,
        points,
        limit,
        forecast,
        reached_km,
        picture,
    })
}

/// Places at which the line is drawn.
const SKETCH_PLACES: u32 = 24;

/// The readings, the line through them with its interval as far as it is told, and the limit.
fn sketch_line(x: &[f64], y: &[f64], limit: f64, reached_km: Option<(f64, f64, f64)>) -> TrendPicture {
    let reached = reached_km.map(|(estimate, low, high)| [estimate, low, high]);
    let from = x.iter().copied().fold(f64::INFINITY, f64::min);
    let last = x.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let to = reached.map_or(last, |[estimate, ..]| last.max(estimate));
    let line = fit_trend_line(x, y, None, LineShape::Free { degree: 1 }).ok();
    let place = |step: u32| from + (to - from) * f64::from(step) / f64::from(SKETCH_PLACES);
    let row = |step: u32| {
        let line = line.as_ref()?;
        let height = line.height_at(place(step));
        let told = line.value_at(place(step), CONFIDENCE_SHARE);
        let (low, high) = told.map_or((height, height), |told| told.line_ends_y);
        Some([place(step), height, low, high])
    };
    TrendPicture {
        points: x.iter().copied().zip(y.iter().copied()).collect(),
        band: (0..=SKETCH_PLACES).filter_map(row).collect(),
        level: Some(limit),
        reached,
    }
}

/// Where a line reaches its limit, in words; few readings are called few.
fn crossing_words(crossing: LineCrossing, readings: usize) -> (String, Option<(f64, f64, f64)>) {
    let km = |x: f64| rounded_km(x);
    match crossing {
        LineCrossing::Between { estimate_x, low_x, high_x, .. } => {
            let few = if readings < trend::wear::LEAST_ALONE {
                format!("; only {readings} readings")
            } else {
                String::new()
            };
            let words = format!(
                "limit at about {} km, nine times in ten between {} and {} km{few}",
                km(estimate_x),
                km(low_x),
                km(high_x)
            );
            (words, Some((estimate_x, low_x, high_x)))
        }
        LineCrossing::EstimateOnly { estimate_x, .. } => {
            let words = format!(
                "limit at perhaps {} km; {readings} readings do not tell how sure that is",
                km(estimate_x)
            );
            (words, None)
        }
        LineCrossing::CannotTell { .. } => {
            (String::from("cannot tell: the readings do not show a rate"), None)
        }
    }
}

/// A distance to the thousand, from ten thousand on; below to the hundred.
pub(super) fn rounded_km(km: f64) -> String {
    let step = if km.abs() >= 10_000.0 { 1_000.0 } else { 100.0 };
    format!("{}", units::math::round(km / step) * step)
}
