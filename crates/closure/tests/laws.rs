//! Laws of closures and sequences on random problems, held against the plain enumeration.

use std::cell::Cell;

use closure::cut::{self, ClosureError, ForcedChoice, is_valid_closure};
use closure::{plain, ways};
use effort::{SolverBudget, SolverEffort, SolverStanding, SolverWatch, UnwatchedSolver};
use proptest::prelude::*;

fn fixed() -> impl Strategy<Value = ForcedChoice> {
    prop_oneof![8 => Just(ForcedChoice::Free), 1 => Just(ForcedChoice::In), 1 => Just(ForcedChoice::Out)]
}

/// Problems whose needs may run any way, circles among them included.
fn problems(most: usize) -> impl Strategy<Value = cut::ClosureProblem> {
    (1..=most).prop_flat_map(|count| {
        let needs = prop::collection::vec(0..count as u32, 0..3);
        let item = (-20_i64..=20, needs, fixed());
        let item = item.prop_map(|(value, needs, fixed)| cut::ClosureItem { value, needs, fixed });
        prop::collection::vec(item, count)
            .prop_map(|items| cut::ClosureProblem::new(items).expect("small and closed"))
    })
}

fn ways_problems(most: usize) -> impl Strategy<Value = ways::WaysProblem> {
    (1..=most).prop_flat_map(|count| {
        let set = || prop::collection::vec(0..count as u32, 0..3);
        let several = prop_oneof![2 => Just(Vec::new()), 1 => prop::collection::vec(set(), 2..=3)];
        let needs = prop_oneof![2 => Just(Vec::new()), 1 => set()];
        let item = (-20_i64..=20, needs, several, fixed());
        let item =
            item.prop_map(|(value, needs, ways, fixed)| ways::ItemWithWays { value, needs, ways, fixed });
        prop::collection::vec(item, count)
            .prop_map(|items| ways::WaysProblem::new(items).expect("small and closed"))
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn a_cut_is_as_good_as_every_set_tried(problem in problems(10)) {
        let plain = plain::best_closures(&problem);
        match (cut::solve_closure(&problem, &SolverBudget::sized()), plain) {
            (Err(fault), None) => prop_assert_eq!(fault, ClosureError::Impossible),
            (Ok(solved), Some((value, sets))) => {
                let answer = solved.answer();
                prop_assert_eq!((answer.value, answer.bound, answer.standing), (value, value, SolverStanding::Proven));
                // The least best closure lies in every best one, the greatest holds every one.
                let both = |f: fn(bool, bool) -> bool, start: bool| -> Vec<bool> {
                    (0..problem.items().len()).map(|i| sets.iter().fold(start, |a, s| f(a, s[i]))).collect()
                };
                prop_assert_eq!(&answer.least, &both(|a, b| a && b, true));
                prop_assert_eq!(&answer.greatest, &both(|a, b| a || b, false));
            }
            (found, plain) => prop_assert!(false, "{:?} against {:?}", found.map(|s| s.answer().clone()), plain),
        }
    }

    #[test]
    fn a_margin_is_the_loss_when_the_choice_is_turned_round(problem in problems(9)) {
        if let Ok(solved) = cut::solve_closure(&problem, &SolverBudget::sized()) {
            for item in (0..problem.items().len()).filter(|i| problem.items()[*i].fixed == ForcedChoice::Free) {
                let plain = plain::margin_by_enumeration(&problem, &solved.answer().least, item);
                prop_assert_eq!(solved.margin_of(item, &UnwatchedSolver), plain, "item {}", item);
            }
        }
    }

    /// What the margin promises: within it the answer stays a best one, beyond it not.
    #[test]
    fn the_answer_stays_right_until_the_margin_is_spent(problem in problems(8), pick in 0_usize..8) {
        let item = pick % problem.items().len();
        let solved = cut::solve_closure(&problem, &SolverBudget::sized());
        if let Ok(solved) = solved && let Some(margin) = solved.margin_of(item, &UnwatchedSolver)
            && problem.items()[item].fixed == ForcedChoice::Free
        {
            let least = &solved.answer().least;
            let sign = if least[item] { -1 } else { 1 };
            let changed = |by: i64| {
                let mut items = problem.items().to_vec();
                items[item].value += sign * by;
                let other = cut::ClosureProblem::new(items).expect("small");
                let best = cut::solve_closure(&other, &SolverBudget::sized()).expect("possible as before").answer().value;
                (best, other.value(least))
            };
            let (best, kept) = changed(margin);
            prop_assert_eq!(best, kept);
            let (best, kept) = changed(margin + 1);
            prop_assert!(best > kept);
        }
    }

    #[test]
    fn branching_is_as_good_as_every_set_tried(problem in ways_problems(9)) {
        match (ways::solve_ways(&problem, &SolverBudget::sized()), plain::best_sequences(&problem)) {
            (Err(fault), None) => prop_assert_eq!(fault, ClosureError::Impossible),
            (Ok(answer), Some((value, sets))) => {
                prop_assert_eq!((answer.value, answer.bound, answer.standing), (value, value, SolverStanding::Proven));
                prop_assert!(sets.contains(&answer.chosen), "{:?} is no best set", answer.chosen);
                prop_assert!(in_sequence(&problem, &answer));
            }
            (found, plain) => prop_assert!(false, "{:?} against {:?}", found, plain),
        }
    }

    #[test]
    fn margins_with_ways_are_the_loss_when_the_choice_is_turned_round(problem in ways_problems(7)) {
        if let Ok(answer) = ways::solve_ways(&problem, &SolverBudget::sized()) {
            for item in (0..problem.items().len()).filter(|i| problem.items()[*i].fixed == ForcedChoice::Free) {
                let turned = if answer.chosen[item] { ForcedChoice::Out } else { ForcedChoice::In };
                let plain = plain::best_sequences(&problem.with_fixed(item, turned)).map(|(v, _)| answer.value - v);
                prop_assert_eq!(ways::ways_margin(&problem, &answer, item, &SolverBudget::sized()), plain);
            }
        }
    }

    /// A search cut short gives a set that holds, a value that is its own, and a bound that none is above.
    #[test]
    fn an_early_end_is_honest(problem in ways_problems(9), tries in 1_u64..6) {
        let budget = SolverBudget { effort: SolverEffort::Tries(tries), watch: &UnwatchedSolver };
        if let (Ok(answer), Some((best, _))) = (ways::solve_ways(&problem, &budget), plain::best_sequences(&problem)) {
            prop_assert!(answer.value <= best && best <= answer.bound);
            prop_assert!(in_sequence(&problem, &answer) && problem.keeps_fixed(&answer.chosen));
            prop_assert_eq!(answer.value, problem.value(&answer.chosen));
            prop_assert_eq!(answer.standing == SolverStanding::Proven, answer.value == answer.bound);
        }
    }

    #[test]
    fn a_stopped_flow_is_honest(problem in problems(10), phases in 0_u32..4) {
        let watch = Impatient(Cell::new(phases));
        let budget = SolverBudget::watched(&watch);
        if let (Ok(solved), Some((best, _))) = (cut::solve_closure(&problem, &budget), plain::best_closures(&problem)) {
            let answer = solved.answer();
            prop_assert!(is_valid_closure(&problem, &answer.least));
            prop_assert!(answer.value <= best && best <= answer.bound);
        }
    }
}

/// Stops when asked for the next time but so many.
struct Impatient(Cell<u32>);

impl SolverWatch for Impatient {
    fn should_stop(&self) -> bool {
        let left = self.0.get();
        self.0.set(left.saturating_sub(1));
        left == 0
    }
}

/// Whether the chosen items can be worked one after the other by the ways that the answer says.
fn in_sequence(problem: &ways::WaysProblem, answer: &ways::WaysAnswer) -> bool {
    let mut done = vec![false; answer.chosen.len()];
    let ready = |at: usize, done: &[bool]| {
        let item = &problem.items()[at];
        let way = answer.ways[at].map_or(&[][..], |w| &item.ways[usize::from(w)]);
        let settled = item.ways.is_empty() || answer.ways[at].is_some();
        settled && item.needs.iter().chain(way).all(|n| done[*n as usize])
    };
    while let Some(at) = (0..done.len()).find(|at| answer.chosen[*at] && !done[*at] && ready(*at, &done)) {
        done[at] = true;
    }
    done == answer.chosen
}
