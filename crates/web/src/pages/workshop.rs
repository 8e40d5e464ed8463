//! What holds for the whole workshop: what an hour costs, what is added to planned times, what stands under an estimate, how the estimates have done.

use app::evidence::actual::JobActual;
use app::evidence::estimate::plain_amount;
use app::job_hours::TimeSettings;
use app::record::WorkshopBody;
use app::text::table::spoken_time;
use app::week::{WeekSaying, local_now};
use app::workshop::{Device, WorkshopError};
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
    let (terms, times, jobs) = bench
        .with_workshop(|workshop| {
            let (terms, times) = (workshop.estimate_terms(), workshop.time_settings());
            Ok::<_, PageFailure>((terms, times, workshop.list_job_actuals(usize::MAX)?))
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
        (times_section(&times))
        section {
            h2 { "Planned against actual" }
            @if jobs.is_empty() { p { "No visit is finished yet. Hours are taken from the taps, with breaks left out." } }
            ul.rows { @for job in &jobs { (actual_row(job)) } }
        }
    };
    Ok(frame::scrolling_page("Workshop", None, "workshop", &body))
}

/// What is added to planned times, with its form.
fn times_section(times: &TimeSettings) -> Markup {
    html! { section {
        h2 { "Times" }
        @if times.is_assumed() { p { "Nobody has set these yet: they are assumed. They scale the hours that are shown and the calendar; the order of a plan does not change." } }
        @else { p { "They scale the hours that are shown and the calendar; the order of a plan does not change. Finished visits teach the rest." } }
        form method="post" action="/workshop/times" {
            label { "Needs, rest and short interruptions on top of the planned times, percent" input name="allowance" inputmode="numeric" value=(times.allowance_percent()) autocomplete="off" maxlength="5" required; }
            label { "How many times as long the first job on an engine takes as later ones, 1 to 4" input name="first_time" inputmode="decimal" value=(times.first_time_ratio()) autocomplete="off" maxlength="5" required; }
            button { "Keep them" }
        }
    } }
}

/// What the form of times says.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct TimesForm {
    allowance: String,
    first_time: String,
}

/// Keeps what is added to planned times; words that do not do are told above the page.
pub(crate) async fn keep_times(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Form(form): Form<TimesForm>,
) -> Result<Response, PageFailure> {
    let saying = WeekSaying::Times { allowance: Some(form.allowance), first_time: Some(form.first_time) };
    let said = bench
        .with_workshop(move |workshop| match workshop.say_of_week(&device.id, saying, &local_now()) {
            Err(WorkshopError::Ask(why)) => Ok(Some(why.to_string())),
            other => other.map(|()| None).map_err(PageFailure::from),
        })
        .await?;
    match said {
        Some(why) => Ok(show_workshop(&bench, Some(why)).await?.into_response()),
        None => Ok(Redirect::to("/workshop").into_response()),
    }
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
