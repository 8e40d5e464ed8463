//! What comes off next, on an engine that no book tells of; and the plan that is made of what was told.

use app::bench::{AnswerChoice, MAX_DRIVES_SHOWN, NextOffView, next_off};
use app::record::EventPlace;
use app::workshop::{LiveVisit, SolverBudget, VisitId, WorkshopError};
use axum::extract::{Extension, Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::frame::{self, PageContext, PlanInHand, json_attribute};
use super::{PageFailure, with_live_visit};
use crate::assets::asset_address;
use crate::bench_state::{SharedBench, run_blocking};
use app::workshop::Device;

/// Length classes of the ruler on the tray.
const LENGTHS: [(&str, &str); 3] = [("A", "short, A"), ("B", "middle, B"), ("C", "long, C")];

/// The page.
pub(crate) async fn next_page(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
) -> Result<Markup, PageFailure> {
    with_live_visit(&bench, &visit, move |live| {
        let stage = PageContext::for_device(live, &device);
        let view = next_off(live.state(), live.book());
        let body = html! {
            main { (next_sheet(&view, &stage)) (below(&view, live, &stage)) }
            (frame::title_block(Some(&stage), &[("sheet", String::from("Comes off next"))]))
        };
        let plan = PlanInHand { digest: String::new(), change: None };
        Ok(frame::full_page("Comes off next", &stage, &plan, &body))
    })
    .await
}

/// The form of what is told, filled by its script.
fn next_sheet(view: &NextOffView, stage: &PageContext) -> Markup {
    html! {
        div #next data-own="" data-view=(json_attribute(view)) data-drives-shown=(MAX_DRIVES_SHOWN) {
            header.place {
                p { span role="heading" aria-level="1" { "Comes off next" } span data-part="so-far" { (view.off) " off" } }
                div.modes data-part="modes" role="group" aria-label="what is told" {
                    button type="button" data-word="off" aria-pressed="true" { "Taking off" }
                    button type="button" data-word="look" aria-pressed="false" { "Only looking" }
                }
            }
            noscript { p.refusal { "This page needs its script to record anything. Allow it in the browser." } }
            @if view.off == 0 { div.caution.warning.before {
                strong { "WARNING" } "Before the first bolt: engine cold, ignition off, battery disconnected, the vehicle safe on its wheels or on stands. The maker's service data win."
            } }
            div.caution data-part="caution" hidden {}
            div.board {
                div.heads data-part="heads" role="group" aria-label="tap each head in the order in which it comes off" {
                    img data-part="photo" alt="" hidden;
                    p data-part="hint" { "Take a picture, or tap this field once for each head." }
                }
                div.tally {
                    span.big data-part="count" { "0" }
                    button type="button" data-less="" aria-label="one fewer" { "−" }
                    button type="button" data-add="" aria-label="one more, out of the picture" { "+" }
                    label.other.file { "Picture" input.gone type="file" accept="image/jpeg,image/png" capture="environment"; }
                }
                p.fine data-part="fine" hidden { "A quick tap counts. Press and slide under the glass, and a scale card in the picture measures it." }
                div.words data-part="heights" role="group" aria-label="how high the heads stand above the card" hidden {
                    span { "Heads above the card" }
                    (choices(&view.heights))
                }
            }
            div.words data-part="drives" role="group" aria-label="what a tool takes hold of" {}
            div.words.rooms data-part="rooms" role="group" aria-label="the room round it" hidden { (choices(&view.rooms)) }
            label.called { "It is" input data-part="title" maxlength="60" autocomplete="off"; }
            div.words.kinds data-part="kinds" role="group" aria-label="what kind of part" {
                (choices(&view.kinds))
                button type="button" data-more="kinds" { "more" }
            }
            div.words data-part="lengths" role="group" aria-label="length by the ruler of the tray" {
                span { "Length" }
                @for (word, label) in LENGTHS { button type="button" data-word=(word) aria-pressed="false" { (label) } }
            }
            div.commit {
                button.main type="button" data-part="main" data-tells="" { "It is off" }
                div.small {
                    button type="button" data-part="other" data-tells="" disabled { "More on it" }
                    button type="button" data-undo="" { "Take back" }
                }
            }
            section {
                ul.rows data-part="list" {}
                form method="post" action=(stage.sheet_address("next/plan")) data-part="plan" hidden {
                    button.main data-part="plan-words" { "Plan the way back" }
                    p { "Reverse order, unless the kind of part asks for another; every fastener from the bag that it lies in. A figure that nobody told is asked for, with its source, before anything counts as tight." }
                }
            }
            script type="module" src=(asset_address("next.js")) {}
        }
    }
}

fn choices(all: &[AnswerChoice]) -> Markup {
    html! { @for one in all { button type="button" data-word=(one.word) aria-pressed="false" { (one.label) } } }
}

/// What is kept by the server beside the form: what devices say differently, pictures, notes, the other sheets.
fn below(view: &NextOffView, live: &LiveVisit, stage: &PageContext) -> Markup {
    let at = EventPlace::default();
    html! {
        div.plain.after {
            @for words in &view.shared { p.refusal { (words) } }
            @for part in &view.parts { @for words in &part.differ { p.refusal { (part.title) ": " (words) } } }
            @for why in live.unreadable_texts() { p.refusal { (app::bench::capitalise_first(why)) "." } }
            section {
                h2 { "In pictures" }
                div.shots {
                    @for part in &view.parts { @for fixing in part.fixings.iter().filter(|fixing| !fixing.picture.is_empty()) {
                        figure {
                            div.heads {
                                img src={ "/picture/" (fixing.picture) } loading="lazy" alt={ (part.title) };
                                @for (at, head) in (1_usize..).zip(&fixing.heads) {
                                    span.head style={ "left:" (f64::from(head.across) / 10.0) "%;top:" (f64::from(head.down) / 10.0) "%" } { (at) }
                                }
                            }
                            figcaption { (part.title) ", " (fixing.count) " × " (fixing.drive) @if !fixing.slot.is_empty() { ", " (fixing.slot) } @if !fixing.measured.is_empty() { ": " (fixing.measured) } }
                        }
                    } }
                }
                label.other.file { "A picture of the place" input.gone type="file" accept="image/jpeg,image/png" capture="environment"
                    data-picture=(json_attribute(&at)); }
            }
            p { a href="/scale-card.svg" { "The ruler of the length classes, to print at 100 %" } ": lay the fastener on it, and tap A, B or C. Laid flat beside the heads in a picture, both codes free, it measures where they lie." }
            (frame::sheet_links(Some(stage), "next"))
        }
    }
}

/// Plans the rest on what was told, and goes to the bench; what stands against it is a page.
pub(crate) async fn plan_what_was_seen(
    State(bench): State<SharedBench>,
    Path(visit): Path<String>,
) -> Result<Response, PageFailure> {
    let id = VisitId::new(&visit).ok_or(PageFailure::NotFound)?;
    let of = id.clone();
    let input = bench.with_workshop(move |workshop| workshop.prepare_seen_plan(&of)).await?;
    let made = run_blocking(move || input.plan_rest(SolverBudget::sized())).await?;
    if !bench.with_workshop(move |workshop| workshop.adopt_seen_plan(&made)).await? {
        let words = "the visit went on meanwhile; ask again";
        return Err(PageFailure::Workshop(WorkshopError::Rest(words.to_owned())));
    }
    bench.announce_change(id.as_str());
    Ok(Redirect::to(&format!("/v/{visit}/bench")).into_response())
}
