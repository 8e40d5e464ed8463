//! Tell: what the steps do not say. Rags and plugs put in, tools on the cart or lent, findings for the owner, new fasteners.

use std::collections::BTreeSet;

use app::journal::visit::{Fastener, Finding, Pieces};
use app::journal::{At, Body, Command, PieceTo, PutInKind, Word, decide};
use app::model::FastenerState;
use app::workshop::Live;
use maud::{Markup, html};

use super::frame::{Stage, json};
use super::visits::count;
use super::{Asked, Failure};

/// What may be told besides the steps.
pub(crate) async fn page(asked: Asked) -> Result<Markup, Failure> {
    let body = |live: &Live, _: &Stage| {
        let step = app::bench::card(live).next.map(|(number, _)| number);
        let at = At { step, ..At::default() };
        html! {
            h1 { "Tell" }
            (put_in(live, &at))
            (findings(live, &at))
            (new_ones(live))
            (tools(live))
            p { "Counts by hand are told on the sheet Trays, what is lost on the sheet Ledger." }
        }
    };
    asked.sheet("Tell", "tell", body).await
}

/// Kinds of things put in, with the words for one of it.
const KINDS: &[(PutInKind, &str)] = &[
    (PutInKind::Rag, "rag"),
    (PutInKind::Plug, "plug"),
    (PutInKind::Tape, "tape"),
    (PutInKind::TetheredTool, "tethered tool"),
    (PutInKind::LockingPin, "locking pin"),
    (PutInKind::Other, "something else"),
];

fn put_in(live: &Live, at: &At) -> Markup {
    let one = |what: PutInKind, words: &str| {
        [Body::PutIn { what, words: words.to_owned(), count: 1, at: at.clone() }]
    };
    let inside = live.state().put_ins.iter().filter(|(_, thing)| thing.left > 0);
    html! {
        section {
            h2 { "Put in, has to come out" }
            div.taps { @for (what, words) in KINDS {
                button type="button" data-says=(json(&one(*what, words))) { (app::bench::capital(words)) " in" }
            } }
            ul.rows { @for (event, thing) in inside {
                li {
                    span { strong { (thing.left) " " (thing.words) }
                        @if let Some(step) = thing.at.step { ", at step " (step) } }
                    button type="button" data-says=(json(&[Body::TakenOut { put_in: event.clone(), count: thing.left }])) { "It is out" }
                }
            } }
        }
    }
}

fn findings(live: &Live, at: &At) -> Markup {
    html! {
        section {
            h2 { "For the owner to decide" }
            ul.rows { @for (event, finding) in &live.state().findings { (finding_row(event.as_str(), finding)) } }
            details {
                summary { "Something is found" }
                form data-form="finding" data-at=(json(at)) {
                    label { "What, and why it matters" textarea name="words" rows="2" maxlength="300" required {} }
                    div.pair {
                        label { "Price from" input name="from" inputmode="decimal"; }
                        label { "Price to" input name="to" inputmode="decimal"; }
                    }
                    label { "What follows from leaving it" input name="left" maxlength="200"; }
                    button.main { "Keep the finding" }
                }
            }
        }
    }
}

fn finding_row(event: &str, finding: &Finding) -> Markup {
    let word = |word: Word| match word {
        Word::Yes => "do it",
        Word::No => "leave it",
        Word::Call => "wants to talk",
    };
    html! {
        li {
            span { strong { (finding.words) } }
            span.where { (price(finding)) }
            @if !finding.if_left.is_empty() { span.why { "If left: " (finding.if_left) } }
            @if let Some(answer) = &finding.answer { span.why { "The owner's word: " strong { (word(answer.word)) } ", " (answer.by) } }
            @if !finding.is_answered() {
                span.why.taps { @for (word, name, words) in [(Word::Yes, "yes", "Do it"), (Word::No, "no", "Leave it"), (Word::Call, "call", "Wants to talk")] {
                    @if finding.answer.as_ref().is_none_or(|a| a.word != word) {
                        button type="button" data-ask="answer" data-event=(event) data-word=(name) { (words) }
                    }
                } }
            }
        }
    }
}

