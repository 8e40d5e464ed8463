//! `traywright plan`, and what other commands ask of a plan.

use crate::exit::{Failure, Verdict, print, print_json};
use crate::progress::Line;
use app::ask::{self, Answer, Request};
use app::model::plan::Objective;
use app::model::{Book, Store};
use app::{demo, load, text};
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// What the kit is chosen for.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum For {
    /// Least to buy, then least to carry.
    LeastToBuy,
    /// Least to carry.
    LeastToCarry,
    /// Quickest work.
    Quickest,
}

/// Book, store, tasks and limits of a plan.
#[derive(Debug, Args)]
pub struct Ask {
    /// The book: a file or a folder.
    #[arg(long, value_name = "PATH")]
    pub(super) book: PathBuf,
    /// The store: a file or a folder.
    #[arg(long, value_name = "PATH")]
    pub(super) store: PathBuf,
    /// A task wanted this visit; may be given several times. Without it: all tasks of the book.
    #[arg(long = "task", value_name = "ID")]
    tasks: Vec<String>,
    /// What the kit is chosen for.
    #[arg(long = "for", value_enum, default_value = "least-to-carry")]
    objective: For,
    /// Letter or short name that starts this vehicle's slots.
    #[arg(long, default_value = "A")]
    vehicle: String,
    /// Time limit of the search.
    #[arg(long, default_value_t = 20.0)]
    seconds: f64,
    /// Seed of all random choices.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Threads.
    #[arg(long, default_value_t = 2)]
    threads: u16,
    /// Print the answer as JSON, for other programs.
    #[arg(long)]
    pub json: bool,
}

/// A plan of a book and a store, judged.
pub fn planned(
    book: &Path,
    store: &Path,
    request: &Request,
    line: &Line,
) -> Result<(Book, Store, Answer), Failure> {
    let (book, store) = (load::book(book)?, load::store(store)?);
    let answer = ask::plan(&book, &store, request, line)?;
    if let Some(first) = answer.violations.first() {
        let words = format!(
            "the judge found {} violations in this plan, the first: {} {}: {}; please report it",
            answer.violations.len(),
            first.code,
            first.place,
            first.words
        );
        return Err(Failure::Internal(words));
    }
    Ok((book, store, answer))
}

impl Ask {
    /// What is asked of a plan.
    pub fn request(&self) -> Request {
        let objective = match self.objective {
            For::LeastToBuy => Objective::LeastToBuy,
            For::LeastToCarry => Objective::LeastToCarry,
            For::Quickest => Objective::Quickest,
        };
        Request {
            vehicle: self.vehicle.clone(),
            tasks: self.tasks.clone(),
            objective,
            seconds: self.seconds,
            seed: self.seed,
            threads: self.threads,
        }
    }

    /// The plan, judged.
    pub fn answer(&self) -> Result<(Book, Store, Answer), Failure> {
        let line = Line::new();
        let made = planned(&self.book, &self.store, &self.request(), &line);
        line.done();
        made
    }
}

/// Plans a visit.
#[derive(Debug, Args)]
pub struct Plan {
    #[command(flatten)]
    ask: Ask,
    /// Also write the plan's page, text and JSON into this folder.
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
}

impl Plan {
    /// Runs the command.
    pub fn run(self) -> Result<Verdict, Failure> {
        let (book, store, answer) = self.ask.answer()?;
        if let Some(folder) = &self.out {
            demo::write(&book, &store, &answer, folder)?;
        }
        if self.ask.json {
            print_json(&answer.plan)?;
        } else {
            print(&text::plan::plan(&answer.plan))?;
        }
        Ok(Verdict::Clean)
    }
}
