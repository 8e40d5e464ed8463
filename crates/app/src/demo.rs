//! The demo: plans a visit for each book of a folder with one store, judges them, and writes their sheets.

use crate::ask::{self, Answer, AskError, Progress, Request};
use crate::load::{self, LoadError};
use crate::{draw, page, text};
use model::plan::Objective;
use model::{Book, Stack, Store};
use reach::DutyReach;
use std::fs;
use std::path::{Path, PathBuf};

/// What was written for one book.
#[derive(Debug)]
pub struct Sheets {
    /// Summary for the terminal.
    pub summary: String,
    /// Go, or no-go with the reasons.
    pub verdict: String,
    /// Key of the book with its readiness, for what to buy next over several books.
    pub ready: (String, model::plan::Readiness),
    /// What the judge found.
    pub violations: usize,
    /// The page to open.
    pub page: PathBuf,
    /// The plan as text.
    pub text: PathBuf,
    /// The plan for other programs.
    pub json: PathBuf,
}

impl Sheets {
    /// What the judge says, in words.
    #[must_use]
    pub fn judged(&self) -> String {
        match self.violations {
            0 => String::from("clean, every claim worked out again"),
            n => format!("{n} violations"),
        }
    }
}

/// Plans all tasks of every book below `demo/books`, and writes page, text and JSON of each into a folder.
///
/// # Errors
/// [`AskError`] where a file cannot be read or written, or a book cannot be planned.
pub fn demo(
    root: &Path,
    out: &Path,
    request: &Request,
    progress: &dyn Progress,
) -> Result<Vec<Sheets>, AskError> {
    let store = load::store(&root.join("store"))?;
    let mut books: Vec<PathBuf> = entries(&root.join("books"))?;
    books.sort();
    let mut all = Vec::new();
    for (i, path) in books.iter().enumerate() {
        let book = load::book(path)?;
        progress.at(&book.title, i as f64 / books.len() as f64);
        let vehicle = char::from(b'A' + (i % 26) as u8).to_string();
        let request =
            Request { vehicle, tasks: Vec::new(), objective: Objective::LeastToCarry, ..request.clone() };
        let answer = ask::plan(&book, &store, &request, progress)?;
        all.push(write(&book, &store, &answer, out)?);
    }
    Ok(all)
}

fn entries(folder: &Path) -> Result<Vec<PathBuf>, LoadError> {
    let io = |error| LoadError::Io { path: folder.to_owned(), error };
    fs::read_dir(folder).map_err(io)?.map(|entry| Ok(entry.map_err(io)?.path())).collect()
}

/// Writes the sheets of a plan.
///
/// # Errors
/// [`LoadError::Io`] with the path that could not be written.
pub fn write(book: &Book, store: &Store, answer: &Answer, out: &Path) -> Result<Sheets, LoadError> {
    let plan = &answer.plan;
    let path = |ending: &str| out.join(format!("{}.{ending}", book.key));
    let json = serde_json::to_string_pretty(plan)
        .map_err(|error| LoadError::Plan { path: path("json"), error: error.to_string() })?;
    let sheets = Sheets {
        summary: text::plan::summary(plan),
        verdict: text::readiness::verdict(&plan.readiness),
        ready: (book.key.clone(), plan.readiness.clone()),
        violations: answer.violations.len(),
        page: path("html"),
        text: path("txt"),
        json: path("json"),
    };
    write_files(&[
        (sheets.page.clone(), page::page(book, store, plan)),
        (sheets.text.clone(), text::plan::plan(plan)),
        (sheets.json.clone(), json),
    ])?;
    Ok(sheets)
}

/// What to buy, borrow or make next over several books, the piece that opens most jobs first, at most `most` lines.
#[must_use]
pub fn next_best(sheets: &[Sheets], most: usize) -> String {
    let ready: Vec<(&str, &model::plan::Readiness)> =
        sheets.iter().map(|s| (s.ready.0.as_str(), &s.ready.1)).collect();
    text::next_best::one_by_one(&plan::next_best::purchases(&ready), most)
}

/// Writes texts to files, making folders as needed.
///
/// # Errors
/// [`LoadError::Io`] with the path that could not be written.
pub fn write_files(files: &[(PathBuf, String)]) -> Result<(), LoadError> {
    for (path, text) in files {
        let io = |error| LoadError::Io { path: path.clone(), error };
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(io)?;
        }
        fs::write(path, text).map_err(io)?;
    }
    Ok(())
}

/// Writes the drawing of the best stack of each answer, or of the nearest miss, as `FIXING-ACCESS-ACT-PASS.svg`.
///
/// # Errors
/// [`LoadError::Io`] with the path that could not be written.
pub fn write_drawings(
    book: &Book,
    store: &Store,
    answers: &[DutyReach],
    out: &Path,
) -> Result<(), LoadError> {
    let mut files = Vec::new();
    for answer in answers {
        let duty = answer.duty;
        let stack = match (answer.workings.first(), &answer.miss) {
            (Some(working), _) => working.stack.clone(),
            (None, Some(miss)) => Stack { pieces: miss.stack.clone(), ..Stack::default() },
            (None, None) => continue,
        };
        let act = duty.act.to_string().replace(' ', "-");
        let stage = duty.stage.map_or_else(String::new, |s| format!("-{}", s + 1));
        let name = format!("{}-{}-{act}{stage}", book.fixing(duty.fixing).key, duty.access + 1);
        if let Some(drawing) = draw::stack_drawing(book, store, duty, &stack, &name) {
            files.push((out.join(format!("{name}.svg")), drawing));
        }
    }
    write_files(&files)
}
