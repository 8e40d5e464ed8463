//! The ledger: what stands open, what would close it, and whether the vehicle may be moved, lowered, started.

use std::collections::{BTreeMap, BTreeSet};

use app::journal::ledger::{Ledger, Line, LineKind, Verdict};
use app::journal::visit::{Claim, Fastener};
use app::journal::{Body, Command, DeviceId, FastenerKey, decide};
use app::model::FastenerState;
use app::workshop::Live;
use maud::{Markup, html};

use super::frame::{self, Stage, json};
use super::visits::count;
use super::{Asked, Failure};

/// The ledger of a visit.
pub(crate) async fn page(asked: Asked) -> Result<Markup, Failure> {
    let all = asked.bench.keys.all();
    let devices: Names = all.into_iter().map(|device| (device.id, device.name)).collect();
    let body = move |live: &Live, _: &Stage| {
        let ledger = Ledger::of(live.state(), live.book());
        html! {
            h1 { "Ledger" }
            div.verdicts {
                (verdict("moved", ledger.may_be_moved()))
                (verdict("lowered", ledger.may_be_lowered()))
                (verdict("started", ledger.may_be_started()))
            }
            p { "Advice by rule; the maker's service data and your own eyes come first." }
            @if ledger.is_zero() { p.big { "Nothing stands open." } }
            @else { p.big { (count(ledger.open().count(), "line")) " open" } }
            @for (kind, lines) in ledger.by_kind() {
                @if kind == LineKind::Undecided { (differ(live, &devices)) }
                @else { section {
                    h2 { (kind.title()) ", " (lines.len()) }
                    ul.rows { @for line in lines { (one(live, line)) } }
                } }
            }
            (counts(&ledger))
            (closing(live))
        }
    };
    asked.sheet("Ledger", "ledger", body).await
}

fn verdict(what: &str, verdict: &Verdict) -> Markup {
    html! {
        div { "may be " (what) strong { (if verdict.yes { "yes" } else { "no" }) }
            @if !verdict.yes { (count(verdict.reasons.len(), "line")) " against" } }
    }
}

fn one(live: &Live, line: &Line) -> Markup {
    html! {
        li #{ "line-" (line.key) } {
            span { strong { (line.what) } }
            span.where { @if let Some(slot) = &line.slot { (slot) } }
            span.why {
                @if let Some(word) = &line.accepted {
                    "Accepted by " (word.name) ": " (word.reason)
                } @else {
                    (line.closes) ". "
                }
            }
            span.why.pair { (closes(live, line))
                @if line.accepted.is_none() {
                    button type="button" data-ask="override" data-line=(line.key) { "Accept as it is" }
                }
            }
        }
    }
}

/// What devices are called.
type Names = BTreeMap<DeviceId, String>;

/// Fasteners that two devices differ about: what each says, and a tap for how it really stands.
fn differ(live: &Live, devices: &Names) -> Markup {
    let book = live.book();
    let title =
        |key: &str| book.fixing_by_key(key).map_or(key.to_owned(), |id| book.fixing(id).title.clone());
    html! {
        section #differ {
            h2 { (LineKind::Undecided.title()) ", " (live.state().conflicts().count()) }
            p { "Neither had seen the other. Look at the fastener, then say how it stands." }
            ul.rows { @for (fixing, hole, fastener) in live.state().conflicts() {
                li {
                    span { strong { (app::bench::capital(&title(fixing))) " " (hole) } }
                    @for claim in &fastener.claims { span.why { (says(claim, devices)) } }
                    span.why.pair { (settle(fixing, hole, fastener)) }
                }
            } }
        }
    }
}

fn says(claim: &Claim, devices: &Names) -> String {
    let device = devices.get(&claim.stamp.order.device).map_or("the computer", String::as_str);
    let place = claim.slot.as_ref().filter(|_| claim.to == FastenerState::Off);
    let place = place.map_or_else(String::new, |slot| format!(", in {slot}"));
    format!("{device} says: {}{place}", app::bench::state_words(claim.to))
}

