//! Small problems worked by hand.

use cart::{CartJobs, CartJobsError, plain, solve_cart_order, soonest, switch_bound};
use effort::{RandomSeed, SolverBudget, SolverStanding};

fn jobs(needs: &[&[u16]], places: usize, pairs: &[(usize, usize)]) -> CartJobs {
    CartJobs::new(needs.iter().map(|n| n.to_vec()).collect(), places, pairs)
        .expect("a problem that can be posed")
}

fn check(jobs: &CartJobs, switches: usize) {
    let found = solve_cart_order(jobs, &SolverBudget::sized(), RandomSeed(1), 1);
    assert_eq!(found.outcome.value, switches as f64, "{:?}", found.order);
    assert_eq!(found.outcome.standing, SolverStanding::Proven);
    assert_eq!(plain::fewest_over_all_orders(jobs), switches);
    assert!(jobs.allows(&found.order));
}

/// Any two of the three hold five tools on three places, so each change costs two.
#[test]
fn three_jobs_in_a_ring() {
    let ring = jobs(&[&[1, 2, 3], &[3, 4, 5], &[5, 6, 1]], 3, &[]);
    assert_eq!(switch_bound(&ring), 4);
    check(&ring, 4);
}

/// In the order of the steps the keep-soonest rule brings tool 1 or 2 twice; in another order the job that needs both
/// comes first and nothing comes twice.
#[test]
fn a_job_of_two_tools_goes_first() {
    let four = jobs(&[&[1], &[2], &[3], &[1, 2]], 2, &[]);
    assert_eq!(soonest::count_switches(&soonest::soonest_loadings(&four, &[0, 1, 2, 3])), 2);
    check(&four, 1);
}

/// The same with the job of two tools bound to come last and tool 3 bound between the others.
#[test]
fn precedence_keeps_the_dearer_order() {
    check(&jobs(&[&[1], &[2], &[3], &[1, 2]], 2, &[(0, 2), (1, 2), (2, 3)]), 2);
}

#[test]
fn nothing_to_do_costs_nothing() {
    check(&jobs(&[], 3, &[]), 0);
    check(&jobs(&[&[]], 0, &[]), 0);
    check(&jobs(&[&[7], &[], &[9]], 5, &[]), 0);
}

#[test]
fn what_cannot_be_posed_is_told() {
    let new = |needs: &[&[u16]], places, pairs: &[(usize, usize)]| {
        CartJobs::new(needs.iter().map(|n| n.to_vec()).collect(), places, pairs)
    };
    assert_eq!(new(&[&[1, 2]], 1, &[]), Err(CartJobsError::TooFewPlaces { job: 0, needs: 2 }));
    assert_eq!(new(&[&[2000]], 1, &[]), Err(CartJobsError::TooManyTools(2000)));
    assert_eq!(new(&[&[1]], 1, &[(0, 3)]), Err(CartJobsError::NoSuchJob(3)));
    assert_eq!(new(&[&[1], &[1]], 1, &[(0, 1), (1, 0)]), Err(CartJobsError::Circle(0)));
}
