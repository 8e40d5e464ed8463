//! The search over lists for a caller that decodes them by rules of its own: shop hours, promises, one holder over a stretch of work.
//!
//! The problem says which jobs there are and what goes before what; all else is in the weigher. Few jobs are tried in every order, which
//! proves the best list if the weigher makes of some list a best schedule. More are searched by [`LIST_ISLANDS`] islands that
//! report their best to each other; the number of threads only shares the islands out, so it changes the wait and never the answer.

use effort::{RandomSeed, SolverBudget, SolverStanding};

use crate::dice::ScheduleDice;
use crate::plain;
use crate::problem::ScheduleProblem;
use crate::search::{ListRank, ListWeigher, ScheduleIsland, WeighedList};

/// Islands of a search, whatever the threads (assumption: as many as small computers have cores).
pub const LIST_ISLANDS: u64 = 4;
/// Tries of all islands together between two looks at the watch.
const ROUND: u64 = 256;
/// Rounds after which the islands report their best to each other.
const TELL_EVERY: u64 = 8;
/// Tries that suit a problem: a number for each job, within limits.
const TRIES_PER_JOB: u64 = 60;
const FEWEST_TRIES: u64 = 2_000;
const MAX_SIZED_TRIES: u64 = 20_000;

/// The best list found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoundList {
    /// The list, as the weigher left it.
    pub list: Vec<usize>,
    /// Starts by job.
    pub starts: Vec<u32>,
    /// Its worth.
    pub rank: ListRank,
    /// Proven where every order was tried or the floor was met.
    pub standing: SolverStanding,
    /// Lists weighed.
    pub tries: u64,
}

/// The best list found with the budget; the same for the same problem, weigher, lists, effort and seed.
///
/// `make` gives a weigher to each island. `lists` are orders known to be good; those that do not respect the lags are passed over. No
/// list ranks below `floor`: one that meets it is the best, and the search ends.
#[must_use]
pub fn search_lists<W: ListWeigher + Send>(
    problem: &ScheduleProblem,
    make: &dyn Fn() -> W,
    (lists, floor): (&[Vec<usize>], ListRank),
    budget: &SolverBudget,
    seed: RandomSeed,
    threads: u16,
) -> FoundList {
    if problem.jobs.len() <= plain::MAX_JOBS_ENUMERATED {
        return best_of_every_list(problem, &mut make());
    }
    let sized = (problem.jobs.len() as u64 * TRIES_PER_JOB).clamp(FEWEST_TRIES, MAX_SIZED_TRIES);
    let each = budget.effort.tries_or_sized(sized).div_ceil(LIST_ISLANDS).max(1);
    let mut islands: Vec<_> = (0..LIST_ISLANDS)
        .map(|i| ScheduleIsland::new(problem, make(), ScheduleDice::new(seed.0, i), each))
        .collect();
    let sorted = problem.sorted_jobs().to_vec();
    let allowed: Vec<Vec<usize>> = lists.iter().filter(|l| problem.allows(l)).cloned().collect();
    for list in allowed.iter().chain([&sorted]) {
        islands.iter_mut().for_each(|i| i.take_in_list(list));
    }
    islands.iter_mut().for_each(|i| i.draw_about(&allowed));
    let mut standing = SolverStanding::Found;
    let (mut done, mut rounds) = (0, 0);
    while done < each {
        if best_rank(&islands) <= floor {
            standing = SolverStanding::Proven;
            break;
        }
        if budget.watch.should_stop() {
            standing = SolverStanding::Stopped;
            break;
        }
        let tries = (ROUND / LIST_ISLANDS).min(each - done);
        run_islands(&mut islands, tries, threads);
        (done, rounds) = (done + tries, rounds + 1);
        budget.watch.report_progress("order of the work", done as f64 / each as f64);
        if rounds % TELL_EVERY == 0 {
            exchange_bests(&mut islands);
        }
    }
    if best_rank(&islands) <= floor {
        standing = SolverStanding::Proven;
    }
    let tries = islands.iter().map(|i| i.tries).sum();
    found_list(&islands, standing, tries)
}

fn best_rank<W: ListWeigher>(islands: &[ScheduleIsland<W>]) -> ListRank {
    islands.iter().map(|i| i.best.rank).min().unwrap_or(ListRank::WORST)
}

/// Each thread takes its share of the islands; an island does the same whoever runs it.
fn run_islands<W: ListWeigher + Send>(islands: &mut [ScheduleIsland<W>], tries: u64, threads: u16) {
    let share = islands.len().div_ceil(usize::from(threads.max(1)));
    if share == islands.len() {
        islands.iter_mut().for_each(|i| i.run_tries(tries));
        return;
    }
    std::thread::scope(|scope| {
        for some in islands.chunks_mut(share) {
            scope.spawn(move || some.iter_mut().for_each(|i| i.run_tries(tries)));
        }
    });
}

