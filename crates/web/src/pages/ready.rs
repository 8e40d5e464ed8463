//! Before you start: go or no-go, and what prevents it.

use app::model::plan::Plan;
use app::workshop::LiveVisit;

use maud::{Markup, html};

use super::frame::{self, PageContext};
use super::{PageFailure, SheetRequest};

/// The readiness of a visit.
pub(crate) async fn ready_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    let body = |live: &LiveVisit, stage: &PageContext| match live.plan() {
        Some(plan) => html! { (frame::missing_notice(live)) (ready_sheet(plan, stage)) },
        None => html! { h1 { "Before you start" } p.big { "Not known" } (frame::missing_notice(live)) },
    };
    asked.render_sheet("Before you start", "ready", body).await
}

fn ready_sheet(plan: &Plan, stage: &PageContext) -> Markup {
    let ready = &plan.readiness;
    html! {
        h1 { "Before you start" }
        p.big { (if ready.go { "Go" } else { "Not yet" }) }
        ul.rows { @for against in &ready.against { li { span { (against) } } } }
        (lines_section("Against the refit", ready.against_refit.iter().cloned()))
        div.one { a.main href=(stage.sheet_address("bench")) { "To the bench" } }
        (lines_section("Safety", ready.safety.iter().cloned()))
        (lines_section("To buy, borrow or make", ready.shopping.iter().map(|line| format!("{}: {}", app::text::readiness::obtain_verb(line.how), line.words))))
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

fn lines_section(title: &str, lines: impl Iterator<Item = String>) -> Markup {
    let lines: Vec<String> = lines.collect();
    html! {
        @if !lines.is_empty() {
            section { h2 { (title) } ul.rows { @for line in &lines { li { span { (line) } } } } }
        }
    }
}
