//! `traywright why`: where the figure of a tightening step comes from.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::{bolting_answers, load, text};
use clap::Args;
use std::path::PathBuf;

/// Shows where the figure of a tightening step comes from: its source, the preload it makes, the margin against
/// stripping, and why the wrench is set as it is.
#[derive(Debug, Args)]
pub struct WhyCommand {
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH")]
    book: PathBuf,
    /// The store that the plan was made from, for the marks to set and the lever behind a setting: a file or a folder.
    #[arg(long, value_name = "PATH")]
    store: Option<PathBuf>,
    /// The plan, as `traywright plan --json` printed it.
    #[arg(long, value_name = "FILE")]
    plan: PathBuf,
    /// Number of the step in the plan.
    #[arg(long, value_name = "N")]
    step: u32,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl WhyCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let store = self.store.as_deref().map(load::load_store).transpose()?;
        let answer = bolting_answers::explain_step_with_tools(
            &load::load_book(&self.book)?,
            &load::load_plan(&self.plan)?,
            store.as_ref(),
            self.step,
        )?;
        if self.json {
            print_json("why", &answer)?;
        } else {
            print_answer(&text::bolting_text::format_step_reasons(&answer, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
