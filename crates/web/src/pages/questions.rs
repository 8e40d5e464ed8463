//! A quiet quarter of an hour: what is not known of the engine yet, in order of worth, and a table to tell it in.

use app::bench::{NextOffView, SeenFixingLine, SeenPartLine, missing_figures, next_off};
use app::first_book::book_questions;
use app::model::Book;
use app::record::{ToldSubject, ToldWhat, VisitBody};
use app::workshop::{LiveVisit, VisitId, read_pasted_rows};
use axum::Form;
use axum::extract::{Path, State};
use maud::{Markup, html};
use serde::Deserialize;

use super::frame::{self, PageContext, json_attribute};
use super::{PageFailure, SheetRequest};
use crate::bench_state::SharedBench;

/// Most letters of a paste: a form holds no more.
const MAX_PASTE_LETTERS: usize = 7_000;

/// The page.
pub(crate) async fn questions_page(asked: SheetRequest) -> Result<Markup, PageFailure> {
    asked.render_sheet("Open questions", "questions", questions_sheet).await
}

fn questions_sheet(live: &LiveVisit, stage: &PageContext) -> Markup {
    let view = next_off(live.state(), live.book());
    html! {
        h1 { "Open questions" }
        @match live.book() {
            None => {
                p { "Nothing was told of this engine yet." }
                div.one { a.main href=(stage.sheet_address("next")) { "Comes off next" } }
            },
            Some(book) => {
                (worth_list(book))
                (figures_asked(book, live))
                @for part in view.parts.iter().rev() { (part_form(part, &view)) }
                (paste_form(stage))
            },
        }
    }
}

/// What is not told, in order of worth: what it would bring, and for how many.
fn worth_list(book: &Book) -> Markup {
    let questions = book_questions(book);
    html! {
        section {
            h2 { "In order of worth" }
            @if questions.is_empty() { p { "Nothing is open." } }
            ul.rows { @for words in &questions { li { span { (words) } } } }
        }
    }
}

/// Figures that have to be there before the refit is over.
fn figures_asked(book: &Book, live: &LiveVisit) -> Markup {
    let all: Vec<String> = book.figures_missing().into_iter().collect();
    let figures = missing_figures(book, live.state(), &all);
    html! {
        @if !figures.is_empty() { section {
            h2 { "Tightening figures, wanted before the refit is over" }
            (frame::missing_figures_markup(&figures))
        } }
    }
}

/// One part with what holds it, each word in a form of its own; what is written goes off by itself.
fn part_form(part: &SeenPartLine, view: &NextOffView) -> Markup {
    let of = ToldSubject::Part(part.key.clone());
    html! {
        section {
            h2 { (part.title) }
            @for words in &part.differ { p.refusal { (words) } }
            div.pair {
                (word_form(&of, ToldWhat::Title, "Name", &part.title))
                (choice_form(&of, ToldWhat::Kind, "Kind", &part.part_kind, view.kinds.iter().map(|kind| (kind.word.as_str(), kind.label.as_str()))))
            }
            @for fixing in &part.fixings { (fixing_form(fixing, view)) }
            (order_form(part, view))
        }
    }
}

fn fixing_form(fixing: &SeenFixingLine, view: &NextOffView) -> Markup {
    let of = ToldSubject::Fixing(fixing.key.clone());
    html! {
        h3 { (fixing.count) " × " (fixing.drive) @if !fixing.slot.is_empty() { ", in " (fixing.slot) } }
        @if !fixing.picture.is_empty() { p { a href={ "/picture/" (fixing.picture) } { "Its picture" } @if !fixing.measured.is_empty() { ": " (fixing.measured) } } }
        div.pair {
            (choice_form(&of, ToldWhat::Drive, "What the tool takes hold of", &fixing.drive_word, view.drives.iter().filter(|drive| !drive.word.is_empty()).map(|drive| (drive.word.as_str(), drive.label.as_str()))))
            (choice_form(&of, ToldWhat::Room, "Room", &fixing.room, view.rooms.iter().map(|room| (room.word.as_str(), room.label.as_str()))))
            @if !fixing.picture.is_empty() { (choice_form(&of, ToldWhat::HeadHeight, "Heads above the card in the picture", &fixing.height, view.heights.iter().map(|height| (height.word.as_str(), height.label.as_str())))) }
            (word_form(&of, ToldWhat::Thread, "Thread, such as M6", ""))
            (word_form(&of, ToldWhat::Worked, "Tools that did it", ""))
        }
    }
}

