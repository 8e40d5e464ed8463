//! A new visit, from the pages alone: which engine, which vehicle, which tasks; with a book, on the demo, or from nothing.

use app::ask::{PlanRequest, SilentObserver};
use app::model::plan::KitObjective;
use app::record::VehicleId;
use app::record::vehicle::OdometerValue;
use app::text::table::{count_with_noun, spoken_time};
use app::workshop::{NewVisit, ShelfBook, ShelfPlace, Workshop, WorkshopError};
use axum::extract::{RawForm, RawQuery, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::lessons::{find_place, lessons_address};
use super::{PageFailure, frame};
use crate::bench_state::{SharedBench, run_blocking};

/// Longest name of a vehicle, letters.
const MAX_NAME_LETTERS: usize = 60;

/// First which engine; then, once that is said, the vehicle and its tasks.
pub(crate) async fn begin_page(
    State(bench): State<SharedBench>,
    RawQuery(asked): RawQuery,
) -> Result<Markup, PageFailure> {
    let asked = asked.unwrap_or_default();
    let is_chosen = form_urlencoded::parse(asked.as_bytes()).any(|(name, _)| name == "book");
    let form = BeginForm::of_bytes(asked.as_bytes());
    if !is_chosen {
        let shelf = bench.shelf().clone();
        let books = run_blocking(move || Ok::<_, PageFailure>(shelf.books())).await?;
        let told = bench.with_workshop(|workshop| workshop.list_told_engines()).await?;
        return Ok(frame::scrolling_page("New visit", None, "begin", &choose_engine(&books, &told, &form)));
    }
    let letter = bench.with_workshop(|workshop| Ok::<_, PageFailure>(workshop.free_letter())).await?;
    let letter = letter.unwrap_or_default();
    form_page(&bench, BeginForm { letter, ..form }, None).await
}

/// The form with what was written in it, and why it could not be used.
async fn form_page(bench: &SharedBench, form: BeginForm, fault: Option<&str>) -> Result<Markup, PageFailure> {
    let shelf = bench.shelf().clone();
    let has_store = shelf.store.is_some();
    let books = run_blocking(move || Ok::<_, PageFailure>(shelf.books())).await?;
    let told = bench.with_workshop(|workshop| workshop.list_told_engines()).await?;
    let book = books.iter().chain(&told).find(|book| book.name == form.book && book.trouble.is_none());
    if book.is_none() && !form.book.is_empty() {
        return Err(PageFailure::NotFound);
    }
    let body = vehicle_form(book, &form, has_store, fault);
    Ok(frame::scrolling_page("New visit", None, "begin", &body))
}

/// Which engine: the books of the shelf, an engine that nobody has described, the demo.
fn choose_engine(books: &[ShelfBook], told: &[ShelfBook], form: &BeginForm) -> Markup {
    let (demo, own): (Vec<&ShelfBook>, Vec<&ShelfBook>) = books.iter().partition(|book| book.is_demo);
    html! {
        h1 { "New visit: which engine?" }
        @if !own.is_empty() { section {
            h2 { "Your books" }
            ul.rows { @for book in &own { (book_row(book, form)) } }
        } }
        @if !told.is_empty() { section {
            h2 { "Told in earlier visits" }
            ul.rows { @for book in told { (book_row(book, form)) } }
        } }
        section {
            h2 { "An engine without a book" }
            p { "Tell what comes off as it comes off: a picture, a tap on each head, its size. Each lot gets its bag at once, the way back is planned from it, and a book is left for the next time." }
            div.one { a.other href=(form.address_with_book("")) { "Begin without a book" } }
        }
        @if own.is_empty() { section {
            h2 { "Books" }
            p { "No folder of books is known here. Start the server with the folder that holds yours and with your tool store; they are read anew each time this page opens." }
            pre { "traywright serve --book FOLDER --store FOLDER" }
        } }
        section {
            h2 { "The demo" }
            p { "Invented engines and an invented tool store, to try everything on. Nothing of it is true of a real engine." }
            ul.rows { @for book in &demo { (book_row(book, form)) } }
        }
    }
}

fn book_row(book: &ShelfBook, form: &BeginForm) -> Markup {
    html! {
        li {
            span { strong { (book.title) } }
            span.where { @if book.trouble.is_none() { (count_with_noun(book.tasks.len(), "task")) } }
            span.why { @match &book.trouble {
                Some(trouble) => { "Cannot be used yet: " (trouble) ". The command " code { "traywright book check" } " says what to mend." },
                None => { (count_with_noun(book.parts, "part")) },
            } }
            @if book.trouble.is_none() {
                span.why { a.other href=(form.address_with_book(&book.name)) { "Take this one" } " " a href=(lessons_address(("book", &book.name))) { "What the visits teach" } }
            }
        }
    }
}

/// The vehicle, and which tasks of the book.
fn vehicle_form(book: Option<&ShelfBook>, form: &BeginForm, has_store: bool, fault: Option<&str>) -> Markup {
    let is_planned = book.is_some_and(|book| book.is_demo || has_store);
    html! {
        h1 { "New visit: the vehicle" }
        @if let Some(fault) = fault { p.refusal role="alert" { (app::bench::capitalise_first(fault)) "." } }
        p { @match book { Some(book) => strong { (book.title) }, None => "An engine without a book." } }
        form method="post" action="/begin" {
            input type="hidden" name="book" value=(book.map_or("", |book| book.name.as_str()));
            @if !form.vehicle.is_empty() { input type="hidden" name="vehicle" value=(form.vehicle); }
            label { "What you call the vehicle" input name="name" value=(form.name) required maxlength=(MAX_NAME_LETTERS) autocomplete="off"; }
            div.pair {
                label { "Its letter on trays and bags" input name="letter" value=(form.letter) required maxlength="1" pattern="[A-Z]" autocapitalize="characters" autocomplete="off"; }
                label { "Distance driven, as it reads" input name="odometer" value=(form.odometer) placeholder="412300 km" autocomplete="off"; }
            }
            @if let Some(book) = book {
                @if is_planned {
                    section {
                        h2 { "Tasks" }
                        p { "Hours are of the work itself; the plan adds the way in, once for all that share it." }
                        @for task in &book.tasks {
                            label { (task.title) ", " (spoken_time(task.work_s)) input type="checkbox" name="task" value=(task.key) checked[form.tasks.contains(&task.key)]; }
                        }
                    }
                } @else {
                    p.refusal { "There is no tool store, so no plan can be made. Start the server with --store FOLDER, or begin without a plan." }
                }
            }
            button.main { @if is_planned { "Plan the visit" } @else { "Open the visit" } }
            @if is_planned { p { "Planning takes from some seconds to a minute; the next page is what to settle before you start." } }
        }
        p { a href="/begin" { "Another engine" } }
    }
}

/// What the form says.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct BeginForm {
    book: String,
    /// The vehicle's id, where it was here before.
    vehicle: String,
    name: String,
    letter: String,
    odometer: String,
    tasks: Vec<String>,
}

