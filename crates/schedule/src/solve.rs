//! The schedule: few jobs exactly, else islands that search side by side and report their best to each other.

// symbol: value, bound = times in the problem's unit

use effort::{OutcomeUnit, RandomSeed, SolverBudget, SolverOutcome, SolverStanding};

use crate::bound;
use crate::dice::ScheduleDice;
use crate::gaps::{self, TimeLagExcess};
use crate::plain;
use crate::problem::ScheduleProblem;
use crate::search::{JustifiedEndWeigher, ScheduleIsland};

/// Tries of an island between two looks at the watch, shared out by the number of jobs: about 5 ms.
const ROUND: u64 = 20_000;
/// Rounds after which the islands report their best to each other.
const TELL_EVERY: u64 = 64;
/// Rounds after which the expensive bound is worked out, if the cheap one has not met the value.
const BOUND_AFTER: u64 = 8;
/// Tries that suit a problem: a number for each job, within limits.
const TRIES_PER_JOB: u64 = 150;
const FEWEST_TRIES: u64 = 2_000;
const MAX_SIZED_TRIES: u64 = 60_000;

/// A schedule, the list behind it, and how good it is.
#[derive(Debug, Clone, PartialEq)]
pub struct ScheduleSolution {
    /// The list that decodes to it with [`ScheduleSolution::releases`].
    pub list: Vec<usize>,
    /// Starts by job.
    pub starts: Vec<u32>,
    /// Release of each job, those held back for a gap included.
    pub releases: Vec<u32>,
    /// Gaps that it leaves too long.
    pub too_long: Vec<TimeLagExcess>,
    /// End, bound, standing; the unit is the problem's unit of time.
    pub outcome: SolverOutcome,
}

/// The best schedule found with the budget; the same for the same problem, lists, effort, seed and number of threads.
///
/// `lists` are orders known to be good, each of every job after all that it waits for; others are passed over. Where a gap cannot
/// be kept, the outcome is [`SolverStanding::Impossible`] if that is certain and [`ScheduleSolution::too_long`] says which and by how much.
#[must_use]
pub fn solve_schedule(
    problem: &ScheduleProblem,
    lists: &[Vec<usize>],
    budget: &SolverBudget,
    seed: RandomSeed,
    threads: u16,
) -> ScheduleSolution {
    if problem.gaps.is_empty()
        && let Some((list, starts)) = plain::solve_by_all_lists(problem)
    {
        let value = f64::from(problem.end_of(&starts));
        return solution_without_gaps(
            problem,
            (list, starts),
            time_outcome(SolverStanding::Proven, value, value, 1),
        );
    }
    let islands = u64::from(threads.max(1));
    let sized = (problem.jobs.len() as u64 * TRIES_PER_JOB).clamp(FEWEST_TRIES, MAX_SIZED_TRIES);
    let each = budget.effort.tries_or_sized(sized).div_ceil(islands);
    let mut search = IslandSearch {
        problem,
        islands: (0..islands)
            .map(|i| {
                let weigher = JustifiedEndWeigher::new(problem);
                ScheduleIsland::new(problem, weigher, ScheduleDice::new(seed.0, i), each)
            })
            .collect(),
        bound: bound::quick_bound(problem),
        stopped: false,
    };
    for list in lists.iter().filter(|l| problem.allows(l)) {
        search.islands.iter_mut().for_each(|i| i.take_in_list(list));
    }
    search.run_islands(each, budget);
    search.into_solution()
}

fn time_outcome(standing: SolverStanding, value: f64, bound: f64, effort: u64) -> SolverOutcome {
    SolverOutcome { standing, value, bound, unit: OutcomeUnit::Time, effort }
}

fn solution_without_gaps(
    problem: &ScheduleProblem,
    (list, starts): (Vec<usize>, Vec<u32>),
    outcome: SolverOutcome,
) -> ScheduleSolution {
    let releases = problem.jobs.iter().map(|j| j.release).collect();
    ScheduleSolution { list, starts, releases, too_long: Vec::new(), outcome }
}

struct IslandSearch<'p> {
    problem: &'p ScheduleProblem,
    islands: Vec<ScheduleIsland<'p, JustifiedEndWeigher<'p>>>,
    bound: u32,
    stopped: bool,
}

