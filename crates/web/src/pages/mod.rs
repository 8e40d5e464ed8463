//! The pages, each in its own file; all are read without any script.

mod asides;
mod bench;
mod devices;
mod figures;
pub(crate) mod frame;
mod ledger;
mod paper;
mod pause;
mod pictures;
mod readings;
mod ready;
mod tell;
mod trays;
mod visits;

use std::sync::Arc;

use app::workshop::{Device, LiveVisit, VisitId, Workshop, WorkshopError};
use axum::Router;
use axum::extract::{Extension, FromRequestParts, Path};
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use maud::{Markup, html};

use self::frame::PageContext;
use crate::bench_state::SharedBench;

/// The pages and what their forms send.
pub(crate) fn page_routes() -> Router<SharedBench> {
    Router::new()
        .route("/", get(visits::visits_page))
        .route("/v/{visit}/ready", get(ready::ready_page))
        .route("/v/{visit}/bench", get(bench::bench_page))
        .route("/v/{visit}/bench/sheets", get(bench::ahead_page))
        .route("/v/{visit}/trays", get(trays::trays_page))
        .route("/v/{visit}/readings", get(readings::readings_page))
        .route("/v/{visit}/pause", get(pause::pause_page))
        .route("/v/{visit}/ledger", get(ledger::ledger_page))
        .route("/v/{visit}/tell", get(tell::tell_page))
        .route("/v/{visit}/paper", get(paper::paper_page))
        .route("/v/{visit}/paper/{name}", get(paper::print_sheets))
        .route("/v/{visit}/slot/{slot}", get(paper::slot_page))
        .route("/asides", get(asides::asides_page))
        .route("/asides/{number}", post(asides::mark_aside_settled))
        .route("/picture/{name}", get(pictures::serve_picture))
        .route("/devices", get(devices::devices_page).post(devices::new_code_page))
        .route("/devices/person", post(devices::name_person))
        .route("/devices/{device}/revoke", post(devices::revoke_device))
        .merge(figures::figure_routes())
        .fallback(not_there)
}

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
                let words = "There is no such page, visit or picture. The address may be mistyped, or the visit may lie in \
                     another journal.";
                (StatusCode::NOT_FOUND, "Not there", words.to_owned())
            }
            Self::Workshop(
                error @ (WorkshopError::Refused(_) | WorkshopError::Picture(_) | WorkshopError::Missing(_)),
            ) => (StatusCode::CONFLICT, "Not yet", error.to_string()),
            Self::Workshop(error) => {
                (StatusCode::INTERNAL_SERVER_ERROR, "The workshop cannot show it", error.to_string())
            }
        };
        let body = html! { main.plain { h1 { (heading) } p.refusal { (words) } div.one { a.main href="/" { "All visits" } } } };
        (status, frame::bare_page(heading, &body)).into_response()
    }
}

/// An address that leads nowhere.
async fn not_there() -> PageFailure {
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
    /// The sheet with its heading, its place in the row of sheets and what stands on it.
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

/// A caution with its word, before what it is about.
pub(crate) fn caution_markup(caution: &app::model::Caution) -> Markup {
    let class = app::page::caution_class(caution.word);
    html! { div class={ "caution " (class) } { strong { (caution.word) } (caution.text) } }
}
