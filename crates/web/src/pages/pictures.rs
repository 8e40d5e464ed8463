//! Pictures by the name of their content.

use app::journal::Digest;
use app::workshop::Archive;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

use super::Failure;
use crate::bench::Shared;

/// A picture; nothing else that the archive holds is given out here.
pub(crate) async fn picture(
    State(bench): State<Shared>,
    Path(name): Path<String>,
) -> Result<Response, Failure> {
    let name = Digest::new(&name).ok_or(Failure::NotFound)?;
    let found = bench.with(move |workshop| workshop.archive().document(&name)).await?;
    let document = found.filter(|d| d.media.starts_with("image/")).ok_or(Failure::NotFound)?;
    let kept = "private, max-age=31536000, immutable";
    Ok(([(header::CONTENT_TYPE, document.media), (header::CACHE_CONTROL, kept.into())], document.bytes)
        .into_response())
}
