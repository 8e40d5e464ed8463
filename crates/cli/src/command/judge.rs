//! `traywright judge`: every claim of a plan worked out again.

use crate::exit::{Failure, Verdict, print, print_json};
use app::{load, text};
use clap::Args;
use std::path::PathBuf;

/// Judges a plan from book, store and plan alone; exit 0 when clean, 1 with violations, 2 on bad input.
#[derive(Debug, Args)]
pub struct Judge {
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH")]
    book: PathBuf,
    /// The store: a file or a folder.
    #[arg(long, value_name = "PATH")]
    store: PathBuf,
    /// The plan, as `traywright plan --json` printed it.
    plan: PathBuf,
    /// One record a violation, for other programs.
    #[arg(long)]
    json: bool,
}

impl Judge {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let (book, store) = (load::book(&self.book)?, load::store(&self.store)?);
        let violations = app::judge(&book, &store, &load::plan(&self.plan)?);
        if self.json {
            let record = |v: &app::Violation| serde_json::json!({ "code": v.code, "place": v.place, "words": v.words });
            print_json(&violations.iter().map(record).collect::<Vec<_>>())?;
        } else if violations.is_empty() {
            print("clean: every claim of the plan holds\n")?;
        } else {
            for v in &violations {
                print(&text::table::bullet(&format!("{} ", v.code), &format!("{}: {}", v.place, v.words)))?;
            }
            print(&format!("{} violations\n", violations.len()))?;
        }
        Ok(if violations.is_empty() { Verdict::Clean } else { Verdict::Found })
    }
}
