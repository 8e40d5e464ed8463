//! `traywright reach`: which stacks can do what.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::model::ReachVerdict;
use app::{ask, load, plan_files, text};
use clap::Args;
use std::path::PathBuf;

/// Shows which stacks of tools can do each act on each fixing, and the nearest miss where none can.
#[derive(Debug, Args)]
pub struct ReachCommand {
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH")]
    book: PathBuf,
    /// The store: a file or a folder.
    #[arg(long, value_name = "PATH")]
    store: PathBuf,
    /// Only this fixing, by its key.
    #[arg(long, value_name = "KEY")]
    fixing: Option<String>,
    /// Only duties that no tool at hand can do.
    #[arg(long)]
    gaps: bool,
    /// Write the drawing of the best stack of each act into this folder, as SVG.
    #[arg(long, value_name = "FOLDER")]
    draw: Option<PathBuf>,
    /// Threads to search with; they change how long it takes, never the answer.
    #[arg(long, value_name = "N", default_value_t = 2)]
    threads: u16,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl ReachCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        if let Some(folder) = &self.draw {
            plan_files::require_out_folder(folder)?;
        }
        let (book, store) = (load::load_book(&self.book)?, load::load_store(&self.store)?);
        let mut answers = ask::find_duty_reach(&book, &store, self.fixing.as_deref(), self.threads)?;
        if self.gaps {
            answers.retain(|a| a.verdict == ReachVerdict::No);
        }
        if let Some(folder) = &self.draw {
            plan_files::write_drawings(&book, &store, &answers, folder)?;
        }
        if self.json {
            print_json("reach", &text::reach_text::reach_record(&book, &store, &answers))?;
        } else {
            print_answer(&text::reach_text::format_reach(&book, &store, &answers, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
