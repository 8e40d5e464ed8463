//! The ledger: what is open, what would close it, and whether the vehicle may be moved, lowered, started.

use std::collections::{BTreeMap, BTreeSet};

use app::bench::{SettingCard, is_work_in_hand, lines_by_place, verdict_words};
use app::model::{Book, FastenerState, GOAL_TO_ROLL};
use app::record::ledger::{Ledger, LedgerLine, LedgerLineKind, VehicleVerdict};
use app::record::visit::{FastenerClaim, SettingStanding, VisitFastener};
use app::record::{DeviceId, FastenerKey, Refusal, VisitBody, VisitCommand, decide};
use app::text::table::count_with_noun;
use app::text::visit::explain_no_ground;
use app::workshop::LiveVisit;
use maud::{Markup, html};

use super::frame::{self, PageContext, json_attribute};
use super::{PageFailure, SheetRequest, no_ground_notice, verdict_word};

/// The ledger of a visit.
pub(crate) async fn ledger_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    let all = asked.bench.keys.all_devices();
    let devices: DeviceNames = all.into_iter().map(|device| (device.id, device.name)).collect();
    let body = move |live: &LiveVisit, stage: &PageContext| {
        let ledger = Ledger::draw_up(live.state(), live.book());
        let no_ground = explain_no_ground(live.state(), live.book());
        html! {
            h1 { "Ledger" }
            div.verdicts.reasons {
                (verdict_markup("moved", ledger.may_be_moved(), no_ground, &ledger, live.book()))
                (verdict_markup("lowered", ledger.may_be_lowered(), no_ground, &ledger, live.book()))
                (verdict_markup("started", ledger.may_be_started(), no_ground, &ledger, live.book()))
            }
            (super::clocks::clocks_section(live))
            @if !ledger.may_be_moved().yes { (roll_offer(live, stage)) }
            (no_ground_notice(no_ground))
            @if live.book().is_none() { p.refusal { "There is no book: the ledger counts by the names that were written, and every fastener is taken for one that endangers people." } }
            p { "Advice from fixed rules; the maker's service data and your own eyes come first." }
            @if ledger.is_zero() { p.big { "Nothing is open." } }
            @else { p.big { (count_with_noun(ledger.open_lines().count(), "line")) " open" } }
            @for (kind, lines) in ledger.by_kind().into_iter().filter(|(kind, _)| !is_work_in_hand(*kind)) {
                @if kind == LedgerLineKind::Undecided { (conflicts_section(live, &devices)) }
                @else { section {
                    h2 { (kind.title()) ", " (lines.len()) }
                    ul.rows { @for line in lines { (ledger_line_row(live, line)) } }
                } }
            }
            (places_section(live, &ledger))
            (figures_section(live))
            (counts_section(&ledger))
            (hand_over_section(live))
        }
    };
    asked.render_sheet("Ledger", "ledger", body).await
}

/// The way to a vehicle that rolls, where the book knows of such a state; what then still stands against it is told after planning.
fn roll_offer(live: &LiveVisit, stage: &PageContext) -> Markup {
    let (Some(book), Some(plan)) = (live.book(), live.plan()) else { return html! {} };
    let is_on_it = plan.asked.goal.as_deref() == Some(GOAL_TO_ROLL);
    html! {
        @if is_on_it { p { "The plan leads to a vehicle that rolls; the rest of the job waits." } }
        @else if book.goal_by_key(GOAL_TO_ROLL).is_some() && live.state().closed.is_none() {
            form.roll method="post" action=(stage.sheet_address("goal")) {
                input type="hidden" name="change" value="plan-to";
                input type="hidden" name="key" value=(GOAL_TO_ROLL);
                button { "Plan the way to a vehicle that rolls" }
            }
        }
    }
}

/// Reasons of a verdict that are shown; the gravest come first.
const MAX_REASONS: usize = 5;

fn verdict_markup(
    what: &str,
    verdict: &VehicleVerdict,
    no_ground: Option<&str>,
    ledger: &Ledger,
    book: Option<&Book>,
) -> Markup {
    let reasons = verdict_words(ledger, verdict, book);
    html! {
        div { "may be " (what) strong { (verdict_word(verdict.yes, no_ground)) }
            @if !verdict.yes { ul { @for (line, words) in reasons.iter().take(MAX_REASONS) {
                li { a href={ "#line-" (line) } { (words) } }
            } } }
            @if reasons.len() > MAX_REASONS { p { "and " (reasons.len() - MAX_REASONS) " more" } } }
    }
}

