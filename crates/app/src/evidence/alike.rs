//! What turned up on other vehicles with the same engine, with the number behind it: also what no schedule asks for.
//!
//! Vehicles are alike where their last book has one key. Each vehicle counts once for a thing, however often it turned up. Nothing is
//! extrapolated: of how many vehicles it is seen, and at which least and greatest distance, is all that is said.

// symbol: km = distance that the odometer showed

use std::collections::{BTreeMap, BTreeSet};

use model::{Book, FastenerState};
use record::{VehicleId, Visit};
use trend::reading_verdict::ReadingOutcome;

use super::readings::boards_of_visit;
use super::vehicle::km_of;
use crate::titles;
use crate::workshop::{LiveVisit, Workshop, WorkshopError};

/// Something that turned up on vehicles with the same engine.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenAlike {
    /// What, in words: `shaft play outside its limits`.
    pub what: String,
    /// The task that looks at it, measures it or renews it, by its key.
    pub task: Option<String>,
    /// On how many vehicles it was seen.
    pub vehicles: usize,
    /// Of how many that were looked at.
    pub of: usize,
    /// The least and the greatest distance at which it was seen.
    pub km: Option<(f64, f64)>,
}

impl SeenAlike {
    /// "on 2 of 5 vehicles with this engine, at 210000 to 340000 km".
    #[must_use]
    pub fn count_words(&self) -> String {
        let at = match self.km {
            Some((low, high)) if low == high => format!(", at {} km", super::vehicle::rounded_km(low)),
            Some((low, high)) => {
                format!(", at {} to {} km", super::vehicle::rounded_km(low), super::vehicle::rounded_km(high))
            }
            None => String::new(),
        };
        format!("on {} of {} other vehicles with this engine{at}", self.vehicles, self.of)
    }
}

/// What is counted of one thing.
#[derive(Default)]
struct AlikeTally {
    task: Option<String>,
    vehicles: BTreeSet<VehicleId>,
    km: Vec<f64>,
}

/// What turned up in one visit: in words, with the task that deals with it.
type Turned = BTreeMap<String, Option<String>>;

impl Workshop {
    /// What turned up on the other vehicles whose engine has the book of this key, most vehicles first.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read. A visit that cannot be read is not counted.
    pub fn seen_alike(&mut self, own: &VehicleId, book_key: &str) -> Result<Vec<SeenAlike>, WorkshopError> {
        let mut tally: BTreeMap<String, AlikeTally> = BTreeMap::new();
        let mut alike = 0;
        for known in self.list_vehicles()?.into_iter().filter(|known| known.id != *own) {
            let mut is_alike = false;
            for id in known.record.visit_ids() {
                let Ok(live) = self.visit(&id) else { continue };
                if live.book().is_none_or(|book| book.key != book_key) {
                    continue;
                }
                is_alike = true;
                let km = visit_km(live);
                for (what, task) in turned_up(live) {
                    let line = tally.entry(what).or_default();
                    line.task = line.task.take().or(task);
                    line.vehicles.insert(known.id.clone());
                    line.km.extend(km);
                }
            }
            alike += usize::from(is_alike);
        }
        let ends = |all: &[f64]| {
            let low = all.iter().copied().fold(f64::INFINITY, f64::min);
            let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            (!all.is_empty()).then_some((low, high))
        };
        let mut seen: Vec<SeenAlike> = tally
            .into_iter()
            .map(|(what, line)| SeenAlike {
                what,
                task: line.task,
                vehicles: line.vehicles.len(),
                of: alike,
                km: ends(&line.km),
            })
            .collect();
        seen.sort_by(|a, b| b.vehicles.cmp(&a.vehicles).then(a.what.cmp(&b.what)));
        Ok(seen)
    }
}

fn visit_km(live: &LiveVisit) -> Option<f64> {
    let odometer = live.state().opened.as_ref()?.odometer.as_deref()?;
    record::vehicle::OdometerValue::parse_words(odometer).and_then(km_of)
}

/// Readings outside their limits, findings, and fasteners that broke.
fn turned_up(live: &LiveVisit) -> Turned {
    let (Some(book), visit) = (live.book(), live.state()) else { return Turned::new() };
    let mut turned = Turned::new();
    let asked = live.plan().map_or(&[][..], |plan| plan.asked.tasks.as_slice());
    for board in boards_of_visit(Some(book), asked, visit) {
        if board.outcome() == Some(ReadingOutcome::Fail) {
            let measure = book.measures.iter().find(|measure| measure.key == board.measure);
            let task = measure.and_then(|measure| Some(book.task(measure.task?).key.clone()));
            turned.insert(format!("{} outside its limits", board.title), task);
        }
    }
    for finding in visit.findings.values() {
        turned.insert(finding_words(book, finding), finding.task.clone());
    }
    broken_fixings(book, visit).into_iter().for_each(|words| _ = turned.insert(words, None));
    turned
}

/// A finding by its task, where it names one, so that the same thing in other words counts together.
fn finding_words(book: &Book, finding: &record::visit::Finding) -> String {
    let task = finding.task.as_ref().and_then(|key| book.task_by_key(key)).map(|id| book.task(id));
    task.map_or_else(|| finding.words.trim().to_lowercase(), |task| format!("found to need: {}", task.title))
}

fn broken_fixings(book: &Book, visit: &Visit) -> BTreeSet<String> {
    let broken = visit.fasteners.iter().filter(|(_, _, fastener)| fastener.state == FastenerState::Broken);
    let happened = visit.happenings.values().filter_map(|told| {
        (told.what == record::VisitHappeningKind::Broken).then_some(told.at.fixing.as_deref()).flatten()
    });
    let fixings = broken.map(|(fixing, ..)| fixing).chain(happened);
    fixings.map(|fixing| format!("broke while undone: {}", titles::fixing_title(book, fixing))).collect()
}
