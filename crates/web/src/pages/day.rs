//! The sheet of the day over all vehicles, on the screen and printed from it.

use app::bench::capitalise_first;
use app::week::{CartDrawer, DayStretch, WeekAnswer};
use axum::extract::State;
use maud::{Markup, html};

use super::{PageFailure, frame, week};
use crate::bench_state::SharedBench;

/// The page.
pub(crate) async fn day_page(State(bench): State<SharedBench>) -> Result<Markup, PageFailure> {
    let laid = week::lay_out_now(&bench).await;
    let body = html! {
        @match &laid {
            Ok(answer) => (day_markup(answer)),
            Err(why) => {
                h1 { "Today" }
                p.refusal role="alert" { (capitalise_first(&why.to_string())) "." }
            },
        }
        div.one { a.other href="/calendar" { "Calendar" } }
    };
    Ok(frame::scrolling_page("Today", None, "calendar", &body))
}

fn day_markup(answer: &WeekAnswer) -> Markup {
    let day = answer.today();
    html! {
        h1 { (day.day) }
        @for notice in answer.notices() { p.refusal { (capitalise_first(notice)) "." } }
        @if day.stretches.is_empty() { p.big { "No work today" } }
        @for stretch in &day.stretches { (stretch_markup(stretch)) }
        @if !day.cart.is_empty() { (cart_markup(&day.cart)) }
        @for (head, lines) in [("Waits", &day.waits), ("Comes", &day.comes), ("Promised", &day.promised)] {
            @if !lines.is_empty() { section { h2 { (head) } @for words in lines { p { (capitalise_first(words)) "." } } } }
        }
        (evening_markup(&day.evening))
    }
}

fn stretch_markup(stretch: &DayStretch) -> Markup {
    html! {
        section {
            h2 { (stretch.begins) " to " (stretch.ends.as_deref().unwrap_or("tomorrow")) "  " (stretch.letter) "  " (stretch.name) }
            ul.rows { @for work in &stretch.work { li {
                span.where { strong { (work.begins) } }
                span.why { (work.what) @if !work.note.is_empty() { "; " strong { (work.note) } } "." }
            } } }
        }
    }
}

/// One cart for all vehicles of the day, drawer by drawer.
fn cart_markup(drawers: &[CartDrawer]) -> Markup {
    html! {
        section {
            h2 { "Lay on the cart" }
            ul.rows { @for drawer in drawers { li {
                span.where { (drawer.place) }
                span.why { @for piece in &drawer.pieces { (piece.words()) ". " } }
            } } }
        }
    }
}

/// How the vehicles stand overnight, and what is first on the next day of work.
pub(super) fn evening_markup(evening: &[String; 2]) -> Markup {
    html! { section.evening { h2 { "Evening" } @for words in evening { p { (words) } } } }
}
