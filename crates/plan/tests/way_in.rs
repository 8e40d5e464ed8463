//! Way in: what must hold of every answer, and that the fast method finds what the plain one does.

mod common;

use common::{Size, book, some_tasks};
use effort::SolverBudget;
use model::plan::WayInReason;
use model::{Book, Need, SolverStanding};
use plan::way_in::{self, WayInAnswer};
use proptest::prelude::*;

/// Removes everything that can be removed, by the ways taken, until nothing moves.
fn comes_off(book: &Book, found: &WayInAnswer) -> bool {
    let mut done: Vec<Need> = Vec::new();
    let needs = |part: model::PartId, way: Option<u16>| {
        let part = book.part(part);
        let of_way = way.map_or(&[][..], |w| &part.ways[usize::from(w)].needs);
        [&part.needs[..], of_way].concat()
    };
    let mut left: Vec<(Need, Vec<Need>)> =
        found.parts.iter().map(|(p, w)| (Need::Off(*p), needs(*p, *w))).collect();
    left.extend(found.conditions.iter().map(|c| (Need::Condition(*c), book.condition(*c).needs.clone())));
    let ready = |left: &[(Need, Vec<Need>)], done: &[Need]| {
        left.iter().position(|(_, needs)| needs.iter().all(|n| done.contains(n)))
    };
    while let Some(at) = ready(&left, &done) {
        done.push(left.remove(at).0);
    }
    left.is_empty() && found.tasks.iter().all(|t| book.task(*t).needs.iter().all(|n| done.contains(n)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn the_fast_method_finds_what_the_plain_one_does(seed in any::<u64>()) {
        let book = book(seed, Size::SMALL);
        let tasks = some_tasks(&book, seed);
        let fast = way_in::find_least_way_in(&book, &tasks, &SolverBudget::sized()).unwrap();
        let plain = way_in::plain::try_every_way(&book, &tasks).unwrap();
        prop_assert!((fast.outcome.value - plain.outcome.value).abs() < 1e-6, "{fast:?}\n{plain:?}");
        prop_assert_eq!(fast.outcome.standing, SolverStanding::Proven);
    }

    #[test]
    fn everything_in_the_way_can_come_off_and_has_a_reason(seed in any::<u64>()) {
        let book = book(seed, Size { parts: 40, tasks: 6, ..Size::SMALL });
        let tasks = some_tasks(&book, seed);
        let found = way_in::find_least_way_in(&book, &tasks, &SolverBudget::sized()).unwrap();
        prop_assert!(comes_off(&book, &found));
        for (part, way) in &found.parts {
            prop_assert_eq!(book.part(*part).ways.is_empty(), way.is_none());
        }
        let shown = found.to_plan_way_in(&book);
        prop_assert!(shown.parts.iter().all(|p| !p.because.is_empty()));
        prop_assert!(shown.conditions.iter().all(|c| !c.because.is_empty()));
        for task in &found.also_open {
            prop_assert!(!tasks.contains(task));
            let is_in = |n: &Need| match n {
                Need::Off(p) => found.parts.iter().any(|(q, _)| q == p),
                Need::Condition(c) => found.conditions.contains(c),
            };
            prop_assert!(book.task(*task).needs.iter().all(is_in));
        }
        prop_assert_eq!(&found, &way_in::find_least_way_in(&book, &tasks, &SolverBudget::sized()).unwrap());
    }
}

/// The worked example of the lecture: a starter from above or from below.
#[test]
fn a_way_that_is_open_anyway_costs_nothing() {
    let mut book = book(1, Size { parts: 4, conditions: 0, fixings: 0, tasks: 2, ..Size::TINY });
    let off = |p| Need::Off(model::PartId::new(p));
    let seconds = [60.0, 20.0, 30.0, 10.0];
    for (part, s) in book.parts.iter_mut().zip(seconds) {
        part.needs.clear();
        part.ways.clear();
        part.lift_time = units::Duration::from_s(s).into();
        part.place_time = units::Duration::ZERO.into();
    }
    let way = |key: &str, needs| model::Way { key: key.into(), title: key.into(), needs, station: None };
    book.parts[3].ways = vec![way("above", vec![off(0)]), way("below", vec![off(1), off(2)])];
    book.tasks[0].needs = vec![off(3)];
    book.tasks[1].needs = vec![off(0)];
    let solve = |tasks: &[usize]| {
        let tasks: Vec<_> = tasks.iter().map(|t| model::TaskId::new(*t)).collect();
        way_in::find_least_way_in(&book, &tasks, &SolverBudget::sized()).unwrap()
    };
    let (alone, both) = (solve(&[0]), solve(&[0, 1]));
    assert_eq!((alone.outcome.value, alone.parts[2].1), (60.0, Some(1)));
    assert_eq!((both.outcome.value, both.parts[1].1), (70.0, Some(0)));
    let shown = both.to_plan_way_in(&book);
    assert_eq!(shown.parts[0].because, [WayInReason::Task("t1".into()), WayInReason::Part("p003".into())]);
}
