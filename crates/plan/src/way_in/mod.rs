//! Way in: the least work that opens the way to the tasks.
//!
//! # Question
//! Which parts must come off and which conditions must be made so that every task can be done, with the fewest hands-on
//! seconds, and which of its ways does each part with several ways take?
//!
//! # Model
//! Items are parts and conditions. An item `i` in the way in pulls in all its needs `N(i)` (AND), and a part with ways
//! pulls in the needs `N(i, w)` of one of them (OR). `X` is the set pulled in by the tasks, `c(i) ≥ 0` the seconds of an
//! item off and on again:
//!
//! ```text
//! minimise  Σ c(i), i ∈ X     so that   N(tasks) ⊆ X,   N(i) ⊆ X,   N(i, w(i)) ⊆ X   for all i ∈ X,
//!                                       and "needs" has no circle among X with the ways w taken
//! ```
//!
//! `c` of a condition is `establish_time + restore_time`; of a part `lift_time + place_time` plus [`estimate::fixing_s`] of
//! each of its fixings, an estimate independent of the tools, because the stacks are not known yet.
//! A way can be taken only if every hole of the part's fixings has an access that is open on it.
//!
//! # Method
//! The ANDs are a closure: propagated. Of the parts in the closure whose way is open, each way adds a closure of its own;
//! the least that any way of one part adds, the greatest over the parts, is a lower bound. Branch on that part, cheapest way
//! first; cut where bound ≥ best or where the ways taken so far close a circle. The answer is proven unless stopped.
//! [`plain`] tries every combination of ways.
//!
//! # Worked example
//! A starter (10 s) comes off from above, with the intake (60 s) off, or from below, with the undertray (20 s) and the
//! exhaust shield (30 s) off. From below costs 10 + 50 s. With a task that needs the intake off anyway, from above adds
//! nothing and is taken: 70 s against 120 s.
//!
//! # Range
//! Costs do not depend on the way. Some hundreds of parts and some tens of ways are proven in milliseconds; beyond the
//! effort the best found is given with its bound. AND/OR precedence in disassembly: Homem de Mello and Sanderson, AND/OR graph
//! representation of assembly plans, IEEE Trans. Robotics and Automation 6 (1990) 188-199 (from memory).

pub mod estimate;
pub mod plain;
mod search;
pub(crate) mod state;

use std::collections::BTreeSet;

use model::plan::{ConditionMade, PartOff, WayIn, WayInReason};
use model::{Book, ConditionId, Need, PartId, SolverOutcome, TaskId};

use effort::SolverBudget;
use state::{WayInItems, WaysTaken};

/// The way in to some tasks.
#[derive(Debug, Clone, PartialEq)]
pub struct WayInAnswer {
    /// The tasks, rising, each once.
    pub tasks: Vec<TaskId>,
    /// Parts that come off, rising, with the way taken where there are ways.
    pub parts: Vec<(PartId, Option<u16>)>,
    /// Conditions, rising.
    pub conditions: Vec<ConditionId>,
    /// Tasks not requested whose way is open anyway, rising.
    pub also_open: Vec<TaskId>,
    /// Hands-on seconds off and on again, and how sure it is.
    pub outcome: SolverOutcome,
}

/// Why there is no way in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WayInError {
    /// Every choice of ways leaves a circle; the book's faults name it.
    Circle,
}

impl core::fmt::Display for WayInError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("every way in to the tasks is circular: some part would have to come off before itself; check the needs of the parts in the book")
    }
}

impl core::error::Error for WayInError {}

/// The least way in to the tasks.
///
/// # Errors
/// [`WayInError::Circle`] where no choice of ways is free of circles, which a checked book rules out.
pub fn find_least_way_in(
    book: &Book,
    tasks: &[TaskId],
    budget: &SolverBudget,
) -> Result<WayInAnswer, WayInError> {
    find_way_in_from(book, tasks, &[], budget)
}

/// The least way in to the tasks where some parts are off or begun already, each by the way that was taken: it stays, and
/// costs nothing more.
///
/// # Errors
/// As [`find_least_way_in`].
pub fn find_way_in_from(
    book: &Book,
    tasks: &[TaskId],
    begun: &[(PartId, Option<u16>)],
    budget: &SolverBudget,
) -> Result<WayInAnswer, WayInError> {
    let mut items = WayInItems::new(book);
    for (part, way) in begun {
        items.cost_s[part.index()] = 0.0;
        if let Some(way) = way {
            items.ways[part.index()].retain(|own| own.way == *way);
        }
    }
    let found = search::search_ways(&items, &wanted_items(book, tasks), budget).ok_or(WayInError::Circle)?;
    Ok(way_in_answer(book, tasks, &items, &found.ways, found.outcome))
}

