//! `traywright book`: check a book, print its schema.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use app::book_rows;
use app::load::{self, FaultReport};
use app::records::FaultReportRecord;
use app::text::table::count_with_noun;
use clap::Subcommand;
use std::path::PathBuf;

/// Books: the description of an engine.
#[derive(Debug, Subcommand)]
pub enum BookCommand {
    /// Reports every fault of a book in one run, each with its place; exit 1 if there is an error.
    Check {
        /// A file, or a folder whose .toml files are read as one book.
        path: PathBuf,
        /// Write the keys that were made from titles into the files, so that they stay when a title changes.
        #[arg(long)]
        write: bool,
        /// Print the answer as JSON, one record a fault, for other programs.
        #[arg(long)]
        json: bool,
    },
    /// Writes a first book of one cover to begin with; it passes `book check`.
    New {
        /// The file to write; it must not exist yet.
        path: PathBuf,
        /// What a person calls the engine.
        #[arg(long)]
        title: String,
    },
    /// Prints a book as a spreadsheet, one row a fixing; a book may hold such a file beside its .toml files.
    Rows {
        /// A file, or a folder whose files are read as one book.
        path: PathBuf,
    },
    /// Takes a book that another workshop passed on: shows what it would change, and with --write changes it.
    Take {
        /// The file that `visit book` wrote there.
        file: PathBuf,
        /// Your own book of that engine: one file. Where it does not exist yet, it is made.
        into: PathBuf,
        /// Write it; where both say something differently, yours stays.
        #[arg(long)]
        write: bool,
    },
    /// Prints the JSON Schema of books, for editors.
    Schema,
}

impl BookCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        match self {
            Self::New { path, title } => {
                app::first_book::write_first_book(&path, &title)?;
                let told =
                    format!("{} is written; edit it, then: traywright book check {0}\n", path.display());
                print_answer(&told).map(|()| CommandVerdict::Clean)
            }
            Self::Take { file, into, write } => {
                let told = app::first_book::take_carried_book(&file, &into, write)?;
                print_answer(&told).map(|()| CommandVerdict::Clean)
            }
            Self::Rows { path } => {
                print_answer(&book_rows(&load::load_book(&path)?)).map(|()| CommandVerdict::Clean)
            }
            Self::Check { path, write, json } => {
                let (book, findings) = load::check_book(&path)?;
                if let Some(book) = book.as_ref().filter(|_| write) {
                    let count = app::first_book::write_made_keys(&path, book)?;
                    if !json {
                        print_answer(&format!("keys written into {}\n", count_with_noun(count, "file")))?;
                    }
                }
                let missing = book.as_ref().map(app::first_book::missing_words);
                let good = book.map(|b| {
                    format!(
                        "{}: {}, {}, {}, {}\n",
                        b.key,
                        count_with_noun(b.parts.len(), "part"),
                        count_with_noun(b.fixings.len(), "fixing"),
                        count_with_noun(b.fastener_count(), "fastener"),
                        count_with_noun(b.tasks.len(), "task")
                    )
                });
                print_fault_report("book-check", &findings, good, json)?;
                if let Some(missing) = missing.filter(|missing| !json && !missing.is_empty()) {
                    print_answer(&missing)?;
                }
                Ok(CommandVerdict::clean_if(!findings.faults.has_errors()))
            }
            Self::Schema => print_answer(&app::book_schema()).map(|()| CommandVerdict::Clean),
        }
    }
}

/// Prints findings; clean when there is no error.
pub fn print_fault_report(
    command: &str,
    findings: &FaultReport,
    good: Option<String>,
    json: bool,
) -> Result<CommandVerdict, CommandFailure> {
    let verdict = CommandVerdict::clean_if(!findings.faults.has_errors());
    if json {
        print_json(command, &FaultReportRecord::of_report(findings))?;
        return Ok(verdict);
    }
    print_answer(&findings.render_text(true))?;
    let (errors, warnings) = findings.faults.count_by_severity();
    let (errors, warnings) = (count_with_noun(errors, "error"), count_with_noun(warnings, "warning"));
    print_answer(&format!("{}{errors}, {warnings}\n", good.unwrap_or_default()))?;
    Ok(verdict)
}
