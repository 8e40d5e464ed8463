//! The search of an order: against every order of small problems, its bound, and the same answer whatever the threads.

#![expect(clippy::unwrap_used, reason = "what a test expects to be there")]

mod common;

use common::{Numbers, Size};
use effort::{RandomSeed, SolverBudget, SolverEffort, SolverWatch, UnwatchedSolver};
use model::PieceId;
use plan::course::machine::WorldMachine;
use plan::course::operators::CourseOperators;
use plan::course::problem::{CourseProblem, CourseStart, CourseWait};
use plan::course::tour::{CoursePoint, CourseTour};
use plan::course::{CourseSettings, search_course};
use plan::node_order::{
    NodeLag, NodeOrderProblem, StackChoice, StackSets, WorkNode, best_stack_choices, node_order_bound_s,
};
use proptest::prelude::*;

/// A problem of random nodes in a world without settings.
fn problem(seed: u64, count: usize, waits: bool) -> CourseProblem {
    let mut n = Numbers(seed);
    let mut stacks = StackSets::default();
    let mut id = |n: &mut Numbers| {
        let mut pieces: Vec<PieceId> = (0..n.below(4)).map(|_| PieceId::new(n.below(7))).collect();
        pieces.sort_unstable();
        stacks.intern_pieces(pieces)
    };
    let mut choice = |n: &mut Numbers| {
        let first = id(n);
        let last = if n.one_in(2) { first } else { id(n) };
        StackChoice { first, last, inside_s: 5.0 + n.below(30) as f64, workings: Vec::new() }
    };
    let mut node = |n: &mut Numbers| {
        let station = n.below(3) as u16;
        WorkNode {
            station,
            leaves: if n.one_in(6) { n.below(3) as u16 } else { station },
            part: (!n.one_in(4)).then(|| n.below(4) as u32),
            fixed_s: n.below(20) as f64,
            choices: (0..n.below(4)).map(|_| choice(n)).collect(),
        }
    };
    let nodes: Vec<WorkNode> = (0..count).map(|_| node(&mut n)).collect();
    let mut pairs = Vec::new();
    for b in 1..count {
        for _ in 0..n.below(3) {
            pairs.push((n.below(b), b));
        }
    }
    let mut lags = Vec::new();
    if waits {
        for _ in 0..2 {
            let a = n.below(count - 1);
            let b = a + 1 + n.below(count - 1 - a);
            lags.push(NodeLag { from: vec![a], to: vec![b], wait_s: n.below(120) as f64 });
        }
    }
    let mut waits_of = vec![Vec::new(); count];
    lags.iter().enumerate().for_each(|(at, lag)| waits_of[lag.to[0]].push(at));
    let waits = lags.iter().map(|l| CourseWait { from: l.from.clone(), wait_s: l.wait_s }).collect();
    let order = NodeOrderProblem::new(nodes, &pairs, lags, vec![20.0, 30.0, 45.0], stacks).unwrap();
    let machine = WorldMachine::new(&common::book(1, Size::SMALL));
    CourseProblem { order, machine, events: vec![Vec::new(); count], waits_of, waits }
}

fn start() -> CourseStart {
    CourseStart { world: plan::course::machine::PackedWorld::default(), station: 0, hand: 0 }
}

fn tries(most: u64) -> SolverBudget<'static> {
    SolverBudget { effort: SolverEffort::Tries(most), watch: &UnwatchedSolver }
}

fn dice(seed: u64, threads: usize) -> CourseSettings {
    CourseSettings { seed: RandomSeed(seed), threads, operators: CourseOperators::default() }
}

/// What a course comes to; nothing where it cannot be walked.
fn value_s(problem: &CourseProblem, course: &[u16]) -> Option<f64> {
    let points = CourseTour::new(problem, &start()).walk_course(course)?;
    points.last().map(CoursePoint::value_s)
}

fn is_sound(problem: &CourseProblem, course: &[u16]) -> bool {
    let order: Vec<usize> = course.iter().map(|t| usize::from(*t)).collect();
    problem.order.allows(&order)
}