impl IslandSearch<'_> {
    fn run_islands(&mut self, each: u64, budget: &SolverBudget) {
        let jobs = self.problem.jobs.len() as u64;
        let round = (ROUND / jobs.max(1)).clamp(1, ROUND);
        let (mut done, mut rounds) = (0, 0);
        while done < each {
            let tries = round.min(each - done);
            self.run_round(tries);
            done += tries;
            rounds += 1;
            let best = self.best_end();
            budget.watch.report_progress(&format!("best {best}"), done as f64 / each as f64);
            if rounds == BOUND_AFTER && self.bound < best {
                self.bound = bound::destructive_bound(self.problem, best);
            }
            if best <= self.bound {
                return;
            }
            if rounds % TELL_EVERY == 0 {
                self.exchange_bests();
            }
            if budget.watch.should_stop() {
                self.stopped = done < each;
                return;
            }
        }
    }

    fn run_round(&mut self, tries: u64) {
        let Some((first, others)) = self.islands.split_first_mut() else { return };
        if others.is_empty() {
            first.run_tries(tries);
            return;
        }
        std::thread::scope(|scope| {
            for island in others {
                scope.spawn(move || island.run_tries(tries));
            }
            first.run_tries(tries);
        });
    }

    fn best_end(&self) -> u32 {
        self.islands
            .iter()
            .map(|i| i.best.rank.0[0])
            .min()
            .map_or(0, |end| u32::try_from(end).unwrap_or(u32::MAX))
    }

    /// Every island takes in the best of its neighbour.
    fn exchange_bests(&mut self) {
        let bests: Vec<Vec<usize>> = self.islands.iter().map(|i| i.best.list.clone()).collect();
        let count = bests.len();
        if count > 1 {
            for (at, island) in self.islands.iter_mut().enumerate() {
                island.take_in_list(&bests[(at + 1) % count]);
            }
        }
    }

    fn into_solution(self) -> ScheduleSolution {
        let effort = self.islands.iter().map(|i| i.tries).sum();
        let best = self.islands.iter().map(|i| &i.best).min_by_key(|b| b.rank);
        let Some(best) = best.filter(|_| effort > 0) else {
            let list = self.problem.sorted_jobs().to_vec();
            let starts = crate::decode::decode_list(self.problem, &list);
            return self.assemble_solution(list, starts, 0);
        };
        self.assemble_solution(best.list.clone(), best.starts.clone(), effort)
    }

    fn assemble_solution(&self, list: Vec<usize>, starts: Vec<u32>, effort: u64) -> ScheduleSolution {
        let problem = self.problem;
        if !problem.gaps.is_empty() {
            return self.best_repair(&list, effort);
        }
        let value = problem.end_of(&starts);
        let outcome =
            time_outcome(self.standing_of(value), f64::from(value), f64::from(self.bound.min(value)), effort);
        solution_without_gaps(problem, (list, starts), outcome)
    }

    fn standing_of(&self, value: u32) -> SolverStanding {
        match (value <= self.bound, self.stopped) {
            (true, _) => SolverStanding::Proven,
            (false, false) => SolverStanding::Found,
            (false, true) => SolverStanding::Stopped,
        }
    }

    /// The best repair over all lists at hand.
    fn best_repair(&self, best: &Vec<usize>, effort: u64) -> ScheduleSolution {
        let problem = self.problem;
        let members = self.islands.iter().flat_map(ScheduleIsland::member_lists);
        let repaired = core::iter::once(best).chain(members).map(|list| gaps::repair_lags(problem, list));
        let excess = |r: &gaps::RepairedSchedule| r.too_long.iter().map(|t| u64::from(t.by)).sum::<u64>();
        let rank = |r: &gaps::RepairedSchedule| (excess(r), problem.end_of(&r.starts));
        let found = repaired.reduce(|a, b| if rank(&b) < rank(&a) { b } else { a });
        let found = found.unwrap_or_else(|| gaps::repair_lags(problem, best));
        let value = problem.end_of(&found.starts);
        let hopeless = !found.too_long.is_empty() && !gaps::hopeless_lags(problem).is_empty();
        let standing = match (hopeless, found.too_long.is_empty()) {
            (true, _) => SolverStanding::Impossible,
            (false, true) => self.standing_of(value),
            (false, false) => SolverStanding::Found,
        };
        let outcome = time_outcome(standing, f64::from(value), f64::from(self.bound.min(value)), effort);
        let gaps::RepairedSchedule { list, starts, releases, too_long } = found;
        ScheduleSolution { list, starts, releases, too_long, outcome }
    }
}
