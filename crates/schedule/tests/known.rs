//! Worked by hand: the lecture's example, its critical path and its slack.

use effort::{Budget, Seed, Standing};
use schedule::explain::{Why, explain};
use schedule::{Fault, Job, Lag, Problem, bound, solve};

/// Seal 10, close 5 a cure of 30 later, two others of 12; one mechanic.
fn lecture() -> Problem {
    let job = |duration| Job { duration, release: 0, demand: vec![1] };
    let cure = Lag { from: 0, to: 1, wait: 30 };
    Problem::new(vec![job(10), job(5), job(12), job(12)], vec![1], vec![cure], Vec::new()).expect("in order")
}

#[test]
fn others_are_done_while_the_seal_cures() {
    let problem = lecture();
    let found = solve(&problem, &[], &Budget::sized(), Seed(1), 1);
    assert_eq!((found.outcome.value, found.outcome.standing), (45.0, Standing::Proven));
    assert_eq!(bound::quick(&problem), 45);
    let late = schedule::decode(&problem, &[2, 3, 0, 1]);
    assert_eq!(problem.end(&late), 69);
}

#[test]
fn the_wait_is_on_the_critical_path_and_the_others_have_room() {
    let problem = lecture();
    let explained = explain(&problem, &[0, 40, 10, 22]);
    assert_eq!(explained.critical, [(0, Why::Start), (1, Why::After { job: 0, wait: 30 })]);
    assert_eq!(explained.slack, [0, 0, 6, 6]);
    let explained = explain(&problem, &[24, 64, 0, 12]);
    assert_eq!(
        explained.critical,
        [
            (2, Why::Start),
            (3, Why::HandOver { job: 2, resource: 0 }),
            (0, Why::HandOver { job: 3, resource: 0 }),
            (1, Why::After { job: 0, wait: 30 }),
        ]
    );
    assert_eq!(explained.slack, [0, 0, 0, 0]);
}

#[test]
fn a_bound_by_destruction_can_pass_chains_and_energy() {
    // Three jobs of 4 that each need 2 of 3: one after another, 12; energy says 24 / 3 = 8, the longest chain 4.
    let job = |duration| Job { duration, release: 0, demand: vec![2] };
    let problem =
        Problem::new(vec![job(4), job(4), job(4)], vec![3], Vec::new(), Vec::new()).expect("in order");
    assert_eq!(bound::quick(&problem), 8);
    let best = bound::best(&problem, 12);
    assert!((8..=12).contains(&best), "{best}");
    let found = solve(&problem, &[], &Budget::sized(), Seed(1), 1);
    assert_eq!(found.outcome.value, 12.0);
}

#[test]
fn what_does_not_fit_is_told() {
    let job = |need: u32| Job { duration: 1, release: 0, demand: vec![need] };
    let check = |jobs: Vec<Job>, capacity: Vec<u32>, lags: Vec<Lag>, expected: Fault| {
        assert_eq!(Problem::new(jobs, capacity, lags, Vec::new()), Err(expected));
    };
    let lag = |from, to| Lag { from, to, wait: 0 };
    check(vec![job(3)], vec![2], vec![], Fault::NeverFits { job: 0 });
    check(vec![job(1)], vec![1; 5], vec![], Fault::TooManyResources(5));
    check(vec![job(1)], vec![70_000], vec![], Fault::TooMuch { resource: 0 });
    check(vec![job(1)], vec![1], vec![lag(0, 4)], Fault::NoSuchJob { job: 4 });
    check(vec![job(1)], vec![1], vec![lag(0, 0)], Fault::NoSuchJob { job: 0 });
    check(vec![job(1), job(1)], vec![1], vec![lag(0, 1), lag(1, 0)], Fault::Circle(vec![0, 1]));
    let long = Job { duration: u32::MAX, release: 0, demand: vec![] };
    check(vec![long], vec![1], vec![], Fault::TooLong);
}
