//! Vehicles over the years: all of them, searched by a word; one with its visits, odometer, wear, and what falls due next.

use app::evidence::due::{DueStanding, TaskDue};
use app::evidence::odometer::OdometerHistory;
use app::evidence::vehicle::{PastVisit, VehicleHistory, WearLine};
use app::record::vehicle::OdometerValue;
use app::record::{DeviceId, VehicleBody, VehicleId};
use app::text::table::count_with_noun;
use app::trend::days::{DayForm, parse_day};
use app::workshop::{Device, KnownVehicle, WorkshopError};
use axum::extract::{Extension, Form, Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;

use super::boards::verdict_markup;
use super::{PageFailure, frame};
use crate::bench_state::SharedBench;

/// Lines told of other vehicles.
const MAX_ALIKE_ROWS: usize = 12;
/// Longest words of a form here.
const MAX_WORDS_LETTERS: usize = 80;

/// A word to search by.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct VehicleQuery {
    find: String,
}

/// All vehicles, or those that a word is found in.
pub(crate) async fn vehicles_page(
    State(bench): State<SharedBench>,
    Query(asked): Query<VehicleQuery>,
) -> Result<Markup, PageFailure> {
    let word = asked.find.clone();
    let found = bench.with_workshop(move |workshop| workshop.find_vehicles(&word)).await?;
    let body = html! {
        h1 { "Vehicles" }
        form.find method="get" action="/vehicles" {
            label { "Name, plate, own number, a finding, a part that was fitted" input name="find" value=(asked.find) maxlength=(MAX_WORDS_LETTERS) autocomplete="off"; }
            button { "Find" }
        }
        @if found.is_empty() { p { @if asked.find.is_empty() { "No vehicle yet; it comes with its first visit." } @else { "Nothing is found by that." } } }
        ul.rows { @for found in &found { li {
            span { a href={ "/vehicles/" (found.known.id) } { strong { (vehicle_name(&found.known)) } } }
            span.where { @if let Some(plate) = found.known.record.plate() { (plate) } }
            span.why { (count_with_noun(found.known.record.visit_ids().len(), "visit"))
                @if let Some(odometer) = found.known.record.odometer() { ", " (odometer.reading) } "."
                @for line in &found.lines { br; (line) "." } }
        } } }
    };
    Ok(frame::scrolling_page("Vehicles", None, "vehicles", &body))
}

fn vehicle_name(known: &KnownVehicle) -> String {
    let record = &known.record;
    let name = record.name().or(record.own_id()).or(record.plate());
    name.map_or_else(|| known.id.to_string(), str::to_owned)
}

/// One vehicle.
pub(crate) async fn vehicle_page(
    State(bench): State<SharedBench>,
    Path(id): Path<String>,
) -> Result<Markup, PageFailure> {
    let id = VehicleId::new(&id).ok_or(PageFailure::NotFound)?;
    let history = bench.with_workshop(move |workshop| workshop.vehicle_history(&id)).await;
    match history {
        Ok(history) => Ok(show_vehicle(&history, None)),
        Err(WorkshopError::NoVehicle(_)) => Err(PageFailure::NotFound),
        Err(error) => Err(error.into()),
    }
}

fn show_vehicle(history: &VehicleHistory, fault: Option<&str>) -> Markup {
    let title = vehicle_name(&history.known);
    let body = html! {
        h1 { (title) }
        @if let Some(fault) = fault { p.refusal role="alert" { (app::bench::capitalise_first(fault)) "." } }
        p { @if let Some(plate) = history.known.record.plate() { "Plate " (plate) ". " } (odometer_words(&history.odometer)) }
        (due_section(history))
        (wear_section(&history.wear))
        (left_section(history))
        (visits_section(&history.visits))
        (odometer_section(history))
    };
    frame::scrolling_page(&title, None, "vehicles", &body)
}

/// The newest reading and the distance a day.
fn odometer_words(odometer: &OdometerHistory) -> String {
    let Some((day, reading)) = odometer.last() else { return String::from("No odometer reading yet.") };
    let rate = match (&odometer.rate, odometer.unit_km()) {
        (Ok(answer), Some(unit_km)) => answer.answered.rate.map(|rate| {
            let figure = |km_per_day: f64| format!("{:.0}", km_per_day / unit_km);
            let high = rate.high_km_per_day.map_or_else(|| String::from("unknown"), figure);
            let few = if answer.used < 6 {
                format!("; {} readings are few, so what is usual counts as well", answer.used)
            } else {
                String::new()
            };
            format!(
                ", about {} {} a day, nine times in ten {} to {high}{few}",
                figure(rate.estimate_km_per_day),
                reading.unit,
                figure(rate.low_km_per_day)
            )
        }),
        _ => None,
    };
    format!("{reading} on {day}{}.", rate.unwrap_or_default())
}