/// Which part has to be off before this one, or need not be.
fn order_form(part: &SeenPartLine, view: &NextOffView) -> Markup {
    let of = ToldSubject::Part(part.key.clone());
    let others: Vec<(&str, &str)> = view
        .parts
        .iter()
        .filter(|other| other.key != part.key)
        .map(|other| (other.key.as_str(), other.title.as_str()))
        .collect();
    html! {
        @if !others.is_empty() { div.pair {
            (choice_form(&of, ToldWhat::OffAfter, "Has to be off before it", "", others.iter().copied()))
            (choice_form(&of, ToldWhat::NotAfter, "Need not be off before it", "", others.iter().copied()))
        } }
    }
}

fn told(of: &ToldSubject, what: ToldWhat) -> VisitBody {
    VisitBody::Told { of: of.clone(), what, value: String::new(), source: String::new() }
}

fn word_form(of: &ToldSubject, what: ToldWhat, label: &str, value: &str) -> Markup {
    html! {
        form data-form="told" data-body=(json_attribute(&told(of, what))) {
            label { (label) input name="value" value=(value) maxlength="80" required autocomplete="off"; }
            button { "Keep" }
        }
    }
}

fn choice_form<'a>(
    of: &ToldSubject,
    what: ToldWhat,
    label: &str,
    value: &str,
    choices: impl Iterator<Item = (&'a str, &'a str)>,
) -> Markup {
    html! {
        form data-form="told" data-body=(json_attribute(&told(of, what))) {
            label { (label) select name="value" required {
                option value="" { "not told" }
                @for (word, words) in choices { option value=(word) selected[word == value] { (words) } }
            } }
            button { "Keep" }
        }
    }
}

fn paste_form(stage: &PageContext) -> Markup {
    html! {
        section {
            h2 { "From a spreadsheet" }
            p { "Copy the cells there, with the row of column names (part, fixing, drive, room, thread, tighten, source), and put them in here. A figure needs its source." }
            form method="post" action=(stage.sheet_address("questions")) {
                label { "Rows" textarea name="rows" rows="5" maxlength=(MAX_PASTE_LETTERS) required {} }
                label { "Who read the figures" input name="name" maxlength="60" required autocomplete="off"; }
                button.main { "Take the rows in" }
            }
        }
    }
}

/// What is pasted.
#[derive(Debug, Deserialize)]
pub(crate) struct PasteForm {
    rows: String,
    name: String,
}

/// Takes pasted rows in and says what became of them.
pub(crate) async fn paste_rows(
    State(bench): State<SharedBench>,
    Path(visit): Path<String>,
    Form(form): Form<PasteForm>,
) -> Result<Markup, PageFailure> {
    let id = VisitId::new(&visit).ok_or(PageFailure::NotFound)?;
    let of = id.clone();
    let (taken, left) = bench
        .with_workshop(move |workshop| {
            let device = workshop.device().clone();
            let live = workshop.visit(&of)?;
            let Some(book) = live.book() else { return Ok((0, Vec::new())) };
            let read = read_pasted_rows(book, &form.rows, form.name.trim());
            let (mut taken, mut left) = (0_usize, read.left_out);
            for body in read.bodies {
                match workshop.carry_out_command(&of, &device, &body.into()) {
                    Ok(_) => taken += 1,
                    Err(error) => left.push(error.to_string()),
                }
            }
            Ok::<_, PageFailure>((taken, left))
        })
        .await?;
    bench.announce_change(id.as_str());
    let body = html! {
        h1 { (taken) " words taken in" }
        @if !left.is_empty() { h2 { "Not taken" } ul.rows { @for words in &left { li { span { (words) } } } } }
        div.one { a.main href={ "/v/" (visit) "/questions" } { "Open questions" } }
    };
    Ok(frame::scrolling_page("Open questions", None, "questions", &body))
}
