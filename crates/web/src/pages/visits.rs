//! The first page: all vehicles, what stands open, may each be moved, lowered, started.

use app::bench::{VisitCard, cards};
use app::workshop::{Archive, Workshop};
use axum::extract::State;
use maud::{Markup, html};

use super::{Failure, frame};
use crate::bench::Shared;

/// All visits.
pub(crate) async fn page(State(bench): State<Shared>) -> Result<Markup, Failure> {
    let (cards, aside) = bench.with(all).await?;
    let body = html! {
        h1 { "Visits" }
        @let health = bench.health();
        @if let Some(health) = health.as_ref().filter(|health| !health.is_well) { p.refusal role="alert" { (health.words) } }
        @if cards.is_empty() {
            p { "No visit yet. Open one on the computer:" }
            pre { "traywright visit new BOOK STORE --vehicle A --name \"the grey bus\"" }
        }
        @if aside > 0 { p.refusal { a href="/asides" { (aside) (if aside == 1 { " entry is" } else { " entries are" }) " kept aside for a person to look at" } } }
        @for card in &cards { (one(card)) }
        @if let Some(health) = health.as_ref().filter(|health| health.is_well) { p { (health.words) } }
    };
    Ok(frame::page("Visits", None, "", &body))
}

/// All cards, and how many entries are kept aside that nobody has seen to.
fn all(workshop: &mut Workshop) -> Result<(Vec<VisitCard>, usize), Failure> {
    let aside = workshop.archive().asides()?.iter().filter(|aside| !aside.settled).count();
    Ok((cards(workshop)?, aside))
}

fn one(card: &VisitCard) -> Markup {
    let at = |sheet: &str| format!("/v/{}/{sheet}", card.id);
    html! {
        section {
            h2 { span.big { (card.vehicle) } "  " (card.name) }
            p { (card.book) @if let Some(odometer) = &card.odometer { ", " (odometer) } }
            @if card.closed { p.refusal { "Closed and handed over." } }
            div.verdicts {
                @for may in &card.verdicts {
                    div { "may be " (may.what) strong { (if may.yes { "yes" } else { "no" }) }
                        @if !may.yes { (count(may.against, "line")) " against" } }
                }
            }
            p { (card.steps.0) " of " (card.steps.1) " steps done, about " (card.time_left) " left, "
                a href=(at("ledger")) { (count(card.open, "line")) " open" } "." }
            @if let Some(words) = &card.paused {
                p { strong { "Work rests." } " " (words) }
                div.one { a.main href=(at("pause")) { "Go on" } }
            } @else if let Some((number, text)) = &card.next {
                p { "Next: " strong { (number) } " " (text) }
                div.pair { a.main href=(at("bench")) { "Bench" } a.other href=(at("ledger")) { "Ledger" } }
            } @else {
                div.one { a.main href=(at("ledger")) { "Ledger" } }
            }
            (frame_links(&at))
        }
    }
}

fn frame_links(at: &impl Fn(&str) -> String) -> Markup {
    html! {
        nav.sheets {
            a href=(at("ready")) { "Before you start" }
            a href=(at("trays")) { "Trays" }
            a href=(at("readings")) { "Readings" }
            a href=(at("tell")) { "Tell" }
        }
    }
}

/// "1 line", "3 lines".
pub(super) fn count(number: usize, what: &str) -> String {
    format!("{number} {what}{}", if number == 1 { "" } else { "s" })
}