/// What falls due, each with a box, so that one tap makes tasks of it.
fn due_section(history: &VehicleHistory) -> Markup {
    let book = history.visits.iter().find_map(|visit| visit.engine.as_ref());
    html! { section {
        h2 { "Falls due" }
        @if history.due.is_empty() {
            p { @if book.is_some() { "The book of this engine tells no intervals." } @else { "No book is known for this engine, so nothing tells what falls due." } }
        } @else {
            p { "By the intervals of the book; the maker's service data come first." }
            form method="get" action="/begin" {
                input type="hidden" name="vehicle" value=(history.known.id);
                input type="hidden" name="name" value=(vehicle_name(&history.known));
                ul.rows { @for due in &history.due { (due_row(due)) } }
                (alike_rows(history))
                button.main { "New visit with what is ticked" }
            }
            (elsewhere_form(history))
        }
    } }
}

fn due_row(due: &TaskDue) -> Markup {
    let sign = match due.standing {
        DueStanding::Due => "due",
        DueStanding::Likely => "likely due",
        DueStanding::Later => "later",
        DueStanding::NotKnown => "not known",
    };
    html! { li {
        label.tick { input type="checkbox" name="task" value=(due.task) checked[due.standing <= DueStanding::Likely]; strong { (app::bench::capitalise_first(&due.title)) } }
        span.where { (sign) }
        span.why { (app::bench::capitalise_first(&due.words)) ". " (app::bench::capitalise_first(&due.every)) @if let Some(last) = &due.last { "; last " (last) } "." }
    } }
}

/// What turned up on vehicles with the same engine; a box where a task of the book deals with it.
fn alike_rows(history: &VehicleHistory) -> Markup {
    html! { @if !history.alike.is_empty() {
        h3 { "Turned up on others with this engine" }
        ul.rows { @for seen in history.alike.iter().take(MAX_ALIKE_ROWS) { li {
            @if let Some(task) = &seen.task { label.tick { input type="checkbox" name="task" value=(task); strong { (app::bench::capitalise_first(&seen.what)) } } }
            @else { span { strong { (app::bench::capitalise_first(&seen.what)) } } }
            span.why { (app::bench::capitalise_first(&seen.count_words())) "." }
        } } }
    } }
}

/// What was done elsewhere, told by the owner, an invoice or a sticker.
fn elsewhere_form(history: &VehicleHistory) -> Markup {
    html! { details {
        summary { "Something of this was done elsewhere" }
        form method="post" action={ "/vehicles/" (history.known.id) "/elsewhere" } {
            label { "What" select name="task" { @for due in &history.due { option value=(due.task) { (due.title) } } } }
            div.pair {
                label { "Odometer then" input name="odometer" placeholder="310000 km" autocomplete="off" maxlength="20"; }
                label { "Day" input name="date" type="date"; }
            }
            label { "Who says so" input name="told_by" required maxlength=(MAX_WORDS_LETTERS) placeholder="the owner, an invoice, a sticker" autocomplete="off"; }
            button { "Keep it" }
        }
    } }
}

fn wear_section(wear: &[WearLine]) -> Markup {
    html! { @if !wear.is_empty() { section {
        h2 { "How it wears" }
        ul.rows { @for line in wear { li {
            span { strong { (app::bench::capitalise_first(&line.what)) } }
            span.where { "limit " (line.limit) " " (line.unit) }
            (frame::drawing_markup(&line.to_svg()))
            span.why { (app::bench::capitalise_first(&line.forecast)) "." }
        } } }
    } } }
}

fn left_section(history: &VehicleHistory) -> Markup {
    html! { @if !history.left.is_empty() { section {
        h2 { "Found, and left by the owner's word" }
        ul.rows { @for left in &history.left { li {
            span { strong { (left.words) } }
            span.why { @if !left.if_left.is_empty() { "If left: " (left.if_left) ". " } "Decided by " (left.by) @if let Some(day) = &left.day { ", " (day) } "." }
        } } }
    } } }
}

fn visits_section(visits: &[PastVisit]) -> Markup {
    html! { section {
        h2 { "Visits" }
        @for visit in visits { details open[!visit.is_closed] {
            summary { strong { (visit.day.as_deref().unwrap_or("day not known")) } @if let Some(odometer) = visit.odometer { ", " (odometer) } @if !visit.is_closed { ", open" } }
            p { a href={ "/v/" (visit.id) "/ledger" } { "To the visit" } @if let Some(engine) = &visit.engine { " (" (engine) ")" } ". " (count_with_noun(visit.pictures, "picture")) "." }
            @if !visit.done.is_empty() { p { strong { "Done: " } (visit.done.join("; ")) "." } }
            @if !visit.fitted.is_empty() { p { strong { "Fitted: " } (visit.fitted.join("; ")) "." } }
            @for board in &visit.boards { p { strong { (app::bench::capitalise_first(&board.title)) ": " }
                @for place in board.places.iter().filter(|place| place.shown.is_some()) {
                    @if !place.place.is_empty() { (place.place) " " } (place.shown.as_deref().unwrap_or_default()) " "
                    @if let Some(verdict) = &place.verdict { (verdict_markup(verdict)) " " }
                }
                @if let Some(spread) = &board.spread { (verdict_markup(spread)) } } }
        } }
    } }
}

