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

use app::workshop::{Device, Live, VisitId, Workshop, WorkshopError};
use axum::Router;
use axum::extract::{Extension, FromRequestParts, Path};
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use maud::{Markup, html};

use self::frame::Stage;
use crate::bench::Shared;

/// The pages and what their forms send.
pub(crate) fn routes() -> Router<Shared> {
    Router::new()
        .route("/", get(visits::page))
        .route("/v/{visit}/ready", get(ready::page))
        .route("/v/{visit}/bench", get(bench::page))
        .route("/v/{visit}/bench/sheets", get(bench::sheets))
        .route("/v/{visit}/trays", get(trays::page))
        .route("/v/{visit}/readings", get(readings::page))
        .route("/v/{visit}/pause", get(pause::page))
        .route("/v/{visit}/ledger", get(ledger::page))
        .route("/v/{visit}/tell", get(tell::page))
        .route("/v/{visit}/paper", get(paper::page))
        .route("/v/{visit}/paper/{name}", get(paper::sheets))
        .route("/v/{visit}/slot/{slot}", get(paper::slot))
        .route("/asides", get(asides::page))
        .route("/asides/{number}", post(asides::settle))
        .route("/picture/{name}", get(pictures::picture))
        .route("/devices", get(devices::page).post(devices::new_code))
        .route("/devices/{device}/revoke", post(devices::revoke))
        .merge(figures::routes())
        .fallback(not_there)
}

/// Why there is no page.
#[derive(Debug)]
pub(crate) enum Failure {
    /// There is no such thing.
    NotFound,
    /// The workshop cannot do it.
    Workshop(WorkshopError),
}

impl From<WorkshopError> for Failure {
    fn from(error: WorkshopError) -> Self {
        match error {
            WorkshopError::NoVisit(_) => Self::NotFound,
            other => Self::Workshop(other),
        }
    }
}

impl From<app::workshop::StoreError> for Failure {
    fn from(error: app::workshop::StoreError) -> Self {
        Self::Workshop(WorkshopError::Store(error))
    }
}

impl IntoResponse for Failure {
    fn into_response(self) -> Response {
        let (status, heading, words) = match self {
            Self::NotFound => {
                let words = "There is no such page, visit or picture. The address may be mistyped, or the visit may lie in \
                     another journal.";
                (StatusCode::NOT_FOUND, "Not there", words.to_owned())
            }
            Self::Workshop(error @ (WorkshopError::Refused(_) | WorkshopError::Picture(_))) => {
                (StatusCode::CONFLICT, "Not yet", error.to_string())
            }
            Self::Workshop(error) => {
                (StatusCode::INTERNAL_SERVER_ERROR, "The workshop cannot show it", error.to_string())
            }
        };
        let body = html! { main.plain { h1 { (heading) } p.refusal { (words) } div.one { a.main href="/" { "All visits" } } } };
        (status, frame::bare(heading, &body)).into_response()
    }
}

/// An address that leads nowhere.
async fn not_there() -> Failure {
    Failure::NotFound
}

/// Makes something of a visit at hand.
pub(crate) async fn of_visit<T: Send + 'static>(
    bench: &Shared,
    visit: &str,
    make: impl FnOnce(&Live) -> Result<T, Failure> + Send + 'static,
) -> Result<T, Failure> {
    let id = VisitId::new(visit).ok_or(Failure::NotFound)?;
    bench.with(move |workshop: &mut Workshop| make(workshop.visit(&id)?)).await
}

/// A device that asks for a sheet of a visit.
pub(crate) struct Asked {
    pub(crate) bench: Shared,
    device: Device,
    visit: String,
}

impl FromRequestParts<Shared> for Asked {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, bench: &Shared) -> Result<Self, Response> {
        let device = Extension::<Device>::from_request_parts(parts, bench).await;
        let visit = Path::<String>::from_request_parts(parts, bench).await;
        let Extension(device) = device.map_err(IntoResponse::into_response)?;
        let Path(visit) = visit.map_err(IntoResponse::into_response)?;
        Ok(Self { bench: Arc::clone(bench), device, visit })
    }
}

impl Asked {
    /// The sheet with its heading, its place in the row of sheets and what stands on it.
    pub(crate) async fn sheet(
        self,
        title: &'static str,
        here: &'static str,
        body: impl FnOnce(&Live, &Stage) -> Markup + Send + 'static,
    ) -> Result<Markup, Failure> {
        let device = self.device.id;
        of_visit(&self.bench, &self.visit, move |live| {
            let stage = Stage::of(live, &device);
            Ok(frame::page(title, Some(&stage), here, &body(live, &stage)))
        })
        .await
    }
}

/// A caution with its word, before what it is about.
pub(crate) fn caution(caution: &app::model::Caution) -> Markup {
    let word = caution.word.to_string();
    let class = match word.as_str() {
        "DANGER" => "danger",
        "WARNING" => "warning",
        "CAUTION" => "caution-word",
        _ => "notice",
    };
    html! { div class={ "caution " (class) } { strong { (word) } (caution.text) } }
}
