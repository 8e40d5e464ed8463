//! Worth: which further tasks are worth adding to this visit.
//!
//! # Question
//! Some tasks are to be done anyway. Of all others in the book, which pay, when what lies in the way is opened once for all?
//!
//! # Model
//! In cents of the book's currency, with the rate `r` of an hour:
//!
//! ```text
//! v(task)      = worth(task) + leaving(task) − r · work(task) − supplies(task)
//! v(part)      = − r · seconds off and on again − what is renewed with it − one-time fasteners of its fixings
//! v(condition) = − r · seconds made and undone − supplies
//! maximise  Σ v over the chosen tasks and all that is in their way,  required tasks in
//! ```
//!
//! `worth` is what the user says the task brings now, `leaving` what the book expects to lose if it waits. The seconds of parts
//! and conditions are those of [`crate::way_in::estimate`]. What has no price counts as nothing and is listed.
//!
//! # Method
//! The AND/OR set of greatest value of [`closure::ways`], proven unless cut short. Money is counted in parts of a cent so
//! small that seconds times rates are whole numbers, so sums and margins are exact.
//!
//! # Sensitivity
//! The margin of a task is what the visit loses with that one choice turned round; the choice stays right until its worth, its
//! parts or its work move by more, all else equal. `rates` gives the range of hourly rates in which the whole choice holds:
//! the value of a set is a straight line over the rate, the best value the upper hull of such lines; from the end of the range
//! asked for, the crossing with the line of the set that is best there moves inwards until the choice is best itself.
//!
//! # Worked example
//! At 60/h a cover takes 10 min off and on (10.00). Plugs: worth 40.00, work 15 min (15.00), parts 12.00: 13.00 before the way
//! in, 3.00 after it: added, until the plugs cost 3.00 more. With a pump wanted anyway behind the same cover, the plugs
//! are worth 13.00.
//!
//! # Limits
//! Tools are not considered; the plan says whether the added tasks can be done. Set-up times are left out.

mod items;
mod rates;
mod task_reasons;

use std::collections::{BTreeMap, BTreeSet};

use closure::cut::{ClosureError, ForcedChoice};
use closure::ways::{self, WaysAnswer};
use effort::{SolverBudget, SolverStanding};
use model::{Book, TaskId};
use serde::{Deserialize, Serialize};
use units::Money;

use items::WorthItems;

/// What is asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct VisitWorthRequest {
    /// Tasks to be done in any case.
    pub must: BTreeSet<TaskId>,
    /// What a task brings if it is done now; nothing where it is not named.
    pub worth: BTreeMap<TaskId, Money>,
    /// What an hour of hands-on work costs.
    pub rate_per_h: Money,
}

/// A task that was not required: added or left, and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TaskChoice {
    /// Task key.
    pub task: String,
    /// What a person calls it.
    pub title: String,
    /// Whether it is worth adding.
    pub add: bool,
    /// What it brings if done now, as asked.
    pub worth_cents: Money,
    /// What the book expects to lose if it is left.
    pub leaving_cents: Money,
    /// Its own work.
    pub work_s: f64,
    /// Its own work at the requested rate.
    pub work_cents: Money,
    /// Its parts and consumables, where prices are known.
    pub supplies_cents: Money,
    /// What the way in costs more with it than without it.
    pub way_in_cents: Money,
    /// Titles of what is off or made only with it.
    pub way_in: Vec<String>,
    /// Titles of other tasks that change sides with it.
    pub others: Vec<String>,
    /// What the visit loses when this choice is turned round, in whole cents, rounded down; none where it cannot be, or where
    /// the search was cut short.
    pub margin_cents: Option<Money>,
    /// Why, in a sentence.
    pub reason: String,
    /// Until when the choice stays right, in a sentence.
    pub stays: String,
}

