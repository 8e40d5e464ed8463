//! The fast way gives what the plain way gives, and the bounds never pass it.

mod common;

use common::{assert_kept, problems};
use effort::{RandomSeed, SolverBudget, SolverEffort, SolverStanding, UnwatchedSolver};
use proptest::prelude::*;
use schedule::{MaxTimeLag, ScheduleJob, ScheduleLag, ScheduleProblem, bound, gaps, plain, solve_schedule};

fn budget(tries: u64) -> SolverBudget<'static> {
    SolverBudget { effort: SolverEffort::Tries(tries), watch: &UnwatchedSolver }
}

/// The same problem with a job added that changes nothing, so that the search and not the plain way is taken.
fn padded(problem: &ScheduleProblem) -> ScheduleProblem {
    let mut jobs = problem.jobs().to_vec();
    while jobs.len() <= plain::MAX_JOBS_ENUMERATED {
        jobs.push(ScheduleJob { duration: 0, release: 0, demand: Vec::new() });
    }
    ScheduleProblem::new(jobs, problem.capacity().to_vec(), problem.lags().to_vec(), problem.gaps().to_vec())
        .expect("idle jobs fit anywhere")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn the_search_finds_what_every_order_finds(problem in problems(6, false)) {
        let (list, starts) = plain::solve_by_all_lists(&problem).expect("few jobs");
        assert_kept(&problem, &starts);
        prop_assert!(problem.allows(&list));
        let best = problem.end_of(&starts);
        prop_assert!(bound::quick_bound(&problem) <= bound::destructive_bound(&problem, best));
        prop_assert!(bound::destructive_bound(&problem, u32::MAX) <= best);
        let found = solve_schedule(&padded(&problem), &[], &budget(4_000), RandomSeed(1), 1);
        prop_assert_eq!(found.outcome.value, f64::from(best));
        prop_assert!(found.outcome.bound <= f64::from(best));
    }

    #[test]
    fn larger_schedules_keep_every_rule_and_repeat(problem in problems(40, false), seed in 0_u64..99) {
        let once = solve_schedule(&problem, &[], &budget(600), RandomSeed(seed), 2);
        assert_kept(&problem, &once.starts);
        prop_assert!(once.outcome.bound <= once.outcome.value);
        prop_assert_eq!(f64::from(problem.end_of(&once.starts)), once.outcome.value);
        prop_assert_eq!(&once, &solve_schedule(&problem, &[], &budget(600), RandomSeed(seed), 2));
    }

    #[test]
    fn coarse_and_fine_time_agree(problem in problems(20, false)) {
        let fine = |jobs: &[ScheduleJob]| jobs.iter().map(|j| ScheduleJob { duration: j.duration * 600, release: j.release * 600, ..j.clone() }).collect();
        let lags = problem.lags().iter().map(|l| ScheduleLag { wait: l.wait * 600, ..*l }).collect();
        let long = ScheduleProblem::new(fine(problem.jobs()), problem.capacity().to_vec(), lags, Vec::new()).expect("as before");
        let (short, long) = (schedule::decode_list(&problem, problem.sorted_jobs()), schedule::decode_list(&long, problem.sorted_jobs()));
        prop_assert_eq!(short.iter().map(|s| s * 600).collect::<Vec<_>>(), long);
    }

    #[test]
    fn gaps_are_kept_or_told(problem in problems(12, true)) {
        let found = solve_schedule(&padded(&problem), &[], &budget(300), RandomSeed(3), 1);
        assert_kept(&padded(&problem), &found.starts);
        prop_assert_eq!(gaps::find_excesses(&problem, &found.starts), found.too_long.clone());
        let hopeless = gaps::hopeless_lags(&problem);
        for never in &hopeless {
            let told = found.too_long.iter().find(|t| t.gap == never.gap);
            prop_assert!(told.is_some_and(|t| t.by >= never.by), "{never:?} cannot be kept, yet {told:?}");
        }
        prop_assert_eq!(found.outcome.standing == SolverStanding::Impossible, !hopeless.is_empty());
    }
}

#[test]
fn a_stop_leaves_the_best_so_far() {
    struct AtOnce;
    impl effort::SolverWatch for AtOnce {
        fn should_stop(&self) -> bool {
            true
        }
    }
    let job = |d| ScheduleJob { duration: d, release: 0, demand: vec![1 + d % 3] };
    let jobs: Vec<ScheduleJob> = (0..40).map(|j| job(1 + j % 7)).collect();
    let lags = (0..20).map(|j| ScheduleLag { from: j, to: j + 17, wait: 1 }).collect();
    let problem = ScheduleProblem::new(jobs, vec![4], lags, Vec::new()).expect("in order");
    let stopped = SolverBudget { effort: SolverEffort::Tries(1_000_000), watch: &AtOnce };
    let found = solve_schedule(&problem, &[], &stopped, RandomSeed(1), 1);
    assert_kept(&problem, &found.starts);
    assert!(found.outcome.effort < 1_000_000);
    assert!(found.outcome.standing != SolverStanding::Found, "{:?}", found.outcome);
}

#[test]
fn a_gap_is_kept_by_holding_its_early_end_back() {
    // Seal (2) may start at 0 but the cover (3), which has to follow within 4, waits for a part that comes at 20.
    let job = |duration, release| ScheduleJob { duration, release, demand: vec![1] };
    let gap = MaxTimeLag { from: 0, to: 1, most: 4 };
    let lag = ScheduleLag { from: 0, to: 1, wait: 0 };
    let problem = ScheduleProblem::new(vec![job(2, 0), job(3, 20), job(5, 0)], vec![1], vec![lag], vec![gap])
        .expect("in order");
    let found = solve_schedule(&problem, &[], &budget(200), RandomSeed(1), 1);
    assert_eq!(found.too_long, []);
    assert_eq!((found.starts[1], found.outcome.value), (20, 23.0));
    assert!(found.starts[0] >= 14, "{:?}", found.starts);
    let longer = ScheduleLag { wait: 9, ..lag };
    let problem =
        ScheduleProblem::new(problem.jobs().to_vec(), vec![1], vec![longer], vec![gap]).expect("in order");
    let found = solve_schedule(&problem, &[], &budget(200), RandomSeed(1), 1);
    assert_eq!(found.outcome.standing, SolverStanding::Impossible);
    assert_eq!(found.too_long, [gaps::TimeLagExcess { gap: 0, by: 5 }]);
}
