//! What jobs took against what they were planned to take, and on which parts the difference lies.
//!
//! Every tap closes a piece of work that began with the tap before it. A gap is a break where work was paused, or where it is both longer than
//! a quarter of an hour and more than four times the planned time of what it closes (assumption); breaks are left out. What was closed
//! within seconds of the tap before counts with that one, because several things are often told at once.

// symbol: at_ms = milliseconds since 1970-01-01

use std::collections::{BTreeMap, BTreeSet};

use archive::EventArchive;
use model::Book;
use model::plan::Plan;
use record::{AnyEvent, Event, StreamRef, VisitBody};
use times::{FinishedItem, PIECE_SPREAD_RATIO};

use crate::paper::hands_on_s;
use crate::text::table::spoken_time;
use crate::titles;
use crate::workshop::{VisitId, Workshop, WorkshopError};

/// A gap is no break up to this, s. (Assumption.)
const SHORT_GAP_S: f64 = 900.0;
/// Nor up to so many times the planned time of what it closes. (Assumption.)
const BREAK_RATIO: f64 = 4.0;
/// A part that took less than this beyond its plan is no cause, s. (Assumption.)
const LEAST_CAUSE_S: f64 = 60.0;
/// Causes told of one job.
const MAX_CAUSES: usize = 3;

/// A finished job.
#[derive(Debug, Clone, PartialEq)]
pub struct JobActual {
    /// The visit.
    pub visit: VisitId,
    /// What a person calls the vehicle.
    pub name: String,
    /// Title of the book.
    pub engine: Option<String>,
    /// Hands-on time as planned, s.
    pub planned_s: f64,
    /// Hands-on time by the taps, breaks left out, s.
    pub actual_s: f64,
    /// Pieces of work whose time was told from a break.
    pub timed_steps: usize,
    /// Parts on which most of the difference lies, in words, the largest first.
    pub causes: Vec<String>,
    /// Planned and actual time of each part that was timed, s.
    pub pieces: Vec<PieceTime>,
}

/// What one part took.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PieceTime {
    /// As planned, s.
    pub planned_s: f64,
    /// By the taps, s.
    pub actual_s: f64,
}

impl PieceTime {
    /// Whether the taps time it: what is told several times as fast or as slowly as planned was ticked afterwards, or beside other work.
    #[must_use]
    pub fn is_timed(self) -> bool {
        let ratio = self.actual_s / self.planned_s.max(1.0);
        self.planned_s > 0.0 && (1.0 / TIMED_RATIO..=TIMED_RATIO).contains(&ratio)
    }
}

/// A piece counts as timed up to so many times its plan, and from that share of it on. (Assumption.)
const TIMED_RATIO: f64 = 5.0;
/// Jobs whose times teach the calendar: the newest.
const MAX_TAUGHT_JOBS: usize = 20;

/// What the newest finished jobs teach, the oldest of them first: a list for each of its pieces of work with a plan and a time. The first job on an engine
/// is held against its planned times with the workshop's first-time factor.
///
/// # Errors
/// As [`Workshop::list_job_actuals`].
pub fn finished_items(workshop: &mut Workshop) -> Result<Vec<Vec<FinishedItem>>, WorkshopError> {
    let first_ratio = workshop.time_settings().first_time_ratio();
    // Which job was an engine's first is known only from all of them.
    let most = if first_ratio > 1.0 { usize::MAX } else { MAX_TAUGHT_JOBS };
    let mut jobs = workshop.list_job_actuals(most)?;
    jobs.reverse();
    let mut known = BTreeSet::new();
    let mut taught = Vec::new();
    for job in &jobs {
        let is_first = known.insert(job.engine.as_deref());
        let ratio = if is_first { first_ratio } else { 1.0 };
        let item = |piece: &PieceTime| FinishedItem {
            estimated_s: piece.planned_s * ratio,
            actual_s: piece.actual_s,
            spread_ratio: PIECE_SPREAD_RATIO,
        };
        taught.push(job.pieces.iter().filter(|piece| piece.is_timed()).map(item).collect());
    }
    Ok(taught.split_off(taught.len().saturating_sub(MAX_TAUGHT_JOBS)))
}

/// Titles of the engines that the workshop has finished a visit with.
///
/// # Errors
/// [`WorkshopError::Store`] when the archive cannot be read.
pub fn list_known_engines(workshop: &mut Workshop) -> Result<BTreeSet<String>, WorkshopError> {
    let mut known = BTreeSet::new();
    for id in workshop.list_visits()? {
        let Ok(live) = workshop.visit(&id) else { continue };
        if live.state().closed.is_some() {
            known.extend(live.book().map(|book| book.title.clone()));
        }
    }
    Ok(known)
}

impl Workshop {
    /// The newest closed visits that were planned, `most` of them, each against its last whole plan, the newest first.
    ///
    /// # Errors
    /// [`WorkshopError::Store`] when the archive cannot be read.
    pub fn list_job_actuals(&mut self, most: usize) -> Result<Vec<JobActual>, WorkshopError> {
        let mut jobs = Vec::new();
        for id in self.list_visits()?.into_iter().rev() {
            if jobs.len() == most {
                break;
            }
            let Ok(live) = self.visit(&id) else { continue };
            let (Some(book), Some(plan), Some(_)) =
                (live.book().cloned(), live.plan().cloned(), &live.state().closed)
            else {
                continue;
            };
            let name = live.state().opened.as_ref().map_or_else(String::new, |opened| opened.name.clone());
            let events = self.read_visit_events(&id)?;
            jobs.push(time_job(&id, name, (&book, &plan), &events));
        }
        Ok(jobs)
    }