/// A part off or a condition made for the tasks chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OpenedItem {
    /// Part or condition key.
    pub key: String,
    /// What a person calls it.
    pub title: String,
    /// Whether it is a part; else a condition.
    pub is_part: bool,
    /// Key of the way taken, where there are several.
    pub way: Option<String>,
    /// Estimated hands-on seconds, off and on again.
    pub seconds: f64,
    /// Those seconds at the requested rate, with what is renewed.
    pub cents: Money,
    /// Keys of the chosen tasks that it is in the way of.
    pub wanted_by: Vec<String>,
    /// By how much it may cost more before the choice of tasks changes; none where it is needed at any price.
    pub margin_cents: Option<Money>,
}

/// Which tasks are worth adding to a visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct VisitWorth {
    /// Book key.
    pub book: String,
    /// Currency of all money.
    pub currency: String,
    /// What an hour costs.
    pub rate_per_h_cents: Money,
    /// Keys of the required tasks, sorted.
    pub must: Vec<String>,
    /// All other tasks: those added first, each half by falling margin.
    pub choices: Vec<TaskChoice>,
    /// What comes off and is made for all chosen tasks.
    pub way_in: Vec<OpenedItem>,
    /// Value of the visit: what the added tasks bring, less all work, way in and supplies, required ones included.
    pub value_cents: Money,
    /// No choice is worth more.
    pub bound_cents: Money,
    /// Value of the visit with the required tasks alone.
    pub alone_cents: Option<Money>,
    /// Hourly rates between which the choice of tasks stays right; none where the search was cut short. No upper end means
    /// up to a hundred times the requested rate, or more.
    pub rates_cents: Option<(Money, Option<Money>)>,
    /// Supplies and fasteners of the visit that have no price in the book.
    pub unpriced: Vec<String>,
    /// How sure the choice is.
    pub standing: SolverStanding,
    /// Closures worked out, the margins not counted.
    pub effort: u64,
}

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WorthError {
    /// The required tasks have no way in that is free of circles.
    NoWayIn,
    /// Money or times are too large to add up.
    TooLarge,
    /// The search was cut short before it found any answer.
    NotFound,
}

impl core::fmt::Display for WorthError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(match self {
            Self::NoWayIn => "no choice of ways opens the way to the required tasks without a circle",
            Self::TooLarge => "the amounts of money are too large to add up",
            Self::NotFound => "the search ended before it found an answer; allow more time",
        })
    }
}

impl core::error::Error for WorthError {}

impl From<ClosureError> for WorthError {
    fn from(fault: ClosureError) -> Self {
        match fault {
            ClosureError::Impossible => Self::NoWayIn,
            ClosureError::TooLarge | ClosureError::NoSuchItem { .. } => Self::TooLarge,
            ClosureError::NotFound => Self::NotFound,
        }
    }
}

/// A solved choice with all that is asked of it afterwards.
struct SolvedWorth<'a> {
    book: &'a Book,
    asked: &'a VisitWorthRequest,
    items: WorthItems,
    problem: ways::WaysProblem,
    answer: WaysAnswer,
}

/// Which tasks are worth adding.
///
/// # Errors
/// [`WorthError`] where the required tasks have no way in, or the amounts are too large.
pub fn solve_visit_worth(
    book: &Book,
    asked: &VisitWorthRequest,
    budget: &SolverBudget,
) -> Result<VisitWorth, WorthError> {
    let items = WorthItems::new(book, asked).ok_or(WorthError::TooLarge)?;
    let problem = items.problem_at_rate(asked.rate_per_h).ok_or(WorthError::TooLarge)?;
    budget.watch.report_progress("weighing the tasks", 0.0);
    let answer = ways::solve_ways(&problem, budget)?;
    let solved = SolvedWorth { book, asked, items, problem, answer };
    Ok(solved.to_visit_worth(budget))
}

