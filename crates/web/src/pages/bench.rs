//! The bench: one step fills the screen; the drawing is the page.

use app::bench::{AheadRange, number_of_named_step, sheets_ahead, step_in_hand, step_sheet};
use app::record::{EventPlace, VisitBody};
use app::workshop::{Device, LiveVisit};
use axum::extract::{Extension, Path, Query, State};
use maud::{Markup, html};
use serde::Deserialize;

use super::frame::{self, PageContext, json_attribute};
use super::menus::{happened_menu, more_menu};
use super::sheet::step_markup;
use super::{PageFailure, with_live_visit};
use crate::bench_state::SharedBench;
use crate::page_room::PageRoom;

/// Sheets that a page fetches ahead, for the time without a connection.
const MAX_SHEETS_AHEAD: usize = 40;

/// Which step.
#[derive(Debug, Deserialize)]
pub(crate) struct BenchQuery {
    /// By its lasting name, or by its number in the plan.
    step: Option<String>,
    count: Option<usize>,
}

/// The bench at a step, or at the next that is not done.
pub(crate) async fn bench_page(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
    Query(which): Query<BenchQuery>,
    PageRoom(room): PageRoom,
) -> Result<Markup, PageFailure> {
    let trouble = bench.trouble_of(&visit);
    let plans = SharedBench::clone(&bench);
    with_live_visit(&bench, &visit, move |live| {
        let stage = PageContext::for_device(live, &device);
        let Some((book, store, plan)) = live.planned_texts() else {
            return Ok(unplanned_sheet(live, &stage));
        };
        let asked =
            which.step.as_deref().map(|name| number_of_named_step(plan, name).ok_or(PageFailure::NotFound));
        let Some(number) = asked.transpose()?.or_else(|| next_step(live)) else {
            return Ok(all_done(&stage));
        };
        let view = step_sheet(book, store, plan, live.state(), number, room);
        let mut view = view.ok_or(PageFailure::NotFound)?;
        view.facts.extend(live.unreadable_texts().iter().cloned());
        view.facts.extend(
            trouble.map(|why| format!("The rest could not be replanned; the old plan still applies: {why}")),
        );
        view.facts.extend(app::bench::open_notice(live));
        let planned =
            live.state().planned.as_ref().map(|planned| planned.plan.to_string()).unwrap_or_default();
        let change = plans.note_plan(live.id().as_str(), &planned, app::bench::step_names(plan));
        let body = html! { (step_markup(&view, &stage)) (happened_menu(&view)) (more_menu(&view, &stage)) };
        let plan = frame::PlanInHand { digest: planned, change };
        Ok(frame::full_page(&format!("{} {}", view.number, view.sentence), &stage, &plan, &body))
    })
    .await
}

/// The sheets from a step on, one after the other, as they will look.
pub(crate) async fn ahead_page(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
    Query(which): Query<BenchQuery>,
    PageRoom(room): PageRoom,
) -> Result<Markup, PageFailure> {
    with_live_visit(&bench, &visit, move |live| {
        let stage = PageContext::for_device(live, &device);
        let count = which.count.unwrap_or(MAX_SHEETS_AHEAD).min(MAX_SHEETS_AHEAD);
        let Some((_, _, plan)) = live.planned_texts() else { return Ok(html! {}) };
        let asked = which.step.as_deref().and_then(|name| number_of_named_step(plan, name));
        let beyond = which.step.as_deref().and_then(|name| name.parse().ok());
        let Some(step) = asked.or(beyond).or_else(|| next_step(live)) else { return Ok(html! {}) };
        let views = sheets_ahead(live, AheadRange { step, count, room });
        Ok(html! { @for view in &views { div { (step_markup(view, &stage)) (happened_menu(view)) (more_menu(view, &stage)) } } })
    })
    .await
}

fn next_step(live: &LiveVisit) -> Option<u32> {
    let (book, _, plan) = live.planned_texts()?;
    step_in_hand(live.state(), book, plan)
}

/// A visit that is not planned: what is missing, and what works without.
fn unplanned_sheet(live: &LiveVisit, stage: &PageContext) -> Markup {
    let at = EventPlace::default();
    let note = VisitBody::Noted { words: String::new(), at: at.clone() };
    let body = html! {
        h1 { "No steps yet" }
        div.one { a.main href=(stage.sheet_address("next")) { "Comes off next" } }
        p { "Tell what comes off as it comes off, or what you see; the steps back are planned from it." }
        (frame::missing_notice(live))
        section {
            h2 { "A note" }
            form data-form="note" data-body=(json_attribute(&note)) {
                label { "Note" textarea name="words" rows="2" maxlength="400" required {} }
                button.main { "Keep the note" }
            }
            ul.rows { @for note in live.state().notes.iter().rev() { li { span { (note.words) } } } }
        }
        section {
            h2 { "A picture" }
            label.other.file { "Picture" input.gone type="file" accept="image/jpeg,image/png" capture="environment"
                data-picture=(json_attribute(&at)); }
        }
        div.pair { a.other href=(stage.sheet_address("tell")) { "Report" } a.other href=(stage.sheet_address("pause")) { "Pause" } }
    };
    frame::scrolling_page("Bench", Some(stage), "bench", &body)
}

fn all_done(stage: &PageContext) -> Markup {
    let body = html! {
        h1 { "Every step is done" }
        p { "The ledger lists what is still open; read it before the engine is turned over." }
        div.one { a.main href=(stage.sheet_address("ledger")) { "Ledger" } }
    };
    frame::scrolling_page("Bench", Some(stage), "bench", &body)
}
