//! What a tap on the calendar's page says, and where it leads back to.

use app::week::{DateShift, ThingDay, WeekSaying, local_now, parse_stretches};
use app::workshop::{Device, VisitId, Workshop, WorkshopError};
use axum::Form;
use axum::extract::{Extension, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::PageFailure;
use crate::bench_state::SharedBench;

/// What a form of the page sends; empty where it has no such field.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct WeekForm {
    what: String,
    visit: String,
    part: String,
    to: String,
    date: String,
    hours: String,
}

impl WeekForm {
    /// What it says; `None` for a form that is none of ours.
    fn saying(&self) -> Result<Option<WeekSaying>, PageFailure> {
        let stretches = || parse_stretches(self.hours.lines().filter(|line| !line.trim().is_empty()));
        let stretches = || stretches().map_err(|error| refused(WorkshopError::Ask(error)));
        let visit = || VisitId::new(&self.visit).ok_or(PageFailure::NotFound);
        let day = self.date.clone();
        Ok(match (self.what.as_str(), self.to.as_str()) {
            ("hours", _) => Some(WeekSaying::Hours(stretches()?)),
            ("helper", _) => Some(WeekSaying::HelperHours(stretches()?)),
            ("lost", _) => Some(WeekSaying::Closed { day, why: String::from("day lost") }),
            ("closed", _) => Some(WeekSaying::Closed { day, why: String::from("closed") }),
            ("opened", _) => Some(WeekSaying::Opened { day }),
            ("first", to) => Some(WeekSaying::First { visit: visit()?, is_first: to == "yes" }),
            ("promise", to) => {
                let to = match to {
                    "earlier" => DateShift::DayEarlier,
                    "later" => DateShift::DayLater,
                    "none" => DateShift::Dropped,
                    _ => DateShift::To(day),
                };
                Some(WeekSaying::Promise { visit: visit()?, to })
            }
            ("part", to) => {
                let day = match (to, to.parse()) {
                    ("here", _) => ThingDay::Here,
                    (_, Ok(days)) => ThingDay::InDays(days),
                    _ => ThingDay::On(day),
                };
                Some(WeekSaying::Part { visit: visit()?, part: self.part.clone(), day })
            }
            _ => None,
        })
    }
}

/// Words that do not do are the user's to correct.
fn refused(error: WorkshopError) -> PageFailure {
    match error {
        WorkshopError::Ask(error) => PageFailure::Workshop(WorkshopError::Rest(error.to_string())),
        other => other.into(),
    }
}

/// Writes what was tapped, and shows the calendar again where it was.
pub(crate) async fn say_of_week(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Form(form): Form<WeekForm>,
) -> Result<Response, PageFailure> {
    let saying = form.saying()?.ok_or(PageFailure::NotFound)?;
    let place =
        bench.with_workshop(move |workshop: &mut Workshop| write_saying(workshop, &device, saying)).await?;
    Ok(Redirect::to(&format!("/calendar{place}")).into_response())
}

/// Gives the part of the page that it was said at.
fn write_saying(workshop: &mut Workshop, device: &Device, saying: WeekSaying) -> Result<String, PageFailure> {
    let visit = match &saying {
        WeekSaying::Promise { visit, .. }
        | WeekSaying::Part { visit, .. }
        | WeekSaying::First { visit, .. } => Some(visit.clone()),
        WeekSaying::Hours(_)
        | WeekSaying::HelperHours(_)
        | WeekSaying::Times { .. }
        | WeekSaying::Closed { .. }
        | WeekSaying::Opened { .. } => None,
    };
    workshop.say_of_week(&device.id, saying, &local_now()).map_err(refused)?;
    let Some(visit) = visit else { return Ok(String::new()) };
    let opened = workshop.visit(&visit)?.state().opened.as_ref();
    Ok(opened
        .and_then(|o| o.letter.chars().next())
        .map_or_else(String::new, |letter| format!("#vehicle-{letter}")))
}
