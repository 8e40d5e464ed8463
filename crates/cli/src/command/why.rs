//! `traywright why`: what stands behind the figure of a tightening step.

use crate::exit::{Failure, Verdict, print, print_json};
use app::{bolting, load, text};
use clap::Args;
use std::path::PathBuf;

/// Shows what stands behind the figure of a tightening step: its source, the preload it makes, the margin against
/// stripping, and why the wrench is set as it is.
///
/// Example: traywright why --book demo/books/tern-24 plan.json 64
#[derive(Debug, Args)]
pub struct Why {
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH")]
    book: PathBuf,
    /// The plan, as `traywright plan --json` printed it.
    plan: PathBuf,
    /// Number of the step.
    step: u32,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    json: bool,
}

impl Why {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let answer = bolting::why(&load::book(&self.book)?, &load::plan(&self.plan)?, self.step)?;
        if self.json {
            print_json(&answer)?;
        } else {
            print(&text::bolting::why(&answer))?;
        }
        Ok(Verdict::Clean)
    }
}
