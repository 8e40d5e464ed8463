//! Report: what the steps do not cover. Rags and plugs put in, settings of the vehicle changed by hand, tools on the cart or lent, findings for the owner, new fasteners.

use std::collections::BTreeSet;

use app::bench::SettingCard;
use app::record::visit::PieceWhereabouts;
use app::record::{EventPlace, PieceDestination, PutInKind, VisitBody, VisitCommand, decide};
use app::text::table::count_with_noun;
use app::workshop::LiveVisit;
use maud::{Markup, html};

use super::frame::{PageContext, json_attribute};
use super::{PageFailure, SheetRequest};

/// What may be reported besides the steps.
pub(crate) async fn tell_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    let body = |live: &LiveVisit, _: &PageContext| {
        let step = app::bench::visit_card(live).next.map(|(number, _)| number);
        let at = EventPlace { step, ..EventPlace::default() };
        html! {
            h1 { "Report" }
            (put_in_section(live, &at))
            (settings_section(live))
            (super::findings::findings_section(live, &at))
            (new_fasteners_section(live))
            (tools_section(live))
            p { "Record hand counts on the Trays sheet and lost things on the Ledger sheet." }
        }
    };
    asked.render_sheet("Report", "tell", body).await
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

fn put_in_section(live: &LiveVisit, at: &EventPlace) -> Markup {
    let one = |what: PutInKind, words: &str| {
        [VisitBody::PutIn { what, words: words.to_owned(), count: 1, at: at.clone() }]
    };
    let inside = live.state().put_ins.iter().filter(|(_, thing)| thing.left > 0);
    html! {
        section {
            h2 { "Put in, must come out again" }
            div.taps { @for (what, words) in KINDS {
                button type="button" data-says=(json_attribute(&one(*what, words))) { (app::bench::capitalise_first(words)) " in" }
            } }
            ul.rows { @for (event, thing) in inside {
                li {
                    span { strong { (thing.left) " " (thing.words) }
                        @if let Some(step) = thing.at.step { ", at step " (step) } }
                    button type="button" data-says=(json_attribute(&[VisitBody::TakenOut { put_in: event.clone(), count: thing.left }])) { "It is out" }
                }
            } }
        }
    }
}

/// Every setting of the book with a button for each value that it has not now: for what is done without a step.
fn settings_section(live: &LiveVisit) -> Markup {
    let cards = live.book().map_or_else(Vec::new, |book| app::bench::setting_cards(live.state(), book));
    let change = |card: &SettingCard, value: &str| {
        [VisitBody::SettingChanged { setting: card.setting.clone(), value: value.to_owned() }]
    };
    html! {
        @if !cards.is_empty() { section {
            h2 { "How the vehicle stands" }
            p { "A step of the plan records this by itself; tap here what is changed without one." }
            ul.rows { @for card in &cards {
                li {
                    span { strong { (app::bench::capitalise_first(&card.words)) } }
                    @if !card.is_at_end { span.why { (card.closes) "." } }
                    span.why.pair { @for (value, words) in card.values.iter().filter(|(value, _)| *value != card.value) {
                        button type="button" data-says=(json_attribute(&change(card, value))) { (app::bench::capitalise_first(words)) }
                    } }
                }
            } }
        } }
    }
}

/// Single new fasteners for old ones that are out; those that are renewed each time first.
fn new_fasteners_section(live: &LiveVisit) -> Markup {
    let book = live.book();
    let mut fixings: Vec<_> = book
        .into_iter()
        .flat_map(|book| &book.fixings)
        .map(|fixing| {
            let old =
                live.state().fasteners.of_fixing(&fixing.key).filter(|(_, f)| app::bench::is_old_and_out(f));
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
                        @if let Some(bodies) = renewal_bodies(live, &fixing.key, hole) {
                            button type="button" data-says=(json_attribute(&bodies)) { (hole) " is new" }
                        }
                    } }
                }
            }
        }
    }
}

fn renewal_bodies(live: &LiveVisit, fixing: &str, hole: &str) -> Option<Vec<VisitBody>> {
    let command = VisitCommand::Renew { fixing: fixing.to_owned(), holes: [hole.to_owned()].into() };
    decide(live.state(), live.book(), live.plan(), command).ok()
}

fn tools_section(live: &LiveVisit) -> Markup {
    let pieces = &live.state().pieces;
    let kit = live.plan().map(|plan| &plan.kit);
    let is_out = |key: &str| pieces.get(key).is_some_and(|p| p.copies_away() > 0);
    let (out, in_place): (Vec<_>, Vec<_>) =
        kit.iter().flat_map(|kit| &kit.pieces).partition(|line| is_out(&line.piece));
    let in_kit = |key: &String| kit.iter().flat_map(|kit| &kit.pieces).any(|line| line.piece == *key);
    let besides: Vec<_> = pieces.iter().filter(|(key, p)| !in_kit(key) && p.copies_away() > 0).collect();
    let to_cart =
        |key: &str, count: u16| VisitBody::Piece { piece: key.to_owned(), count, to: PieceDestination::Cart };
    let all: Vec<VisitBody> = in_place.iter().map(|line| to_cart(&line.piece, line.count)).collect();
    html! {
        section {
            h2 { "Tools" }
            ul.rows { @for line in &out {
                (piece_away_row(&line.piece, &line.title, pieces.get(&line.piece)))
            } @for (key, whereabouts) in &besides {
                (piece_away_row(key, key, Some(*whereabouts)))
            } }
            @if kit.is_none() { p { "There is no plan, so no kit is listed." } }
            @if !in_place.is_empty() {
                div.one { button type="button" data-says=(json_attribute(&all)) { "All other " (count_with_noun(in_place.len(), "piece")) " of the kit are on the cart" } }
                details {
                    summary { (count_with_noun(in_place.len(), "piece")) " in their place" }
                    ul.rows { @for line in &in_place {
                        li {
                            span { strong { (line.title) } } span { (line.place.cabinet) " " (line.place.drawer) }
                            span.why.pair {
                                button type="button" data-says=(json_attribute(&[to_cart(&line.piece, line.count)])) { "On the cart" }
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
fn piece_away_row(key: &str, title: &str, pieces: Option<&PieceWhereabouts>) -> Markup {
    let Some(pieces) = pieces else { return html! {} };
    let all = u16::try_from(pieces.copies_away()).unwrap_or(u16::MAX);
    let back = [VisitBody::Piece { piece: key.to_owned(), count: all, to: PieceDestination::Place }];
    html! {
        li {
            span { strong { (title) } }
            span { @if pieces.cart > 0 { (pieces.cart) " on the cart" } }
            @for (whom, number) in &pieces.lent { span.why { (number) " lent to " (whom) } }
            span.why.pair {
                button type="button" data-says=(json_attribute(&back)) { "Back in its place" }
                button type="button" data-ask="lend" data-piece=(key) { "Lent" }
            }
        }
    }
}
