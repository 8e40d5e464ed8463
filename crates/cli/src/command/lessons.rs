//! `traywright learn`: what the visits of one engine teach.

use super::journal::JournalArguments;
use crate::exit::{CommandFailure, CommandVerdict, print_answer};
use crate::page_width::page_width;
use app::lessons::learn_from_visits;
use app::load;
use clap::Args;
use std::path::PathBuf;

/// Shows what the visits of a journal teach about the engine of a book: order and times, with the number of visits behind each.
///
/// Nothing is changed by it. An order that was seen is kept until two visits contradict it or a person frees it; it is called a
/// need only where chance does not explain it.
#[derive(Debug, Args)]
pub struct LearnCommand {
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH")]
    book: PathBuf,
    #[command(flatten)]
    journal: JournalArguments,
}

impl LearnCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let book = load::load_book(&self.book)?;
        let mut workshop = self.journal.read_workshop()?;
        print_answer(&learn_from_visits(&mut workshop, &book, page_width())?).map(|()| CommandVerdict::Clean)
    }
}
