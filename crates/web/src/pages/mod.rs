//! The pages, each in its own file; all are read without any script.

mod asides;
mod begin;
mod bench;
mod boards;
mod clocks;
mod day;
mod devices;
mod figures;
mod findings;
pub(crate) mod frame;
mod goal;
mod ledger;
mod lessons;
mod menus;
mod next;
mod paper;
mod pause;
mod pictures;
mod questions;
mod readings;
mod ready;
mod sheet;
mod tell;
mod trays;
mod vehicles;
mod visits;
mod week;
mod week_say;
mod workshop;

use std::sync::Arc;

use app::workshop::{Device, LiveVisit, VisitId, Workshop, WorkshopError};
use axum::extract::{Extension, FromRequestParts, Path};
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use self::frame::PageContext;
use crate::bench_state::SharedBench;
use crate::refusal::{ALL_VISITS, refusal_page};
use crate::routes::BenchRoute;

/// The pages and what their forms send.
pub(crate) fn page_routes() -> Vec<BenchRoute> {
    let mut routes = vec![
        BenchRoute::get("/", visits::visits_page),
        BenchRoute::get("/begin", begin::begin_page),
        BenchRoute::get("/calendar", week::week_page),
        BenchRoute::post("/calendar", week_say::say_of_week),
        BenchRoute::get("/today", day::day_page),
        BenchRoute::post("/begin", begin::begin_visit),
        BenchRoute::get("/lessons", lessons::lessons_page),
        BenchRoute::post("/lessons", lessons::decide_lesson),
        BenchRoute::get("/workshop", workshop::workshop_page),
        BenchRoute::post("/workshop", workshop::keep_terms),
        BenchRoute::post("/workshop/times", workshop::keep_times),
        BenchRoute::get("/vehicles", vehicles::vehicles_page),
        BenchRoute::get("/vehicles/{id}", vehicles::vehicle_page),
        BenchRoute::post("/vehicles/{id}/odometer", vehicles::keep_odometer),
        BenchRoute::post("/vehicles/{id}/elsewhere", vehicles::keep_elsewhere),
        BenchRoute::get("/v/{visit}/ready", ready::ready_page),
        BenchRoute::get("/v/{visit}/goal", goal::goal_page),
        BenchRoute::post("/v/{visit}/goal", goal::change_goal),
        BenchRoute::get("/v/{visit}/bench", bench::bench_page),
        BenchRoute::get("/v/{visit}/bench/sheets", bench::ahead_page),
        BenchRoute::get("/v/{visit}/next", next::next_page),
        BenchRoute::post("/v/{visit}/next/plan", next::plan_what_was_seen),
        BenchRoute::get("/v/{visit}/questions", questions::questions_page),
        BenchRoute::post("/v/{visit}/questions", questions::paste_rows),
        BenchRoute::get("/v/{visit}/trays", trays::trays_page),
        BenchRoute::get("/v/{visit}/readings", readings::readings_page),
        BenchRoute::get("/v/{visit}/pause", pause::pause_page),
        BenchRoute::get("/v/{visit}/ledger", ledger::ledger_page),
        BenchRoute::get("/v/{visit}/tell", tell::tell_page),
        BenchRoute::get("/v/{visit}/paper", paper::paper_page),
        BenchRoute::get("/v/{visit}/paper/{name}", paper::print_sheets),
        BenchRoute::get("/v/{visit}/slot/{slot}", paper::slot_page),
        BenchRoute::get("/scale-card.svg", paper::scale_card),
        BenchRoute::get("/asides", asides::asides_page),
        BenchRoute::post("/asides/{number}", asides::mark_aside_settled),
        BenchRoute::get("/picture/{name}", pictures::serve_picture),
        BenchRoute::get("/devices", devices::devices_page),
        BenchRoute::post("/devices", devices::new_code_page),
        BenchRoute::post("/devices/person", devices::name_person),
        BenchRoute::get("/devices/{device}/revoke", devices::confirm_revoking),
        BenchRoute::post("/devices/{device}/revoke", devices::revoke_device),
    ];
    routes.extend(figures::figure_routes());
    routes
}

/// What is to be known of pages that go over the network as they are.
pub(crate) const READABLE_WORDS: &str = "These pages go over the workshop's network in the clear: whoever shares it can read them, the \
     keys of devices with them. Use it in a network of your own, or start the server with --https.";

