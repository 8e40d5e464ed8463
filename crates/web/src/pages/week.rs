//! All open visits on one calendar: what to do next over all vehicles, when each is finished, and the taps that change it.

use app::bench::capitalise_first;
use app::records::ShopHoursRecord;
use app::week::{
    WantedKind, WeekAnswer, WeekLayout, WeekNext, WeekRequest, WeekVisit, WeekWork, gather_week, local_now,
};
use app::workshop::{Workshop, WorkshopError};
use axum::extract::State;
use maud::{Markup, html};

use super::{PageFailure, frame};
use crate::bench_state::{SharedBench, run_blocking};

/// All open visits on one calendar as they stand now, laid out while the work of others goes on.
pub(super) async fn lay_out_now(bench: &SharedBench) -> Result<WeekAnswer, WorkshopError> {
    let work = bench.with_workshop(|workshop| gather_week(workshop, &WeekRequest::at_once())).await;
    run_blocking(move || work.and_then(WeekWork::lay_out)).await
}

/// The page.
pub(crate) async fn week_page(State(bench): State<SharedBench>) -> Result<Markup, PageFailure> {
    let laid = lay_out_now(&bench).await;
    let read =
        |workshop: &mut Workshop| -> Result<_, PageFailure> { Ok(ShopHoursRecord::of_workshop(workshop)) };
    let hours = bench.with_workshop(read).await?;
    let body = html! {
        h1 { "Calendar" }
        @match &laid {
            Ok(answer) => (answer_markup(answer)),
            Err(why) => p.refusal role="alert" { (capitalise_first(&why.to_string())) "." },
        }
        (today_markup(&hours))
        (hours_markup(&hours))
    };
    Ok(frame::scrolling_page("Calendar", None, "calendar", &body))
}

fn answer_markup(answer: &WeekAnswer) -> Markup {
    let visits = answer.visits();
    html! {
        (next_markup(answer.next().as_ref()))
        section.finishes { h2 { "Finished, four times in five, by" }
            @for visit in &visits { (finish_markup(visit)) }
        }
        @for clash in answer.clashes() {
            p.refusal { (clash.words) "." @if let Some(way) = clash.ways.first() { " Cheapest: " (way) "." } }
            @if clash.ways.len() > 1 {
                details { summary { "Other ways out" } @for way in clash.ways.iter().skip(1) { p { (way) "." } } }
            }
        }
        @for notice in answer.notices() { p.refusal { (capitalise_first(notice)) "." } }
        div.one { a.other href="/today" { "Sheet of the day" } }
        div.drawing.week-along { @for svg in answer.draw(WeekLayout::Along) { (frame::drawing_markup(&svg)) } }
        div.drawing.week-down { @for svg in answer.draw(WeekLayout::Down) { (frame::drawing_markup(&svg)) } }
        p { "Full: work. Hatched: waiting. Double line: on the lift. Flag: promised, struck out where it will be missed. Bar with a disc: finished between half of all cases and nearly always; the disc is four in five." }
        p { (capitalise_first(&answer.how_sure())) "." @if let Some(held) = answer.how_it_held() { " " (capitalise_first(&held)) "." } }
        div.vehicles { @for visit in &visits { (visit_section(visit)) } }
        details { summary { "All work, in its order" }
            ul.rows { @for row in answer.rows() {
                li { span { strong { (row.begins.words) } } span.where { (row.letter) } span.why { (row.what) "." } }
            } }
        }
    }
}

/// The one thing to read: which vehicle, what, and from when where it is not now.
fn next_markup(next: Option<&WeekNext>) -> Markup {
    html! {
        section.next-up {
            @match next {
                Some(next) => {
                    p.big { (next.letter) ": " (next.what) }
                    p { @match &next.begins { Some(begins) => { strong { (begins.words) } }, None => { strong { "Now" } } }
                        ", about " (next.work_min) " min, " (next.name) "." }
                },
                None => p.big { "Nothing to do until it has waited" },
            }
        }
    }
}

fn finish_markup(visit: &WeekVisit) -> Markup {
    let finish = &visit.finish;
    html! {
        div.finish {
            p { span.big { (visit.letter) } " " strong.date {
                @if visit.not_known.is_empty() { (finish.likely.words) } @else { "Date not known" } } }
            @if let Some(words) = visit.not_known.first() { p { strong { (capitalise_first(words)) "." } } }
            @if visit.not_known.len() > 1 {
                details { summary { "and " (visit.not_known.len() - 1) " more" } @for words in visit.not_known.iter().skip(1) { p { (capitalise_first(words)) "." } } }
            }
            @if !visit.not_known.is_empty() { p { "With everything here: " (finish.likely.words) "." } }
            p { "Half the time by " (finish.half.words) ", nearly always by " (finish.nearly_always.words) "." }
            @match &visit.promise {
                Some(promise) => p { @if promise.is_missed { strong.missed { "Promise missed" } " " }
                    "Promised for " (promise.until.words) ", late " (promise.late_percent) " times in 100." },
                None => p { "Nothing promised." },
            }
        }
    }
}

