//! The sheets of a visit on paper: a list with links to each as PDF and as a page that prints, and the page of a slot.

use app::bench::{Compartment, trays};
use app::paper::{self, Grid, Kind, PACK, PaperSize, Wanted};
use app::workshop::{Device, Live, VisitId, Workshop};
use axum::extract::{Extension, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use maud::{Markup, html};
use serde::Deserialize;

use super::frame::{self, Stage};
use super::{Asked, Failure, of_visit};
use crate::bench::{Shared, away};

/// How to print, as the address says it.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Print {
    /// `a4` or `letter`.
    size: String,
    /// Name of a label grid.
    labels: String,
}

impl Print {
    fn wanted(&self) -> Wanted {
        Wanted {
            size: if self.size == "letter" { PaperSize::Letter } else { PaperSize::A4 },
            grid: Grid::ALL.into_iter().find(|grid| grid.name() == self.labels).unwrap_or_default(),
            skip: 0,
            date: paper::today(&paper::here()),
        }
    }
}

/// The list of sheets.
pub(crate) async fn page(asked: Asked) -> Result<Markup, Failure> {
    asked.sheet("Paper", "paper", |_, stage| list(stage)).await
}

fn list(stage: &Stage) -> Markup {
    html! {
        h1 { "Paper" }
        p { "A PDF goes to the printer as it is; a page is read here and printed by the browser. Print labels and hole cards at 100 %, \
             never fitted to the page; the ruler on a hole card tells." }
        section {
            h2 { "All sheets in one file" }
            (links(stage, PACK))
        }
        section {
            h2 { "One by one" }
            ul.rows {
                @for kind in Kind::ALL {
                    li { h3.why { (kind.title()) } span.why { (kind.about()) } div.why { (links(stage, kind.name())) } }
                }
            }
        }
        section {
            h2 { "Labels on label paper" }
            div.ways { @for grid in Grid::ALL {
                @for (size, name, words) in [(PaperSize::A4, "a4", "A4"), (PaperSize::Letter, "letter", "letter")] {
                    @if let Some(lies) = grid.on(size) {
                        @let address = format!("paper/labels.pdf?size={name}&labels={}", grid.name());
                        a.other href=(stage.at(&address)) { (lies.columns) " by " (lies.rows) " on " (words) @if lies.cut_marks { ", to be cut" } }
                    }
                }
            } }
        }
    }
}

fn links(stage: &Stage, name: &str) -> Markup {
    let at = |ending: &str| stage.at(&format!("paper/{name}{ending}"));
    html! {
        div.ways {
            a.other href=(at(".pdf?size=a4")) { "PDF, A4" }
            a.other href=(at(".pdf?size=letter")) { "PDF, letter" }
            a.other href=(at("")) { "as a page" }
        }
    }
}

/// One kind of sheet or all: `kit.pdf`, or `kit` as a page that prints.
pub(crate) async fn sheets(
    State(bench): State<Shared>,
    Path((visit, name)): Path<(String, String)>,
    Query(print): Query<Print>,
) -> Result<Response, Failure> {
    let id = VisitId::new(&visit).ok_or(Failure::NotFound)?;
    let (kind, is_pdf) = name.strip_suffix(".pdf").map_or((name.as_str(), false), |kind| (kind, true));
    if kind != PACK && Kind::of(kind).is_none() {
        return Err(Failure::NotFound);
    }
    let (wanted, kind) = (print.wanted(), Kind::of(kind));
    let base = bench.addresses.there().unwrap_or_else(|| bench.addresses.here());
    let bound = move |workshop: &mut Workshop| {
        let bind = |job: &paper::Job<'_>| paper::bind(job, kind, &wanted);
        paper::with_visit(workshop, &id, kind, &base, &paper::here(), bind)
    };
    let pack = match bench.with(bound).await? {
        Ok(pack) => pack,
        Err(why) => return Ok(nothing(&why.to_string()).into_response()),
    };
    if !is_pdf {
        return Ok(Html(paper::html(&pack)).into_response());
    }
    // Laid out once the workshop is free again: other devices go on meanwhile.
    match away(move || paper::pdf(&pack)).await {
        Ok(bytes) => {
            let file = format!("inline; filename=\"{name}\"");
            let head =
                [(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, file)];
            Ok((head, bytes).into_response())
        }
        Err(why) => Ok(nothing(&why.to_string()).into_response()),
    }
}

/// Why there is no such sheet.
fn nothing(why: &str) -> (StatusCode, Markup) {
    let body = html! { main.plain { h1 { "Nothing to print" } p.refusal { (why) } } };
    (StatusCode::CONFLICT, frame::bare("Nothing to print", &body))
}

/// The page of a slot, where the code on its label leads.
pub(crate) async fn slot(
    State(bench): State<Shared>,
    Extension(device): Extension<Device>,
    Path((visit, slot)): Path<(String, String)>,
) -> Result<Markup, Failure> {
    of_visit(&bench, &visit, move |live| {
        let stage = Stage::of(live, &device.id);
        let all = trays(live.book(), live.store(), live.plan(), live.state());
        let here: Vec<&Compartment> =
            all.iter().flat_map(|tray| &tray.compartments).filter(|place| place.slot == slot).collect();
        if here.is_empty() {
            return Err(Failure::NotFound);
        }
        Ok(frame::page(&slot, Some(&stage), "slot", &held(live, &stage, &slot, &here)))
    })
    .await
}

fn held(live: &Live, stage: &Stage, slot: &str, here: &[&Compartment]) -> Markup {
    let steps = app::journal::steps_of(live.plan()).filter(|step| step.slot.as_deref() == Some(slot));
    html! {
        h1 { "Slot " (slot) }
        p { "What lies in it now, of what belongs there." }
        ul.rows { @for place in here {
            li.held { span.where { (place.now) " of " (place.count) } span { (place.what) } }
        } }
        section {
            h2 { "Steps that fill or empty it" }
            ul.rows { @for step in steps {
                li.held { a.other href=(stage.at(&format!("bench?step={}", step.number))) { "Step " (step.number) } span { (step.text) } }
            } }
        }
        div.one { a.main href=(stage.at("trays")) { "All trays" } }
    }
}
