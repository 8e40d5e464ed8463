//! Figures: why a step's figure is what it is, and the same sums for any bolt and wrench.

use axum::extract::{Path, State};
use maud::{Markup, html};

use super::frame;
use super::{Failure, of_visit};
use crate::bench::Shared;

/// Sums beside the bench.
pub(crate) async fn page() -> Markup {
    let body = html! { h1 { "Figures" } };
    frame::page("Figures", None, "figures", &body)
}

/// Why this figure?
pub(crate) async fn why(
    State(bench): State<Shared>,
    Path((visit, step)): Path<(String, u32)>,
) -> Result<Markup, Failure> {
    of_visit(&bench, &visit, move |_live| {
        let body = html! { h1 { "Why this figure? " (step) } };
        Ok(frame::page("Why this figure?", None, "", &body))
    })
    .await
}