/// Needs of the tasks, as items.
fn wanted_items(book: &Book, tasks: &[TaskId]) -> Vec<usize> {
    let needs = tasks.iter().flat_map(|t| book.task(*t).needs.iter());
    needs.map(|n| state::item_of(book, *n)).collect()
}

fn way_in_answer(
    book: &Book,
    tasks: &[TaskId],
    items: &WayInItems,
    ways: &WaysTaken,
    outcome: SolverOutcome,
) -> WayInAnswer {
    let tasks: Vec<TaskId> = tasks.iter().copied().collect::<BTreeSet<_>>().into_iter().collect();
    let inside = items.closure_of(&wanted_items(book, &tasks), ways);
    let way = |p: PartId| if book.part(p).ways.is_empty() { None } else { ways[p.index()] };
    let parts: Vec<_> = book.part_ids().filter(|p| inside[p.index()]).map(|p| (p, way(p))).collect();
    let count = book.parts.len();
    let made = (0..book.conditions.len()).filter(|c| inside[count + c]).map(ConditionId::new).collect();
    let open = |t: &TaskId| book.task(*t).needs.iter().all(|n| inside[state::item_of(book, *n)]);
    let others = (0..book.tasks.len()).map(TaskId::new).filter(|t| !tasks.contains(t));
    let also_open = others.filter(open).collect();
    WayInAnswer { tasks, parts, conditions: made, also_open, outcome }
}

impl WayInAnswer {
    /// The way in as the plan shows it, by keys, each item with what forces it.
    #[must_use]
    pub fn to_plan_way_in(&self, book: &Book) -> WayIn {
        let way_key = |p: PartId, way: Option<u16>| Some(book.part(p).ways[usize::from(way?)].key.clone());
        let mut parts: Vec<PartOff> = Vec::new();
        for (part, way) in &self.parts {
            let because = self.reasons_for(book, Need::Off(*part));
            parts.push(PartOff { part: book.part(*part).key.clone(), way: way_key(*part, *way), because });
        }
        let mut conditions: Vec<ConditionMade> = Vec::new();
        for condition in &self.conditions {
            let because = self.reasons_for(book, Need::Condition(*condition));
            conditions.push(ConditionMade { condition: book.condition(*condition).key.clone(), because });
        }
        parts.sort_by(|a, b| a.part.cmp(&b.part));
        conditions.sort_by(|a, b| a.condition.cmp(&b.condition));
        let mut also_open: Vec<String> = self.also_open.iter().map(|t| book.task(*t).key.clone()).collect();
        also_open.sort();
        WayIn { parts, conditions, outcome: self.outcome.clone(), also_open }
    }

    /// What in the way in needs an item, sorted.
    fn reasons_for(&self, book: &Book, need: Need) -> Vec<WayInReason> {
        let tasks = self.tasks.iter().map(|t| book.task(*t));
        let by_tasks = tasks.filter(|t| t.needs.contains(&need)).map(|t| WayInReason::Task(t.key.clone()));
        let by_parts = self.parts.iter().filter(|(p, way)| needs_of(book, *p, *way).any(|n| n == need));
        let by_parts = by_parts.map(|(p, _)| WayInReason::Part(book.part(*p).key.clone()));
        let made = self.conditions.iter().map(|c| book.condition(*c));
        let by_made = made.filter(|c| c.needs.contains(&need)).map(|c| WayInReason::Condition(c.key.clone()));
        let all: BTreeSet<WayInReason> = by_tasks.chain(by_parts).chain(by_made).collect();
        all.into_iter().collect()
    }
}

/// What a part needs on the way taken.
pub(crate) fn needs_of(book: &Book, part: PartId, way: Option<u16>) -> impl Iterator<Item = Need> + '_ {
    let part = book.part(part);
    let of_way = way.and_then(|w| part.ways.get(usize::from(w))).map_or(&[][..], |w| &w.needs);
    part.needs.iter().chain(of_way).copied()
}
