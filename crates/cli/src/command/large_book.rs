//! `traywright generate`: something large to try the program on.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use app::records::GeneratedRecord;
use app::write;
use clap::Args;
use generate::generate_book_and_store;
use std::path::PathBuf;

/// Writes a large invented book and store into a folder, the same for the same seed.
#[derive(Debug, Args)]
pub struct GenerateCommand {
    /// Folder for `book.toml` and `store.toml`, each in a folder of its own.
    #[arg(long, value_name = "FOLDER")]
    out: PathBuf,
    /// How many parts the book has.
    #[arg(long, value_name = "N", default_value_t = 400, value_parser = at_least_one)]
    parts: usize,
    /// How many fasteners the book has.
    #[arg(long, value_name = "N", default_value_t = 1500, value_parser = at_least_one)]
    fasteners: usize,
    /// How many pieces the store has.
    #[arg(long, value_name = "N", default_value_t = 400, value_parser = at_least_one)]
    pieces: usize,
    /// Seed of all random choices; the same seed gives the same book and store.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

/// A count of at least one.
fn at_least_one(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(0) => Err(String::from("give at least 1")),
        Ok(count) => Ok(count),
        Err(_) => Err(String::from("give a whole number, such as 400")),
    }
}

impl GenerateCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        app::plan_files::require_out_folder(&self.out)?;
        let (book, store) = generate_book_and_store(self.seed, self.parts, self.fasteners, self.pieces);
        let (book_at, store_at) = (self.out.join("book"), self.out.join("store"));
        write::write_files(&[(book_at.join("book.toml"), book), (store_at.join("store.toml"), store)])?;
        if self.json {
            print_json("generate", &GeneratedRecord { book: book_at, store: store_at, seed: self.seed })?;
        } else {
            print_answer(&format!("written: {} and {}\n", book_at.display(), store_at.display()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
