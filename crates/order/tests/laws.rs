//! Laws that hold for every problem: orders respect the precedence, bounds lie below, answers repeat, stops are heard.

use std::cell::Cell;

use effort::{RandomSeed, SolverBudget, SolverEffort, SolverStanding, SolverWatch, UnwatchedSolver};
use order::{
    MAX_COST, SequencingError, SequencingProblem, SequencingSettings, solve_sequencing,
    solve_sequencing_reporting,
};
use proptest::prelude::*;

/// Ten to forty nodes with some of the rising pairs.
fn problems() -> impl Strategy<Value = SequencingProblem> {
    (10_usize..=40)
        .prop_flat_map(|count| {
            let costs = prop::collection::vec(0_i64..1000, count * count);
            let pairs = prop::collection::vec((0..count, 0..count), 0..=2 * count);
            (Just(count), costs, pairs)
        })
        .prop_map(|(count, costs, pairs)| {
            let rising = pairs.into_iter().filter(|(a, b)| a < b);
            SequencingProblem::new(count, costs, &rising.collect::<Vec<_>>()).expect("pairs rise")
        })
}

fn budget(tries: u64) -> SolverBudget<'static> {
    SolverBudget { effort: SolverEffort::Tries(tries), watch: &UnwatchedSolver }
}

fn settings(seed: u64, threads: usize) -> SequencingSettings {
    SequencingSettings { seed: RandomSeed(seed), threads, start: None }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn an_answer_is_an_order_at_its_value_above_its_bound(problem in problems(), seed in 0_u64..100) {
        let solved = solve_sequencing(&problem, &settings(seed, 2), budget(300_000));
        prop_assert!(problem.allows(&solved.order));
        prop_assert_eq!(problem.order_value(&solved.order), solved.value);
        prop_assert!(solved.bound <= solved.value);
        prop_assert_eq!(solved.standing == SolverStanding::Proven, solved.bound == solved.value);
        let rising: Vec<usize> = (0..problem.count()).collect();
        prop_assert!(solved.bound <= problem.order_value(&rising));
    }

    #[test]
    fn the_same_seed_effort_and_threads_give_the_same_answer(problem in problems(), seed in 0_u64..100) {
        let once = solve_sequencing(&problem, &settings(seed, 2), budget(200_000));
        let again = solve_sequencing(&problem, &settings(seed, 2), budget(200_000));
        prop_assert_eq!(once, again);
    }

    #[test]
    fn a_start_is_never_made_worse(problem in problems(), seed in 0_u64..100) {
        let start: Vec<usize> = (0..problem.count()).collect();
        let value = problem.order_value(&start);
        let how = SequencingSettings { start: Some(start), ..settings(seed, 1) };
        let solved = solve_sequencing(&problem, &how, budget(1));
        prop_assert!(solved.value <= value);
        prop_assert!(problem.allows(&solved.order));
    }
}

struct StopAt {
    asked: Cell<u32>,
    at: u32,
}

impl SolverWatch for StopAt {
    fn should_stop(&self) -> bool {
        self.asked.set(self.asked.get() + 1);
        self.asked.get() >= self.at
    }
}

/// A ring of costs without any precedence, on which the beam cannot prove anything soon.
fn loose(count: usize) -> SequencingProblem {
    let cost = |a: usize, b: usize| ((a * 7919 + b * 104_729 + a * b * 31) % 997) as i64;
    let costs = (0..count).flat_map(|a| (0..count).map(move |b| cost(a, b))).collect();
    SequencingProblem::new(count, costs, &[]).expect("costs fill the square")
}

#[test]
fn a_stop_leaves_the_best_so_far() {
    let problem = loose(80);
    let watch = StopAt { asked: Cell::new(0), at: 30 };
    let solved = solve_sequencing(
        &problem,
        &settings(1, 2),
        SolverBudget { effort: SolverEffort::Tries(u64::MAX), watch: &watch },
    );
    assert_eq!(solved.standing, SolverStanding::Stopped);
    assert!(problem.allows(&solved.order));
    // How often it is asked until the last walk has seen the stop hangs on the load of the machine; without a stop there is no end.
    assert!(watch.asked.get() < 5_000, "asked {} times after the stop", watch.asked.get());
}

#[test]
fn each_better_order_is_told_once() {
    let problem = loose(60);
    let mut told: Vec<i64> = Vec::new();
    let solved =
        solve_sequencing_reporting(&problem, &settings(1, 1), budget(3_000_000), &mut |s| told.push(s.value));
    assert!(told.len() > 1 && told.windows(2).all(|w| w[1] < w[0]), "{told:?}");
    assert_eq!(told.last(), Some(&solved.value));
}

#[test]
fn a_start_against_the_precedence_is_passed_over() {
    let problem = SequencingProblem::new(3, vec![1; 9], &[(2, 0)]).expect("no circle");
    let how = SequencingSettings { start: Some(vec![0, 1, 2]), ..settings(1, 1) };
    assert!(problem.allows(&solve_sequencing(&problem, &how, budget(1)).order));
}

#[test]
fn numbers_that_make_no_problem_are_refused() {
    let check = |count, costs, pairs: &[_], expected| {
        assert_eq!(SequencingProblem::new(count, costs, pairs).err(), Some(expected));
    };
    check(0, vec![], &[], SequencingError::Empty);
    check(9_000, vec![], &[], SequencingError::TooMany { count: 9_000 });
    check(2, vec![0; 3], &[], SequencingError::Ragged { cells: 3, count: 2 });
    let cost = MAX_COST + 1;
    check(2, vec![0, 0, -cost, 0], &[], SequencingError::TooLarge { from: 1, to: 0, cost: -cost });
    check(2, vec![0; 4], &[(0, 2)], SequencingError::Unknown { node: 2 });
    check(3, vec![0; 9], &[(0, 1), (1, 0), (2, 0)], SequencingError::Circle(vec![0, 1, 2]));
    check(1, vec![0], &[(0, 0)], SequencingError::Circle(vec![0]));
}
