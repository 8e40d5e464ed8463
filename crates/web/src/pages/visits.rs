//! The first page: all vehicles, what is open, may each be moved, lowered, started.

use app::bench::{VisitCard, visit_cards};
use app::text::table::count_with_noun;
use app::workshop::{EventArchive, Workshop};
use axum::extract::State;
use maud::{Markup, html};

use super::{PageFailure, frame, no_ground_notice, verdict_word};
use crate::bench_state::SharedBench;

/// All visits.
pub(crate) async fn visits_page(State(bench): State<SharedBench>) -> Result<Markup, PageFailure> {
    let (cards, aside) = bench.with_workshop(cards_and_asides).await?;
    let body = html! {
        h1 { "Visits" }
        @let health = bench.health();
        @if let Some(health) = health.as_ref().filter(|health| !health.is_well) { p.refusal role="alert" { (health.words) } }
        @if cards.is_empty() {
            p { "No visit yet. A visit is one vehicle's stay: what comes off, where it lies, and what is still open." }
        }
        div.one { a.other.main[cards.is_empty()] href="/begin" { "New visit" } }
        @if aside > 0 { p.refusal { a href="/asides" { (aside) (if aside == 1 { " entry is" } else { " entries are" }) " kept aside for someone to look at" } } }
        @for card in &cards { (card_section(card)) }
        @if let Some(health) = health.as_ref().filter(|health| health.is_well) { p { (health.words) } }
    };
    Ok(frame::scrolling_page("Visits", None, "", &body))
}

/// All cards, and how many entries are kept aside that nobody has seen to.
fn cards_and_asides(workshop: &mut Workshop) -> Result<(Vec<VisitCard>, usize), PageFailure> {
    let aside = workshop.archive().list_asides()?.iter().filter(|aside| !aside.settled).count();
    Ok((visit_cards(workshop)?, aside))
}

fn card_section(card: &VisitCard) -> Markup {
    let at = |sheet: &str| format!("/v/{}/{sheet}", card.id);
    html! {
        section {
            h2 { span.big { (card.vehicle) } "  " (card.name) }
            p { (card.book.as_deref().unwrap_or("no book yet")) @if let Some(odometer) = &card.odometer { ", " (odometer) } }
            @if card.closed { p.refusal { "Closed and handed over." } }
            div.verdicts {
                @for may in &card.verdicts {
                    div { "may be " (may.what) strong { (verdict_word(may.yes, card.no_ground.as_deref())) }
                        @if !may.yes { (count_with_noun(may.against, "line")) " against" } }
                }
            }
            (no_ground_notice(card.no_ground.as_deref()))
            @for trouble in &card.troubles { p.refusal { (app::bench::capitalise_first(trouble)) "." } }
            p { @if let Some((done, all)) = card.steps { (done) " of " (count_with_noun(all, "step")) " done, about " (card.time_left) " left, " }
                a href=(at("ledger")) { (count_with_noun(card.open, "line")) " open" } "." }
            @if !card.settings.is_empty() {
                ul.rows { @for setting in &card.settings {
                    li { span { strong { (app::bench::capitalise_first(&setting.words)) } } span.why { (setting.closes) "." } }
                } }
            }
            @if let Some(words) = &card.paused {
                p { strong { "Paused." } " " (words) }
                div.one { a.main href=(at("pause")) { "Resume" } }
            } @else if let Some((number, text)) = &card.next {
                p { "Next: " strong { (number) } " " (text) }
                div.pair { a.main href=(at("bench")) { "Bench" } a.other href=(at("ledger")) { "Ledger" } }
            } @else if card.steps.is_none() {
                div.pair { a.main href=(at("next")) { "Comes off next" } a.other href=(at("ledger")) { "Ledger" } }
            } @else {
                div.one { a.main href=(at("ledger")) { "Ledger" } }
            }
            (card_links(card, &at))
        }
    }
}

fn card_links(card: &VisitCard, at: &impl Fn(&str) -> String) -> Markup {
    html! {
        nav.sheets {
            a href=(at("ready")) { "Before you start" }
            a href=(at("trays")) { "Trays" }
            a href=(at("readings")) { "Readings" }
            a href=(at("tell")) { "Report" }
            @if card.book.is_some() { a href={ "/lessons?visit=" (card.id) } { "What the visits teach" } }
            @if let Some(vehicle) = &card.vehicle_id { a href={ "/vehicles/" (vehicle) } { "Vehicle" } }
        }
    }
}
