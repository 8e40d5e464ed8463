//! Fast methods against the plain one, and the laws of any answer, on random problems.

use cart::{CartJobs, fewest_switches, plain, solve_cart_order, soonest, switch_bound};
use effort::{RandomSeed, SolverBudget, SolverEffort, SolverStanding, UnwatchedSolver};
use proptest::prelude::*;

/// Up to seven jobs on up to nine tools, some bound to come before others.
fn problems(most_jobs: usize) -> impl Strategy<Value = (Vec<Vec<u16>>, usize, Vec<(usize, usize)>)> {
    let needs = prop::collection::vec(prop::collection::vec(0_u16..9, 0..5), 1..=most_jobs);
    (needs, 0_usize..4, prop::collection::vec((0_usize..100, 0_usize..100), 0..3)).prop_map(
        |(needs, spare, pairs)| {
            let count = needs.len();
            let places = needs.iter().map(Vec::len).max().unwrap_or(0) + spare;
            let rising = |(a, b): (usize, usize)| ((a % count).min(b % count), (a % count).max(b % count));
            let pairs = pairs.into_iter().map(rising).filter(|(a, b)| a != b).collect();
            (needs, places, pairs)
        },
    )
}

proptest! {
    /// The count that grows job by job and the textbook rule that looks ahead; tools spread over many words too.
    #[test]
    fn the_count_is_that_of_the_textbook_rule(
        needs in prop::collection::vec(prop::collection::vec(0_u16..14, 0..6), 0..25), spare in 0_usize..6, far in 1_u16..70
    ) {
        let needs: Vec<Vec<u16>> = needs.into_iter().map(|n| n.into_iter().map(|t| t * far).collect()).collect();
        let places = needs.iter().map(Vec::len).max().unwrap_or(0) + spare;
        let order: Vec<usize> = (0..needs.len()).collect();
        let jobs = CartJobs::new(needs, places, &[]).unwrap();
        prop_assert_eq!(fewest_switches(&jobs, &order), soonest::count_switches(&soonest::soonest_loadings(&jobs, &order)));
    }

    #[test]
    fn the_answer_is_the_fewest_of_all_orders((needs, places, pairs) in problems(6), seed in 0_u64..9) {
        let jobs = CartJobs::new(needs, places, &pairs).unwrap();
        let found = solve_cart_order(&jobs, &SolverBudget::sized(), RandomSeed(seed), 1);
        prop_assert_eq!(found.outcome.standing, SolverStanding::Proven);
        prop_assert_eq!(found.outcome.value as usize, plain::fewest_over_all_orders(&jobs));
        prop_assert!(switch_bound(&jobs) as f64 <= found.outcome.value);
        prop_assert!(jobs.allows(&found.order));
    }

    /// With next to no effort for the search the proof has to find the best by itself.
    #[test]
    fn the_proof_finds_what_the_search_missed((needs, places, pairs) in problems(6)) {
        let jobs = CartJobs::new(needs, places, &pairs).unwrap();
        let budget = SolverBudget { effort: SolverEffort::Tries(1), watch: &UnwatchedSolver };
        let found = solve_cart_order(&jobs, &budget, RandomSeed(3), 1);
        prop_assert_eq!(found.outcome.standing, SolverStanding::Proven);
        prop_assert_eq!(found.outcome.value as usize, plain::fewest_over_all_orders(&jobs));
    }

    #[test]
    fn every_loading_replays((needs, places, pairs) in problems(12), seed in 0_u64..9) {
        let jobs = CartJobs::new(needs, places, &pairs).unwrap();
        let found = solve_cart_order(&jobs, &SolverBudget { effort: SolverEffort::Tries(2000), watch: &UnwatchedSolver }, RandomSeed(seed), 2);
        for (job, cart) in found.order.iter().zip(&found.loadings) {
            prop_assert!(jobs.needs(*job).iter().all(|t| cart.contains(t)));
            prop_assert!(cart.len() <= jobs.places());
        }
        prop_assert_eq!(soonest::count_switches(&found.loadings) as f64, found.outcome.value);
        prop_assert!(found.outcome.bound <= found.outcome.value);
    }

    #[test]
    fn threads_never_change_the_answer((needs, places, pairs) in problems(12), seed in 0_u64..9) {
        let jobs = CartJobs::new(needs, places, &pairs).unwrap();
        let budget = SolverBudget { effort: SolverEffort::Tries(50_000), watch: &UnwatchedSolver };
        let one = solve_cart_order(&jobs, &budget, RandomSeed(seed), 1);
        prop_assert_eq!(solve_cart_order(&jobs, &budget, RandomSeed(seed), 3).order, one.order);
    }

    #[test]
    fn more_places_never_cost_more((needs, places, pairs) in problems(7)) {
        let of = |places| solve_cart_order(&CartJobs::new(needs.clone(), places, &pairs).unwrap(), &SolverBudget::sized(), RandomSeed(1), 1);
        prop_assert!(of(places + 1).outcome.value <= of(places).outcome.value);
    }
}
