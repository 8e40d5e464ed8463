//! Kept aside: what a device sent and the journal could not take; nothing of it is lost, a person looks at each.

use std::collections::BTreeMap;

use app::workshop::{EventArchive, KeptAside};
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::{PageFailure, frame};
use crate::bench_state::SharedBench;

/// Letters of a text that are shown; the rest is in the journal.
const MAX_SHOWN_LETTERS: usize = 600;

/// All that is kept aside, what nobody has seen to first.
pub(crate) async fn asides_page(State(bench): State<SharedBench>) -> Result<Markup, PageFailure> {
    let mut all = bench.with_workshop(|workshop| workshop.archive().list_asides()).await?;
    all.sort_by_key(|aside| (aside.settled, aside.number));
    let devices = bench.keys.all_devices().into_iter().map(|d| (d.id.to_string(), d.name));
    let names: BTreeMap<String, String> = devices.collect();
    let body = html! {
        h1 { "Kept aside" }
        p { "What a device sent and the journal could not accept. It is kept here unchanged; if it records work, enter that work again on the bench." }
        @if all.is_empty() { p.big { "Nothing." } }
        ul.rows { @for aside in &all { (aside_row(aside, &names)) } }
    };
    Ok(frame::scrolling_page("Kept aside", None, "asides", &body))
}

fn aside_row(aside: &KeptAside, names: &BTreeMap<String, String>) -> Markup {
    let device = names.get(&aside.device).map_or("the computer", String::as_str);
    let text: String = aside.text.chars().take(MAX_SHOWN_LETTERS).collect();
    html! {
        li {
            span { strong { (app::bench::capitalise_first(&aside.reason)) } }
            span { "from " (device) }
            span.why { pre { (text) } }
            @if aside.settled { span.why { "Dealt with." } }
            @else { form.why method="post" action={ "/asides/" (aside.number) } { button { "Mark as dealt with" } } }
        }
    }
}

/// Says that a person has seen to one.
pub(crate) async fn mark_aside_settled(
    State(bench): State<SharedBench>,
    Path(number): Path<u64>,
) -> Result<Response, PageFailure> {
    bench.with_workshop(move |workshop| workshop.archive_mut().settle_aside(number)).await?;
    Ok(Redirect::to("/asides").into_response())
}
