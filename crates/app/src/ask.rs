//! The main job: from book, store and tasks to a plan that the judge has read.

use crate::load::FileLoadError;
use crate::write::FileWriteError;
use effort::{SolverBudget, SolverEffort, SolverWatch, UnwatchedSolver};
use judge::Violation;
use model::plan::{KitObjective, Plan, PlanInputs, Readiness};
use model::{Book, Duty, Store};
use plan::coverage::{JudgedReach, find_reach_under_doubt};
use plan::kit::TradeOff;
use plan::next_best::{NextPurchase, PurchasePair};
use serde::Serialize;
use std::time::{Duration, Instant};

/// What a plan is to be made for, and within which limits.
#[derive(Debug, Clone)]
pub struct PlanRequest {
    /// Letter that starts this vehicle's slots.
    pub vehicle: String,
    /// Task keys; empty asks for all tasks of the book.
    pub tasks: Vec<String>,
    /// What the kit is chosen for.
    pub objective: KitObjective,
    /// Work of the search, as seconds of an ordinary computer: a round each; what suits the job where nothing is said.
    pub seconds: Option<f64>,
    /// When the clock stops the search, s.
    pub stop_after_s: Option<f64>,
    /// Seed of all random choices.
    pub seed: u64,
    /// Threads.
    pub threads: u16,
}

/// Receives what is being done and how far it has got.
pub trait ProgressObserver {
    /// What is being done, and the share of it that is done.
    fn show_progress(&self, doing: &str, done_fraction: f64);
}

/// Discards progress.
pub struct SilentObserver;

impl ProgressObserver for SilentObserver {
    fn show_progress(&self, _doing: &str, _done_fraction: f64) {}
}

/// Stops a search at a point in time, where one is asked for, and passes its progress on.
struct DeadlineWatch<'p> {
    end: Option<Instant>,
    progress: &'p dyn ProgressObserver,
}

impl<'p> DeadlineWatch<'p> {
    /// The requested time limit, from now on.
    fn starting_now(asked: &PlanInputs, progress: &'p dyn ProgressObserver) -> Self {
        let end = asked.stop_after_s.map(|after_s| Instant::now() + Duration::from_secs_f64(after_s));
        Self { end, progress }
    }
}

impl SolverWatch for DeadlineWatch<'_> {
    fn should_stop(&self) -> bool {
        self.end.is_some_and(|end| Instant::now() >= end)
    }
    fn report_progress(&self, doing: &str, done_fraction: f64) {
        self.progress.show_progress(doing, done_fraction);
    }
}

/// Why there is no plan.
#[derive(Debug)]
pub enum AskError {
    /// A file could not be used.
    Load(FileLoadError),
    /// An output could not be written.
    Write(FileWriteError),
    /// A task that the book does not have.
    UnknownTask {
        /// The key as given.
        task: String,
        /// The nearest known one.
        nearest: Option<String>,
        /// All known ones.
        known: Vec<String>,
    },
    /// An argument out of range.
    Argument {
        /// What is wrong with it and what to give.
        words: String,
    },
    /// The planner found no plan.
    Plan(plan::PlanError),
}

impl AskError {
    /// An argument out of range: what is wrong with it and what to give.
    pub(crate) const fn argument_error(words: String) -> Self {
        Self::Argument { words }
    }
}

impl core::fmt::Display for AskError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::Load(error) => error.fmt(f),
            Self::Write(error) => error.fmt(f),
            Self::UnknownTask { task, nearest: Some(nearest), .. } => {
                write!(f, "the book has no task `{task}`; did you mean `{nearest}`?")
            }
            Self::UnknownTask { task, known, .. } => {
                write!(f, "the book has no task `{task}`; it has {}", known.join(", "))
            }
            Self::Argument { words } => f.write_str(words),
            Self::Plan(error) => error.fmt(f),
        }
    }
}

impl core::error::Error for AskError {}

impl From<FileLoadError> for AskError {
    fn from(error: FileLoadError) -> Self {
        Self::Load(error)
    }
}

impl From<FileWriteError> for AskError {
    fn from(error: FileWriteError) -> Self {
        Self::Write(error)
    }
}

/// A plan and what the judge says of it.
#[derive(Debug)]
pub struct JudgedPlan {
    /// The plan.
    pub plan: Plan,
    /// What the judge found; empty when clean.
    pub violations: Vec<Violation>,
}

/// Makes a plan and has it judged.
///
/// # Errors
/// [`AskError`] for unknown tasks, arguments out of range, and where no order is possible.
pub fn make_judged_plan(
    book: &Book,
    store: &Store,
    request: &PlanRequest,
    progress: &dyn ProgressObserver,
) -> Result<JudgedPlan, AskError> {
    let asked = validate_request(book, request)?;
    let watch = DeadlineWatch::starting_now(&asked, progress);
    let budget = SolverBudget { effort: effort_asked(&asked), watch: &watch };
    let made = plan::make_plan(book, store, &asked, budget).map_err(AskError::Plan)?;
    progress.show_progress("judge", 0.0);
    let violations = judge::judge_plan(book, store, &made);
    Ok(JudgedPlan { plan: made, violations })
}

/// A round of the search for each second asked for.
fn effort_asked(asked: &PlanInputs) -> SolverEffort {
    asked.seconds.map_or(SolverEffort::Sized, |seconds| SolverEffort::Rounds(seconds.ceil().max(1.0) as u32))
}

