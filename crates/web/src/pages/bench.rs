//! The bench: one step fills the screen; the drawing is the page.

use app::bench::{AheadRange, StepSheet, number_of_named_step, sheets_ahead, step_in_hand, step_sheet};
use app::model::SlotAddress;
use app::model::plan::JobPhase;
use app::record::{EventPlace, StepStanding, VisitBody, VisitHappeningKind};
use app::workshop::{Device, LiveVisit};
use axum::extract::{Extension, Path, Query, State};
use maud::{Markup, html};
use serde::Deserialize;

use super::frame::{self, PageContext, json_attribute};
use super::{PageFailure, caution_markup, with_live_visit};
use crate::bench_state::SharedBench;

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
        let view = step_sheet(book, store, plan, live.state(), number);
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
) -> Result<Markup, PageFailure> {
    with_live_visit(&bench, &visit, move |live| {
        let stage = PageContext::for_device(live, &device);
        let count = which.count.unwrap_or(MAX_SHEETS_AHEAD).min(MAX_SHEETS_AHEAD);
        let Some((_, _, plan)) = live.planned_texts() else { return Ok(html! {}) };
        let asked = which.step.as_deref().and_then(|name| number_of_named_step(plan, name));
        let beyond = which.step.as_deref().and_then(|name| name.parse().ok());
        let Some(step) = asked.or(beyond).or_else(|| next_step(live)) else { return Ok(html! {}) };
        let views = sheets_ahead(live, AheadRange { step, count });
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

fn step_markup(view: &StepSheet, stage: &PageContext) -> Markup {
    html! {
        article.sheet.bare[view.drawing.is_none() && view.pattern.is_none()] data-step=(view.name) data-number=(view.number) data-spoken=(view.spoken)
            data-passes=[(!view.passes.is_empty()).then(|| json_attribute(&view.passes))] {
            (step_picture(view))
            (step_words(view, stage))
            div.actions {
                (main_button(view))
                div.small {
                    button type="button" data-undo="" { "Take back" }
                    button type="button" data-open="happened" { "Problem" }
                    a.other href=(stage.sheet_address("pause")) { "Pause" }
                    button type="button" data-open="more" { "More" }
                }
            }
            (frame::title_block(Some(stage), &[
                ("step", format!("{} of {}, {}", view.number, view.of, view.phase.spoken_word())),
                ("station", view.station.clone()),
                ("left", view.time_left.clone()),
            ]))
        }
    }
}

/// The large button. Where nothing at hand does the work, or a value is to be read first, it asks before it ticks.
fn main_button(view: &StepSheet) -> Markup {
    let unread = view.measures.iter().filter(|measure| measure.taken.is_none()).count();
    html! {
        @match (&view.tick, view.standing) {
            (Some(says), _) if view.tools.iter().any(|tool| tool.is_missing) => {
                button.main.asks type="button" data-ask="without-tool" data-bodies=(json_attribute(&says.bodies)) { "No tool at hand: done all the same" }
            },
            (Some(says), _) if unread > 0 => {
                button.main.asks type="button" data-ask="unread" data-bodies=(json_attribute(&says.bodies)) {
                    "Done, with " (app::text::table::count_with_noun(unread, "value")) " not read"
                }
            },
            (Some(says), _) => {
                button.main type="button" data-says=(json_attribute(&says.bodies))
                    data-done=[(!view.marks_back.is_empty()).then(|| json_attribute(&view.marks_back))] { (says.label) }
            },
            (None, StepStanding::Done) => button.main type="button" disabled { "Done" },
            (None, _) => button.main type="button" disabled { "Not yet: something is open" },
        }
    }
}

fn holes_first(view: &StepSheet) -> bool {
    view.phase == JobPhase::Refit || view.drawing.is_none()
}

/// The drawing to scale: the stack, or the holes where the order of the holes is the question; a tap changes over.
fn step_picture(view: &StepSheet) -> Markup {
    let (first, second) =
        if holes_first(view) { (&view.pattern, &view.drawing) } else { (&view.drawing, &view.pattern) };
    html! {
        div.picture {
            @match (first, second) {
                (Some(first), Some(second)) => {
                    div.drawn { (frame::drawing_markup(first)) }
                    div.drawn.gone { (frame::drawing_markup(second)) }
                    button.turn type="button" data-turn="" aria-label="switch between stack and holes" { "stack / holes" }
                },
                (Some(only), None) | (None, Some(only)) => div.drawn { (frame::drawing_markup(only)) },
                (None, None) => p.sentence.big { (view.number) "  " (frame::keep_units_together(&view.sentence)) },
            }
            @if !view.measures.is_empty() { (measures_markup(view)) }
        }
    }
}

fn step_words(view: &StepSheet, stage: &PageContext) -> Markup {
    let sentence = frame::keep_units_together(&view.sentence);
    html! {
        div.words {
            (stage.conflict_notice())
            @for text in &view.cautions { (caution_markup(text)) }
            @if view.drawing.is_some() || view.pattern.is_some() { p.sentence { (view.number) "  " (sentence) } }
            (tools_markup(view))
            div.reach {
                @if !view.figure.large.is_empty() { span.figure { (frame::keep_units_together(&view.figure.large)) } }
                @if !view.figure.beside.is_empty() { span.beside { (frame::keep_units_together(&view.figure.beside)) } }
                @if let Some(slot) = &view.slot { span.slot { (slot_in_words(view.phase, slot)) } }
                @if view.tightens { a.ground href=(stage.sheet_address(&format!("why/{}", view.number))) { "Why this figure?" } }
            }
            @if let Some(against) = &view.against { p.refusal { (against) } }
            (frame::missing_figures_markup(&view.missing_figures))
            @if view.helper { p { strong { "Two people." } } }
            @for fact in &view.facts { p { (frame::keep_units_together(fact)) } }
            @if !view.take_back.is_empty() {
                div.one { button type="button" data-says=(json_attribute(&view.take_back)) { "This was not done: take it back" } }
            }
            div.rest { (lookup_markup(view)) }
        }
    }
}

/// A box for each value that the step measures; what was read stands beside it.
fn measures_markup(view: &StepSheet) -> Markup {
    let task = view.task.as_deref().unwrap_or_default();
    html! {
        div.measures {
            @for measure in &view.measures {
                form data-form="measure" data-key=(measure.what) data-task=(task) data-what=(measure.what) data-unit=[(!measure.unit.is_empty()).then_some(&measure.unit)]
                    data-low=[measure.low] data-high=[measure.high] data-method=(measure.with) {
                    label { (measure.what) @if !measure.with.is_empty() { ", " (measure.with) }
                        input name="value" inputmode="decimal" autocomplete="off" required; }
                    @if measure.unit.is_empty() { label { "Unit" input name="unit" list="units" autocomplete="off" required maxlength="12"; } }
                    @else { span { (measure.unit) } }
                    span.limits { (limits_of_measure(measure)) }
                    @if let Some(taken) = &measure.taken { strong { (taken.value) " " (taken.unit) @if taken.is_within() == Some(false) { ": outside its limits" } } }
                    button { @if measure.taken.is_some() { "Read again" } @else { "Keep" } }
                }
            }
            datalist #units { @for unit in super::readings::UNITS { option value=(unit) {} } }
        }
    }
}

fn limits_of_measure(measure: &app::bench::StepMeasure) -> String {
    let unit = &measure.unit;
    match (measure.low, measure.high) {
        (Some(low), Some(high)) => format!("{low} to {high} {unit}"),
        (Some(low), None) => format!("at least {low} {unit}"),
        (None, Some(high)) => format!("at most {high} {unit}"),
        (None, None) => String::from("the book tells no limits"),
    }
}

/// With what: each stack of the step, what is done with it and on which holes; what no tool does stands out.
fn tools_markup(view: &StepSheet) -> Markup {
    html! {
        @for tool in view.tools.iter().filter(|tool| !tool.words.is_empty()) {
            p.tool.refusal[tool.is_missing] {
                @if !tool.act.is_empty() { span.act { (tool.act) @if !tool.holes.is_empty() { " " (tool.holes) } ": " } }
                (frame::keep_units_together(&tool.words))
            }
        }
    }
}

/// Where the fasteners go or come from; what is loosened and left needs no slot.
fn slot_in_words(phase: JobPhase, slot: &SlotAddress) -> String {
    let way = match phase {
        JobPhase::Strip | JobPhase::Work => "into",
        JobPhase::Refit => "from",
    };
    match slot {
        SlotAddress::OnPart => "left on the part".into(),
        SlotAddress::InHole => "left in its hole".into(),
        SlotAddress::Compartment { .. }
        | SlotAddress::Bag { .. }
        | SlotAddress::HoleCard { .. }
        | SlotAddress::Scrap => format!("{way} {slot}"),
    }
}

/// What is looked up, and the next steps: whole lines below the words as far as there is room, and all of it behind "More".
fn lookup_markup(view: &StepSheet) -> Markup {
    html! {
        @for note in &view.notes { p { (note) } }
        @if !view.next.is_empty() { ul.next { @for line in &view.next { li { (frame::keep_units_together(line)) } } } }
    }
}

fn place_of_step(view: &StepSheet) -> EventPlace {
    EventPlace { part: view.part.clone(), step: Some(view.number), ..EventPlace::default() }
}

/// What may happen, in the order of how often it does.
const HAPPENINGS: &[(VisitHappeningKind, &str)] = &[
    (VisitHappeningKind::Lost, "dropped and lost"),
    (VisitHappeningKind::Seized, "seized"),
    (VisitHappeningKind::Broken, "broke off"),
    (VisitHappeningKind::Rounded, "rounded off"),
    (VisitHappeningKind::ThreadCameOut, "thread pulled"),
    (VisitHappeningKind::Extra, "not in the book"),
    (VisitHappeningKind::WrongPart, "wrong part"),
    (VisitHappeningKind::PartMissing, "part missing"),
    (VisitHappeningKind::FoundLikeThis, "found like this"),
];

/// The menu behind "Happened": the second tap records it.
fn happened_menu(view: &StepSheet) -> Markup {
    html! {
        dialog #happened {
            h2 { "What is the problem?" }
            (which_fastener(view))
            div.choices {
                @for (kind, words) in HAPPENINGS {
                    button type="button" data-happened=(json_attribute(&[VisitBody::Happened {
                        what: *kind,
                        at: place_of_happening(view, *kind),
                        words: String::new(),
                    }])) { (words) }
                }
                button type="button" data-close="" { "Cancel" }
            }
        }
    }
}

/// Which fastener it is about: named here, or by a long press on the drawing; neither marks it.
fn which_fastener(view: &StepSheet) -> Markup {
    let title = |key: &str| {
        view.fixings.iter().find(|(fixing, _)| fixing == key).map_or("", |(_, title)| title.as_str())
    };
    let several = view.fixings.len() > 1;
    let begin = view.fixings.first().filter(|_| !several).map_or_else(
        || String::from("At hole "),
        |(_, title)| format!("{} ", app::bench::capitalise_first(title)),
    );
    html! {
        @if !view.fasteners.is_empty() {
            p data-which=(begin) data-none="Which one? Tap it here, or hold it down on the drawing. Without one it is recorded for the step." {
                "Which one? Tap it here, or hold it down on the drawing. Without one it is recorded for the step."
            }
            div.which { @for (fixing, hole) in &view.fasteners {
                button type="button" aria-pressed="false" data-names=(json_attribute(&serde_json::json!({ "fixing": fixing, "hole": hole }))) {
                    @if several { (title(fixing)) " " } (hole)
                }
            } }
        }
    }
}

/// Place that is recorded unless a hole is named: a dropped thing may be anything, the rest concerns the present fixing.
fn place_of_happening(view: &StepSheet, kind: VisitHappeningKind) -> EventPlace {
    let fixing = view.fixings.first().map(|(key, _)| key.clone());
    if kind == VisitHappeningKind::Lost {
        place_of_step(view)
    } else {
        EventPlace { fixing, ..place_of_step(view) }
    }
}

/// The menu behind "More": the steps around, reading aloud, a picture, the other sheets.
fn more_menu(view: &StepSheet, stage: &PageContext) -> Markup {
    let link = |name: &Option<String>| name.as_ref().map(|name| stage.step_address(name));
    html! {
        dialog #more {
            div.rest { (lookup_markup(view)) }
            div.choices {
                a.other href=[link(&view.around.0)] rel="prev" { "Previous step" }
                a.other href=[link(&view.around.1)] rel="next" { "Next step" }
                button type="button" data-aloud="" { "Read aloud" }
                label.other.file { "Picture" input.gone type="file" accept="image/jpeg,image/png" capture="environment"
                    data-picture=(json_attribute(&place_of_step(view))); }
            }
            (frame::sheet_links(Some(stage), "bench"))
            button type="button" data-close="" { "Back to the step" }
        }
    }
}
