//! `traywright judge`: every claim of a plan worked out again.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_json};
use crate::page_width::page_width;
use app::records::JudgementRecord;
use app::{load, text};
use clap::Args;
use std::path::PathBuf;

/// Judges a plan from book, store and plan alone; exit 0 when clean, 1 with violations, 2 on bad input.
#[derive(Debug, Args)]
pub struct JudgeCommand {
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH")]
    book: PathBuf,
    /// The store: a file or a folder.
    #[arg(long, value_name = "PATH")]
    store: PathBuf,
    /// The plan, as `traywright plan --json` printed it.
    #[arg(long, value_name = "FILE")]
    plan: PathBuf,
    /// Print the answer as JSON, one record a violation, for other programs.
    #[arg(long)]
    json: bool,
}

impl JudgeCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        let (book, store) = (load::load_book(&self.book)?, load::load_store(&self.store)?);
        let plan = load::load_plan(&self.plan)?;
        let violations = app::find_plan_violations(&book, &store, &plan);
        let claims = app::list_unjudged_claims(&book, &store, &plan);
        if self.json {
            print_json("judge", &JudgementRecord::of_judgement(&violations, &claims))?;
        } else if violations.is_empty() {
            print_answer("clean: the plan breaks no rule\n")?;
            for claim in &claims {
                print_answer(&text::table::bullet(page_width(), "not judged ", &claim.to_string()))?;
            }
        } else {
            for v in &violations {
                print_answer(&text::table::bullet(
                    page_width(),
                    &format!("{} ", v.code),
                    &format!("{}: {}", v.place, v.words),
                ))?;
            }
            print_answer(&format!("{}\n", text::table::count_with_noun(violations.len(), "violation")))?;
        }
        Ok(CommandVerdict::clean_if(violations.is_empty()))
    }
}