/// A button for each state that is claimed.
fn settle(fixing: &str, hole: &str, fastener: &Fastener) -> Markup {
    let states: BTreeSet<FastenerState> = fastener.claims.iter().map(|claim| claim.to).collect();
    let settled = |to: FastenerState| {
        let fastener = FastenerKey { fixing: fixing.to_owned(), hole: hole.to_owned() };
        [Body::Settled { fastener, to }]
    };
    html! {
        @for to in states { button type="button" data-says=(json(&settled(to))) { (frame::drawing(&app::bench::sign(to))) "It is " (app::bench::state_words(to)) } }
    }
}

/// A button that closes the line here, where one tap can say it.
fn closes(live: &Live, line: &Line) -> Markup {
    let event = &line.since.event;
    let bodies = match line.kind {
        LineKind::Lost | LineKind::Happening => {
            let how = if line.kind == LineKind::Lost { "found" } else { "dealt with" };
            Some((how, vec![Body::DealtWith { happening: event.clone(), how: how.into() }]))
        }
        LineKind::Wait => Some(("It is over", vec![Body::WaitOver { wait: event.clone() }])),
        LineKind::Uncapped => {
            let cap = Command::Cap { opening: line.of.clone(), count: None };
            decide(live.state(), live.book(), live.plan(), cap).ok().map(|bodies| ("Capped", bodies))
        }
        LineKind::CapsIn => {
            let uncap = Command::Uncap { opening: line.of.clone(), count: None };
            decide(live.state(), live.book(), live.plan(), uncap).ok().map(|bodies| ("Caps out", bodies))
        }
        LineKind::PutIn => {
            let out = Command::TakeOut { put_in: event.clone(), count: None };
            decide(live.state(), live.book(), live.plan(), out).ok().map(|bodies| ("It is out", bodies))
        }
        _ => None,
    };
    let step = line.at.step;
    html! {
        @if let Some((words, bodies)) = bodies {
            button type="button" data-says=(json(&bodies)) { (app::bench::capital(words)) }
            @if line.kind == LineKind::Lost && line.accepted.is_none() {
                button type="button" data-ask="give-up" data-event=(event) { "Not found, going on" }
            }
        } @else if let Some((sheet, words)) = told_on(line.kind) {
            a.other href=(sheet) { (words) }
        } @else if let Some(step) = step {
            a.other href={ "bench?step=" (step) } { "To step " (step) }
        }
    }
}

/// The sheet on which a line of this kind is closed.
fn told_on(kind: LineKind) -> Option<(&'static str, &'static str)> {
    match kind {
        LineKind::PieceOut | LineKind::PieceLent => Some(("tell", "To the tools")),
        LineKind::Finding => Some(("tell", "To the finding")),
        LineKind::Count => Some(("trays", "Count again")),
        _ => None,
    }
}

fn counts(ledger: &Ledger) -> Markup {
    html! {
        @if !ledger.counts.is_empty() { section {
            h2 { "Counts" }
            table {
                tr { th { "what" } th.figure { "out" } th.figure { "back" } th { "" } }
                @for row in &ledger.counts {
                    tr { td { (app::bench::count_words(row.kind)) @if !row.of.is_empty() { ": " (row.of) } } td.figure { (row.out) } td.figure { (row.back) }
                        td { (if row.agrees() { "agrees" } else { "differs" }) } }
                }
            }
        } }
    }
}

fn closing(live: &Live) -> Markup {
    let close = Command::Close { name: String::from("-") };
    let refusal = decide(live.state(), live.book(), live.plan(), close).err();
    html! {
        section.no-print {
            h2 { "Hand over" }
            @match refusal {
                Some(refusal) => { p.refusal { (refusal.to_string()) } },
                None => { div.one { button.main type="button" data-ask="close" { "Close the visit" } } },
            }
        }
    }
}
