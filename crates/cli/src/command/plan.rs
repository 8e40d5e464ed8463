//! `traywright plan`, and the arguments that other commands share with it.

use crate::exit::{CommandFailure, CommandVerdict, print_answer, print_document};
use crate::page_width::page_width;
use crate::progress::ProgressLine;
use app::ask::{self, JudgedPlan, PlanRequest};
use app::job_hours::{KnownTimes, PlanWithHours, hours_as_assumed};
use app::model::plan::KitObjective;
use app::model::{Book, Store};
use app::{load, plan_files, text};
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// What the kit is chosen for.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum ObjectiveArgument {
    /// Least to buy, then least to carry.
    LeastToBuy,
    /// Least to carry.
    LeastToCarry,
    /// Quickest work.
    Quickest,
    /// Fewest pieces with which the acts take at most 5 % longer than with every tool at hand.
    Balanced,
}

/// How long a search for a plan goes on.
#[derive(Debug, Args)]
pub struct SearchLimitArguments {
    /// Work of the search, as seconds of an ordinary computer; without it what suits the job. The same number gives the
    /// same plan on every computer.
    #[arg(long, value_name = "SECONDS", value_parser = parse_seconds)]
    pub(super) seconds: Option<f64>,
    /// Stop the search by the clock after that many seconds, with the best plan so far.
    #[arg(long = "stop-after", value_name = "SECONDS", value_parser = parse_seconds)]
    pub(super) stop_after_s: Option<f64>,
}

/// Seconds as they were typed.
fn parse_seconds(text: &str) -> Result<f64, String> {
    text.parse().map_err(|_| String::from("write a number of seconds, such as 20"))
}

/// Book, store, tasks and limits of a plan.
#[derive(Debug, Args)]
pub struct PlanArguments {
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH")]
    pub(super) book: PathBuf,
    /// The store: a file or a folder.
    #[arg(long, value_name = "PATH")]
    pub(super) store: PathBuf,
    /// A task wanted this visit, by its key; may be given several times. Without it: all tasks of the book.
    #[arg(long = "task", value_name = "KEY")]
    tasks: Vec<String>,
    /// What the kit is chosen for.
    #[arg(long = "for", value_enum, default_value = "balanced")]
    objective: ObjectiveArgument,
    /// Letter or short name that starts this vehicle's slots.
    #[arg(long, default_value = "A", value_name = "LETTER")]
    letter: String,
    #[command(flatten)]
    limits: SearchLimitArguments,
    /// Seed of all random choices; the same seed gives the same plan.
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Threads to search with; they change how long it takes, never the plan.
    #[arg(long, value_name = "N", default_value_t = 2)]
    threads: u16,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    pub json: bool,
}

/// A plan of a book and a store, judged.
pub fn make_clean_plan(
    book: &Path,
    store: &Path,
    request: &PlanRequest,
    line: &ProgressLine,
) -> Result<(Book, Store, JudgedPlan), CommandFailure> {
    let (book, store) = (load::load_book(book)?, load::load_store(store)?);
    let answer = ask::make_judged_plan(&book, &store, request, line)?;
    if let Some(first) = answer.violations.first() {
        let words = format!(
            "the judge found {} in this plan, the first: {} {}: {}; please report it",
            text::table::count_with_noun(answer.violations.len(), "violation"),
            first.code,
            first.place,
            first.words
        );
        return Err(CommandFailure::own_fault(words));
    }
    Ok((book, store, answer))
}

impl PlanArguments {
    /// The request for a plan.
    pub fn plan_request(&self) -> PlanRequest {
        let objective = match self.objective {
            ObjectiveArgument::LeastToBuy => KitObjective::LeastToBuy,
            ObjectiveArgument::LeastToCarry => KitObjective::LeastToCarry,
            ObjectiveArgument::Quickest => KitObjective::Quickest,
            ObjectiveArgument::Balanced => KitObjective::Balanced,
        };
        PlanRequest {
            vehicle: self.letter.clone(),
            tasks: self.tasks.clone(),
            objective,
            seconds: self.limits.seconds,
            stop_after_s: self.limits.stop_after_s,
            seed: self.seed,
            threads: self.threads,
        }
    }

    /// The plan, judged.
    pub fn plan_and_judge(&self) -> Result<(Book, Store, JudgedPlan), CommandFailure> {
        let line = ProgressLine::new();
        let made = make_clean_plan(&self.book, &self.store, &self.plan_request(), &line);
        line.clear_line();
        made
    }
}

/// Plans a visit.
#[derive(Debug, Args)]
pub struct PlanCommand {
    #[command(flatten)]
    ask: PlanArguments,
    /// Also write the plan's page, text and JSON into this folder.
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
}

impl PlanCommand {
    /// Runs the command.
    pub fn run_command(self) -> Result<CommandVerdict, CommandFailure> {
        if let Some(folder) = &self.out {
            plan_files::require_out_folder(folder)?;
        }
        let (book, store, answer) = self.ask.plan_and_judge()?;
        if let Some(folder) = &self.out {
            plan_files::write_plan_sheets(&book, &store, &answer, folder)?;
        }
        if self.ask.json {
            print_document(&PlanWithHours::of_plan(&book, &answer.plan, &KnownTimes::assumed()))?;
        } else {
            let hours = hours_as_assumed(&book, &answer.plan);
            print_answer(&text::plan_text::format_plan(&answer.plan, &hours, page_width()))?;
        }
        Ok(CommandVerdict::Clean)
    }
}
