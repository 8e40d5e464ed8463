//! Files of an answer: a plan as page, text and JSON, drawings of stacks.

use crate::ask::{AskError, JudgedPlan};
use crate::job_hours::{KnownTimes, PlanWithHours, hours_as_assumed};
use crate::load::{WantedFile, require_kind};
use crate::text::table::PageWidth;
use crate::write::{FileWriteError, write_files};
use crate::{draw, paper, text};
use model::{Book, Stack, Store};
use plan::coverage::JudgedReach;
use std::path::{Path, PathBuf};

/// What was written for one book.
#[derive(Debug)]
pub struct WrittenPlanSheets {
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

impl WrittenPlanSheets {
    /// What the judge says, in words.
    #[must_use]
    pub fn judge_words(&self) -> String {
        match self.violations {
            0 => String::from("clean: every claim recomputed"),
            n => text::table::count_with_noun(n, "violation"),
        }
    }
}

/// Endings of files that a folder of answers is named after by mistake.
const FILE_ENDINGS: &[&str] = &["html", "json", "pdf", "svg", "toml", "txt"];

/// Says so where the folder to write into is a file, or is named like one.
///
/// # Errors
/// [`AskError::Load`] with what the file is, [`AskError::Argument`] where the name is a file's.
pub fn require_out_folder(out: &Path) -> Result<(), AskError> {
    if out.is_file() {
        require_kind(out, WantedFile::Folder)?;
    }
    let is_ending = |end: &std::ffi::OsStr| FILE_ENDINGS.iter().any(|known| end.eq_ignore_ascii_case(known));
    if out.is_dir() || !out.extension().is_some_and(is_ending) {
        return Ok(());
    }
    let name = out.with_extension("");
    let words = format!(
        "{} is the name of a file, and several files are to be written: name a folder, such as {}",
        out.display(),
        name.display()
    );
    Err(AskError::argument_error(words))
}

/// Writes the sheets of a plan.
///
/// # Errors
/// [`FileWriteError`] with the path that could not be written.
pub fn write_plan_sheets(
    book: &Book,
    store: &Store,
    answer: &JudgedPlan,
    out: &Path,
) -> Result<WrittenPlanSheets, FileWriteError> {
    let plan = &answer.plan;
    let path = |ending: &str| out.join(format!("{}.{ending}", book.key));
    let hours = hours_as_assumed(book, plan);
    let json = serde_json::to_string_pretty(&PlanWithHours::of_plan(book, plan, &KnownTimes::assumed()))
        .map_err(|error| FileWriteError { path: path("json"), cause: error.into() })?;
    let sheets = WrittenPlanSheets {
        summary: text::plan_text::plan_summary(plan, &hours, PageWidth::USUAL),
        verdict: text::readiness::format_go_verdict(&plan.readiness, PageWidth::USUAL),
        ready: (book.key.clone(), plan.readiness.clone()),
        violations: answer.violations.len(),
        page: path("html"),
        text: path("txt"),
        json: path("json"),
    };
    write_files(&[
        (sheets.page.clone(), paper::write_plan_page(book, store, plan)),
        (sheets.text.clone(), text::plan_text::format_plan(plan, &hours, PageWidth::USUAL)),
        (sheets.json.clone(), json),
    ])?;
    Ok(sheets)
}

/// Writes the drawing of the best stack of each answer, or of the nearest miss, as `FIXING-ACCESS-ACT-PASS.svg`.
///
/// # Errors
/// [`FileWriteError`] with the path that could not be written.
pub fn write_drawings(
    book: &Book,
    store: &Store,
    answers: &[JudgedReach],
    out: &Path,
) -> Result<(), FileWriteError> {
    let mut files = Vec::new();
    for JudgedReach { reach: answer, .. } in answers {
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
