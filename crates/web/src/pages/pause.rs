//! Pause and resume: what to know on the way back, and the last closed work to look at again by another method.

use app::record::{EventPlace, LookAgainItem, Visit, VisitBody, look_again};
use app::text::table::count_with_noun;
use app::week::WeekAnswer;
use app::workshop::LiveVisit;
use maud::{Markup, html};

use super::frame::{PageContext, json_attribute};
use super::{PageFailure, SheetRequest, no_ground_notice, verdict_word};

/// Pause, or the way back.
pub(crate) async fn pause_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    let is_paused =
        super::with_live_visit(&asked.bench, &asked.visit, |live| Ok(live.state().current_pause().is_some()))
            .await?;
    // The way back needs no calendar.
    let week = if is_paused { None } else { super::week::lay_out_now(&asked.bench).await.ok() };
    let body = move |live: &LiveVisit, stage: &PageContext| {
        if live.state().current_pause().is_some() {
            resume_sheet(live, stage)
        } else {
            pause_sheet(live, stage, week.as_ref())
        }
    };
    asked.render_sheet("Pause", "pause", body).await
}

fn pause_sheet(live: &LiveVisit, stage: &PageContext, week: Option<&WeekAnswer>) -> Markup {
    let card = app::bench::visit_card(live);
    let step = card.next.as_ref().map(|(number, _)| *number);
    let body = VisitBody::Paused { words: String::new(), at: EventPlace { step, ..EventPlace::default() } };
    html! {
        h1 { "Pause" }
        div.taps { @for words in ["back in ten minutes", "until tomorrow", "until the part is here"] {
            @let at = EventPlace { step, ..EventPlace::default() };
            button type="button" data-says=(json_attribute(&[VisitBody::Paused { words: words.to_owned(), at }])) { (app::bench::capitalise_first(words)) }
        } }
        p { "You can dictate the note with the keyboard's microphone, or leave it empty." }
        form data-form="pause" data-body=(json_attribute(&body)) {
            label { "What to know on the way back" textarea name="words" rows="3" maxlength="400" {} }
            button.main { "Pause here" }
        }
        @if let Some((number, text)) = &card.next { p { "In hand: " strong { (number) } " " (text) } }
        (super::clocks::clocks_section(live))
        (short_time_section(live, week))
        (half_done_section(live))
        @if let Some(week) = week { (super::day::evening_markup(&week.evening())) div.one { a.other href="/today" { "Sheet of the day" } } }
        (pause_links(stage))
    }
}

/// What is still worth starting, by the minutes that are left.
fn short_time_section(live: &LiveVisit, week: Option<&WeekAnswer>) -> Markup {
    let fitting = app::bench::work_that_fits(live, &[10, 30, 60]);
    let beside = |minutes: u32| week.and_then(|week| week.worth_beside(&live.id(), minutes));
    html! { @if !fitting.is_empty() { section {
        h2 { "Time for something still?" }
        ul.rows { @for fits in &fitting { li { span { strong { (fits.minutes) " min" } } span.why { (app::bench::capitalise_first(&fits.words)) "." @if let Some(other) = beside(fits.minutes) { " Or on the other vehicle, " (other) "." } } } } }
    } } }
}

/// What is half done is named before the tools are laid down.
fn half_done_section(live: &LiveVisit) -> Markup {
    use app::record::ledger::{Ledger, LedgerLineKind};
    let ledger = Ledger::draw_up(live.state(), live.book());
    let kinds = [
        LedgerLineKind::Freed,
        LedgerLineKind::FingerTight,
        LedgerLineKind::Uncapped,
        LedgerLineKind::Lost,
        LedgerLineKind::Setting,
    ];
    let lines: Vec<_> = ledger.open_lines().filter(|l| kinds.contains(&l.kind)).collect();
    html! {
        @if !lines.is_empty() {
            section { h2 { "Half done" } ul.rows { @for line in lines.iter().take(12) { li { span { (line.what) } } } }
                @if lines.len() > 12 { p { "and " (lines.len() - 12) " more in the ledger" } } }
        }
    }
}

fn resume_sheet(live: &LiveVisit, stage: &PageContext) -> Markup {
    let visit = live.state();
    let card = app::bench::visit_card(live);
    let items = look_again(visit);
    let open = items.iter().filter(|item| item.done.is_none()).count();
    html! {
        h1 { "Back at the bench" }
        @if let Some(pause) = visit.current_pause() { @if !pause.words.is_empty() { p.sentence { (pause.words) } } }
        @let no_ground = card.no_ground.as_deref();
        div.verdicts { @for may in &card.verdicts { div { "may be " (may.what) strong { (verdict_word(may.yes, no_ground)) } } } }
        (no_ground_notice(no_ground))
        (super::clocks::clocks_section(live))
        section {
            h2 { "Look at these again, by a different method" }
            @if items.is_empty() { p { "Nothing was closed before the break." } }
            ul.rows { @for item in &items { (look_again_row(live, visit, item)) } }
        }
        @if let Some((number, text)) = &card.next { p { "Next: " strong { (number) } " " (text) } }
        @if open > 0 { p { (count_with_noun(open, "look")) " left; whether to go on without is your decision." } }
        div.one { button.main type="button" data-says=(json_attribute(&[VisitBody::Resumed])) data-then=(stage.sheet_address("bench")) { "Resume" } }
        (pause_links(stage))
    }
}

fn look_again_row(live: &LiveVisit, _visit: &Visit, item: &LookAgainItem<'_>) -> Markup {
    html! {
        li {
            span { strong { (app::bench::work_words(live.book(), item.work)) } }
            span.where { @if item.done.is_some() { "looked at" } }
            @if let Some(done) = item.done { span.why { (done.method) } }
            @else {
                span.why.pair { @for way in item.ways.iter().take(2) {
                    button type="button" data-says=(json_attribute(&[VisitBody::LookedAgain { event: item.work.stamp.event.clone(), method: (*way).to_owned() }])) { (way) }
                } }
            }
        }
    }
}

fn pause_links(stage: &PageContext) -> Markup {
    html! {
        div.pair { a.other href=(stage.sheet_address("ledger")) { "Ledger" } a.other href=(stage.sheet_address("trays")) { "Trays" } }
        div.one { a.other href=(stage.sheet_address("goal")) { "Tasks, or roll it out" } }
    }
}