impl SolvedWorth<'_> {
    fn to_visit_worth(&self, budget: &SolverBudget) -> VisitWorth {
        let key = |t: &TaskId| self.book.task(*t).key.clone();
        let must: BTreeSet<String> = self.asked.must.iter().map(key).collect();
        let rates = rates::rate_range(&self.items, self.asked.rate_per_h, &self.answer, budget);
        VisitWorth {
            book: self.book.key.clone(),
            currency: self.book.currency.clone(),
            rate_per_h_cents: self.asked.rate_per_h,
            must: must.into_iter().collect(),
            choices: self.task_choices(budget),
            way_in: self.opened_items(budget),
            value_cents: items::round_to_cents(self.answer.value),
            bound_cents: items::round_to_cents(self.answer.bound),
            alone_cents: self.value_alone(budget),
            rates_cents: rates,
            unpriced: self.items.unpriced_names(self.book, &self.answer.chosen),
            standing: self.answer.standing,
            effort: self.answer.effort,
        }
    }

    fn value_alone(&self, budget: &SolverBudget) -> Option<Money> {
        let optional = self.optional_tasks().map(|t| self.items.task_item(t));
        let alone = optional.fold(self.problem.clone(), |p, item| p.with_fixed(item, ForcedChoice::Out));
        let answer =
            ways::solve_ways(&alone, budget).ok().filter(|a| a.standing == SolverStanding::Proven)?;
        Some(items::round_to_cents(answer.value))
    }

    fn optional_tasks(&self) -> impl Iterator<Item = TaskId> + '_ {
        (0..self.book.tasks.len()).map(TaskId::new).filter(|t| !self.asked.must.contains(t))
    }

    fn task_choices(&self, budget: &SolverBudget) -> Vec<TaskChoice> {
        let mut choices: Vec<TaskChoice> = Vec::new();
        for (at, task) in self.optional_tasks().enumerate() {
            let done = at as f64 / self.book.tasks.len() as f64;
            budget.watch.report_progress("checking what each choice depends on", done);
            let item = self.items.task_item(task);
            let turned = ways::turned_answer(&self.problem, &self.answer, item, budget);
            choices.push(task_reasons::explain_choice(self, task, turned.as_ref()));
        }
        let rank = |c: &TaskChoice| (!c.add, core::cmp::Reverse(c.margin_cents));
        choices.sort_by(|a, b| rank(a).cmp(&rank(b)).then_with(|| a.task.cmp(&b.task)));
        choices
    }

    fn opened_items(&self, budget: &SolverBudget) -> Vec<OpenedItem> {
        let opened = (0..self.items.way_count()).filter(|i| self.answer.chosen[*i]);
        let mut opened: Vec<OpenedItem> = opened.map(|item| self.opened_item(item, budget)).collect();
        opened.sort_by(|a, b| (!a.is_part, &a.key).cmp(&(!b.is_part, &b.key)));
        opened
    }

    fn opened_item(&self, item: usize, budget: &SolverBudget) -> OpenedItem {
        let chosen = (0..self.book.tasks.len())
            .map(TaskId::new)
            .filter(|t| self.answer.chosen[self.items.task_item(*t)]);
        let wanted =
            chosen.filter(|t| self.items.pulls_in(self.items.task_item(*t), item, &self.answer.ways));
        let margin = ways::ways_margin(&self.problem, &self.answer, item, budget);
        let part = self.book.parts.get(item);
        let way = self.items.way_position(item, self.answer.ways[item]);
        OpenedItem {
            key: self.items.item_key(self.book, item).to_owned(),
            title: self.items.item_title(self.book, item).to_owned(),
            is_part: part.is_some(),
            way: part.zip(way).map(|(p, w)| p.ways[usize::from(w)].key.clone()),
            seconds: self.items.work_seconds(item),
            cents: items::round_to_cents(-self.problem.items()[item].value),
            wanted_by: wanted.map(|t| self.book.task(t).key.clone()).collect(),
            margin_cents: margin.map(items::floor_to_cents),
        }
    }
}
