//! The sheets of a visit on paper: a list with links to each as PDF and as a page that prints, and the page of a slot.

use app::bench::{SlotContents, trays_of_visit};
use app::model::SlotAddress;
use app::model::plan::Plan;
use app::paper::{self, LabelPaper, PACK, PaperSize, PrintOptions, SheetKind};
use app::workshop::{Device, VisitId, Workshop};
use axum::extract::{Extension, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use maud::{Markup, html};
use serde::Deserialize;

use super::frame::{self, PageContext};
use super::{PageFailure, SheetRequest, with_live_visit};
use crate::bench_state::{SharedBench, run_blocking};

/// How to print, as the address says it.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct PrintQuery {
    /// `a4` or `letter`.
    size: String,
    /// Name of a label grid.
    labels: String,
    /// `true-size` for hole cards on several pages.
    cards: String,
}

impl PrintQuery {
    fn print_options(&self) -> PrintOptions {
        PrintOptions {
            size: if self.size == "letter" { PaperSize::Letter } else { PaperSize::A4 },
            grid: LabelPaper::ALL.into_iter().find(|grid| grid.name() == self.labels).unwrap_or_default(),
            skip: 0,
            true_size: self.cards == "true-size",
            date: paper::today_in_zone(&paper::local_zone()),
        }
    }
}

/// The list of sheets.
pub(crate) async fn paper_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    asked.render_sheet("Paper", "paper", |_, stage| paper_list(stage)).await
}

fn paper_list(stage: &PageContext) -> Markup {
    html! {
        h1 { "Paper" }
        p { "A PDF goes to the printer as it is; a page is read here and printed by the browser. Print labels and hole cards at 100 %, \
             never fitted to the page; check with the ruler on a hole card." }
        section {
            h2 { "The pack that hangs at the engine" }
            p.why { "Front page, kit, shopping, tray map, labels of bags and cards, work list, joints, hole cards, readings. Method and \
                     owner's report print apart." }
            (sheet_kind_links(stage, PACK))
        }
        section {
            h2 { "One by one" }
            ul.rows {
                @for kind in SheetKind::ALL {
                    li { h3.why { (kind.title()) } span.why { (kind.about()) } div.why { (sheet_kind_links(stage, kind.name())) } }
                }
            }
        }
        section {
            h2 { "Labels on label paper" }
            div.ways { @for grid in LabelPaper::ALL {
                @for (size, name, words) in [(PaperSize::A4, "a4", "A4"), (PaperSize::Letter, "letter", "letter")] {
                    @if let Some(lies) = grid.grid_on_paper(size) {
                        @let address = format!("paper/labels.pdf?size={name}&labels={}", grid.name());
                        a.other href=(stage.sheet_address(&address)) { (lies.columns) " by " (lies.rows) " on " (words) @if lies.cut_marks { ", to be cut" } }
                    }
                }
            } }
        }
    }
}

fn sheet_kind_links(stage: &PageContext, name: &str) -> Markup {
    let at = |ending: &str| stage.sheet_address(&format!("paper/{name}{ending}"));
    html! {
        div.ways {
            a.other href=(at(".pdf?size=a4")) { "PDF, A4" }
            a.other href=(at(".pdf?size=letter")) { "PDF, letter" }
            a.other href=(at("")) { "as a page" }
            @if name == SheetKind::HoleCards.name() {
                a.other href=(at(".pdf?size=a4&cards=true-size")) { "true size, A4" }
                a.other href=(at(".pdf?size=letter&cards=true-size")) { "true size, letter" }
            }
        }
    }
}

