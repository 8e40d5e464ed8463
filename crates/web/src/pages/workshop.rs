//! What holds for the whole workshop: what an hour costs, what stands under an estimate, how the estimates have done.

use app::evidence::actual::JobActual;
use app::evidence::estimate::plain_amount;
use app::record::WorkshopBody;
use app::text::table::spoken_time;
use app::workshop::Device;
use axum::extract::{Extension, Form, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;

use super::{PageFailure, frame};
use crate::bench_state::SharedBench;

/// The page.
pub(crate) async fn workshop_page(State(bench): State<SharedBench>) -> Result<Markup, PageFailure> {
    show_workshop(&bench, None).await
}

async fn show_workshop(bench: &SharedBench, fault: Option<String>) -> Result<Markup, PageFailure> {
    let (terms, jobs) = bench
        .with_workshop(|workshop| {
            Ok::<_, PageFailure>((workshop.estimate_terms(), workshop.list_job_actuals(usize::MAX)?))
        })
        .await?;
    let rate = terms.cents_per_hour.map(plain_amount);
    let body = html! {
        h1 { "Workshop" }
        @if let Some(fault) = &fault { p.refusal role="alert" { (app::bench::capitalise_first(fault)) "." } }
        section {
            h2 { "Estimates" }
            form method="post" action="/workshop" {
                label { "An hour of work costs, in the currency of the book" input name="rate" inputmode="decimal" value=[rate] autocomplete="off" maxlength="12"; }
                label { "What stands under every estimate: how far it binds, by how much the bill may exceed it, tax. The law of your place sets this; the program knows none of it."
                    textarea name="words" rows="4" maxlength="600" { (terms.estimate_words) } }
                button.main { "Keep it" }
            }
        }
        section {
            h2 { "Planned against actual" }
            @if jobs.is_empty() { p { "No visit is finished yet. Hours are taken from the taps, with breaks left out." } }
            ul.rows { @for job in &jobs { (actual_row(job)) } }
        }
    };
    Ok(frame::scrolling_page("Workshop", None, "workshop", &body))
}

fn actual_row(job: &JobActual) -> Markup {
    html! { li {
        span { a href={ "/v/" (job.visit) "/ledger" } { strong { (job.name) } } @if let Some(engine) = &job.engine { ", " (engine) } }
        span.where { (spoken_time(job.actual_s)) }
        span.why { "Planned " (spoken_time(job.planned_s)) ": " (format!("{:.2}", job.actual_s / job.planned_s.max(1.0))) " times the plan, of " (job.timed_steps) " timed steps. "
            @if let Some(first) = job.causes.first() { "What explains most: " (first) "." } }
    } }
}

/// What the form says.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct WorkshopForm {
    rate: String,
    words: String,
}

/// Keeps what an hour costs and what stands under an estimate.
pub(crate) async fn keep_terms(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Form(form): Form<WorkshopForm>,
) -> Result<Response, PageFailure> {
    let rate = form.rate.trim().replace(',', ".");
    let cents_per_hour = rate.parse::<f64>().ok().filter(|rate| (0.0..1.0e7).contains(rate));
    let Some(rate) = cents_per_hour else {
        let words = format!("`{}` is no price; write it in figures, such as 72.50", form.rate);
        return Ok(show_workshop(&bench, Some(words)).await?.into_response());
    };
    let bodies = vec![
        WorkshopBody::LabourRateSet { cents_per_hour: (rate * 100.0).round() as i64 },
        WorkshopBody::EstimateWordsSet { words: form.words.trim().to_owned() },
    ];
    bench.with_workshop(move |workshop| workshop.say_of_workshop(&device.id, bodies)).await?;
    Ok(Redirect::to("/workshop").into_response())
}
