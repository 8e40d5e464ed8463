//! The book as items with money: parts first, then conditions, then tasks.
//!
//! Money is counted in units of a cent times a millisecond in an hour: a rate in cents an hour times milliseconds is a whole
//! number of them, and so is a price in cents.

use std::collections::BTreeSet;

use closure::cut::ForcedChoice;
use closure::ways::{ItemWithWays, WaysProblem};
use model::{Book, ConditionId, Fixing, Need, Supply, TaskId};
use units::Money;

use super::VisitWorthRequest;
use crate::way_in::estimate;
use crate::way_in::state::{item_of, usable_ways};

/// Units in a cent: the milliseconds in an hour.
pub(super) const UNITS_PER_CENT: i64 = 3_600_000;

/// Longest work of one item that is counted, in milliseconds: a hundred years.
const MAX_WORK_MS: f64 = 3.2e12;

/// One item: what it brings and takes.
#[derive(Debug, Clone)]
struct WorthEntry {
    /// Cents apart from work; below zero where it costs.
    money: i64,
    work_ms: i64,
    needs: Vec<u32>,
    ways: Vec<Vec<u32>>,
    fixed: ForcedChoice,
}

/// Parts, conditions and tasks with what they bring and take.
#[derive(Debug, Clone)]
pub(super) struct WorthItems {
    entries: Vec<WorthEntry>,
    /// Position on the part of each usable way.
    way_positions: Vec<Vec<u16>>,
    tasks_from: usize,
}

/// Units as cents, rounded to the nearest, halves away from zero.
pub(super) const fn round_to_cents(units: i64) -> Money {
    Money::from_cents((units + units.signum() * (UNITS_PER_CENT / 2)) / UNITS_PER_CENT)
}

/// Units as cents, rounded down, so that a reported margin is never too large.
pub(super) const fn floor_to_cents(units: i64) -> Money {
    Money::from_cents(units.div_euclid(UNITS_PER_CENT))
}

/// Price of some supplies where it is known; `None` if it is too large to count.
fn supplies_price(supplies: &[Supply]) -> Option<i64> {
    let known =
        supplies.iter().filter_map(|s| Some(s.price_cents?.as_cents().checked_mul(i64::from(s.count))));
    known.sum::<Option<i64>>()
}

/// Price of the fasteners of a fixing that are renewed each time, where it is known.
fn renewed_price(fixing: &Fixing) -> Option<i64> {
    match fixing.price.filter(|_| fixing.one_time) {
        None => Some(0),
        Some(each) => each.as_cents().checked_mul(i64::try_from(fixing.holes.len()).ok()?),
    }
}

/// Seconds as whole milliseconds.
fn whole_milliseconds(time_s: f64) -> Option<i64> {
    let time_ms = (time_s * 1_000.0).round();
    (0.0..=MAX_WORK_MS).contains(&time_ms).then_some(time_ms as i64)
}

impl WorthItems {
    /// All items of a book; `None` where an amount is too large.
    pub(super) fn new(book: &Book, asked: &VisitWorthRequest) -> Option<Self> {
        let mut items = Self { entries: Vec::new(), way_positions: Vec::new(), tasks_from: 0 };
        for (part, ways) in book.part_ids().zip(usable_ways(book)) {
            let fasteners =
                book.fixings_of(part).map(|f| renewed_price(book.fixing(f))).sum::<Option<i64>>()?;
            let money = supplies_price(&book.part(part).renew_with)?.checked_add(fasteners)?.checked_neg()?;
            let seconds = estimate::part_s(book, part);
            items.add_entry(book, money, seconds, &book.part(part).needs, ForcedChoice::Free)?;
            let last = items.entries.last_mut()?;
            last.ways = ways.iter().map(|w| w.needs.iter().map(|n| *n as u32).collect()).collect();
            items.way_positions.push(ways.iter().map(|w| w.way).collect());
        }
        for (at, condition) in book.conditions.iter().enumerate() {
            let seconds = estimate::condition_s(book, ConditionId::new(at));
            items.add_entry(
                book,
                -supplies_price(&condition.supplies)?,
                seconds,
                &condition.needs,
                ForcedChoice::Free,
            )?;
        }
        items.tasks_from = items.entries.len();
        for (at, task) in book.tasks.iter().enumerate() {
            let must = asked.must.contains(&TaskId::new(at));
            let worth = asked.worth.get(&TaskId::new(at)).map_or(0, |m| m.as_cents());
            let brings = if must { 0 } else { worth.checked_add(task.leaving.map_or(0, Money::as_cents))? };
            let money = brings.checked_sub(supplies_price(&task.supplies)?)?;
            let fixed = if must { ForcedChoice::In } else { ForcedChoice::Free };
            items.add_entry(book, money, task.work_s(), &task.needs, fixed)?;
        }
        Some(items)
    }

