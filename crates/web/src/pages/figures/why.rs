//! Why this figure? The reasons for the figures of a tightening step of the plan.

use app::bench::ToldFigure;
use app::bolting_answers::pictures::draw_fixing_preload;
use app::bolting_answers::why::{FixingReasons, StepReasons, explain_step_with_tools};
use app::text::significant;
use app::workshop::{Device, VisitId, Workshop};
use axum::extract::{Extension, Path, State};
use maud::{Markup, PreEscaped, html};

use super::grounds_markup;
use crate::bench_state::SharedBench;
use crate::pages::PageFailure;
use crate::pages::frame::{self, PageContext};

/// The sheet of a step.
pub(crate) async fn why_page(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Path((visit, step)): Path<(String, u32)>,
) -> Result<Markup, PageFailure> {
    let id = VisitId::new(&visit).ok_or(PageFailure::NotFound)?;
    let made = move |workshop: &mut Workshop| {
        let told = workshop.told_figures(&id, step)?;
        let live = workshop.visit(&id)?;
        let stage = PageContext::for_device(live, &device);
        let back = format!("{}?step={step}", stage.sheet_address("bench"));
        let (book, store, plan) = live.require_planned_texts()?;
        let body = html! {
            @match explain_step_with_tools(book, plan, Some(store), step) {
                Ok(found) => (why_markup(&found)),
                Err(error) => { h1 { "Why this figure?" } p { (error.to_string()) } },
            }
            @for figure in &told { (told_section(figure)) }
            div.one { a.main href=(back) { "Back to the step" } }
        };
        Ok::<_, PageFailure>(frame::scrolling_page("Why this figure?", Some(&stage), "bench", &body))
    };
    bench.with_workshop(made).await
}

/// A figure that was told at the bench: a mistyped one is put right here, and the one before stays on record.
fn told_section(figure: &ToldFigure) -> Markup {
    html! {
        section {
            h2 { "Told at the bench" }
            p { (figure.title) ": " strong { (frame::keep_units_together(&figure.holds)) } "." }
            @for before in &figure.before { p.note { "Before that: " (frame::keep_units_together(before)) "." } }
            p { "What was tightened by another figure counts as run in again once the figure is put right." }
            div.one { button type="button" data-ask="figure" data-fixing=(figure.fixing) { "Put it right" } }
        }
    }
}

fn why_markup(found: &StepReasons) -> Markup {
    html! {
        h1 { "Why this figure?" }
        p { (found.step) "  " (found.text) }
        @for fixing in &found.fixings { section { (fixing_section(fixing)) } }
        (grounds_markup(&found.why))
    }
}

fn fixing_section(fixing: &FixingReasons) -> Markup {
    // Holes worked by one stack come to the same and are shown once.
    let mut passes: Vec<_> = fixing.passes.iter().collect();
    passes.dedup();
    html! {
        h2 { (fixing.title) ", " (fixing.size) }
        table {
            tr { th { "pass" } th.figure { "figure" } th.figure { "set the wrench to" } }
            @for pass in &passes {
                tr {
                    td { (pass.pass) }
                    td.figure { strong { (pass.figure) } }
                    td.figure { @if let Some(set) = pass.to_set_n_m() { (significant(set, 3)) " N·m" } }
                }
                tr.note { td colspan="3" { @if !pass.stack.is_empty() { "with " (pass.stack) "; " } "correction: " (pass.correction) } }
            }
        }
        p { "The figure is the book's: " (fixing.source) "." }
        @for lever in passes.iter().filter_map(|pass| pass.lever.as_ref()).take(1) {
            p { (lever.words()) @if let Some(doubt) = &lever.doubt { "; " strong { (doubt.words()) } } "." }
        }
        @if let Some(words) = fixing.preload_words() { p { "Preload: " strong { (words) } "." } }
        @if let Some(drawing) = draw_fixing_preload(fixing) { div.drawing { (PreEscaped(drawing)) } }
        @if let Some(words) = fixing.strip_words() { p { "Strip margin " (words) "." } }
        @if let Some(words) = fixing.plausible { p { "The figure is " strong { (words) } " for this thread, class and hole." } }
        @for ground in &fixing.grounds { p.note { (ground.words) "." } }
        @if let Some(words) = fixing.seal { p.note { (words) "." } }
        @if let Some(words) = fixing.reuse { p { (words) } }
        @if fixing.is_critical { p { strong { "Critical: look at it a second time; never finish with a power driver." } } }
    }
}