fn odometer_section(history: &VehicleHistory) -> Markup {
    let slips = history.odometer.rate.as_ref().map_or(&[][..], |answer| answer.slips.as_slice());
    html! { section {
        h2 { "Odometer" }
        ul.rows { @for (day, reading) in history.odometer.readings.iter().rev() { li { span { strong { (reading) } } span.where { (day) } } } }
        @for slip in slips { p.refusal { (slip.noted_km) " km" @if let Some(day) = &slip.date { " of " (day) } ": " (slip.words)
            @if let Some(meant) = slip.suggested_km { "; perhaps " (meant) " km was meant" } "." } }
        form method="post" action={ "/vehicles/" (history.known.id) "/odometer" } {
            div.pair {
                label { "It shows" input name="odometer" placeholder="412300 km" required autocomplete="off" maxlength="20"; }
                label { "Day; today where empty" input name="date" type="date"; }
            }
            button { "Keep it" }
        }
    } }
}

/// What a form of the page says.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct VehicleForm {
    odometer: String,
    date: String,
    task: String,
    told_by: String,
}

impl VehicleForm {
    /// The odometer's figure; `None` where the box is empty.
    fn reading(&self) -> Result<Option<OdometerValue>, String> {
        if self.odometer.trim().is_empty() {
            return Ok(None);
        }
        let read = OdometerValue::parse_words(&self.odometer);
        let words = || {
            format!(
                "`{}` is not a distance with its unit; write it as 412300 km, 98500 mi or 2310 h",
                self.odometer
            )
        };
        read.map(Some).ok_or_else(words)
    }

    fn day(&self) -> Result<Option<String>, String> {
        let day = self.date.trim();
        if day.is_empty() {
            return Ok(None);
        }
        match parse_day(day) {
            Some((_, DayForm::Date)) => Ok(Some(day.to_owned())),
            _ => Err(format!("`{day}` is not a day; write it as 2026-03-14")),
        }
    }

    fn claim_odometer(&self) -> Result<VehicleBody, String> {
        let reading = self.reading()?.ok_or("write what the odometer shows, with its unit")?;
        Ok(VehicleBody::OdometerClaimed { reading, date: self.day()?, read_by: None })
    }

    fn claim_elsewhere(&self) -> Result<VehicleBody, String> {
        if self.task.trim().is_empty() || self.told_by.trim().is_empty() {
            return Err(String::from("say what was done and who says so"));
        }
        let (odometer, date) = (self.reading()?, self.day()?);
        if odometer.is_none() && date.is_none() {
            return Err(String::from("write when it was done: what the odometer showed, the day, or both"));
        }
        let (task, told_by) = (self.task.clone(), self.told_by.trim().to_owned());
        Ok(VehicleBody::DoneElsewhere { task, odometer, date, told_by })
    }
}

/// Keeps what the odometer shows.
pub(crate) async fn keep_odometer(
    bench: State<SharedBench>,
    device: Extension<Device>,
    id: Path<String>,
    Form(form): Form<VehicleForm>,
) -> Result<Response, PageFailure> {
    keep_claim(bench, device, id, form.claim_odometer()).await
}

/// Keeps what was done elsewhere.
pub(crate) async fn keep_elsewhere(
    bench: State<SharedBench>,
    device: Extension<Device>,
    id: Path<String>,
    Form(form): Form<VehicleForm>,
) -> Result<Response, PageFailure> {
    keep_claim(bench, device, id, form.claim_elsewhere()).await
}

/// Writes a claim and shows the vehicle anew; what cannot be used is said on it.
async fn keep_claim(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Path(id): Path<String>,
    claim: Result<VehicleBody, String>,
) -> Result<Response, PageFailure> {
    let vehicle = VehicleId::new(&id).ok_or(PageFailure::NotFound)?;
    let device: DeviceId = device.id;
    match claim {
        Ok(body) => {
            bench
                .with_workshop(move |workshop| workshop.say_of_vehicle(&vehicle, &device, vec![body]))
                .await?;
            Ok(Redirect::to(&format!("/vehicles/{id}")).into_response())
        }
        Err(fault) => {
            let history = bench.with_workshop(move |workshop| workshop.vehicle_history(&vehicle)).await?;
            Ok(show_vehicle(&history, Some(&fault)).into_response())
        }
    }
}