/// Every island takes in the best of its neighbour.
fn exchange_bests<W: ListWeigher>(islands: &mut [ScheduleIsland<W>]) {
    let bests: Vec<Vec<usize>> = islands.iter().map(|i| i.best.list.clone()).collect();
    for (at, island) in islands.iter_mut().enumerate() {
        island.take_in_list(&bests[(at + 1) % bests.len()]);
    }
}

fn found_list<W: ListWeigher>(
    islands: &[ScheduleIsland<W>],
    standing: SolverStanding,
    tries: u64,
) -> FoundList {
    let best = islands.iter().map(|i| &i.best).min_by_key(|b| b.rank).cloned();
    let best = best.unwrap_or(WeighedList { list: Vec::new(), starts: Vec::new(), rank: ListRank::WORST });
    FoundList { list: best.list, starts: best.starts, rank: best.rank, standing, tries }
}

fn best_of_every_list<W: ListWeigher>(problem: &ScheduleProblem, weigher: &mut W) -> FoundList {
    let count = problem.jobs.len();
    let mut best = FoundList {
        list: problem.sorted_jobs().to_vec(),
        starts: vec![0; count],
        rank: ListRank::WORST,
        standing: SolverStanding::Proven,
        tries: 0,
    };
    best.rank = weigher.weigh_list(&mut best.list, &mut best.starts);
    let (mut list, mut starts, mut tries) = (Vec::new(), vec![0; count], 0);
    plain::visit_every_list(problem, &mut |every| {
        tries += 1;
        list.clear();
        list.extend_from_slice(every);
        let rank = weigher.weigh_list(&mut list, &mut starts);
        if rank < best.rank {
            (best.list, best.starts, best.rank) = (list.clone(), starts.clone(), rank);
        }
    });
    best.tries = tries;
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::{ScheduleJob, ScheduleLag};
    use crate::search::LIST_RANK_NUMBERS;

    /// One machine, jobs one after another; the rank is the weighted sum of ends, so the best order is by Smith's rule.
    struct WeightedEnds(Vec<(u32, u64)>);

    impl ListWeigher for WeightedEnds {
        fn weigh_list(&mut self, list: &mut [usize], starts: &mut [u32]) -> ListRank {
            let (mut now, mut sum) = (0, 0);
            for job in list {
                starts[*job] = now;
                now += self.0[*job].0;
                sum += u64::from(now) * self.0[*job].1;
            }
            ListRank([sum, 0, 0, 0])
        }
    }

    fn jobs_of(count: u64) -> Vec<(u32, u64)> {
        let mut dice = ScheduleDice::new(count, 9);
        (0..count).map(|_| (1 + dice.below(40) as u32, 1 + dice.below(9) as u64)).collect()
    }

    fn problem_of(jobs: &[(u32, u64)], lags: Vec<ScheduleLag>) -> ScheduleProblem {
        let job =
            |(duration, _): &(u32, u64)| ScheduleJob { duration: *duration, release: 0, demand: vec![1] };
        ScheduleProblem::new(jobs.iter().map(job).collect(), vec![1], lags, Vec::new()).expect("in order")
    }

    #[test]
    fn the_rule_of_smith_is_found_whatever_the_threads() {
        // Smith, Various optimizers for single-stage production, 1956: by falling weight over duration (from memory).
        for count in [6, 12] {
            let jobs = jobs_of(count);
            let problem = problem_of(&jobs, Vec::new());
            let mut best: Vec<usize> = (0..jobs.len()).collect();
            best.sort_by(|a, b| {
                (jobs[*b].1 * u64::from(jobs[*a].0)).cmp(&(jobs[*a].1 * u64::from(jobs[*b].0)))
            });
            let expected = WeightedEnds(jobs.clone()).weigh_list(&mut best, &mut vec![0; jobs.len()]);
            let thorough =
                SolverBudget { effort: effort::SolverEffort::Tries(30_000), ..SolverBudget::sized() };
            let solve = |threads| {
                let make = || WeightedEnds(jobs.clone());
                let floor = ListRank([0; LIST_RANK_NUMBERS]);
                search_lists(&problem, &make, (&[], floor), &thorough, RandomSeed(3), threads)
            };
            let found = solve(1);
            assert_eq!(found.rank, expected);
            assert_eq!(found, solve(3));
            assert_eq!(found.standing == SolverStanding::Proven, count == 6);
        }
    }

    #[test]
    fn lags_are_kept_and_a_floor_that_is_met_ends_the_search() {
        let jobs = jobs_of(12);
        let lags: Vec<ScheduleLag> = (1..12).map(|to| ScheduleLag { from: to - 1, to, wait: 0 }).collect();
        let problem = problem_of(&jobs, lags);
        let make = || WeightedEnds(jobs.clone());
        let only = WeightedEnds(jobs.clone()).weigh_list(&mut (0..12).collect::<Vec<_>>(), &mut [0; 12]);
        let found = search_lists(&problem, &make, (&[], only), &SolverBudget::sized(), RandomSeed(3), 2);
        assert_eq!((found.list, found.rank), ((0..12).collect(), only));
        assert_eq!(found.standing, SolverStanding::Proven);
        assert!(found.tries < 100, "{}", found.tries);
    }
}
