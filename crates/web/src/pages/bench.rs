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
    let trouble = bench.trouble_of(&visit);
    of_visit(&bench, &visit, move |live| {
        let stage = Stage::of(live, &device.id);
        let Some(number) = which.step.or_else(|| next(live)) else { return Ok(all_done(&stage)) };
        let view = sheet(live.book(), live.store(), live.plan(), live.state(), number);
        let mut view = view.ok_or(Failure::NotFound)?;
        view.facts.extend(
            trouble.map(|why| format!("The rest could not be planned anew, the old plan stands: {why}")),
        );
        let body = html! { (one(&view, &stage)) (happened(&view)) (more(&view, &stage)) };
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
        Ok(html! { @for view in &views { div { (one(view, &stage)) (happened(view)) (more(view, &stage)) } } })
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
    html! {
        article.sheet.bare[view.drawing.is_none() && view.pattern.is_none()] data-step=(view.number) data-spoken=(view.spoken) {
            (picture(view))
            (words(view, stage))
            div.actions {
                @match (&view.tick, view.standing) {
                    (Some(says), _) => (frame::says("main", says)),
                    (None, StepStanding::Done) => button.main type="button" disabled { "Done" },
                    (None, _) => button.main type="button" disabled { "Something stands against it" },
                }
                div.small {
                    button type="button" data-undo="" { "Undo" }
                    button type="button" data-open="happened" { "Happened" }
                    a.other href=(stage.at("pause")) { "Pause" }
                    button type="button" data-open="more" { "More" }
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

/// Whether the drawing that is shown first names the pieces of the stack, so that a small screen need not say them again.
fn names_pieces(view: &Sheet) -> bool {
    view.drawing.is_some() && !holes_first(view)
}

fn holes_first(view: &Sheet) -> bool {
    view.phase == "refit" || view.drawing.is_none()
}

/// The drawing to scale: the stack, or the holes where the order of the holes is the question; a tap changes over.
fn picture(view: &Sheet) -> Markup {
    let (first, second) =
        if holes_first(view) { (&view.pattern, &view.drawing) } else { (&view.drawing, &view.pattern) };
    html! {
        div.picture {
            @match (first, second) {
                (Some(first), Some(second)) => {
                    div.drawn { (frame::drawing(first)) }
                    div.drawn.gone { (frame::drawing(second)) }
                    button.turn type="button" data-turn="" aria-label="change between stack and holes" { "stack / holes" }
                },
                (Some(only), None) | (None, Some(only)) => div.drawn { (frame::drawing(only)) },
                (None, None) => p.sentence.big { (view.number) "  " (frame::unparted(&view.sentence)) },
            }
        }
    }
}

fn words(view: &Sheet, stage: &Stage) -> Markup {
    let sentence = frame::unparted(&view.sentence);
    html! {
        div.words {
            (stage.conflict())
            @for text in &view.cautions { (caution(text)) }
            @if view.drawing.is_some() || view.pattern.is_some() { p.sentence { (view.number) "  " (sentence) } }
            div.reach {
                @if !view.figure.is_empty() { span.figure { (view.figure) } }
                @if !view.slot.is_empty() { span.slot { (place_words(view)) } }
                @if view.tightens { a.ground href=(stage.at(&format!("why/{}", view.number))) { "Why this figure?" } }
            }
            @if let Some(against) = &view.against { p.refusal { (against) } }
            @if !view.stack.is_empty() { p.named[names_pieces(view) || view.against.is_some()] { (frame::unparted(&view.stack)) } }
            @if view.helper { p { strong { "Two people." } } }
            @for fact in &view.facts { p { (frame::unparted(fact)) } }
            div.rest { (rest(view)) }
        }
    }
}

/// Where the fasteners go or come from; what is loosened and left needs no slot.
fn place_words(view: &Sheet) -> String {
    let way = if view.phase == "refit" { "from" } else { "into" };
    match view.slot.as_str() {
        "on part" => "left on the part".into(),
        "in hole" => "left in its hole".into(),
        slot => format!("{way} {slot}"),
    }
}

/// What is looked up, and the next steps: whole lines below the words as far as there is room, and all of it behind "More".
fn rest(view: &Sheet) -> Markup {
    html! {
        @for note in &view.notes { p { (note) } }
        @if !view.next.is_empty() { ul.next { @for line in &view.next { li { (frame::unparted(line)) } } } }
    }
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
                        at: place(view, *kind),
                        words: String::new(),
                    }])) { (words) }
                }
                button type="button" data-close="" { "Nothing" }
            }
        }
    }
}

/// Where it is told of, unless a hole is tapped: what fell may be anything, the rest is the fixing's in hand.
fn place(view: &Sheet, kind: HappeningKind) -> At {
    let fixing = view.fixings.first().map(|(key, _)| key.clone());
    if kind == HappeningKind::Lost { at(view) } else { At { fixing, ..at(view) } }
}

/// The menu behind "More": the steps around, reading aloud, a picture, the other sheets.
fn more(view: &Sheet, stage: &Stage) -> Markup {
    let link = |n: Option<u32>| n.map(|n| format!("{}?step={n}", stage.at("bench")));
    html! {
        dialog #more {
            div.rest { (rest(view)) }
            div.choices {
                a.other href=[link(view.around.0)] rel="prev" { "Step before" }
                a.other href=[link(view.around.1)] rel="next" { "Step after" }
                button type="button" data-aloud="" { "Read aloud" }
                label.other.file { "Picture" input.gone type="file" accept="image/jpeg,image/png" capture="environment"
                    data-picture=(json(&at(view))); }
            }
            (frame::ways(Some(stage), "bench"))
            button type="button" data-close="" { "Back to the step" }
        }
    }
}
