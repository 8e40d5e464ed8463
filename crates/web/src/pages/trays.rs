//! The trays, drawn as they lie: what each compartment holds, what of it is still out, and counts by hand.

use std::collections::{BTreeMap, BTreeSet};

use app::bench::{Compartment, TrayNow, trays};
use app::journal::Body;
use app::journal::visit::HandCount;
use app::workshop::Live;
use maud::{Markup, html};

use super::frame::{Stage, json};
use super::{Asked, Failure};

/// All trays of a visit.
pub(crate) async fn page(asked: Asked) -> Result<Markup, Failure> {
    let body = |live: &Live, _: &Stage| {
        let all = trays(live.book(), live.store(), live.plan(), live.state());
        let slots: BTreeSet<&str> =
            all.iter().flat_map(|tray| &tray.compartments).map(|place| place.slot.as_str()).collect();
        html! {
            h1 { "Trays" }
            p { "The tray itself is the truth; this sheet holds its addresses and counts." }
            @for tray in &all { (one(tray, &live.state().counts)) }
            @let others: Vec<_> = live.state().counts.iter().filter(|(what, _)| !slots.contains(what.as_str())).collect();
            @if !others.is_empty() { section { h2 { "Counted besides" } ul.rows { @for (what, count) in others {
                li { span.where { (what) } span.where { (count.counted) " of " (count.expected) } }
            } } } }
        }
    };
    asked.sheet("Trays", "trays", body).await
}

fn one(tray: &TrayNow, counts: &BTreeMap<String, HandCount>) -> Markup {
    html! {
        section {
            h2 { (tray.title) }
            @if tray.tray.is_some() {
                div.tray style={ "grid-template-columns: repeat(" (tray.size.1) ", minmax(0, 1fr))" } {
                    @for row in (0..tray.size.0).rev() {
                        @for column in 0..tray.size.1 { (cell(tray, (row, column))) }
                    }
                }
                p { "Front of the tray below." }
            }
            ul.rows {
                @for place in &tray.compartments {
                    li { span.where { (place.slot) } span.where { (place.now) " of " (place.count) } span.why { (place.what) }
                        (by_hand(place, counts.get(&place.slot))) }
                }
            }
        }
    }
}

fn cell(tray: &TrayNow, at: (u16, u16)) -> Markup {
    let here: Vec<&Compartment> = tray.compartments.iter().filter(|c| c.at == Some(at)).collect();
    html! {
        div.cell {
            @if let Some(first) = here.first() {
                b { (first.slot.rsplit('-').next().unwrap_or_default()) }
                @for place in &here { span { (place.now) "/" (place.count) } }
            }
        }
    }
}

/// A count by hand of what lies in a compartment: one tap where it is right.
fn by_hand(place: &Compartment, known: Option<&HandCount>) -> Markup {
    let expected = u32::try_from(place.now).unwrap_or(u32::MAX);
    let counted = |counted: u32| [Body::Counted { what: place.slot.clone(), expected, counted }];
    let fits = known.is_some_and(|count| count.expected == expected);
    html! {
        @if let Some(count) = known { span.why { "Counted: " strong { (count.counted) } " of " (count.expected) } }
        @if expected > 0 || known.is_some_and(|count| count.counted != count.expected) {
            span.why.pair {
                @if !fits || known.is_some_and(|count| count.counted != count.expected) {
                    button type="button" data-says=(json(&counted(expected))) { (expected) " counted, right" }
                }
                button type="button" data-ask="count" data-what=(place.slot) data-expected=(expected) {
                    (if fits { "Count again" } else { "Another number" })
                }
            }
        }
    }
}