/// One kind of sheet or all: `kit.pdf`, or `kit` as a page that prints.
pub(crate) async fn print_sheets(
    State(bench): State<SharedBench>,
    Path((visit, name)): Path<(String, String)>,
    Query(print): Query<PrintQuery>,
) -> Result<Response, PageFailure> {
    let id = VisitId::new(&visit).ok_or(PageFailure::NotFound)?;
    let (kind, is_pdf) = name.strip_suffix(".pdf").map_or((name.as_str(), false), |kind| (kind, true));
    if kind != PACK && SheetKind::from_name(kind).is_none() {
        return Err(PageFailure::NotFound);
    }
    let (wanted, kind) = (print.print_options(), SheetKind::from_name(kind));
    let base = bench.addresses.network_address().unwrap_or_else(|| bench.addresses.local_address());
    let bound = move |workshop: &mut Workshop| {
        let bind = |job: &paper::PaperJob<'_>| paper::bind_pack(job, kind, &wanted);
        let zone = paper::local_zone();
        let wish = paper::VisitPaper { kind, base: &base, zone: &zone, today: &wanted.date };
        paper::with_visit(workshop, &id, &wish, bind)
    };
    let pack = match bench.with_workshop(bound).await? {
        Ok(pack) => pack,
        Err(why) => return Ok(nothing_to_print(&why.to_string()).into_response()),
    };
    if !is_pdf {
        return Ok(Html(paper::write_html(&pack)).into_response());
    }
    // Laid out once the workshop is free again: other devices go on meanwhile.
    match run_blocking(move || paper::write_pdf(&pack)).await {
        Ok(bytes) => {
            let file = format!("inline; filename=\"{name}\"");
            let head =
                [(header::CONTENT_TYPE, "application/pdf".to_owned()), (header::CONTENT_DISPOSITION, file)];
            Ok((head, bytes).into_response())
        }
        Err(why) => Ok(nothing_to_print(&why.to_string()).into_response()),
    }
}

/// Why there is no such sheet.
fn nothing_to_print(why: &str) -> (StatusCode, Markup) {
    let body = html! { main.plain { h1 { "Nothing to print" } p.refusal { (why) } } };
    (StatusCode::CONFLICT, frame::bare_page("Nothing to print", &body))
}

/// The page of a slot, where the code on its label leads.
pub(crate) async fn slot_page(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Path((visit, slot)): Path<(String, String)>,
) -> Result<Markup, PageFailure> {
    with_live_visit(&bench, &visit, move |live| {
        let stage = PageContext::for_device(live, &device);
        let Ok(slot) = SlotAddress::parse(&slot) else { return Err(PageFailure::NotFound) };
        let (book, store, plan) = live.require_planned_texts()?;
        let all = trays_of_visit(book, store, plan, live.state());
        let here: Vec<&SlotContents> =
            all.iter().flat_map(|tray| &tray.compartments).filter(|place| place.slot == slot).collect();
        if here.is_empty() {
            return Err(PageFailure::NotFound);
        }
        Ok(frame::scrolling_page(
            &slot.to_string(),
            Some(&stage),
            "slot",
            &slot_markup(plan, &stage, &slot, &here),
        ))
    })
    .await
}

fn slot_markup(plan: &Plan, stage: &PageContext, slot: &SlotAddress, here: &[&SlotContents]) -> Markup {
    let steps = app::record::steps_of(plan).filter(|step| step.slot.as_ref() == Some(slot));
    html! {
        h1 { "Slot " (slot) }
        p { "What is in it now, out of what belongs there." }
        ul.rows { @for place in here {
            li.held { span.where { (place.now) " of " (place.count) } span { (place.what) } }
        } }
        section {
            h2 { "Steps that fill or empty it" }
            ul.rows { @for step in steps {
                li.held { a.other href=(stage.step_address(step.name.as_str())) { "Step " (step.number) } span { (step.text) } }
            } }
        }
        div.one { a.main href=(stage.sheet_address("trays")) { "All trays" } }
    }
}

/// The card with the ruler of the length classes, in true size.
pub(crate) async fn scale_card() -> Response {
    let media = [(header::CONTENT_TYPE, "image/svg+xml")];
    (media, app::scale_card_sheet::scale_card_svg()).into_response()
}
