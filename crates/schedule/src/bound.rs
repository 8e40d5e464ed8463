//! Bounds: no schedule is over before these.
//!
//! * **Chains.** The head `h_j` of a job is the longest chain of durations, lags and releases before it, its tail `q_j` the longest
//!   after it. No end is before `max h_j + d_j + q_j`.
//! * **Energy.** Jobs with `h ≥ a` and `q ≥ b` run after `a` and leave `b` behind them: `a + ⌈Σ d_j u_jk / R_k⌉ + b`.
//! * **Destruction.** Suppose that all is over at `T`. Each job then has a window `[h_j, T − q_j]`. If what must run inside some stretch
//!   of time takes more energy than the stretch holds, or what runs there in any case takes more than there is, or the windows
//!   close as they are tightened by that, `T` is impossible and `T + 1` is a bound. (Klein and Scholl 1999; Brucker and Knust.)
//!
//! symbol: h, q, a, b = times in the problem's unit

use crate::problem::ScheduleProblem;

/// Maximum number of rounds in which windows are tightened for one hypothesis (assumption: by then they have long stopped moving).
const MAX_TIGHTENING_ROUNDS: usize = 50;
/// Maximum number of jobs for which stretches of time are looked at: their number grows with the square (assumption).
const MAX_JOBS_FOR_DESTRUCTION: usize = 300;

/// Heads and tails by chains alone.
#[must_use]
pub fn heads_and_tails(problem: &ScheduleProblem) -> (Vec<u32>, Vec<u32>) {
    let count = problem.jobs.len();
    let mut heads: Vec<u32> = problem.jobs.iter().map(|j| j.release).collect();
    let mut tails = vec![0; count];
    for job in problem.sorted_jobs() {
        let done = heads[*job] + problem.jobs[*job].duration;
        for near in problem.after(*job) {
            let head = &mut heads[near.job as usize];
            *head = (*head).max(done + near.wait);
        }
    }
    for job in problem.sorted_jobs().iter().rev() {
        let rest = tails[*job] + problem.jobs[*job].duration;
        for near in problem.before(*job) {
            let tail = &mut tails[near.job as usize];
            *tail = (*tail).max(rest + near.wait);
        }
    }
    (heads, tails)
}

/// A bound by chains and energy, which takes no time to speak of.
#[must_use]
pub fn quick_bound(problem: &ScheduleProblem) -> u32 {
    let (heads, tails) = heads_and_tails(problem);
    let chain = |j: usize| heads[j] + problem.jobs[j].duration + tails[j];
    let longest = (0..problem.jobs.len()).map(chain).max().unwrap_or(0);
    (0..problem.capacity.len()).fold(longest, |bound, k| bound.max(energy_bound(problem, &heads, &tails, k)))
}

/// The energy bound of one resource.
fn energy_bound(problem: &ScheduleProblem, heads: &[u32], tails: &[u32], resource: usize) -> u32 {
    let capacity = u64::from(problem.capacity[resource]);
    if capacity == 0 {
        return 0;
    }
    let work =
        |j: &usize| u64::from(problem.jobs[*j].duration) * u64::from(demand_of_job(problem, *j, resource));
    let mut users: Vec<usize> = (0..problem.jobs.len()).filter(|j| work(j) > 0).collect();
    users.sort_by_key(|j| core::cmp::Reverse(tails[*j]));
    let mut from: Vec<u32> = users.iter().map(|j| heads[*j]).collect();
    from.sort_unstable();
    from.dedup();
    let mut best = 0;
    for a in from {
        let mut sum = 0;
        for job in users.iter().filter(|j| heads[**j] >= a) {
            sum += work(job);
            best = best.max(u64::from(a) + sum.div_ceil(capacity) + u64::from(tails[*job]));
        }
    }
    u32::try_from(best).unwrap_or(u32::MAX)
}

fn demand_of_job(problem: &ScheduleProblem, job: usize, resource: usize) -> u32 {
    problem.jobs[job].demand.get(resource).copied().unwrap_or(0)
}

/// The best bound up to `most`, the end of some schedule, by destruction from the quick bound on.
#[must_use]
pub fn destructive_bound(problem: &ScheduleProblem, most: u32) -> u32 {
    let mut bound = quick_bound(problem);
    if problem.jobs.len() > MAX_JOBS_FOR_DESTRUCTION {
        return bound.min(most);
    }
    let (heads, tails) = heads_and_tails(problem);
    // The windows only widen with the end: what is impossible at one end is so at every earlier one.
    let mut possible = most.min(problem.horizon).max(bound);
    while bound < possible {
        let middle = bound + (possible - bound) / 2;
        if is_impossible(problem, &heads, &tails, middle) {
            bound = middle + 1;
        } else {
            possible = middle;
        }
    }
    bound.min(most)
}

/// Whether nothing can be over at an end, as far as windows and energy can show.
fn is_impossible(problem: &ScheduleProblem, heads: &[u32], tails: &[u32], end: u32) -> bool {
    let Some(mut windows) = JobWindows::new(problem, heads, tails, end) else { return true };
    for _ in 0..MAX_TIGHTENING_ROUNDS {
        match windows.tighten_once() {
            None => return true,
            Some(false) => break,
            Some(true) => {}
        }
    }
    (0..problem.capacity.len()).any(|k| windows.is_overfull(k))
}

/// From when each job may run and by when it has to be over.
struct JobWindows<'p> {
    problem: &'p ScheduleProblem,
    from: Vec<u32>,
    until: Vec<u32>,
    end: u32,
}

