//! Which further tasks are worth adding to a visit: asked in words, answered and judged.

use std::collections::{BTreeMap, BTreeSet};

use effort::SolverBudget;
use judge::Violation;
use judge::worth::WorthClaim;
use model::{Book, TaskId};
use plan::worth::{VisitWorth, VisitWorthRequest};
use units::Money;

use crate::ask::AskError;

/// A request for tasks worth adding.
#[derive(Debug, Clone)]
pub struct WorthRequest {
    /// Keys of the tasks to be done anyway.
    pub must: Vec<String>,
    /// What tasks bring if done now, each as `TASK=MONEY`.
    pub worth: Vec<String>,
    /// What an hour costs, as `MONEY` or `MONEY/h`.
    pub rate: String,
}

/// The choice, judged.
#[derive(Debug)]
pub struct WorthAnswer {
    /// The choice.
    pub worth: VisitWorth,
    /// What the judge found; empty when clean.
    pub violations: Vec<Violation>,
}

/// Which tasks of a book are worth adding.
///
/// # Errors
/// [`AskError`] for unknown tasks, money that cannot be read or is of another currency, and where there is no way in.
pub fn weigh_tasks(book: &Book, request: &WorthRequest) -> Result<WorthAnswer, AskError> {
    let must: BTreeSet<TaskId> =
        request.must.iter().map(|key| find_task(book, key)).collect::<Result<_, _>>()?;
    let mut named = BTreeMap::new();
    for text in &request.worth {
        let (id, money) = parse_task_worth(book, text)?;
        if must.contains(&id) {
            return Err(AskError::argument_error(format!(
                "`{}` is already required; its worth has no effect, so leave it out",
                book.task(id).key
            )));
        }
        if named.insert(id, money).is_some() {
            return Err(AskError::argument_error(format!(
                "`{}` has two worths; give one",
                book.task(id).key
            )));
        }
    }
    let rate = request.rate.strip_suffix("/h").unwrap_or(&request.rate);
    let rate_per_h = parse_money(book, rate.trim(), "60 or 60/h")?;
    let asked = VisitWorthRequest { must, worth: named, rate_per_h };
    let worth = plan::worth::solve_visit_worth(book, &asked, &SolverBudget::sized())
        .map_err(|error| AskError::argument_error(error.to_string()))?;
    let violations = judge::worth::judge_worth(book, &worth_claim(book, &asked, &worth));
    Ok(WorthAnswer { worth, violations })
}

/// The task of a key.
fn find_task(book: &Book, key: &str) -> Result<TaskId, AskError> {
    book.task_by_key(key).ok_or_else(|| {
        let known: Vec<String> = book.tasks.iter().map(|t| t.key.clone()).collect();
        let nearest = faults::nearest_name(key, known.iter().map(String::as_str)).map(str::to_owned);
        AskError::UnknownTask { task: key.to_owned(), nearest, known }
    })
}

/// Reads `TASK=MONEY`.
fn parse_task_worth(book: &Book, text: &str) -> Result<(TaskId, Money), AskError> {
    let (key, amount) = text.split_once('=').ok_or_else(|| {
        AskError::argument_error(format!("`{text}` is not a task and its worth; write TASK=120"))
    })?;
    Ok((find_task(book, key.trim())?, parse_money(book, amount.trim(), "120 or 120.50")?))
}

/// Money of the book's currency, not below zero.
fn parse_money(book: &Book, text: &str, sample: &str) -> Result<Money, AskError> {
    let (money, currency) = Money::parse(text).map_err(|error| {
        AskError::argument_error(format!("`{text}` is not an amount of money ({error}); write {sample}"))
    })?;
    match currency {
        Some(other) if other != book.currency => Err(AskError::argument_error(format!(
            "`{text}` is not in {}, the currency of the book",
            book.currency
        ))),
        _ if money < Money::ZERO => {
            Err(AskError::argument_error(format!("`{text}` is below zero; write {sample}")))
        }
        _ => Ok(money),
    }
}

fn worth_claim<'c>(book: &'c Book, asked: &VisitWorthRequest, worth: &'c VisitWorth) -> WorthClaim<'c> {
    let opened = worth.way_in.iter();
    let parts = opened.clone().filter(|o| o.is_part).map(|o| (o.key.as_str(), o.way.as_deref()));
    WorthClaim {
        must: worth.must.iter().map(String::as_str).collect(),
        added: worth.choices.iter().filter(|c| c.add).map(|c| c.task.as_str()).collect(),
        parts: parts.collect(),
        conditions: opened.filter(|o| !o.is_part).map(|o| o.key.as_str()).collect(),
        worth: asked.worth.iter().map(|(id, money)| (book.task(*id).key.as_str(), *money)).collect(),
        rate_per_h: asked.rate_per_h,
        value: worth.value_cents,
    }
}