/// What is apart, by working position and part; each part opens to its fasteners.
fn places_section(live: &LiveVisit, ledger: &Ledger) -> Markup {
    let places = lines_by_place(ledger, live.book());
    html! {
        @if !places.is_empty() { section {
            h2 { "Apart, by place" }
            @for place in &places {
                @if !place.station.is_empty() { h3 { (app::bench::capitalise_first(&place.station)) } }
                @for part in &place.parts { details {
                    summary { span { strong { (app::bench::capitalise_first(&part.title)) } " " (count_with_noun(part.groups.iter().map(|group| group.lines.len()).sum(), "line")) } }
                    ul.rows { @for group in &part.groups {
                        @if let [line] = group.lines.as_slice() { (ledger_line_row(live, line)) }
                        @else { li {
                            span { strong { (group.words) } }
                            span.where { @if let Some(slot) = &group.lines[0].slot { (slot) } }
                            span.why { (group.lines[0].closes) "." }
                            details.why { summary { "One by one" } ul.rows { @for line in &group.lines { (ledger_line_row(live, line)) } } }
                        } }
                    } }
                } }
            }
        } }
    }
}

/// What was tightened by a figure that the book does not have, or without one: who said so.
fn figures_section(live: &LiveVisit) -> Markup {
    let figures = &live.state().figures;
    let title = |fixing: &str| {
        let known = live.book().and_then(|book| Some(book.fixing(book.fixing_by_key(fixing)?).title.clone()));
        known.unwrap_or_else(|| fixing.to_owned())
    };
    html! {
        @if !figures.words.is_empty() { section {
            h2 { "Figures told at the bench" }
            ul.rows { @for (fixing, word) in &figures.words {
                li { span { strong { (app::bench::capitalise_first(&title(fixing))) } } span.why { (word.as_words().trim_end_matches('.')) "." } }
            } }
        } }
    }
}

fn ledger_line_row(live: &LiveVisit, line: &LedgerLine) -> Markup {
    html! {
        li #{ "line-" (line.key) } data-kind=(line.kind.title()) {
            span { strong { (line.what) } }
            span.where { @if let Some(slot) = &line.slot { (slot) } }
            span.why {
                @if let Some(word) = &line.accepted {
                    "Accepted by " (word.name) ": " (word.reason)
                } @else {
                    (line.closes) ". "
                }
            }
            @if let (LedgerLineKind::FigureMissing, Some(book)) = (line.kind, live.book()) {
                div.why { (frame::missing_figures_markup(&app::bench::missing_figures(book, live.state(), std::slice::from_ref(&line.of)))) }
            }
            span.why.pair { (closing_button(live, line))
                @if line.accepted.is_none() {
                    button type="button" data-ask="override" data-line=(line.key) { "Leave open, signed" }
                }
            }
        }
    }
}

/// What devices are called.
type DeviceNames = BTreeMap<DeviceId, String>;

/// Fasteners that two devices disagree about: what each says, and a tap for the actual state.
fn conflicts_section(live: &LiveVisit, devices: &DeviceNames) -> Markup {
    let book = live.book();
    let known = |key: &str| book.and_then(|b| b.fixing_by_key(key).map(|id| b.fixing(id).title.clone()));
    let title = |key: &str| known(key).unwrap_or_else(|| key.to_owned());
    html! {
        section #differ {
            h2 { (LedgerLineKind::Undecided.title()) ", " (live.state().open_conflicts().count()) }
            p { "Neither device had seen the other's entry. Look at the fastener, then record its actual state." }
            ul.rows { @for (fixing, hole, fastener) in live.state().open_conflicts() {
                li {
                    span { strong { (app::bench::capitalise_first(&title(fixing))) " " (hole) } }
                    @for claim in &fastener.claims { span.why { (claim_words(claim, devices)) } }
                    span.why.pair { (settle_buttons(fixing, hole, fastener)) }
                }
            } }
        }
    }
}

fn claim_words(claim: &FastenerClaim, devices: &DeviceNames) -> String {
    let device = devices.get(&claim.stamp.order.device).map_or("the computer", String::as_str);
    let place = claim.slot.as_ref().filter(|_| claim.to == FastenerState::Off);
    let place = place.map_or_else(String::new, |slot| format!(", in {slot}"));
    format!("{device} says: {}{place}", claim.to.spoken_word())
}

/// A button for each state that is claimed.
fn settle_buttons(fixing: &str, hole: &str, fastener: &VisitFastener) -> Markup {
    let states: BTreeSet<FastenerState> = fastener.claims.iter().map(|claim| claim.to).collect();
    let settled = |to: FastenerState| {
        let fastener = FastenerKey { fixing: fixing.to_owned(), hole: hole.to_owned() };
        [VisitBody::Settled { fastener, to }]
    };
    html! {
        @for to in states { button type="button" data-says=(json_attribute(&settled(to))) { (frame::drawing_markup(&app::bench::state_sign_svg(to))) "It is " (to.spoken_word()) } }
    }
}