    /// All events of a visit by their clock, those taken back included.
    pub(crate) fn read_visit_events(&self, id: &VisitId) -> Result<Vec<Event>, WorkshopError> {
        let mut events = Vec::new();
        self.archive().read_events(&StreamRef::from(id), 0, &mut |kept| {
            if let AnyEvent::Visit(event) = kept.event {
                events.push(event);
            }
            true
        })?;
        events.sort_by_key(|event| (event.at_ms, event.order.clone()));
        Ok(events)
    }
}

fn time_job(visit: &VisitId, name: String, (book, plan): (&Book, &Plan), events: &[Event]) -> JobActual {
    let planned = planned_by_part(plan);
    let (mut actual_s, mut timed_steps) = (0.0, 0);
    let mut by_part: BTreeMap<&str, f64> = BTreeMap::new();
    let mut last_ms: Option<i64> = None;
    let mut is_paused = false;
    for event in events {
        match &event.body {
            VisitBody::Paused { .. } => is_paused = true,
            VisitBody::Resumed => {
                is_paused = false;
                last_ms = Some(event.at_ms);
                continue;
            }
            _ => {}
        }
        let part = part_of_body(book, &event.body);
        let usual_s = part.and_then(|part| planned.get(part)).copied().unwrap_or(0.0);
        let gap_s = last_ms.map_or(0.0, |last| (event.at_ms - last).max(0) as f64 / 1_000.0);
        if is_work(gap_s, usual_s) && !is_paused {
            actual_s += gap_s;
            timed_steps += usize::from(gap_s > 0.0);
            if let Some(part) = part {
                *by_part.entry(part).or_default() += gap_s;
            }
        }
        last_ms = Some(event.at_ms);
    }
    let engine = Some(book.title.clone());
    let causes = find_causes(book, &planned, &by_part);
    let piece = |(part, actual_s): (&&str, &f64)| {
        Some(PieceTime { planned_s: *planned.get(part)?, actual_s: *actual_s })
    };
    let pieces = by_part.iter().filter_map(piece).collect();
    JobActual {
        visit: visit.clone(),
        name,
        engine,
        planned_s: hands_on_s(plan),
        actual_s,
        timed_steps,
        causes,
        pieces,
    }
}

/// Whether a gap before what was closed is work, and no break.
fn is_work(gap_s: f64, usual_s: f64) -> bool {
    gap_s <= SHORT_GAP_S.max(BREAK_RATIO * usual_s)
}

/// Planned hands-on time of each part, s.
fn planned_by_part(plan: &Plan) -> BTreeMap<&str, f64> {
    let mut all: BTreeMap<&str, f64> = BTreeMap::new();
    for step in record::steps_of(plan) {
        if let Some(part) = step.part.as_deref() {
            *all.entry(part).or_default() += step.setup_s + step.work_s;
        }
    }
    all
}

/// The part that an event is about.
fn part_of_body<'b>(book: &'b Book, body: &VisitBody) -> Option<&'b str> {
    let part = |key: &str| book.part_by_key(key).map(|id| book.part(id).key.as_str());
    match body {
        VisitBody::Marked { fixing, .. } | VisitBody::Renewed { fixing, .. } => {
            let fixing = book.fixing(book.fixing_by_key(fixing)?);
            Some(book.part(fixing.part).key.as_str())
        }
        VisitBody::PartOff { part: key } | VisitBody::PartOn { part: key } => part(key),
        VisitBody::Happened { at, .. } => part(at.part.as_deref()?),
        _ => None,
    }
}

/// The parts that took most longer than planned.
fn find_causes(book: &Book, of_plan_s: &BTreeMap<&str, f64>, by_taps_s: &BTreeMap<&str, f64>) -> Vec<String> {
    let planned_s = |part: &str| of_plan_s.get(part).copied().unwrap_or(0.0);
    let mut all: Vec<(&str, f64)> = by_taps_s.iter().map(|(part, actual_s)| (*part, *actual_s)).collect();
    all.retain(|(part, actual_s)| actual_s - planned_s(part) > LEAST_CAUSE_S);
    all.sort_by(|a, b| (b.1 - planned_s(b.0)).total_cmp(&(a.1 - planned_s(a.0))));
    let words = |(part, actual_s): (&str, f64)| {
        let (title, actual, planned) =
            (titles::part_title(book, part), spoken_time(actual_s), spoken_time(planned_s(part)));
        format!("{title}, {actual} where {planned} were planned")
    };
    all.into_iter().take(MAX_CAUSES).map(words).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_gap_is_a_break_unless_the_work_is_long() {
        assert!(is_work(899.0, 60.0));
        assert!(!is_work(901.0, 60.0));
        assert!(is_work(3_600.0, 1_000.0));
        assert!(!is_work(4_001.0, 1_000.0));
    }

    #[test]
    fn what_was_ticked_afterwards_teaches_nothing() {
        let piece = |planned_s, actual_s| PieceTime { planned_s, actual_s };
        assert!(piece(600.0, 700.0).is_timed());
        assert!(!piece(600.0, 2.0).is_timed(), "ticked at once");
        assert!(!piece(600.0, 3_100.0).is_timed(), "other work lay between");
        assert!(!piece(0.0, 60.0).is_timed(), "nothing was planned for it");
    }
}