/// "40.00 to 55.00", in the book's currency.
fn price(finding: &Finding) -> String {
    let words = |cents: i64| format!("{}.{:02}", cents / 100, cents.rem_euclid(100));
    match (finding.price_from_cents, finding.price_to_cents) {
        (Some(from), Some(to)) if from != to => format!("{} to {}", words(from), words(to)),
        (Some(one), _) | (None, Some(one)) => words(one),
        (None, None) => String::new(),
    }
}

/// Single new fasteners for old ones that are out; those that are renewed each time first.
fn new_ones(live: &Live) -> Markup {
    let book = live.book();
    let mut fixings: Vec<_> = book
        .fixings
        .iter()
        .map(|fixing| {
            let old = live.state().fasteners.of(&fixing.key).filter(|(_, f)| is_old_and_out(f));
            (fixing, old.map(|(hole, _)| hole.to_owned()).collect::<BTreeSet<String>>())
        })
        .filter(|(_, holes)| !holes.is_empty())
        .collect();
    fixings.sort_by_key(|(fixing, _)| !fixing.one_time);
    html! {
        section {
            h2 { "New fasteners for old ones" }
            @if fixings.is_empty() { p { "No old fastener is out." } }
            @for (fixing, holes) in &fixings {
                details {
                    summary { (fixing.title) ", " (holes.len()) " out" @if fixing.one_time { ", renewed each time" } }
                    div.taps { @for hole in holes {
                        @if let Some(bodies) = renewed(live, &fixing.key, hole) {
                            button type="button" data-says=(json(&bodies)) { (hole) " is new" }
                        }
                    } }
                }
            }
        }
    }
}

fn is_old_and_out(fastener: &Fastener) -> bool {
    let is_fresh = fastener.is_renewed() && !fastener.spent && fastener.state == FastenerState::Off;
    !fastener.is_in() && !is_fresh
}

fn renewed(live: &Live, fixing: &str, hole: &str) -> Option<Vec<Body>> {
    let command = Command::Renew { fixing: fixing.to_owned(), holes: [hole.to_owned()].into() };
    decide(live.state(), live.book(), live.plan(), command).ok()
}

fn tools(live: &Live) -> Markup {
    let pieces = &live.state().pieces;
    let is_out = |key: &str| pieces.get(key).is_some_and(|p| p.away() > 0);
    let (out, in_place): (Vec<_>, Vec<_>) =
        live.plan().kit.pieces.iter().partition(|line| is_out(&line.piece));
    let to_cart = |key: &str, count: u16| Body::Piece { piece: key.to_owned(), count, to: PieceTo::Cart };
    let all: Vec<Body> = in_place.iter().map(|line| to_cart(&line.piece, line.count)).collect();
    html! {
        section {
            h2 { "Tools" }
            ul.rows { @for line in &out {
                (away(&line.piece, &line.title, pieces.get(&line.piece)))
            } }
            @if !in_place.is_empty() {
                div.one { button type="button" data-says=(json(&all)) { "All other " (count(in_place.len(), "piece")) " of the kit are on the cart" } }
                details {
                    summary { (count(in_place.len(), "piece")) " in their place" }
                    ul.rows { @for line in &in_place {
                        li {
                            span { strong { (line.title) } } span { (line.place.cabinet) " " (line.place.drawer) }
                            span.why.pair {
                                button type="button" data-says=(json(&[to_cart(&line.piece, line.count)])) { "On the cart" }
                                button type="button" data-ask="lend" data-piece=(line.piece) { "Lent" }
                            }
                        }
                    } }
                }
            }
        }
    }
}

/// A piece that is out of its place.
fn away(key: &str, title: &str, pieces: Option<&Pieces>) -> Markup {
    let Some(pieces) = pieces else { return html! {} };
    let all = u16::try_from(pieces.away()).unwrap_or(u16::MAX);
    let back = [Body::Piece { piece: key.to_owned(), count: all, to: PieceTo::Place }];
    html! {
        li {
            span { strong { (title) } }
            span { @if pieces.cart > 0 { (pieces.cart) " on the cart" } }
            @for (whom, number) in &pieces.lent { span.why { (number) " lent to " (whom) } }
            span.why.pair {
                button type="button" data-says=(json(&back)) { "Back in its place" }
                button type="button" data-ask="lend" data-piece=(key) { "Lent" }
            }
        }
    }
}
