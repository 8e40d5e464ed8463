//! Random problems and the rules of a schedule, written apart from the solver.

use proptest::prelude::*;
use schedule::{MaxTimeLag, ScheduleJob, ScheduleLag, ScheduleProblem};

/// A schedule breaks no rule but, perhaps, its gaps.
pub fn assert_kept(problem: &ScheduleProblem, starts: &[u32]) {
    let jobs = problem.jobs();
    let end = |j: usize| starts[j] + jobs[j].duration;
    for (job, start) in jobs.iter().zip(starts) {
        assert!(*start >= job.release, "a job starts before its release");
    }
    for lag in problem.lags() {
        assert!(starts[lag.to] >= end(lag.from) + lag.wait, "{lag:?} is not kept");
    }
    for (k, capacity) in problem.capacity().iter().enumerate() {
        for now in starts {
            let runs = (0..jobs.len()).filter(|j| starts[*j] <= *now && *now < end(*j));
            let used: u32 = runs.map(|j| jobs[j].demand.get(k).copied().unwrap_or(0)).sum();
            assert!(used <= *capacity, "{used} of {capacity} of resource {k} at {now}");
        }
    }
}

/// Problems of a few to `most` jobs; pairs go from a job to a later one, so there is no circle.
pub fn problems(most: usize, with_gaps: bool) -> impl Strategy<Value = ScheduleProblem> {
    (1..=most, 1..=3_usize).prop_flat_map(move |(count, resources)| {
        let job = (
            0_u32..12,
            prop_oneof![3 => Just(0_u32), 1 => 0_u32..30],
            prop::collection::vec(0_u32..5, resources),
        );
        let jobs = prop::collection::vec(job, count);
        let capacity = prop::collection::vec(4_u32..8, resources);
        let pair = (0..count, 0..count, prop_oneof![2 => Just(0_u32), 1 => 0_u32..20]);
        let lags = prop::collection::vec(pair, 0..2 * count);
        let gaps = prop::collection::vec((0..count, 0..count, 0_u32..15), 0..if with_gaps { 3 } else { 1 });
        (jobs, capacity, lags, gaps).prop_map(|(jobs, capacity, lags, gaps)| {
            let jobs =
                jobs.into_iter().map(|(duration, release, demand)| ScheduleJob { duration, release, demand });
            let up = |(a, b, time): (usize, usize, u32)| (a < b).then_some((a, b, time));
            let lag = |(from, to, wait)| ScheduleLag { from, to, wait };
            let gap = |(from, to, most)| MaxTimeLag { from, to, most };
            let lags = lags.into_iter().filter_map(up).map(lag).collect();
            let gaps = gaps.into_iter().filter_map(up).map(gap).collect();
            ScheduleProblem::new(jobs.collect(), capacity, lags, gaps)
                .expect("pairs that only go up make no circle")
        })
    })
}
