//! The fast method and the look at every order agree on small problems of every density.

use effort::{RandomSeed, SolverBudget, SolverEffort, SolverStanding, UnwatchedSolver};
use order::{SequencingProblem, SequencingSettings, plain, solve_sequencing};
use proptest::prelude::*;

/// Up to eight nodes, costs of either sign, and pairs that go from a lower to a higher place of a shuffled row.
fn problems() -> impl Strategy<Value = SequencingProblem> {
    (1_usize..=8)
        .prop_flat_map(|count| {
            let costs = prop::collection::vec(-20_i64..100, count * count);
            let places = Just((0..count).collect::<Vec<_>>()).prop_shuffle();
            let pairs = prop::collection::vec((0..count, 0..count), 0..=10);
            (Just(count), costs, places, pairs)
        })
        .prop_map(|(count, costs, places, pairs)| {
            let rising = pairs.into_iter().filter(|(a, b)| places[*a] < places[*b]);
            SequencingProblem::new(count, costs, &rising.collect::<Vec<_>>())
                .expect("pairs rise along the places")
        })
}

proptest! {
    #[test]
    fn the_best_value_is_proven_and_the_same(problem in problems(), threads in 1_usize..=2) {
        let (order, value) = plain::solve_by_all_orders(&problem).expect("few nodes");
        prop_assert!(problem.allows(&order));
        let settings = SequencingSettings { seed: RandomSeed(1), threads, start: None };
        let solved = solve_sequencing(&problem, &settings, SolverBudget { effort: SolverEffort::Tries(2_000_000), watch: &UnwatchedSolver });
        prop_assert!(problem.allows(&solved.order));
        prop_assert_eq!(problem.order_value(&solved.order), solved.value);
        prop_assert_eq!((solved.value, solved.bound, solved.standing), (value, value, SolverStanding::Proven));
    }
}