/// The go / no-go sheet alone: what is missing, without kit and order.
///
/// # Errors
/// As [`make_judged_plan`].
pub fn assess_readiness(book: &Book, store: &Store, request: &PlanRequest) -> Result<Readiness, AskError> {
    let asked = validate_request(book, request)?;
    let (_, scope) =
        plan::assemble::find_plan_scope(book, store, &asked, &UnwatchedSolver).map_err(AskError::Plan)?;
    Ok(plan::readiness::readiness_sheet(book, store, &scope))
}

/// Maximum number of kits of a trade-off: more than a kit has pieces, so that in practice none is left out.
const MAX_KITS: usize = 400;

/// Every kit that no other beats in buying, carrying and hands-on time together.
///
/// # Errors
/// As [`make_judged_plan`].
pub fn find_kit_trade_off(
    book: &Book,
    store: &Store,
    request: &PlanRequest,
    progress: &dyn ProgressObserver,
) -> Result<TradeOff, AskError> {
    let asked = validate_request(book, request)?;
    let watch = DeadlineWatch::starting_now(&asked, progress);
    let (_, scope) = plan::assemble::find_plan_scope(book, store, &asked, &watch).map_err(AskError::Plan)?;
    let budget = SolverBudget::watched(&watch);
    Ok(plan::kit::find_trade_off(book, store, &scope, MAX_KITS, asked.threads, &budget))
}

/// What to buy, borrow or make next over several books, each asked alike.
///
/// # Errors
/// As [`make_judged_plan`].
pub fn find_next_best(
    books: &[Book],
    store: &Store,
    request: &PlanRequest,
) -> Result<NextBestAnswer, AskError> {
    let sheets: Vec<Readiness> =
        books.iter().map(|book| assess_readiness(book, store, request)).collect::<Result<_, _>>()?;
    let named: Vec<(&str, &Readiness)> =
        books.iter().zip(&sheets).map(|(book, sheet)| (book.key.as_str(), sheet)).collect();
    Ok(NextBestAnswer {
        one_by_one: plan::next_best::rank_next_purchases(&named),
        together: plan::next_best::find_purchase_pairs(&named),
    })
}

/// What to get next: one thing after the other, and pairs that open more together than each alone.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextBestAnswer {
    /// Best first, each counting what was got before it.
    pub one_by_one: Vec<NextPurchase>,
    /// Best first, each from what is at hand now.
    pub together: Vec<PurchasePair>,
}

/// Longest time limit that may be requested.
const MAX_SECONDS: f64 = 86_400.0;

fn validate_request(book: &Book, request: &PlanRequest) -> Result<PlanInputs, AskError> {
    let mut tasks = request.tasks.clone();
    if tasks.is_empty() {
        tasks = book.tasks.iter().map(|t| t.key.clone()).collect();
    }
    tasks.sort();
    tasks.dedup();
    let known: Vec<String> = book.tasks.iter().map(|t| t.key.clone()).collect();
    if let Some(task) = tasks.iter().find(|t| book.task_by_key(t).is_none()) {
        let nearest = faults::nearest_name(task, known.iter().map(String::as_str)).map(str::to_owned);
        return Err(AskError::UnknownTask { task: task.clone(), nearest, known });
    }
    let limits = [("seconds of work", request.seconds), ("a stop by the clock after", request.stop_after_s)];
    for (what, limit) in limits {
        if let Some(limit) = limit.filter(|limit| !(*limit > 0.0 && *limit <= MAX_SECONDS)) {
            let words = format!("{what}: {limit} s is out of range; give 0.1 to {MAX_SECONDS} s");
            return Err(AskError::Argument { words });
        }
    }
    if !(1..=64).contains(&request.threads) {
        return Err(AskError::Argument {
            words: format!("{} threads are out of range; give 1 to 64", request.threads),
        });
    }
    let letter = request.vehicle.chars().all(|c| c.is_ascii_alphanumeric()) && !request.vehicle.is_empty();
    if !letter || request.vehicle.len() > 4 {
        let words =
            format!("`{}` is not a short vehicle name; give one to four letters or digits", request.vehicle);
        return Err(AskError::Argument { words });
    }
    Ok(PlanInputs {
        vehicle: request.vehicle.clone(),
        tasks,
        objective: request.objective,
        seed: request.seed,
        threads: request.threads,
        seconds: request.seconds,
        stop_after_s: request.stop_after_s,
        goal: None,
    })
}

/// What can be done with each fastener of a book, or of one fixing.
///
/// # Errors
/// [`AskError::Argument`] for a fixing that the book does not have.
pub fn find_duty_reach(
    book: &Book,
    store: &Store,
    fixing: Option<&str>,
    threads: u16,
) -> Result<Vec<JudgedReach>, AskError> {
    let duties: Vec<Duty> = match fixing {
        None => model::duties_of_book(book),
        Some(key) => {
            let id = book.fixing_by_key(key).ok_or_else(|| {
                let known = book.fixings.iter().map(|f| f.key.as_str());
                let hint = faults::nearest_name(key, known)
                    .map_or_else(String::new, |n| format!("; did you mean `{n}`?"));
                AskError::Argument { words: format!("the book has no fixing `{key}`{hint}") }
            })?;
            model::duties_of_fixing(book.fixing(id), id)
        }
    };
    Ok(find_reach_under_doubt(book, store, &duties, threads))
}