impl BeginForm {
    fn of_bytes(bytes: &[u8]) -> Self {
        let mut form = Self::default();
        for (name, value) in form_urlencoded::parse(bytes) {
            let value = value.trim().to_owned();
            match name.as_ref() {
                "book" => form.book = value,
                "vehicle" => form.vehicle = value,
                "name" => form.name = value,
                "letter" => form.letter = value.to_uppercase(),
                "odometer" => form.odometer = value,
                "task" => form.tasks.push(value),
                _ => {}
            }
        }
        form
    }

    /// The address of the form for a book, with the vehicle and the tasks as they are.
    fn address_with_book(&self, book: &str) -> String {
        let mut query = form_urlencoded::Serializer::new(String::from("/begin?"));
        query.append_pair("book", book);
        for (name, value) in [("vehicle", &self.vehicle), ("name", &self.name)] {
            if !value.is_empty() {
                query.append_pair(name, value);
            }
        }
        self.tasks.iter().for_each(|task| _ = query.append_pair("task", task));
        query.finish()
    }

    /// What is wrong with it, in words that say what to do.
    fn fault(&self) -> Option<String> {
        let is_letter = self.letter.len() == 1 && self.letter.chars().all(|c| c.is_ascii_uppercase());
        if self.name.is_empty() || self.name.chars().count() > MAX_NAME_LETTERS {
            return Some(format!("give the vehicle a name of at most {MAX_NAME_LETTERS} letters"));
        }
        if !is_letter {
            return Some(String::from("the letter is one of A to Z"));
        }
        if !self.odometer.is_empty() {
            let is_figure = OdometerValue::parse_words(&self.odometer).is_some();
            let words = || {
                format!(
                    "`{}` is not a distance with its unit; write it as 412300 km, 98500 mi or 2310 h",
                    self.odometer
                )
            };
            return (!is_figure).then(words);
        }
        None
    }
}

