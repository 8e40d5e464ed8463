//! Worked by hand: the lecture's example, its critical path and its slack.

use effort::{RandomSeed, SolverBudget, SolverStanding};
use schedule::explain::{StartReason, explain_schedule};
use schedule::{ScheduleError, ScheduleJob, ScheduleLag, ScheduleProblem, bound, solve_schedule};

/// Seal 10, close 5 a cure of 30 later, two others of 12; one mechanic.
fn lecture() -> ScheduleProblem {
    let job = |duration| ScheduleJob { duration, release: 0, demand: vec![1] };
    let cure = ScheduleLag { from: 0, to: 1, wait: 30 };
    ScheduleProblem::new(vec![job(10), job(5), job(12), job(12)], vec![1], vec![cure], Vec::new())
        .expect("in order")
}

#[test]
fn others_are_done_while_the_seal_cures() {
    let problem = lecture();
    let found = solve_schedule(&problem, &[], &SolverBudget::sized(), RandomSeed(1), 1);
    assert_eq!((found.outcome.value, found.outcome.standing), (45.0, SolverStanding::Proven));
    assert_eq!(bound::quick_bound(&problem), 45);
    let late = schedule::decode_list(&problem, &[2, 3, 0, 1]);
    assert_eq!(problem.end_of(&late), 69);
}

#[test]
fn the_wait_is_on_the_critical_path_and_the_others_have_room() {
    let problem = lecture();
    let explained = explain_schedule(&problem, &[0, 40, 10, 22]);
    assert_eq!(explained.critical, [(0, StartReason::Start), (1, StartReason::After { job: 0, wait: 30 })]);
    assert_eq!(explained.slack, [0, 0, 6, 6]);
    let explained = explain_schedule(&problem, &[24, 64, 0, 12]);
    assert_eq!(
        explained.critical,
        [
            (2, StartReason::Start),
            (3, StartReason::HandOver { job: 2, resource: 0 }),
            (0, StartReason::HandOver { job: 3, resource: 0 }),
            (1, StartReason::After { job: 0, wait: 30 }),
        ]
    );
    assert_eq!(explained.slack, [0, 0, 0, 0]);
}

#[test]
fn a_bound_by_destruction_can_pass_chains_and_energy() {
    // Three jobs of 4 that each need 2 of 3: one after another, 12; energy says 24 / 3 = 8, the longest chain 4.
    let job = |duration| ScheduleJob { duration, release: 0, demand: vec![2] };
    let problem = ScheduleProblem::new(vec![job(4), job(4), job(4)], vec![3], Vec::new(), Vec::new())
        .expect("in order");
    assert_eq!(bound::quick_bound(&problem), 8);
    let best = bound::destructive_bound(&problem, 12);
    assert!((8..=12).contains(&best), "{best}");
    let found = solve_schedule(&problem, &[], &SolverBudget::sized(), RandomSeed(1), 1);
    assert_eq!(found.outcome.value, 12.0);
}

#[test]
fn what_does_not_fit_is_told() {
    let job = |need: u32| ScheduleJob { duration: 1, release: 0, demand: vec![need] };
    let check =
        |jobs: Vec<ScheduleJob>, capacity: Vec<u32>, lags: Vec<ScheduleLag>, expected: ScheduleError| {
            assert_eq!(ScheduleProblem::new(jobs, capacity, lags, Vec::new()), Err(expected));
        };
    let lag = |from, to| ScheduleLag { from, to, wait: 0 };
    check(vec![job(3)], vec![2], vec![], ScheduleError::NeverFits { job: 0 });
    check(vec![job(1)], vec![1; 5], vec![], ScheduleError::TooManyResources(5));
    check(vec![job(1)], vec![70_000], vec![], ScheduleError::TooMuch { resource: 0 });
    check(vec![job(1)], vec![1], vec![lag(0, 4)], ScheduleError::NoSuchJob { job: 4 });
    check(vec![job(1)], vec![1], vec![lag(0, 0)], ScheduleError::NoSuchJob { job: 0 });
    check(vec![job(1), job(1)], vec![1], vec![lag(0, 1), lag(1, 0)], ScheduleError::Circle(vec![0, 1]));
    let long = ScheduleJob { duration: u32::MAX, release: 0, demand: vec![] };
    check(vec![long], vec![1], vec![], ScheduleError::TooLong);
}
