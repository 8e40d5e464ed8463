//! The schedule: few jobs exactly, else islands that search side by side and tell each other their best.

// symbol: value, bound = times in the problem's unit

use effort::{Budget, Outcome, Seed, Standing};

use crate::bound;
use crate::dice::Dice;
use crate::gaps::{self, TooLong};
use crate::plain;
use crate::problem::Problem;
use crate::search::Island;

/// Tries of an island between two looks at the watch, shared out by the number of jobs: about 5 ms.
const ROUND: u64 = 20_000;
/// Rounds after which the islands tell each other their best.
const TELL_EVERY: u64 = 64;
/// Rounds after which the dear bound is worked out, if the cheap one has not met the value.
const BOUND_AFTER: u64 = 8;
/// Tries that suit a problem: so many a job, within limits.
const TRIES_PER_JOB: u64 = 150;
const FEWEST_TRIES: u64 = 2_000;
const MOST_TRIES: u64 = 60_000;

/// A schedule, the list behind it, and how good it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// The list that decodes to it with [`Solved::releases`].
    pub list: Vec<usize>,
    /// Starts by job.
    pub starts: Vec<u32>,
    /// Release of each job, those held back for a gap included.
    pub releases: Vec<u32>,
    /// Gaps that it leaves too long.
    pub too_long: Vec<TooLong>,
    /// End, bound, standing; the unit is the problem's unit of time.
    pub outcome: Outcome,
}

/// The best schedule found with the budget; the same for the same problem, lists, effort, seed and number of threads.
///
/// `lists` are orders known to be good, each of every job after all that it waits for; others are passed over. Where a gap cannot
/// be kept, the outcome is [`Standing::Impossible`] if that is certain and [`Solved::too_long`] says which and by how much.
#[must_use]
pub fn solve(problem: &Problem, lists: &[Vec<usize>], budget: &Budget, seed: Seed, threads: u16) -> Solved {
    if problem.gaps.is_empty()
        && let Some((list, starts)) = plain::solve(problem)
    {
        let value = f64::from(problem.end(&starts));
        return solved(problem, (list, starts), outcome(Standing::Proven, value, value, 1));
    }
    let islands = u64::from(threads.max(1));
    let sized = (problem.jobs.len() as u64 * TRIES_PER_JOB).clamp(FEWEST_TRIES, MOST_TRIES);
    let each = budget.effort.tries(sized).div_ceil(islands);
    let mut search = Search {
        problem,
        islands: (0..islands).map(|i| Island::new(problem, Dice::new(seed.0, i), each)).collect(),
        bound: bound::quick(problem),
        stopped: false,
    };
    for list in lists.iter().filter(|l| problem.allows(l)) {
        search.islands.iter_mut().for_each(|i| i.welcome(list));
    }
    search.run(each, budget);
    search.finish()
}

fn outcome(standing: Standing, value: f64, bound: f64, effort: u64) -> Outcome {
    Outcome { standing, value, bound, unit: "time".into(), effort }
}

fn solved(problem: &Problem, (list, starts): (Vec<usize>, Vec<u32>), outcome: Outcome) -> Solved {
    let releases = problem.jobs.iter().map(|j| j.release).collect();
    Solved { list, starts, releases, too_long: Vec::new(), outcome }
}

struct Search<'p> {
    problem: &'p Problem,
    islands: Vec<Island<'p>>,
    bound: u32,
    stopped: bool,
}

impl Search<'_> {
    fn run(&mut self, each: u64, budget: &Budget) {
        let jobs = self.problem.jobs.len() as u64;
        let round = (ROUND / jobs.max(1)).clamp(1, ROUND);
        let (mut done, mut rounds) = (0, 0);
        while done < each {
            let tries = round.min(each - done);
            self.round(tries);
            done += tries;
            rounds += 1;
            let best = self.best();
            budget.watch.progress(&format!("best {best}"), done as f64 / each as f64);
            if rounds == BOUND_AFTER && self.bound < best {
                self.bound = bound::best(self.problem, best);
            }
            if best <= self.bound {
                return;
            }
            if rounds % TELL_EVERY == 0 {
                self.tell();
            }
            if budget.watch.stop() {
                self.stopped = done < each;
                return;
            }
        }
    }

    fn round(&mut self, tries: u64) {
        let Some((first, others)) = self.islands.split_first_mut() else { return };
        if others.is_empty() {
            first.run(tries);
            return;
        }
        std::thread::scope(|scope| {
            for island in others {
                scope.spawn(move || island.run(tries));
            }
            first.run(tries);
        });
    }

    fn best(&self) -> u32 {
        self.islands.iter().map(|i| i.best.end).min().unwrap_or(0)
    }

    /// Every island takes in the best of its neighbour.
    fn tell(&mut self) {
        let bests: Vec<Vec<usize>> = self.islands.iter().map(|i| i.best.list.clone()).collect();
        let count = bests.len();
        if count > 1 {
            for (at, island) in self.islands.iter_mut().enumerate() {
                island.welcome(&bests[(at + 1) % count]);
            }
        }
    }

    fn finish(self) -> Solved {
        let effort = self.islands.iter().map(|i| i.tries).sum();
        let best = self.islands.iter().map(|i| &i.best).min_by_key(|b| b.rank());
        let Some(best) = best.filter(|_| effort > 0) else {
            let list = self.problem.sorted().to_vec();
            let starts = crate::decode::decode(self.problem, &list);
            return self.judged(list, starts, 0);
        };
        self.judged(best.list.clone(), best.starts.clone(), effort)
    }

    fn judged(&self, list: Vec<usize>, starts: Vec<u32>, effort: u64) -> Solved {
        let problem = self.problem;
        if !problem.gaps.is_empty() {
            return self.repaired(&list, effort);
        }
        let value = problem.end(&starts);
        let outcome =
            outcome(self.standing(value), f64::from(value), f64::from(self.bound.min(value)), effort);
        solved(problem, (list, starts), outcome)
    }

    fn standing(&self, value: u32) -> Standing {
        match (value <= self.bound, self.stopped) {
            (true, _) => Standing::Proven,
            (false, false) => Standing::Found,
            (false, true) => Standing::Stopped,
        }
    }

    /// The best repair over all lists at hand.
    fn repaired(&self, best: &Vec<usize>, effort: u64) -> Solved {
        let problem = self.problem;
        let members = self.islands.iter().flat_map(Island::lists);
        let repaired = core::iter::once(best).chain(members).map(|list| gaps::repair(problem, list));
        let excess = |r: &gaps::Repaired| r.too_long.iter().map(|t| u64::from(t.by)).sum::<u64>();
        let rank = |r: &gaps::Repaired| (excess(r), problem.end(&r.starts));
        let found = repaired.reduce(|a, b| if rank(&b) < rank(&a) { b } else { a });
        let found = found.unwrap_or_else(|| gaps::repair(problem, best));
        let value = problem.end(&found.starts);
        let hopeless = !found.too_long.is_empty() && !gaps::hopeless(problem).is_empty();
        let standing = match (hopeless, found.too_long.is_empty()) {
            (true, _) => Standing::Impossible,
            (false, true) => self.standing(value),
            (false, false) => Standing::Found,
        };
        let outcome = outcome(standing, f64::from(value), f64::from(self.bound.min(value)), effort);
        let gaps::Repaired { list, starts, releases, too_long } = found;
        Solved { list, starts, releases, too_long, outcome }
    }
}
