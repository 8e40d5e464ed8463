//! `traywright generate`: something large to try the program on.

use crate::exit::{CommandFailure, CommandVerdict, print_answer};
use app::plan_files::write_files;
use clap::Args;
use generate::generate_book_and_store;
use std::path::PathBuf;

/// Writes a large invented book and store into a folder, the same for the same seed.
#[derive(Debug, Args)]
pub struct GenerateCommand {
    /// Folder for `book.toml` and `store.toml`, each in a folder of its own.
    folder: PathBuf,
    /// Parts.
    #[arg(long, default_value_t = 400)]
    parts: usize,
    /// Fasteners.
    #[arg(long, default_value_t = 1500)]
    fasteners: usize,
    /// Pieces of the store.
    #[arg(long, default_value_t = 400)]
    pieces: usize,
    /// Seed.
    #[arg(long, default_value_t = 1)]
    seed: u64,
}

impl GenerateCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let (book, store) = generate_book_and_store(self.seed, self.parts, self.fasteners, self.pieces);
        write_files(&[
            (self.folder.join("book").join("book.toml"), book),
            (self.folder.join("store").join("store.toml"), store),
        ])?;
        let at = self.folder.display();
        print_answer(&format!("written: {at}/book and {at}/store\n"))?;
        Ok(CommandVerdict::Clean)
    }
}
