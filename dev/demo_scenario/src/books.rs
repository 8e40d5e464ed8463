//! Both books of the demo planned, judged and written down.

use std::fs;
use std::path::{Path, PathBuf};

use app::ask::{self, AskError, PlanRequest, ProgressObserver};
use app::load::{self, FileLoadError, WantedFile};
use app::model::plan::{KitObjective, Readiness};
use app::plan_files::{WrittenPlanSheets, write_plan_sheets};
use app::text::next_best;
use app::text::table::PageWidth;

/// Plans all tasks of every book below `demo/books`, and writes page, text and JSON of each into a folder.
///
/// # Errors
/// [`AskError`] where a file cannot be read or written, or a book cannot be planned.
pub fn plan_demo_books(
    root: &Path,
    out: &Path,
    request: &PlanRequest,
    progress: &dyn ProgressObserver,
) -> Result<Vec<WrittenPlanSheets>, AskError> {
    let store = load::load_store(&root.join("store"))?;
    let mut books: Vec<PathBuf> = list_folder(&root.join("books"))?;
    books.sort();
    let mut all = Vec::new();
    for (i, path) in books.iter().enumerate() {
        let book = load::load_book(path)?;
        progress.show_progress(&book.title, i as f64 / books.len() as f64);
        let vehicle = char::from(b'A' + (i % 26) as u8).to_string();
        let request = PlanRequest {
            vehicle,
            tasks: Vec::new(),
            objective: KitObjective::LeastToCarry,
            ..request.clone()
        };
        let answer = ask::make_judged_plan(&book, &store, &request, progress)?;
        all.push(write_plan_sheets(&book, &store, &answer, out)?);
    }
    Ok(all)
}

fn list_folder(folder: &Path) -> Result<Vec<PathBuf>, FileLoadError> {
    let io = |error| FileLoadError::of_system(folder, WantedFile::Folder, error);
    fs::read_dir(folder).map_err(io)?.map(|entry| Ok(entry.map_err(io)?.path())).collect()
}

/// What to buy, borrow or make next over several books, the piece that opens most jobs first, at most `most` lines.
#[must_use]
pub fn next_best_text(sheets: &[WrittenPlanSheets], most: usize, width: PageWidth) -> String {
    let ready: Vec<(&str, &Readiness)> = sheets.iter().map(|s| (s.ready.0.as_str(), &s.ready.1)).collect();
    next_best::format_ranked_purchases(&ready, most, width)
}