impl<'p> JobWindows<'p> {
    fn new(problem: &'p ScheduleProblem, heads: &[u32], tails: &[u32], end: u32) -> Option<Self> {
        let until: Option<Vec<u32>> = tails.iter().map(|q| end.checked_sub(*q)).collect();
        let windows = Self { problem, from: heads.to_vec(), until: until?, end };
        let open = (0..heads.len()).all(|j| windows.from[j] + problem.jobs[j].duration <= windows.until[j]);
        open.then_some(windows)
    }

    /// One round over what must run in any case and over the lags; `None` when a window closes, else whether one moved.
    fn tighten_once(&mut self) -> Option<bool> {
        let mut moved = false;
        for resource in 0..self.problem.capacity.len() {
            moved |= self.move_past_certain(resource)?;
        }
        moved |= self.move_along_lags()?;
        Some(moved)
    }

    /// Moves windows past the times at which what runs in any case leaves too little.
    fn move_past_certain(&mut self, resource: usize) -> Option<bool> {
        let capacity = self.problem.capacity[resource];
        let mut certain = vec![0_u32; self.end as usize + 1];
        for job in 0..self.from.len() {
            for t in self.certain_times(job) {
                certain[t as usize] += demand_of_job(self.problem, job, resource);
            }
        }
        if certain.iter().any(|c| *c > capacity) {
            return None;
        }
        let mut moved = false;
        for job in 0..self.from.len() {
            let (it, need) = (&self.problem.jobs[job], demand_of_job(self.problem, job, resource));
            if need == 0 || it.duration == 0 {
                continue;
            }
            let own = self.certain_times(job);
            let clash = |t: &u32| !own.contains(t) && certain[*t as usize] + need > capacity;
            while let Some(t) = (self.from[job]..self.from[job] + it.duration).rev().find(clash) {
                (self.from[job], moved) = (t + 1, true);
                if self.from[job] + it.duration > self.until[job] {
                    return None;
                }
            }
            while let Some(t) = (self.until[job] - it.duration..self.until[job]).find(clash) {
                (self.until[job], moved) = (t, true);
                if self.from[job] + it.duration > self.until[job] {
                    return None;
                }
            }
        }
        Some(moved)
    }

    /// The times at which a job runs whenever it starts.
    fn certain_times(&self, job: usize) -> core::ops::Range<u32> {
        let duration = self.problem.jobs[job].duration;
        self.until[job] - duration..self.from[job] + duration
    }

    fn move_along_lags(&mut self) -> Option<bool> {
        let mut moved = false;
        for job in self.problem.sorted_jobs() {
            for near in self.problem.after(*job) {
                let from = self.from[*job] + self.problem.jobs[*job].duration + near.wait;
                let next = near.job as usize;
                moved |= from > self.from[next];
                self.from[next] = self.from[next].max(from);
            }
        }
        for job in self.problem.sorted_jobs().iter().rev() {
            for near in self.problem.before(*job) {
                let least = self.until[*job].checked_sub(self.problem.jobs[*job].duration + near.wait)?;
                let previous = near.job as usize;
                moved |= least < self.until[previous];
                self.until[previous] = self.until[previous].min(least);
            }
        }
        let fits =
            (0..self.from.len()).all(|j| self.from[j] + self.problem.jobs[j].duration <= self.until[j]);
        fits.then_some(moved)
    }

    /// Whether some stretch of time has to hold more energy of a resource than it can.
    fn is_overfull(&self, resource: usize) -> bool {
        let capacity = u64::from(self.problem.capacity[resource]);
        let users: Vec<usize> = (0..self.from.len())
            .filter(|j| demand_of_job(self.problem, *j, resource) > 0 && self.problem.jobs[*j].duration > 0)
            .collect();
        let mut lefts: Vec<u32> = users.iter().flat_map(|j| self.stretch_ends(*j).0).collect();
        let mut rights: Vec<u32> = users.iter().flat_map(|j| self.stretch_ends(*j).1).collect();
        for ends in [&mut lefts, &mut rights] {
            ends.sort_unstable();
            ends.dedup();
        }
        let inside = |left: u32, right: u32| -> u64 {
            let least = |j: &usize| u64::from(self.least_inside(*j, left, right));
            users.iter().map(|j| least(j) * u64::from(demand_of_job(self.problem, *j, resource))).sum()
        };
        let too_much = |left: &u32, right: &u32| {
            left < right && inside(*left, *right) > capacity * u64::from(right - left)
        };
        lefts.iter().any(|left| rights.iter().any(|right| too_much(left, right)))
    }

    /// Times at which a stretch may begin and end (Baptiste, Le Pape and Nuijten 2001, without the mixed ones).
    fn stretch_ends(&self, job: usize) -> ([u32; 2], [u32; 2]) {
        let duration = self.problem.jobs[job].duration;
        ([self.from[job], self.until[job] - duration], [self.until[job], self.from[job] + duration])
    }

    /// The least time that a job runs inside a stretch, wherever it is put.
    fn least_inside(&self, job: usize, left: u32, right: u32) -> u32 {
        let duration = self.problem.jobs[job].duration;
        let early = (self.from[job] + duration).min(right).saturating_sub(left.max(self.from[job]));
        let late_start = self.until[job] - duration;
        let late = self.until[job].min(right).saturating_sub(left.max(late_start));
        early.min(late).min(duration)
    }
}
