//! Worth: the worked example, and on random books that the choice is the best of all, judged, and stands as long as it says.

mod common;

use std::collections::{BTreeMap, BTreeSet};

use common::{Numbers, Size, book};
use effort::{SolverBudget, SolverStanding};
use model::{Book, TaskId};
use plan::way_in;
use plan::worth::{self, VisitWorth, VisitWorthRequest};
use proptest::prelude::*;
use units::Money;

/// Random worths, leavings, prices and required tasks for a random book.
fn case(seed: u64, size: Size) -> (Book, VisitWorthRequest) {
    let mut book = book(seed, size);
    let mut n = Numbers(seed ^ 0x5eed);
    let mut worth = BTreeMap::new();
    let mut must = BTreeSet::new();
    for (at, task) in book.tasks.iter_mut().enumerate() {
        task.leaving = n.one_in(2).then(|| Money::from_cents(n.below(3_000) as i64));
        if n.one_in(4) {
            must.insert(TaskId::new(at));
        } else if !n.one_in(3) {
            worth.insert(TaskId::new(at), Money::from_cents(n.below(9_000) as i64));
        }
    }
    let rate_per_h = Money::from_cents(3_000 + n.below(9_000) as i64);
    (book, VisitWorthRequest { must, worth, rate_per_h })
}

/// Value of a set of tasks in cents, with the least way in that the plain method finds.
fn plain_value(book: &Book, asked: &VisitWorthRequest, tasks: &[TaskId]) -> f64 {
    let way_in = way_in::plain::try_every_way(book, tasks).expect("the book has a way in");
    let supplies = |list: &[model::Supply]| -> f64 {
        list.iter().map(|s| s.price_cents.map_or(0, |p| p.as_cents()) as f64 * f64::from(s.count)).sum()
    };
    let mut cents = 0.0;
    let mut seconds = way_in.outcome.value;
    for task in tasks {
        if !asked.must.contains(task) {
            let worth = asked.worth.get(task).copied().unwrap_or(Money::ZERO);
            cents += (worth + book.task(*task).leaving.unwrap_or(Money::ZERO)).as_cents() as f64;
        }
        cents -= supplies(&book.task(*task).supplies);
        seconds += book.task(*task).work_s();
    }
    cents -= way_in.parts.iter().map(|(p, _)| supplies(&book.part(*p).renew_with)).sum::<f64>();
    cents - seconds / 3_600.0 * asked.rate_per_h.as_cents() as f64
}

/// The best value over all sets of optional tasks.
fn plain_best(book: &Book, asked: &VisitWorthRequest) -> f64 {
    let optional: Vec<TaskId> =
        (0..book.tasks.len()).map(TaskId::new).filter(|t| !asked.must.contains(t)).collect();
    let sets = (0_u32..1 << optional.len()).map(|mask| {
        let added = optional.iter().enumerate().filter(|(i, _)| mask >> i & 1 == 1).map(|(_, t)| *t);
        asked.must.iter().copied().chain(added).collect::<Vec<TaskId>>()
    });
    sets.map(|tasks| plain_value(book, asked, &tasks)).fold(f64::NEG_INFINITY, f64::max)
}

fn solve(book: &Book, asked: &VisitWorthRequest) -> VisitWorth {
    worth::solve_visit_worth(book, asked, &SolverBudget::sized()).expect("the book has a way in")
}

fn added(worth: &VisitWorth) -> BTreeSet<String> {
    worth.choices.iter().filter(|c| c.add).map(|c| c.task.clone()).collect()
}

