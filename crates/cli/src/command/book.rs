//! `traywright book`: check a book, print its schema.

use crate::exit::{Failure, Verdict, print, print_json};
use app::load::{self, Findings};
use clap::Subcommand;
use std::path::PathBuf;

/// Books: the description of an engine.
#[derive(Debug, Subcommand)]
pub enum Book {
    /// Tells every fault of a book in one run, each with its place; exit 1 if there is an error.
    Check {
        /// A file, or a folder whose .toml files are read as one book.
        path: PathBuf,
        /// One record a fault, for other programs.
        #[arg(long)]
        json: bool,
    },
    /// Prints the JSON Schema of books, for editors.
    Schema,
}

impl Book {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        match self {
            Self::Check { path, json } => {
                let (book, findings) = load::check_book(&path)?;
                let good = book.map(|b| {
                    format!(
                        "{}: {} parts, {} fixings, {} fasteners, {} tasks\n",
                        b.key,
                        b.parts.len(),
                        b.fixings.len(),
                        b.fastener_count(),
                        b.tasks.len()
                    )
                });
                report(&findings, good, json)
            }
            Self::Schema => print(&app::book_schema()).map(|()| Verdict::Clean),
        }
    }
}

/// Prints findings; clean when there is no error.
pub fn report(findings: &Findings, good: Option<String>, json: bool) -> Result<Verdict, Failure> {
    let verdict = if findings.faults.has_errors() { Verdict::Found } else { Verdict::Clean };
    if json {
        print_json(&findings.records())?;
        return Ok(verdict);
    }
    print(&findings.report(true))?;
    let (errors, warnings) = findings.faults.counts();
    print(&format!("{}{errors} errors, {warnings} warnings\n", good.unwrap_or_default()))?;
    Ok(verdict)
}