/// A button that closes the line here, where one tap can say it.
fn closing_button(live: &LiveVisit, line: &LedgerLine) -> Markup {
    let event = &line.since.event;
    let bodies: Option<(String, Vec<VisitBody>)> = match line.kind {
        LedgerLineKind::Lost | LedgerLineKind::Happening => {
            let how = if line.kind == LedgerLineKind::Lost { "found" } else { "dealt with" };
            Some((how.to_owned(), vec![VisitBody::DealtWith { happening: event.clone(), how: how.into() }]))
        }
        LedgerLineKind::Wait => {
            Some(("It is over".into(), vec![VisitBody::WaitOver { wait: event.clone() }]))
        }
        LedgerLineKind::Uncapped => {
            let cap = VisitCommand::Cap { opening: line.of.clone(), count: None };
            decide(live.state(), live.book(), live.plan(), cap).ok().map(|bodies| ("Capped".into(), bodies))
        }
        LedgerLineKind::CapsIn => {
            let uncap = VisitCommand::Uncap { opening: line.of.clone(), count: None };
            decide(live.state(), live.book(), live.plan(), uncap)
                .ok()
                .map(|bodies| ("Caps out".into(), bodies))
        }
        LedgerLineKind::Setting => closing_change(live, &line.of),
        LedgerLineKind::PutIn => {
            let out = VisitCommand::TakeOut { put_in: event.clone(), count: None };
            decide(live.state(), live.book(), live.plan(), out)
                .ok()
                .map(|bodies| ("It is out".into(), bodies))
        }
        _ => None,
    };
    let step = line.at.step;
    html! {
        @if let Some((words, bodies)) = bodies {
            button type="button" data-says=(json_attribute(&bodies)) { (app::bench::capitalise_first(&words)) }
            @if line.kind == LedgerLineKind::Lost && line.accepted.is_none() {
                button type="button" data-ask="give-up" data-event=(event) { "Not found: carry on, signed" }
            }
        } @else if let Some((sheet, words)) = sheet_that_closes(line.kind) {
            a.other href=(sheet) { (words) }
        } @else if let Some(step) = step {
            a.other href={ "bench?step=" (step) } { "To step " (step) }
        }
    }
}

/// The words and the event that bring a setting to the one value that is right at hand-over; where there are several, the
/// sheet of reports has them all.
fn closing_change(live: &LiveVisit, key: &str) -> Option<(String, Vec<VisitBody>)> {
    let book = live.book()?;
    let setting = book.setting(book.setting_by_key(key)?);
    let card = SettingCard::of_standing(&SettingStanding::of_setting(live.state(), setting));
    let [end] = card.end.as_slice() else { return None };
    let (_, words) = card.values.into_iter().find(|(value, _)| value == end)?;
    Some((words, vec![VisitBody::SettingChanged { setting: card.setting, value: end.clone() }]))
}

/// The sheet on which a line of this kind is closed.
fn sheet_that_closes(kind: LedgerLineKind) -> Option<(&'static str, &'static str)> {
    match kind {
        LedgerLineKind::PieceOut | LedgerLineKind::PieceLent => Some(("tell", "To the tools")),
        LedgerLineKind::Finding | LedgerLineKind::Approved => Some(("tell#findings", "To the finding")),
        LedgerLineKind::Count => Some(("trays", "Count again")),
        LedgerLineKind::Setting => Some(("tell", "To the settings")),
        _ => None,
    }
}

fn counts_section(ledger: &Ledger) -> Markup {
    html! {
        @if !ledger.counts.is_empty() { section {
            h2 { "Counts" }
            table {
                tr { th { "what" } th.figure { "out" } th.figure { "back" } th { "check" } }
                @for row in &ledger.counts {
                    tr { td { (app::bench::count_words(row.kind)) @if !row.of.is_empty() { ": " (row.of) } } td.figure { (row.out) } td.figure { (row.back) }
                        td { (if row.agrees() { "agrees" } else { "does not match" }) } }
                }
            }
        } }
    }
}

fn hand_over_section(live: &LiveVisit) -> Markup {
    let close = VisitBody::Closed { name: String::from("-") };
    let refusal = decide(live.state(), live.book(), live.plan(), close.into()).err();
    html! {
        section.no-print {
            h2 { "Hand over" }
            @match refusal {
                Some(refusal) => p.refusal { (hand_over_words(&refusal)) },
                None => { div.one { button.main type="button" data-ask="close" { "Close the visit" } } },
            }
            @if live.state().closed.is_some() && live.book().is_some() {
                div.one { a.other href={ "/lessons?visit=" (live.id()) } { "What the visits teach" } }
            }
        }
    }
}

/// What stands against handing over, in one line: the lines themselves are above.
fn hand_over_words(refusal: &Refusal) -> String {
    match refusal.against.as_slice() {
        [] => refusal.to_string(),
        [only] => {
            format!("One line stands open: {}. {}.", only.what, app::bench::capitalise_first(&only.closes))
        }
        [first, more @ ..] => format!(
            "{} lines stand open: {}, and {} more. Close each above, or accept it as it is, signed.",
            more.len() + 1,
            first.what,
            more.len()
        ),
    }
}
