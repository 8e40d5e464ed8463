//! The bench: one step fills the screen; the drawing is the page.

use app::bench::{After, Sheet, sheet, sheets_ahead};
use app::journal::{At, Body, HappeningKind, StepStanding, StepsView};
use app::workshop::{Device, Live};
use axum::extract::{Extension, Path, Query, State};
use maud::{Markup, html};
use serde::Deserialize;

use super::frame::{self, Stage, json};
use super::{Failure, caution, of_visit};
use crate::bench::Shared;

/// Sheets that a page fetches ahead, for the time without a connection.
const MOST_AHEAD: usize = 40;

/// Which step.
#[derive(Debug, Deserialize)]
pub(crate) struct Which {
    step: Option<u32>,
    count: Option<usize>,
}

/// The bench at a step, or at the next that is not done.
pub(crate) async fn page(
    State(bench): State<Shared>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
    Query(which): Query<Which>,
) -> Result<Markup, Failure> {
    of_visit(&bench, &visit, move |live| {
        let stage = Stage::of(live, &device.id);
        let Some(number) = which.step.or_else(|| next(live)) else { return Ok(all_done(&stage)) };
        let view = sheet(live.book(), live.store(), live.plan(), live.state(), number);
        let view = view.ok_or(Failure::NotFound)?;
        let body = html! { (one(&view, &stage)) (happened(&view)) (more(&stage)) };
        Ok(frame::full(&format!("{} {}", view.number, view.sentence), &stage, &body))
    })
    .await
}

/// The sheets from a step on, one after the other, as they will look.
pub(crate) async fn sheets(
    State(bench): State<Shared>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
    Query(which): Query<Which>,
) -> Result<Markup, Failure> {
    of_visit(&bench, &visit, move |live| {
        let stage = Stage::of(live, &device.id);
        let count = which.count.unwrap_or(MOST_AHEAD).min(MOST_AHEAD);
        let Some(step) = which.step.or_else(|| next(live)) else { return Ok(html! {}) };
        let views = sheets_ahead(live, After { step, count });
        Ok(html! { @for view in &views { div { (one(view, &stage)) (happened(view)) } } })
    })
    .await
}

fn next(live: &Live) -> Option<u32> {
    let steps = StepsView::of(live.state(), live.book(), live.plan());
    steps.next.map(|at| steps.steps[at].number)
}

fn all_done(stage: &Stage) -> Markup {
    let body = html! {
        h1 { "Every step is done" }
        p { "The ledger says what stands open before the engine is turned." }
        div.one { a.main href=(stage.at("ledger")) { "Ledger" } }
    };
    frame::page("Bench", Some(stage), "bench", &body)
}

fn one(view: &Sheet, stage: &Stage) -> Markup {
    let picture = view.pattern.as_ref().filter(|_| shows_holes(view)).or(view.drawing.as_ref());
    let step_link = |n: Option<u32>| n.map(|n| format!("{}?step={n}", stage.at("bench")));
    html! {
        article.sheet data-step=(view.number) data-spoken=(view.spoken) {
            div.picture {
                @if let Some(svg) = picture.or(view.pattern.as_ref()) { (frame::drawing(svg)) }
                @else { (plain_picture(view)) }
            }
            div.words {
                @for text in &view.cautions { (caution(text)) }
                p.sentence { (view.number) "  " (view.sentence) }
                @if !view.figure.is_empty() { div.figure { (view.figure) } }
                @if !view.slot.is_empty() { p.slot { (if view.phase == "refit" { "from " } else { "into " }) (view.slot) } }
                @if !view.stack.is_empty() { p { (view.stack) } }
                @if view.helper { p { strong { "Two people." } } }
                @for fact in &view.facts { p { (fact) } }
                @if view.figure.contains('m') || view.phase == "refit" {
                    p { a href=(stage.at(&format!("why/{}", view.number))) { "Why this figure?" } }
                }
                @if let Some(against) = &view.against { p.refusal { (against) } }
                ul.next { @for line in &view.next { li { (line) } } }
            }
            div.actions {
                @match (&view.tick, view.standing) {
                    (Some(says), _) => (frame::says("main", says)),
                    (None, StepStanding::Done) => button.main type="button" disabled { "Done" },
                    (None, _) => button.main type="button" disabled { "Something stands against it" },
                }
                div.small {
                    a.other href=[step_link(view.around.0)] rel="prev" { "Back" }
                    button type="button" data-open="happened" { "Happened" }
                    button type="button" data-undo="" { "Undo" }
                    a.other href=[step_link(view.around.1)] rel="next" { "On" }
                }
                div.small {
                    button type="button" data-aloud="" { "Aloud" }
                    label.other.file { "Picture" input.gone type="file" accept="image/jpeg,image/png" capture="environment"
                        data-picture=(json(&at(view))); }
                    a.other href=(stage.at("pause")) { "Pause" }
                    button type="button" data-open="more" { "Sheets" }
                }
            }
            (frame::title_block(Some(stage), &[
                ("step", format!("{} of {}, {}", view.number, view.of, view.phase)),
                ("station", view.station.clone()),
                ("left", view.time_left.clone()),
            ]))
        }
    }
}

/// The holes are shown where each is worked by itself; a lone drawing of the stack where the reach is the question.
fn shows_holes(view: &Sheet) -> bool {
    view.pattern.is_some() && (view.phase == "refit" || view.drawing.is_none())
}

/// Steps without a drawing: the words, large.
fn plain_picture(view: &Sheet) -> Markup {
    html! { p.sentence.big { (view.sentence) } }
}

fn at(view: &Sheet) -> At {
    At { part: view.part.clone(), step: Some(view.number), ..At::default() }
}

/// What may happen, in the order of how often it does.
const HAPPENINGS: &[(HappeningKind, &str)] = &[
    (HappeningKind::Lost, "dropped and lost"),
    (HappeningKind::Seized, "seized"),
    (HappeningKind::Broken, "broke off"),
    (HappeningKind::Rounded, "rounded off"),
    (HappeningKind::ThreadCameOut, "thread came out"),
    (HappeningKind::Extra, "something extra here"),
    (HappeningKind::WrongPart, "wrong part"),
    (HappeningKind::PartMissing, "part missing"),
    (HappeningKind::FoundLikeThis, "found like this"),
];

/// The menu behind "Happened": the second tap tells it.
fn happened(view: &Sheet) -> Markup {
    html! {
        dialog #happened {
            h2 { "What happened?" }
            p { "Tap a hole on the drawing first to say which one; else it is told of the step." }
            div.choices {
                @for (kind, words) in HAPPENINGS {
                    button type="button" data-happened=(json(&[Body::Happened {
                        what: *kind,
                        at: At { fixing: view.fixings.first().map(|(key, _)| key.clone()), ..at(view) },
                        words: String::new(),
                    }])) { (words) }
                }
                button type="button" data-close="" { "Nothing" }
            }
        }
    }
}

fn more(stage: &Stage) -> Markup {
    html! { dialog #more { (frame::ways(Some(stage), "bench")) button type="button" data-close="" { "Back to the step" } } }
}
