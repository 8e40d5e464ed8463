//! `traywright book`: check a book, print its schema.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
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
        /// Print the answer as JSON, one record a fault, for other programs.
        #[arg(long)]
        json: bool,
    },
    /// Prints the JSON Schema of books, for editors.
    Schema,
}

impl BookCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
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
                print_fault_report("book-check", &findings, good, json)
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
