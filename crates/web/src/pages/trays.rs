//! The trays, drawn as they lie: what each compartment holds, what of it is still out, and counts by hand.

use std::collections::{BTreeMap, BTreeSet};

use app::bench::{SlotContents, TrayContents, trays_of_visit};
use app::record::VisitBody;
use app::record::visit::HandCount;
use app::workshop::LiveVisit;
use maud::{Markup, html};

use super::frame::{self, PageContext, json_attribute};
use super::{PageFailure, SheetRequest};

/// All trays of a visit.
pub(crate) async fn trays_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    let body = |live: &LiveVisit, _: &PageContext| {
        let planned = live.planned_texts();
        let all = planned.map_or_else(Vec::new, |(b, s, p)| trays_of_visit(b, s, p, live.state()));
        let slots: BTreeSet<String> =
            all.iter().flat_map(|tray| &tray.compartments).map(|place| place.slot.to_string()).collect();
        html! {
            h1 { "Trays" }
            (frame::missing_notice(live))
            p { "What is in the tray counts; this sheet gives addresses and numbers." }
            @for tray in &all { (tray_section(tray, &live.state().counts)) }
            @let others: Vec<_> = live.state().counts.iter().filter(|(what, _)| !slots.contains(*what)).collect();
            @if !others.is_empty() { section { h2 { "Other counts" } ul.rows { @for (what, count) in others {
                li { span.where { (what) } span.where { (count.counted) " of " (count.expected) } }
            } } } }
        }
    };
    asked.render_sheet("Trays", "trays", body).await
}

fn tray_section(tray: &TrayContents, counts: &BTreeMap<String, HandCount>) -> Markup {
    html! {
        section {
            h2 { (tray.title) }
            @if tray.tray.is_some() {
                div.tray style={ "grid-template-columns: repeat(" (tray.size.1) ", minmax(0, 1fr))" } {
                    @for row in (0..tray.size.0).rev() {
                        @for column in 0..tray.size.1 { (tray_cell(tray, (row, column))) }
                    }
                }
                p { "The front of the tray is at the bottom." }
            }
            ul.rows {
                @for place in &tray.compartments {
                    li #{ "slot-" (place.slot) } { span.where { (place.slot) } span.where { (place.now) " of " (place.count) } span.why { (place.what) }
                        (hand_count_buttons(place, counts.get(&place.slot.to_string()))) }
                }
            }
        }
    }
}

fn tray_cell(tray: &TrayContents, at: (u16, u16)) -> Markup {
    let here: Vec<&SlotContents> = tray.compartments.iter().filter(|c| c.at == Some(at)).collect();
    html! {
        @match here.first() {
            Some(first) => a.cell href={ "#slot-" (first.slot) } {
                @if let Some(number) = first.slot.number() { b { (format!("{number:02}")) } }
                @for place in &here { span { (place.now) "/" wbr; (place.count) } }
            },
            None => div.cell {},
        }
    }
}

/// A count by hand of what lies in a compartment: one tap where it is right.
fn hand_count_buttons(place: &SlotContents, known: Option<&HandCount>) -> Markup {
    let expected = u32::try_from(place.now).unwrap_or(u32::MAX);
    let counted = |counted: u32| [VisitBody::Counted { what: place.slot.to_string(), expected, counted }];
    let fits = known.is_some_and(|count| count.expected == expected);
    html! {
        @if let Some(count) = known { span.why { "Counted: " strong { (count.counted) } " of " (count.expected) } }
        @if expected > 0 || known.is_some_and(|count| count.counted != count.expected) {
            span.why.pair {
                @if !fits || known.is_some_and(|count| count.counted != count.expected) {
                    button type="button" data-says=(json_attribute(&counted(expected))) { (expected) " counted, correct" }
                }
                button type="button" data-ask="count" data-what=(place.slot) data-expected=(expected) {
                    (if fits { "Count again" } else { "A different number" })
                }
            }
        }
    }
}
