//! What devices send: events and pictures.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Extension, Path, State};
use axum::http::HeaderMap;
use serde_json::value::RawValue;

use crate::bench::Shared;
use crate::pages::Failure;
use app::workshop::{Device, Sent, VisitId};

/// Events of one visit, in the order of their writing.
pub(crate) async fn events(
    State(bench): State<Shared>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
    Json(events): Json<Vec<Box<RawValue>>>,
) -> Result<Json<Vec<Sent>>, Failure> {
    let id = VisitId::new(&visit).ok_or(Failure::NotFound)?;
    let texts: Vec<String> = events.iter().map(|event| event.get().to_owned()).collect();
    let sent = bench.with(move |workshop| workshop.take(&id, &device.id, &texts)).await?;
    bench.tell(&visit);
    Ok(Json(sent))
}

/// A picture; answers with the names of the copy and of the original.
pub(crate) async fn picture(
    State(bench): State<Shared>,
    Path(visit): Path<String>,
    _headers: HeaderMap,
    body: Bytes,
) -> Result<Json<app::workshop::KeptPicture>, Failure> {
    let id = VisitId::new(&visit).ok_or(Failure::NotFound)?;
    Ok(Json(bench.with(move |workshop| workshop.put_picture(&id, &body)).await?))
}