/// A form whose buttons each say one thing of a visit.
fn visit_form(visit: &WeekVisit, what: &str, inner: &Markup) -> Markup {
    html! {
        form method="post" action="/calendar" {
            input type="hidden" name="what" value=(what);
            input type="hidden" name="visit" value=(visit.id);
            (inner)
        }
    }
}

/// The taps that change a vehicle's dates.
fn visit_section(visit: &WeekVisit) -> Markup {
    let first = if visit.is_first { "no" } else { "yes" };
    html! {
        section id={ "vehicle-" (visit.letter) } data-vehicle=(visit.letter) {
            h2 { (visit.letter) "  " (visit.name) @if visit.is_first { " goes first" } }
            (visit_form(visit, "first", &html! {
                div.says { button name="to" value=(first) { @if visit.is_first { "Goes first no longer" } @else { "Goes first" } } }
            }))
            h3 { "Promise" }
            (visit_form(visit, "promise", &html! {
                div.says {
                    button name="to" value="earlier" { "A day earlier" }
                    button name="to" value="later" { "A day later" }
                    @if visit.promise.is_some() { button name="to" value="none" { "Nothing promised" } }
                }
                details { summary { "To a date" }
                    label { "Until" input type="datetime-local" name="date"; }
                    button name="to" value="date" { "Promise that" }
                }
            }))
            (part_markup(visit))
        }
    }
}

fn part_markup(visit: &WeekVisit) -> Markup {
    let coming = visit.things.iter().filter_map(|known| known.on.as_ref().map(|on| (known, on)));
    let kinds = [
        (WantedKind::Supply, "Supplies"),
        (WantedKind::Part, "Parts that go back on"),
        (WantedKind::Tool, "Tools not at hand"),
        (WantedKind::Task, "Tasks"),
    ];
    html! {
        h3 { "Part is late" }
        @for (known, on) in coming.clone() {
            (visit_form(visit, "part", &html! {
                input type="hidden" name="part" value=(known.thing.key);
                div.says.coming { span { (known.thing.title) " comes on " (on.words) } button name="to" value="here" { "It is here" } }
            }))
        }
        (visit_form(visit, "part", &html! {
            label { "Which" select name="part" {
                @for (kind, title) in kinds {
                    @let of_kind: Vec<_> = visit.things.iter().filter(|known| known.thing.kind == kind).collect();
                    @if !of_kind.is_empty() { optgroup label=(title) {
                        @for known in of_kind { option value=(known.thing.key) { (known.thing.title) } }
                    } }
                }
            } }
            div.says {
                button name="to" value="1" { "Tomorrow" }
                button name="to" value="3" { "In 3 days" }
                button name="to" value="7" { "In a week" }
            }
            details { summary { "On a date" }
                label { "It comes on" input type="date" name="date"; }
                button name="to" value="date" { "It comes then" }
            }
        }))
    }
}

/// A day lost, and a day that is worked all the same.
fn today_markup(hours: &ShopHoursRecord) -> Markup {
    let now = local_now();
    let today = now.split('T').next().unwrap_or_default();
    let is_closed = hours.holidays.iter().any(|holiday| holiday.day == today);
    html! {
        section id="today" { h2 { "Today" }
            form method="post" action="/calendar" {
                input type="hidden" name="date" value=(today);
                div.says {
                    @if is_closed { button name="what" value="opened" { "Work today after all" } }
                    @else { button name="what" value="lost" { "Lost today" } }
                }
            }
        }
    }
}

/// What the workshop goes by, folded away.
fn hours_markup(hours: &ShopHoursRecord) -> Markup {
    html! {
        details.hours { summary { "Shop hours, days closed, second pair of hands" }
            form method="post" action="/calendar" {
                label { "The shop is open, a line for days that are alike"
                    textarea name="hours" rows="3" placeholder="Mon-Fri 08:00-12:00 12:30-16:30" { (hours.hours.join("\n")) } }
                div.says { button name="what" value="hours" { "Keep these hours" } }
            }
            form method="post" action="/calendar" {
                label { "A second pair of hands is here; empty where nobody comes"
                    textarea name="hours" rows="2" placeholder="Tue,Thu 14:00-16:00" { (hours.helper_hours.join("\n")) } }
                div.says { button name="what" value="helper" { "Keep these hours" } }
            }
            form method="post" action="/calendar" {
                label { "Closed on" input type="date" name="date"; }
                div.says { button name="what" value="closed" { "Closed that day" } }
            }
            @for holiday in &hours.holidays {
                form method="post" action="/calendar" {
                    input type="hidden" name="date" value=(holiday.day);
                    div.says.coming { span { (holiday.day) ", " (holiday.why) } button name="what" value="opened" { "Work all the same" } }
                }
            }
        }
    }
}
