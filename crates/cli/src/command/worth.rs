//! `traywright worth`: which further tasks are worth adding to the visit.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::worth::WorthRequest;
use app::{load, text};
use clap::Args;
use std::path::PathBuf;

/// Says which further tasks are worth adding to the visit, with the way in opened only once for all tasks, and until when that stays
/// right.
#[derive(Debug, Args)]
pub struct WorthCommand {
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH")]
    book: PathBuf,
    /// A task that is done in any case, by its key; may be given several times.
    #[arg(long = "task", value_name = "KEY")]
    tasks: Vec<String>,
    /// What a task brings if it is done now, in addition to what the book expects to lose if it is left; may be given several times.
    #[arg(long = "worth", value_name = "KEY=MONEY")]
    worth: Vec<String>,
    /// What an hour of hands-on work costs.
    #[arg(long, value_name = "MONEY/h")]
    rate: String,
    /// Give the reasons for every choice, not only for those closest to changing.
    #[arg(long)]
    reasons: bool,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl WorthCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let book = load::load_book(&self.book)?;
        let request = WorthRequest { must: self.tasks, worth: self.worth, rate: self.rate };
        let answer = app::worth::weigh_tasks(&book, &request)?;
        if let Some(first) = answer.violations.first() {
            let words = format!("the judge found a fault in this choice: {first}; please report it");
            return Err(CommandFailure::own_fault(words));
        }
        if self.json {
            print_json("worth", &answer.worth)?;
        } else {
            print_answer(&text::worth::format_worth(&answer.worth, self.reasons, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