/// Opens the visit, planned where book and store allow it, and goes to what is to be settled before the start.
pub(crate) async fn begin_visit(
    State(bench): State<SharedBench>,
    RawForm(bytes): RawForm,
) -> Result<Response, PageFailure> {
    let form = BeginForm::of_bytes(&bytes);
    if let Some(fault) = form.fault() {
        return Ok(form_page(&bench, form, Some(&fault)).await?.into_response());
    }
    let letter = form.letter.clone();
    let is_free = move |workshop: &mut Workshop| Ok::<_, PageFailure>(workshop.require_free_letter(&letter));
    if let Err(taken) = bench.with_workshop(is_free).await? {
        return Ok(form_page(&bench, form, Some(&taken.to_string())).await?.into_response());
    }
    let place = if form.book.is_empty() {
        None
    } else {
        let mut place = find_place(&bench, &form.book).await?.ok_or(PageFailure::NotFound)?;
        let path = place.book.clone();
        let taught = bench.with_workshop(move |workshop| workshop.unpack_taught_book(&path)).await?;
        if let Some(taught) = taught {
            place = taught.with_store_of(place);
        }
        Some(place)
    };
    let asked = form.clone();
    let made = run_blocking(move || Ok::<_, PageFailure>(prepare(place.as_ref(), &asked))).await?;
    let prepared = match made {
        Ok(prepared) => prepared,
        Err(error) => return Ok(form_page(&bench, form, Some(&error.to_string())).await?.into_response()),
    };
    let (new, texts) = prepared;
    let is_planned = new.request.is_some();
    let id = bench.with_workshop(move |workshop| workshop.begin_prepared_visit(&new, texts)).await?;
    let first = match (is_planned, form.book.is_empty()) {
        (true, _) => "ready",
        (false, true) => "next",
        (false, false) => "bench",
    };
    Ok(Redirect::to(&format!("/v/{id}/{first}")).into_response())
}

/// Reads and plans.
fn prepare(
    place: Option<&ShelfPlace>,
    form: &BeginForm,
) -> Result<(NewVisit, app::workshop::PreparedVisit), WorkshopError> {
    let (book, store) = place.map_or((None, None), |place| (Some(place.book.clone()), place.store.clone()));
    let request = (book.is_some() && store.is_some()).then(|| PlanRequest {
        vehicle: form.letter.clone(),
        tasks: form.tasks.clone(),
        objective: KitObjective::Balanced,
        seconds: None,
        stop_after_s: None,
        seed: 1,
        threads: 2,
    });
    let new = NewVisit {
        letter: form.letter.clone(),
        vehicle: VehicleId::new(&form.vehicle),
        name: form.name.clone(),
        odometer: OdometerValue::parse_words(&form.odometer).map(|reading| reading.to_string()),
        book,
        store,
        request,
    };
    let texts = Workshop::prepare_visit(&new, &SilentObserver)?;
    Ok((new, texts))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_of_one_name_are_all_read() {
        let form =
            BeginForm::of_bytes(b"book=tern-24&name=the+grey+bus&letter=b&odometer=412300+km&task=a&task=b");
        assert_eq!((form.name.as_str(), form.letter.as_str()), ("the grey bus", "B"));
        assert_eq!(form.tasks, ["a", "b"]);
        assert_eq!(form.fault(), None);
    }

    #[test]
    fn what_cannot_be_a_vehicle_is_told() {
        for (form, word) in [
            ("name=&letter=A", "name"),
            ("name=x&letter=AB", "letter"),
            ("name=x&letter=A&odometer=far", "odometer"),
        ] {
            let fault = BeginForm::of_bytes(form.as_bytes()).fault();
            assert!(fault.is_some(), "{form} ({word})");
        }
        assert!(BeginForm::of_bytes(&[0xff, b'=', 0xfe]).fault().is_some());
    }
}
