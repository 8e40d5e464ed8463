//! `traywright store`: show what a store holds, check it, print its schema.

use crate::command::book::report;
use crate::exit::{Failure, Verdict, print};
use app::load;
use clap::Subcommand;
use std::path::PathBuf;

/// Stores: the mechanic's own tools.
#[derive(Debug, Subcommand)]
pub enum Store {
    /// Shows the pieces that the sets of a store stand for, by where they are kept.
    Show {
        /// A file, or a folder whose .toml and .csv files are read as one store.
        path: PathBuf,
    },
    /// Tells every fault of a store in one run; exit 1 if there is an error.
    Check {
        /// A file, or a folder.
        path: PathBuf,
        /// One record a fault, for other programs.
        #[arg(long)]
        json: bool,
    },
    /// Prints the JSON Schema of stores, for editors.
    Schema,
}

impl Store {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        match self {
            Self::Show { path } => print(&app::text::store::store(&load::store(&path)?))?,
            Self::Check { path, json } => {
                let (store, findings) = load::check_store(&path)?;
                let good = store.map(|s| format!("{}: {} kinds of piece\n", s.title, s.pieces.len()));
                return report(&findings, good, json);
            }
            Self::Schema => print(&app::store_schema())?,
        }
        Ok(Verdict::Clean)
    }
}
