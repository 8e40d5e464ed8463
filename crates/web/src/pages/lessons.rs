//! What the visits of an engine teach: each proposal with the number behind it, to be taken into its book or left.

use app::book_lessons::{BookLessons, DecidedLesson, LessonProposal};
use app::load;
use app::model::Book;
use app::record::{BookBody, EventId};
use app::text::table::count_with_noun;
use app::workshop::{Device, ShelfPlace, VisitId, Workshop};
use axum::Form;
use axum::extract::{Extension, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use serde::Deserialize;

use super::{PageFailure, frame};
use crate::bench_state::{SharedBench, run_blocking};

/// Which engine is asked for: a book of the shelf by its name, or that of a visit.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(crate) struct EngineAsked {
    book: String,
    visit: String,
}

impl EngineAsked {
    fn address(&self) -> String {
        lessons_address(if self.visit.is_empty() { ("book", &self.book) } else { ("visit", &self.visit) })
    }

    /// The book as it is now.
    async fn read_book(&self, bench: &SharedBench) -> Result<Book, PageFailure> {
        if !self.visit.is_empty() {
            let id = VisitId::new(&self.visit).ok_or(PageFailure::NotFound)?;
            let book =
                move |workshop: &mut Workshop| Ok::<_, PageFailure>(workshop.visit(&id)?.book().cloned());
            return bench.with_workshop(book).await?.ok_or(PageFailure::NotFound);
        }
        let place = find_place(bench, &self.book).await?.ok_or(PageFailure::NotFound)?;
        let read = run_blocking(move || Ok::<_, PageFailure>(load::load_book(&place.book))).await?;
        read.map_err(|_| PageFailure::NotFound)
    }
}

/// The address of the page.
pub(super) fn lessons_address((name, value): (&str, &str)) -> String {
    let mut query = form_urlencoded::Serializer::new(String::from("/lessons?"));
    query.append_pair(name, value);
    query.finish()
}

/// Where a book is that a new visit may begin from, by its name: told in a visit, or on the shelf.
pub(super) async fn find_place(bench: &SharedBench, name: &str) -> Result<Option<ShelfPlace>, PageFailure> {
    let (told, shelf) = (name.to_owned(), bench.shelf().clone());
    let found = bench.with_workshop(move |workshop| workshop.unpack_told_engine(&told)).await?;
    if let Some(mut place) = found {
        place.store.clone_from(&shelf.store);
        return Ok(Some(place));
    }
    let name = name.to_owned();
    run_blocking(move || Ok::<_, PageFailure>(shelf.place_of(&name)?)).await
}

/// The page.
pub(crate) async fn lessons_page(
    State(bench): State<SharedBench>,
    Query(asked): Query<EngineAsked>,
) -> Result<Markup, PageFailure> {
    let book = asked.read_book(&bench).await?;
    let title = book.title.clone();
    let lessons = bench.with_workshop(move |workshop| workshop.book_lessons(&book)).await?;
    let body = lessons_sheet(&title, &lessons, &asked);
    Ok(frame::scrolling_page("What the visits teach", None, "begin", &body))
}

fn lessons_sheet(title: &str, lessons: &BookLessons, asked: &EngineAsked) -> Markup {
    let (taken, left): (Vec<&DecidedLesson>, Vec<&DecidedLesson>) =
        lessons.decided.iter().partition(|decided| decided.is_taken);
    html! {
        h1 { "What the visits teach" }
        p { strong { (title) } ", " (count_with_noun(lessons.visits, "visit")) " in this journal." }
        section {
            h2 { "To decide" }
            @if lessons.open.is_empty() { p { "Nothing waits for a decision. An order is called a need only where chance does not explain it, which takes about ten visits; a time where it is counted five times and more." } }
            @else { p { "What you take is in the plan of the next visit, with its number. Nothing else changes; the book's file stays as it is." } }
            ul.rows { @for proposal in &lessons.open { (proposal_row(proposal, asked)) } }
        }
        (decided_section("In the book", &taken, asked))
        (decided_section("Left, until more visits say it", &left, asked))
        div.one { a.other href="/begin" { "New visit" } }
    }
}

fn proposal_row(proposal: &LessonProposal, asked: &EngineAsked) -> Markup {
    let topic = proposal.lesson.topic();
    html! {
        li {
            span { strong { (app::bench::capitalise_first(&proposal.words)) "." } }
            span.why { (proposal.changes) }
            div.pair.why {
                (decision_form(asked, ("take", &topic), "Take into the book"))
                (decision_form(asked, ("leave", &topic), "Leave"))
            }
        }
    }
}

fn decided_section(heading: &str, decided: &[&DecidedLesson], asked: &EngineAsked) -> Markup {
    html! {
        @if !decided.is_empty() { section {
            h2 { (heading) }
            ul.rows { @for each in decided { li {
                span { (app::bench::capitalise_first(&each.words)) "." }
                div.why { (decision_form(asked, ("undo", each.event.as_str()), "Take the decision back")) }
            } } }
        } }
    }
}

fn decision_form(asked: &EngineAsked, (verdict, of): (&str, &str), label: &str) -> Markup {
    html! {
        form method="post" action="/lessons" {
            input type="hidden" name="book" value=(asked.book);
            input type="hidden" name="visit" value=(asked.visit);
            input type="hidden" name="of" value=(of);
            button name="verdict" value=(verdict) { (label) }
        }
    }
}

/// A decision.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct DecisionForm {
    book: String,
    visit: String,
    /// What the lesson is about, or the event that is taken back.
    of: String,
    verdict: String,
}

/// Writes a decision into the book's stream. One about a lesson that nobody proposes any more says nothing.
pub(crate) async fn decide_lesson(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Form(form): Form<DecisionForm>,
) -> Result<Response, PageFailure> {
    let asked = EngineAsked { book: form.book.clone(), visit: form.visit.clone() };
    let book = asked.read_book(&bench).await?;
    let decide = move |workshop: &mut Workshop| {
        let lessons = workshop.book_lessons(&book)?;
        let body = match form.verdict.as_str() {
            "undo" => {
                let of = EventId::new(&form.of);
                of.filter(|of| lessons.decided.iter().any(|known| known.event == *of))
                    .map(|event| BookBody::Undone { event })
            }
            "take" | "leave" => {
                let of = lessons.open.iter().find(|proposal| proposal.lesson.topic() == form.of);
                of.map(|proposal| proposal.decide(form.verdict == "take"))
            }
            _ => None,
        };
        match body {
            Some(body) => workshop.say_of_book(&book, &device.id, vec![body]),
            None => Ok(()),
        }
    };
    bench.with_workshop(decide).await?;
    Ok(Redirect::to(&asked.address()).into_response())
}
