//! Pictures by the name of their content.

use app::record::ContentDigest;
use app::workshop::EventArchive;
use axum::extract::{Path, State};
use axum::http::header;
use axum::response::{IntoResponse, Response};

use super::PageFailure;
use crate::bench_state::SharedBench;

/// A picture; nothing else that the archive holds is given out here.
pub(crate) async fn serve_picture(
    State(bench): State<SharedBench>,
    Path(name): Path<String>,
) -> Result<Response, PageFailure> {
    let name = ContentDigest::new(&name).ok_or(PageFailure::NotFound)?;
    let found = bench.with_workshop(move |workshop| workshop.archive().find_document(&name)).await?;
    let document = found.filter(|d| d.media.starts_with("image/")).ok_or(PageFailure::NotFound)?;
    let kept = "private, max-age=31536000, immutable";
    Ok(([(header::CONTENT_TYPE, document.media), (header::CACHE_CONTROL, kept.into())], document.bytes)
        .into_response())
}
