//! Before you start: go, open or no-go, what prevents starting and what stands open.

use app::model::plan::Plan;
use app::record::VisitBody;
use app::text::readiness as text;
use app::workshop::LiveVisit;

use maud::{Markup, html};

use super::frame::{self, PageContext};
use super::{PageFailure, SheetRequest};

/// The readiness of a visit.
pub(crate) async fn ready_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    let body = |live: &LiveVisit, stage: &PageContext| match live.plan() {
        Some(plan) => html! { (frame::missing_notice(live)) (ready_sheet(plan, live, stage)) },
        None => html! { h1 { "Before you start" } p.big { "Not known" } (frame::missing_notice(live)) },
    };
    asked.render_sheet("Before you start", "ready", body).await
}

fn ready_sheet(plan: &Plan, live: &LiveVisit, stage: &PageContext) -> Markup {
    let ready = &plan.readiness;
    html! {
        h1 { "Before you start" }
        p.big { (app::page::verdict_word(ready)) }
        @if !ready.go { p { (text::moments_words(ready)) } }
        @if !ready.coverage.is_whole() || ready.proven_by_class > 0 { p { (text::coverage_words(ready)) } }
        ul.rows { @for against in &ready.against { li { span { (against) } } } }
        (lines_section("Open", ready.open.iter().map(|line| line.words.clone())))
        (lines_section("Looks that would settle most", ready.looks.iter().take(5).map(text::look_words)))
        @for note in text::doubt_notes(ready) { p { (note) } }
        (go_on_section(plan, live))
        div.one { a.main href=(stage.sheet_address("bench")) { "To the bench" } }
        div.one { a.other href=(stage.sheet_address("goal")) { "Tasks" } }
        (lines_section("Safety", ready.safety.iter().cloned()))
        (lines_section("To buy, borrow or make", ready.shopping.iter().map(|line| format!("{}: {}", text::obtain_verb(line.how), line.words))))
        (lines_section("Not at hand", ready.not_at_hand.iter().map(|line| format!("{}: {}", line.title, line.state.spoken_word()))))
        section {
            h2 { "Parts and supplies" }
            table {
                tr { th { "what" } th.figure { "pcs" } th { "" } }
                @for line in &ready.supplies {
                    tr { td { (line.supply.name) } td.figure { (line.supply.count) }
                        td { (if line.supply.before_start { "before the start" } else { "" }) } }
                }
            }
        }
        section {
            h2 { "May break on the way out" }
            table {
                tr { th { "fixing" } th.figure { "pcs" } th { "have ready" } }
                @for line in &ready.rescue { tr { td { (line.fixing) } td.figure { (line.count) } td { (line.items.join(", ")) } } }
            }
        }
        section {
            h2 { "Caps" }
            table {
                tr { th { "opening" } th.figure { "pcs" } th { "cap" } }
                @for line in &ready.caps {
                    tr { td { (line.opening) } td.figure { (line.count) } td { (line.cap.as_deref().unwrap_or("cannot be capped")) } }
                }
            }
        }
        (lines_section("Brittle with age", ready.brittle.iter().cloned()))
        section {
            h2 { "Put on the cart" }
            table {
                tr { th { "where" } th { "piece" } th.figure { "pcs" } }
                @for line in &plan.kit.pieces {
                    tr { td { (line.place.cabinet) " " (line.place.drawer) } td { (line.title) } td.figure { (line.count) } }
                }
            }
        }
    }
}

/// Asks once a visit who goes on while something stands open.
fn go_on_section(plan: &Plan, live: &LiveVisit) -> Markup {
    let asked = app::bench::go_on_body(plan, live.state(), "");
    html! {
        @if let Some(told) = app::bench::going_on_words(live.state()) { p { (told) "." } }
        @if let Some(VisitBody::WentOn { open, .. }) = &asked {
            div.one {
                button type="button" data-ask="go-on" data-open=(frame::json_attribute(open)) {
                    "Go on while this stands open"
                }
            }
        }
    }
}

fn lines_section(title: &str, lines: impl Iterator<Item = String>) -> Markup {
    let lines: Vec<String> = lines.collect();
    html! {
        @if !lines.is_empty() {
            section { h2 { (title) } ul.rows { @for line in &lines { li { span { (line) } } } } }
        }
    }
}
