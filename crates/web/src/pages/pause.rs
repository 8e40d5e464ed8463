//! Pause and resume: what to know on the way back, and the last closed work to look at again by another method.

use app::journal::{At, Body, LookAgain, Visit, look_again};
use app::workshop::Live;
use maud::{Markup, html};

use super::frame::{Stage, json};
use super::{Asked, Failure};

/// Pause, or the way back.
pub(crate) async fn page(asked: Asked) -> Result<Markup, Failure> {
    let body = |live: &Live, stage: &Stage| {
        if live.state().pause().is_some() { back(live, stage) } else { away(live, stage) }
    };
    asked.sheet("Pause", "pause", body).await
}

fn away(live: &Live, stage: &Stage) -> Markup {
    let card = app::bench::card(live);
    let step = card.next.as_ref().map(|(number, _)| *number);
    let body = Body::Paused { words: String::new(), at: At { step, ..At::default() } };
    html! {
        h1 { "Pause" }
        p { "The keyboard's microphone takes a spoken note. It may be left empty." }
        form data-form="pause" data-body=(json(&body)) {
            label { "What to know on the way back" textarea name="words" rows="3" maxlength="400" {} }
            button.main { "Pause here" }
        }
        @if let Some((number, text)) = &card.next { p { "In hand: " strong { (number) } " " (text) } }
        (finger_tight(live))
        (links(stage))
    }
}

/// What is half done is named before the tools are laid down.
fn finger_tight(live: &Live) -> Markup {
    use app::journal::ledger::{Ledger, LineKind};
    let ledger = Ledger::of(live.state(), live.book());
    let kinds = [LineKind::Freed, LineKind::FingerTight, LineKind::Uncapped, LineKind::Lost];
    let lines: Vec<_> = ledger.open().filter(|l| kinds.contains(&l.kind)).collect();
    html! {
        @if !lines.is_empty() {
            section { h2 { "Half done" } ul.rows { @for line in lines.iter().take(12) { li { span { (line.what) } } } }
                @if lines.len() > 12 { p { "and " (lines.len() - 12) " more in the ledger" } } }
        }
    }
}

fn back(live: &Live, stage: &Stage) -> Markup {
    let visit = live.state();
    let card = app::bench::card(live);
    let items = look_again(visit);
    let open = items.iter().filter(|item| item.done.is_none()).count();
    html! {
        h1 { "Back at the bench" }
        @if let Some(pause) = visit.pause() { @if !pause.words.is_empty() { p.sentence { (pause.words) } } }
        div.verdicts { @for may in &card.verdicts { div { "may be " (may.what) strong { (if may.yes { "yes" } else { "no" }) } } } }
        section {
            h2 { "Look at again, by another method" }
            @if items.is_empty() { p { "Nothing was closed before the break." } }
            ul.rows { @for item in &items { (again(live, visit, item)) } }
        }
        @if let Some((number, text)) = &card.next { p { "Next: " strong { (number) } " " (text) } }
        @if open > 0 { p { (super::visits::count(open, "look")) " left; going on without is your decision." } }
        div.one { button.main type="button" data-says=(json(&[Body::Resumed])) data-then=(stage.at("bench")) { "Go on" } }
        (links(stage))
    }
}

fn again(live: &Live, _visit: &Visit, item: &LookAgain<'_>) -> Markup {
    html! {
        li {
            span { strong { (app::bench::work_words(live.book(), item.work)) } }
            span.where { @if item.done.is_some() { "looked" } }
            @if let Some(done) = item.done { span.why { (done.method) } }
            @else {
                span.why.pair { @for way in item.ways.iter().take(2) {
                    button type="button" data-says=(json(&[Body::LookedAgain { event: item.work.stamp.event.clone(), method: (*way).to_owned() }])) { (way) }
                } }
            }
        }
    }
}

fn links(stage: &Stage) -> Markup {
    html! { div.pair { a.other href=(stage.at("ledger")) { "Ledger" } a.other href=(stage.at("trays")) { "Trays" } } }
}
