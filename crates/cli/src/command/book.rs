//! `traywright book`: check a book, list what is in it, print its schema.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::book_lists::{self, BookList};
use app::load::{self, FaultReport};
use app::records::FaultReportRecord;
use app::text;
use app::text::table::{PageWidth, count_with_noun};
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// Books: the description of an engine.
#[derive(Debug, Subcommand)]
pub enum BookCommand {
    /// Reports every fault of a book in one run, each with its place; exit 1 if there is an error.
    Check {
        /// The book: a file, or a folder whose .toml and .csv files are read as one book.
        #[arg(value_name = "BOOK")]
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
        #[arg(long = "out", value_name = "FILE")]
        path: PathBuf,
        /// What a person calls the engine.
        #[arg(long, value_name = "TEXT")]
        title: String,
    },
    /// Prints a book as a spreadsheet, one row a fixing; a book may hold such a file beside its .toml files.
    Rows {
        /// The book: a file, or a folder whose .toml and .csv files are read as one book.
        #[arg(value_name = "BOOK")]
        path: PathBuf,
    },
    /// Takes a book that another workshop passed on: shows what it would change, and with --write changes it.
    Take {
        /// Your own book of that engine: one file. Where it does not exist yet, it is made.
        #[arg(value_name = "BOOK")]
        into: PathBuf,
        /// The file that `visit book` wrote there.
        #[arg(long = "from", value_name = "FILE")]
        file: PathBuf,
        /// Write it; where both say something differently, yours stays.
        #[arg(long)]
        write: bool,
    },
    /// Lists the tasks of a book: key, title, kind, own work, parts that come off for it alone, station.
    Tasks(BookListArguments),
    /// Lists the parts of a book: key, title, kind, how many fixings and fasteners hold it, station.
    Parts(BookListArguments),
    /// Lists the fixings of a book: key, title, how many fasteners of which size, how they are tightened, part.
    Fixings(BookListArguments),
    /// Prints the JSON Schema of books, for editors.
    Schema,
}

/// Which book, and what of it is listed.
#[derive(Debug, Args)]
pub struct BookListArguments {
    /// The book: a file, or a folder whose .toml and .csv files are read as one book.
    #[arg(value_name = "BOOK")]
    path: PathBuf,
    /// Only those with this word in key or title.
    #[arg(long, value_name = "WORD")]
    word: Option<String>,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl BookListArguments {
    /// Prints a list as JSON or as text.
    fn print_list<T: serde::Serialize>(
        &self,
        command: &str,
        list: &BookList<T>,
        format: fn(&BookList<T>, PageWidth) -> String,
    ) -> Result<CommandVerdict, CommandFailure> {
        if self.json {
            print_json(command, list)?;
        } else {
            print_answer(&format(list, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
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
                let told = app::first_book::take_carried_book(&file, &into, write, page_width())?;
                print_answer(&told).map(|()| CommandVerdict::Clean)
            }
            Self::Rows { path } => {
                print_answer(&app::book_rows(&load::load_book(&path)?)).map(|()| CommandVerdict::Clean)
            }
            Self::Check { path, write, json } => {
                let (book, findings) = load::check_book(&path)?;
                if let Some(book) = book.as_ref().filter(|_| write) {
                    let count = app::first_book::write_made_keys(&path, book)?;
                    if !json {
                        print_answer(&format!("keys written into {}\n", count_with_noun(count, "file")))?;
                    }
                }
                let missing = book.as_ref().map(|book| app::first_book::missing_words(book, page_width()));
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
            Self::Tasks(asked) => {
                let list = book_lists::list_tasks(&load::load_book(&asked.path)?, asked.word.as_deref())?;
                asked.print_list("book-tasks", &list, text::book_lists::format_tasks)
            }
            Self::Parts(asked) => {
                let list = book_lists::list_parts(&load::load_book(&asked.path)?, asked.word.as_deref());
                asked.print_list("book-parts", &list, text::book_lists::format_parts)
            }
            Self::Fixings(asked) => {
                let list = book_lists::list_fixings(&load::load_book(&asked.path)?, asked.word.as_deref());
                asked.print_list("book-fixings", &list, text::book_lists::format_fixings)
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
