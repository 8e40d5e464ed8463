//! Before you start: go, open or no-go, what prevents starting and what stands open.

use app::bench::{StartList, is_first_bolt_behind, readiness_now, start_round, words_told_since_plan};
use app::model::plan::Plan;
use app::record::VisitBody;
use app::text::readiness as text;
use app::text::table::count_with_noun;
use app::workshop::LiveVisit;

use maud::{Markup, html};

use super::frame::{self, PageContext};
use super::{PageFailure, SheetRequest};

/// The readiness of a visit.
pub(crate) async fn ready_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    let body = |live: &LiveVisit, stage: &PageContext| match live.plan() {
        Some(plan) => html! { (frame::missing_notice(live)) (ready_sheet(plan, live, stage)) },
        None => html! { h1 { "Before you start" } p.big { "Not known" } (frame::missing_notice(live)) },
    };
    asked.render_sheet("Before you start", "ready", body).await
}

fn ready_sheet(plan: &Plan, live: &LiveVisit, stage: &PageContext) -> Markup {
    let ready = &readiness_now(plan, live.state());
    html! {
        h1 { "Before you start" }
        p.big { (app::page::start_sentence(ready)) }
        @if !ready.go {
            @if is_first_bolt_behind(live.state()) { p { (text::moments_to_come_words(ready)) } }
            @else { p { (text::moments_words(ready)) } }
        }
        @if !ready.coverage.is_whole() || ready.proven_by_class > 0 { p { (text::coverage_words(ready)) } }
        ul.rows { @for against in &ready.against { li { span { (against) } } } }
        (lines_section("Open", ready.open.iter().map(|line| line.words.clone())))
        (lines_section("Looks that would settle most", ready.looks.iter().take(5).map(text::look_words)))
        @for note in text::doubt_notes(ready) { p { (note) } }
        (told_since_section(live, stage))
        (go_on_section(plan, live))
        @let round = start_round(plan, live.state());
        @for list in &round.lists { (start_list(list)) }
        div.one { a.main href=(stage.sheet_address("bench")) { (round.button) } }
        div.one { a.other href=(stage.sheet_address("goal")) { "Tasks" } }
        section {
            h2 { "May break on the way out" }
            table {
                tr { th { "fixing" } th.figure { "pcs" } th { "have ready" } }
                @for line in &ready.rescue { tr { td { (line.fixing) } td.figure { (line.count) } td { (line.items.join(", ")) } } }
            }
        }
        (lines_section("Brittle with age", ready.brittle.iter().cloned()))
    }
}

/// A list to tick, line by line; a tap more takes it back.
fn start_list(list: &StartList) -> Markup {
    html! {
        section {
            h2 { (list.title) @if list.open() > 0 { ", " (list.open()) " to do" } @else { ", all at hand" } }
            ul.rows.ticks { @for line in &list.lines { li {
                button type="button" role="checkbox" aria-checked=(line.is_at_hand) data-key=(line.words) data-says=(frame::json_attribute(&line.tap())) {
                    span.box { @if line.is_at_hand { "✓" } } span { (line.words) @if !line.way.is_empty() { ", " span.way { (line.way) } } }
                }
            } } }
        }
    }
}

/// Rooms, drives and orders that were told since the plan was made: it does not know them until it is made anew.
fn told_since_section(live: &LiveVisit, stage: &PageContext) -> Markup {
    let told = words_told_since_plan(live.state());
    html! {
        @if told > 0 {
            p { (count_with_noun(told, "answer")) " told since this was planned; what a room or a drive settles shows once the rest is planned with it." }
            form method="post" action=(stage.sheet_address("next/plan")) { div.one { button { "Plan the rest with what was told" } } }
        }
    }
}

/// Asks once a visit who goes on while something stands open.
fn go_on_section(plan: &Plan, live: &LiveVisit) -> Markup {
    let asked = app::bench::go_on_body(plan, live.state(), "");
    html! {
        @if let Some(told) = app::bench::going_on_words(live.state()) { p { (told) "." } }
        @if let Some(VisitBody::WentOn { open, .. }) = &asked {
            div.one {
                button type="button" data-ask="go-on" data-open=(frame::json_attribute(open)) {
                    "Go on while this stands open"
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
