//! `traywright store`: show what a store holds, check it, print its schema.

use crate::command::book::print_fault_report;
use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::load;
use app::records::StoreRecord;
use clap::Subcommand;
use std::path::PathBuf;

/// Stores: the mechanic's own tools.
#[derive(Debug, Subcommand)]
pub enum StoreCommand {
    /// Shows every piece of a store, sets expanded, by where it is kept.
    Show {
        /// The store: a file, or a folder whose .toml and .csv files are read as one store.
        #[arg(value_name = "STORE")]
        path: PathBuf,
        /// Print the answer as JSON, one record a piece, for other programs.
        #[arg(long)]
        json: bool,
    },
    /// Reports every fault of a store in one run; exit 1 if there is an error.
    Check {
        /// The store: a file, or a folder whose .toml and .csv files are read as one store.
        #[arg(value_name = "STORE")]
        path: PathBuf,
        /// Print the answer as JSON, one record a fault, for other programs.
        #[arg(long)]
        json: bool,
    },
    /// Prints the JSON Schema of stores, for editors.
    Schema,
}

impl StoreCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        match self {
            Self::Show { path, json } => {
                let store = load::load_store(&path)?;
                if json {
                    print_json("store-show", &StoreRecord::of_store(&store))?
                } else {
                    print_answer(&app::text::store_text::format_store(&store, page_width()))?
                }
            }
            Self::Check { path, json } => {
                let (store, findings) = load::check_store(&path)?;
                let good = store.map(|s| format!("{}: {} kinds of piece\n", s.title, s.pieces.len()));
                return print_fault_report("store-check", &findings, good, json);
            }
            Self::Schema => print_answer(&app::store_schema())?,
        }
        Ok(CommandVerdict::Clean)
    }
}