/// Why there is no page.
#[derive(Debug)]
pub(crate) enum PageFailure {
    /// There is no such thing.
    NotFound,
    /// The workshop cannot do it.
    Workshop(WorkshopError),
}

impl From<WorkshopError> for PageFailure {
    fn from(error: WorkshopError) -> Self {
        match error {
            WorkshopError::NoVisit(_) | WorkshopError::NoVehicle(_) => Self::NotFound,
            other => Self::Workshop(other),
        }
    }
}

impl From<app::workshop::ArchiveError> for PageFailure {
    fn from(error: app::workshop::ArchiveError) -> Self {
        Self::Workshop(WorkshopError::Store(error))
    }
}

impl IntoResponse for PageFailure {
    fn into_response(self) -> Response {
        let (status, heading, words) = match self {
            Self::NotFound => {
                let words = "There is no such page, visit or picture. The address may be mistyped, or the visit may be in \
                     another journal. Go on from the list of all visits.";
                (StatusCode::NOT_FOUND, "Not found", words.to_owned())
            }
            Self::Workshop(
                error @ (WorkshopError::Refused(_)
                | WorkshopError::Picture(_)
                | WorkshopError::Missing(_)
                | WorkshopError::Rest(_)),
            ) => (StatusCode::CONFLICT, "Not yet", error.to_string()),
            Self::Workshop(error) => {
                (StatusCode::INTERNAL_SERVER_ERROR, "This cannot be shown", error.to_string())
            }
        };
        refusal_page(status, heading, &words, ALL_VISITS)
    }
}

/// An address that leads nowhere.
pub(crate) async fn not_there() -> PageFailure {
    PageFailure::NotFound
}

/// Makes something of a visit at hand.
pub(crate) async fn with_live_visit<T: Send + 'static>(
    bench: &SharedBench,
    visit: &str,
    make: impl FnOnce(&LiveVisit) -> Result<T, PageFailure> + Send + 'static,
) -> Result<T, PageFailure> {
    let id = VisitId::new(visit).ok_or(PageFailure::NotFound)?;
    bench.with_workshop(move |workshop: &mut Workshop| make(workshop.visit(&id)?)).await
}

/// A device that asks for a sheet of a visit.
pub(crate) struct SheetRequest {
    pub(crate) bench: SharedBench,
    device: Device,
    visit: String,
}

impl FromRequestParts<SharedBench> for SheetRequest {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, bench: &SharedBench) -> Result<Self, Response> {
        let device = Extension::<Device>::from_request_parts(parts, bench).await;
        let visit = Path::<String>::from_request_parts(parts, bench).await;
        let Extension(device) = device.map_err(IntoResponse::into_response)?;
        let Path(visit) = visit.map_err(IntoResponse::into_response)?;
        Ok(Self { bench: Arc::clone(bench), device, visit })
    }
}

impl SheetRequest {
    /// The sheet with its heading, its place in the row of sheets and what is on it.
    pub(crate) async fn render_sheet(
        self,
        title: &'static str,
        here: &'static str,
        body: impl FnOnce(&LiveVisit, &PageContext) -> Markup + Send + 'static,
    ) -> Result<Markup, PageFailure> {
        let device = self.device;
        with_live_visit(&self.bench, &self.visit, move |live| {
            let stage = PageContext::for_device(live, &device);
            Ok(frame::scrolling_page(title, Some(&stage), here, &body(live, &stage)))
        })
        .await
    }
}

/// The word of a verdict; where it rests on nothing, that it is not known.
pub(crate) fn verdict_word(yes: bool, no_ground: Option<&str>) -> &'static str {
    match (no_ground, yes) {
        (Some(_), _) => "not known",
        (None, true) => "yes",
        (None, false) => "no",
    }
}

/// Why verdicts say nothing; nothing where they rest on something.
pub(crate) fn no_ground_notice(no_ground: Option<&str>) -> Markup {
    html! { @if let Some(why) = no_ground { p.refusal { (app::bench::capitalise_first(why)) "." } } }
}

/// A caution with its word, before what it is about.
pub(crate) fn caution_markup(caution: &app::model::Caution) -> Markup {
    let class = app::page::caution_class(caution.word);
    html! { div class={ "caution " (class) } { strong { (caution.word) } (caution.text) } }
}