/// Books whose parts renew nothing, so that the least time is the least money, as the plain method wants.
fn without_prices(mut book: Book) -> Book {
    book.parts.iter_mut().for_each(|p| p.renew_with.clear());
    book.conditions.iter_mut().for_each(|c| c.supplies.clear());
    book.fixings.iter_mut().for_each(|f| f.one_time = false);
    book
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_choice_is_the_best_of_all(seed in any::<u64>()) {
        let (book, asked) = case(seed, Size { tasks: 5, ..Size::SMALL });
        let book = without_prices(book);
        let worth = solve(&book, &asked);
        prop_assert_eq!(worth.standing, SolverStanding::Proven);
        let best = plain_best(&book, &asked);
        prop_assert!((worth.value_cents.as_cents() as f64 - best).abs() < 1.0, "{} against {best}", worth.value_cents);
    }

    /// Within its margin a choice stays; beyond it the visit is worth more with the choice turned round.
    #[test]
    fn a_choice_stays_right_as_long_as_it_says(seed in any::<u64>(), pick in any::<usize>()) {
        let (book, asked) = case(seed, Size { tasks: 5, ..Size::SMALL });
        let worth = solve(&book, &asked);
        if worth.choices.is_empty() {
            return Ok(());
        }
        let choice = &worth.choices[pick % worth.choices.len()];
        if let Some(margin) = choice.margin_cents {
            let task = book.task_by_key(&choice.task).expect("a task of the book");
            let with = |cents: i64| {
                let mut asked = asked.clone();
                let sign = if choice.add { -1 } else { 1 };
                let old = asked.worth.get(&task).map_or(0, |m| m.as_cents());
                asked.worth.insert(task, Money::from_cents(old + sign * cents));
                added(&solve(&book, &asked)).contains(&choice.task)
            };
            if margin.as_cents() > 1 {
                prop_assert_eq!(with(margin.as_cents() - 1), choice.add);
            }
            prop_assert_eq!(with(margin.as_cents() + 2), !choice.add);
        }
    }

    /// The choice is the same at both ends of the rates given, and another one just outside.
    #[test]
    fn the_choice_stands_within_its_rates(seed in any::<u64>()) {
        let (book, asked) = case(seed, Size { tasks: 6, ..Size::SMALL });
        let worth = solve(&book, &asked);
        let (low, high) = worth.rates_cents.expect("proven");
        prop_assert!(low <= asked.rate_per_h && high.is_none_or(|h| h >= asked.rate_per_h));
        let loss = |rate: Money| {
            let there = VisitWorthRequest { rate_per_h: rate, ..asked.clone() };
            let best = solve(&book, &there).value_cents.as_cents();
            // The value of the old choice at the new rate: required, as it stands.
            let keys = added(&worth);
            let must: BTreeSet<TaskId> = keys.iter().filter_map(|k| book.task_by_key(k)).chain(asked.must.iter().copied()).collect();
            let brings = keys.iter().filter_map(|k| book.task_by_key(k)).map(|t| {
                asked.worth.get(&t).map_or(0, |m| m.as_cents()) + book.task(t).leaving.map_or(0, Money::as_cents)
            });
            let brings: i64 = brings.sum();
            let kept = solve(&book, &VisitWorthRequest { must, worth: BTreeMap::new(), rate_per_h: rate });
            best - (kept.alone_cents.expect("proven").as_cents() + brings)
        };
        prop_assert!(loss(low).abs() <= 1, "at {low}: {}", loss(low));
        if let Some(high) = high {
            prop_assert!(loss(high).abs() <= 1, "at {high}: {}", loss(high));
        }
    }

    /// Each task's figures explain its margin: what it brings, less its own, less its way in, where no other task moves.
    #[test]
    fn the_figures_of_a_choice_add_up(seed in any::<u64>()) {
        let (book, asked) = case(seed, Size { tasks: 5, ..Size::SMALL });
        let worth = solve(&book, &asked);
        for choice in worth.choices.iter().filter(|c| c.others.is_empty()) {
            if let Some(margin) = choice.margin_cents {
                let brings = (choice.worth_cents + choice.leaving_cents).as_cents();
                let takes = choice.work_cents.as_cents() + choice.supplies_cents.as_cents() + choice.way_in_cents.as_cents();
                let sign = if choice.add { 1 } else { -1 };
                prop_assert!((sign * (brings - takes) - margin.as_cents()).abs() <= 3, "{choice:?}");
            }
        }
    }
}