    fn add_entry(
        &mut self,
        book: &Book,
        money: i64,
        seconds: f64,
        needs: &[Need],
        fixed: ForcedChoice,
    ) -> Option<()> {
        let needs = needs.iter().map(|n| item_of(book, *n) as u32).collect();
        self.entries.push(WorthEntry {
            money,
            work_ms: whole_milliseconds(seconds)?,
            needs,
            ways: Vec::new(),
            fixed,
        });
        Some(())
    }

    /// The problem at a rate; `None` where an amount is too large.
    pub(super) fn problem_at_rate(&self, rate_per_h: Money) -> Option<WaysProblem> {
        let item = |entry: &WorthEntry| {
            let work = entry.work_ms.checked_mul(rate_per_h.as_cents())?;
            let value = entry.money.checked_mul(UNITS_PER_CENT)?.checked_sub(work)?;
            Some(ItemWithWays {
                value,
                needs: entry.needs.clone(),
                ways: entry.ways.clone(),
                fixed: entry.fixed,
            })
        };
        WaysProblem::new(self.entries.iter().map(item).collect::<Option<_>>()?).ok()
    }

    /// Cents apart from work and milliseconds of work of a set.
    pub(super) fn sum_chosen(&self, chosen: &[bool]) -> (i64, i64) {
        let inside = self.entries.iter().zip(chosen).filter(|(_, c)| **c).map(|(e, _)| e);
        inside.fold((0, 0), |(money, work), e| (money + e.money, work + e.work_ms))
    }

    /// How many parts and conditions there are; they come before the tasks.
    pub(super) const fn way_count(&self) -> usize {
        self.tasks_from
    }

    /// The item of a task.
    pub(super) const fn task_item(&self, task: TaskId) -> usize {
        self.tasks_from + task.index()
    }

    /// Estimated hands-on seconds of an item.
    pub(super) fn work_seconds(&self, item: usize) -> f64 {
        self.entries[item].work_ms as f64 / 1_000.0
    }

    /// The position on the part of a way of an item.
    pub(super) fn way_position(&self, item: usize, way: Option<u16>) -> Option<u16> {
        self.way_positions.get(item)?.get(usize::from(way?)).copied()
    }

    /// Key of an item.
    pub(super) fn item_key<'b>(&self, book: &'b Book, item: usize) -> &'b str {
        match (book.parts.get(item), item.checked_sub(self.tasks_from)) {
            (Some(part), _) => &part.key,
            (None, Some(task)) => &book.tasks[task].key,
            (None, None) => &book.conditions[item - book.parts.len()].key,
        }
    }

    /// What a person calls an item.
    pub(super) fn item_title<'b>(&self, book: &'b Book, item: usize) -> &'b str {
        match (book.parts.get(item), item.checked_sub(self.tasks_from)) {
            (Some(part), _) => &part.title,
            (None, Some(task)) => &book.tasks[task].title,
            (None, None) => &book.conditions[item - book.parts.len()].title,
        }
    }

    /// Whether an item pulls in another by the ways taken.
    pub(super) fn pulls_in(&self, item: usize, other: usize, ways: &[Option<u16>]) -> bool {
        let mut seen = BTreeSet::new();
        let mut open = vec![item];
        while let Some(at) = open.pop() {
            if seen.insert(at) {
                let entry = &self.entries[at];
                let way = ways[at].and_then(|w| entry.ways.get(usize::from(w)));
                open.extend(entry.needs.iter().chain(way.into_iter().flatten()).map(|n| *n as usize));
            }
        }
        seen.contains(&other)
    }

    /// Supplies and fasteners of a set that have no price.
    pub(super) fn unpriced_names(&self, book: &Book, chosen: &[bool]) -> Vec<String> {
        let mut names = BTreeSet::new();
        let mut add = |supplies: &[Supply]| {
            names.extend(supplies.iter().filter(|s| s.price_cents.is_none()).map(|s| s.name.clone()));
        };
        let parts = book.parts.len();
        book.parts.iter().enumerate().filter(|(at, _)| chosen[*at]).for_each(|(_, p)| add(&p.renew_with));
        let made = book.conditions.iter().enumerate().filter(|(at, _)| chosen[parts + at]);
        made.for_each(|(_, c)| add(&c.supplies));
        let done = book.tasks.iter().enumerate().filter(|(at, _)| chosen[self.tasks_from + at]);
        done.for_each(|(_, t)| add(&t.supplies));
        let fixings = book.fixings.iter().filter(|f| chosen[f.part.index()]);
        let renewed = fixings.filter(|f| f.one_time && f.price.is_none());
        names.extend(renewed.map(|f| format!("one-time fasteners of {}", f.title)));
        names.into_iter().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cents_are_rounded_to_the_nearest_and_margins_down() {
        let check = |units: i64, near: i64, down: i64| {
            assert_eq!(
                (round_to_cents(units).as_cents(), floor_to_cents(units).as_cents()),
                (near, down),
                "{units}"
            );
        };
        check(3_600_000, 1, 1);
        check(1_800_000, 1, 0);
        check(-1_800_000, -1, -1);
        check(5_399_999, 1, 1);
        check(0, 0, 0);
    }
}
