//! `traywright next-best`: what to get next over several books.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::ask::{self, PlanRequest};
use app::load::{self, FileLoadError};
use app::model::plan::KitObjective;
use app::text;
use clap::Args;
use std::path::PathBuf;

/// Says what to buy, borrow or make next so that most jobs of several books open up: one thing after the other, and pairs
/// that open something only together.
#[derive(Debug, Args)]
pub struct NextBestCommand {
    /// A book: a file or a folder; may be given several times.
    #[arg(long = "book", value_name = "PATH", required = true)]
    books: Vec<PathBuf>,
    /// The store: a file or a folder.
    #[arg(long, value_name = "PATH")]
    store: PathBuf,
    /// At most this many lines of each kind.
    #[arg(long, value_name = "N", default_value_t = 8, value_parser = clap::value_parser!(u16).range(1..))]
    most: u16,
    /// Print the answer as JSON, for other programs; all lines.
    #[arg(long)]
    json: bool,
}

impl NextBestCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let books =
            self.books.iter().map(|path| load::load_book(path)).collect::<Result<Vec<_>, FileLoadError>>()?;
        let store = load::load_store(&self.store)?;
        let request = PlanRequest {
            vehicle: String::from("A"),
            tasks: Vec::new(),
            objective: KitObjective::LeastToBuy,
            seconds: None,
            stop_after_s: None,
            seed: 1,
            threads: 2,
        };
        let next = ask::find_next_best(&books, &store, &request)?;
        if self.json {
            print_json("next-best", &next)?;
        } else {
            print_answer(&text::next_best::format_next_best(&next, usize::from(self.most), page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