/// The least value over every order.
fn best_of_all_orders(problem: &CourseProblem) -> f64 {
    fn extend(problem: &CourseProblem, tour: &mut CourseTour<'_>, order: &mut Vec<u16>, best: &mut f64) {
        let count = problem.unit_count();
        if order.len() == count {
            let points = tour.walk_course(order).unwrap_or_default();
            *best = best.min(points.last().map_or(f64::INFINITY, CoursePoint::value_s));
            return;
        }
        for next in 0..count as u16 {
            let is_ready = |b: &usize| order.contains(&(*b as u16));
            if !order.contains(&next) && problem.order.before[usize::from(next)].iter().all(is_ready) {
                order.push(next);
                extend(problem, tour, order, best);
                order.pop();
            }
        }
    }
    let mut best = f64::INFINITY;
    let mut tour = CourseTour::new(problem, &start());
    extend(problem, &mut tour, &mut Vec::new(), &mut best);
    best
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn the_search_is_never_better_than_every_order_and_never_below_the_bound(
        seed in any::<u64>(), count in 2_usize..7, waits in any::<bool>()
    ) {
        let problem = problem(seed, count, waits);
        let (found, _) = search_course(&problem, &start(), dice(seed, 2), &tries(2_000)).unwrap();
        let best = best_of_all_orders(&problem);
        prop_assert!(is_sound(&problem, &found.course));
        prop_assert!((value_s(&problem, &found.course).unwrap() - found.value_s).abs() < 1e-6);
        prop_assert!(found.value_s >= best - 1e-6);
        prop_assert!(node_order_bound_s(&problem.order) <= best + 1e-6);
    }

    #[test]
    fn more_rounds_begin_like_fewer_and_are_never_worse(seed in any::<u64>()) {
        let problem = problem(seed, 12, seed.is_multiple_of(2));
        let rounds = |count| {
            let budget = SolverBudget { effort: SolverEffort::Rounds(count), watch: &UnwatchedSolver };
            search_course(&problem, &start(), dice(seed, 2), &budget).unwrap().0
        };
        let found = [1, 2, 5].map(rounds);
        for pair in found.windows(2) {
            prop_assert!(pair[1].value_s <= pair[0].value_s + 1e-9 && pair[1].tries > pair[0].tries);
        }
    }

    #[test]
    fn larger_orders_respect_the_precedence_and_threads_change_nothing(seed in any::<u64>()) {
        let problem = problem(seed, 60, true);
        let (found, _) = search_course(&problem, &start(), dice(seed, 1), &tries(2_000)).unwrap();
        prop_assert!(is_sound(&problem, &found.course));
        for threads in [2, 4] {
            prop_assert_eq!(&found, &search_course(&problem, &start(), dice(seed, threads), &tries(2_000)).unwrap().0);
        }
        let (first, _) = search_course(&problem, &start(), dice(seed, 1), &tries(0)).unwrap();
        prop_assert!(found.value_s <= first.value_s + 1e-6);
    }
}

#[test]
fn the_search_finds_the_best_of_six_nodes_nearly_always() {
    let ratio = |seed: u64| {
        let problem = problem(seed, 6, seed.is_multiple_of(2));
        let (found, _) = search_course(&problem, &start(), dice(seed, 2), &SolverBudget::sized()).unwrap();
        found.value_s / best_of_all_orders(&problem)
    };
    let all: Vec<f64> = (0..100).map(ratio).collect();
    let (mean, worst) = (all.iter().sum::<f64>() / 100.0, all.iter().copied().fold(0.0, f64::max));
    assert!(mean < 1.0005 && worst < 1.02, "mean {mean}, worst {worst}");
}

/// The worked example of the lecture of `node_order`, by hand: 14 s with the clip first, 24.8 s with the bolt first.
#[test]
fn the_worked_example_takes_fourteen_seconds() {
    let mut stacks = StackSets::default();
    let ratchet = stacks.intern_pieces(vec![PieceId::new(0), PieceId::new(1)]);
    let choice = |s: u16| vec![StackChoice { first: s, last: s, inside_s: 0.0, workings: Vec::new() }];
    let node = |part, choices| WorkNode { station: 0, leaves: 0, part: Some(part), fixed_s: 0.0, choices };
    let nodes = vec![
        node(0, choice(ratchet)),
        node(0, choice(0)),
        node(0, Vec::new()),
        node(1, choice(ratchet)),
        node(1, Vec::new()),
    ];
    let pairs = [(0, 2), (1, 2), (3, 4)];
    let order = NodeOrderProblem::new(nodes, &pairs, Vec::new(), vec![0.0], stacks).unwrap();
    assert_eq!(best_stack_choices(&order, &[1, 0, 2, 3, 4], 0), [Some(0), Some(0), None, Some(0), None]);
    let machine = WorldMachine::new(&common::book(1, Size::SMALL));
    let (events, waits_of) = (vec![Vec::new(); 5], vec![Vec::new(); 5]);
    let problem = CourseProblem { order, machine, events, waits_of, waits: Vec::new() };
    let (found, fewest) = search_course(&problem, &start(), dice(1, 1), &SolverBudget::sized()).unwrap();
    assert!((found.value_s - 14.0).abs() < 1e-9, "{}", found.value_s);
    assert_eq!(fewest, Some(0));
    assert!((value_s(&problem, &[0, 1, 2, 3, 4]).unwrap() - 24.8).abs() < 1e-9);
}

#[test]
fn a_circle_is_named() {
    let node = WorkNode { station: 0, leaves: 0, part: None, fixed_s: 0.0, choices: Vec::new() };
    let nodes = vec![node.clone(), node.clone(), node];
    let pairs = [(0, 1), (1, 2), (2, 1)];
    let circle =
        NodeOrderProblem::new(nodes, &pairs, Vec::new(), vec![0.0], StackSets::default()).unwrap_err();
    assert_eq!(circle.0, [1, 2], "what only leads to the circle is no part of it");
}

#[test]
fn a_search_that_is_stopped_at_once_still_gives_an_order() {
    struct Now;
    impl SolverWatch for Now {
        fn should_stop(&self) -> bool {
            true
        }
    }
    let problem = problem(7, 40, true);
    let (found, _) = search_course(&problem, &start(), dice(1, 1), &SolverBudget::watched(&Now)).unwrap();
    assert!(is_sound(&problem, &found.course));
    assert_eq!(found.tries, 0);
}
