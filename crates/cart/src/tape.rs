//! How many tools have to be put on for an order of jobs, counted while the order grows job by job.
//!
//! # Question
//! For a fixed order, how many times at the least is a tool put on the cart? The keep-tool-needed-soonest rule answers it by
//! looking ahead; the search needs the answer for orders that grow, branch and share their beginning, without looking ahead.
//!
//! # Method
//! A tool needed at positions `s < e` and not between is *kept* or put on again. Keeping it takes one place at each position
//! between. So the fewest loads are the needs less the most stretches `(s, e)` that can be kept, where position `k` has
//! `free[k] = places − needs` places to spare: stretches are taken by rising end and, for one end, by falling start, while
//! every position between has a place free. That is the greedy rule for packing intervals on a line and gives the same count
//! as keep-tool-needed-soonest. Once a position is full, no stretch can pass it any more: it is a *barrier* and everything
//! used last before it is forgotten, which keeps the work of one job short.
//!
//! The tools are held by the position of their last use, as sets; the stretches that end at a job from one start are then
//! counted by one meeting of two sets.
//!
//! # Worked example
//! Two places, jobs {1}, {2}, {3}, {1, 2}: position 1 and 2 can each spare one place. At the last job, the stretch of 2 (from
//! position 1) passes position 2 and fills it; that of 1 would pass it too and is refused. Loads 5 − 1 = 4.
//!
//! # Sources
//! C. S. Tang, E. V. Denardo, "Models arising from a flexible manufacturing machine, part I", Operations Research 36 (1988)
//! 767-777 (keep tool needed soonest). The view of kept stretches as pipes and the greedy rule by rising end: M. Cherniavskii,
//! B. Goldengorin, "An almost linear time complexity algorithm for the tool loading problem", 2022.

use crate::jobs::{CartJobs, MAX_TOOLS};
use crate::set::ToolBits;

/// The jobs' needs as sets.
#[derive(Debug, Clone)]
pub(crate) struct JobNeeds<const W: usize> {
    pub sets: Vec<ToolBits<W>>,
    pub places: u32,
    pub used: u32,
}

impl<const W: usize> JobNeeds<W> {
    pub(crate) fn new(jobs: &CartJobs) -> Self {
        let sets = (0..jobs.count()).map(|j| ToolBits::of_tools(jobs.needs(j))).collect();
        Self { sets, places: jobs.places().min(jobs.used()) as u32, used: jobs.used() as u32 }
    }
}

/// A beginning of an order and what it costs.
#[derive(Debug, Clone)]
pub(crate) struct LoadTape<const W: usize> {
    /// Tools whose last use is at each position.
    last: Vec<ToolBits<W>>,
    /// Places to spare at each position.
    free: Vec<u32>,
    /// Stretches taken from each start for the end being processed.
    taken: Vec<u32>,
    /// Tools that could still be kept.
    alive: ToolBits<W>,
    /// Tools that were ever on.
    seen: ToolBits<W>,
    /// Latest position without a place to spare.
    barrier: usize,
    loads: u32,
    len: usize,
}

impl<const W: usize> LoadTape<W> {
    /// Room for `count` jobs.
    pub(crate) fn new(count: usize) -> Self {
        Self {
            last: vec![ToolBits::EMPTY; count],
            free: vec![0; count],
            taken: vec![0; count],
            alive: ToolBits::EMPTY,
            seen: ToolBits::EMPTY,
            barrier: 0,
            loads: 0,
            len: 0,
        }
    }

    /// Tools put on so far.
    pub(crate) fn loads(&self) -> u32 {
        self.loads
    }

    /// Tools put on so far and those that have to come at least once.
    pub(crate) fn least_loads(&self, needs: &JobNeeds<W>) -> u32 {
        self.loads + needs.used - self.seen.count()
    }

    /// Becomes the same beginning as the other.
    pub(crate) fn copy_beginning(&mut self, other: &Self) {
        let part = other.barrier..other.len;
        self.last[part.clone()].copy_from_slice(&other.last[part.clone()]);
        self.free[part.clone()].copy_from_slice(&other.free[part]);
        (self.alive, self.seen) = (other.alive, other.seen);
        (self.barrier, self.loads, self.len) = (other.barrier, other.loads, other.len);
    }

    /// Goes on with a job.
    #[inline]
    pub(crate) fn push(&mut self, needs: &JobNeeds<W>, job: u16) {
        let tools = needs.sets[usize::from(job)];
        let end = self.len;
        let size = tools.count();
        self.loads += size;
        let mut hits = tools.and(self.alive);
        if !hits.is_empty() {
            let beside = hits.and(self.last[end - 1]);
            self.loads -= beside.count();
            self.last[end - 1] = self.last[end - 1].and_not(beside);
            hits = hits.and_not(beside);
            if !hits.is_empty() && end >= 2 {
                self.keep_tools(hits, end);
            }
        }
        self.last[end] = tools;
        self.free[end] = needs.places - size;
        self.alive = self.alive.or(tools);
        self.seen = self.seen.or(tools);
        self.len += 1;
        if self.free[end] == 0 {
            self.stop_at(end);
        }
    }

    /// Takes the stretches that end here, nearest start first, while there is a place.
    #[inline]
    fn keep_tools(&mut self, mut hits: ToolBits<W>, end: usize) {
        let mut spare = u32::MAX;
        let mut start = end - 1;
        while start > self.barrier && !hits.is_empty() {
            start -= 1;
            spare = spare.min(self.free[start + 1]);
            if spare == 0 {
                start += 1;
                break;
            }
            let here = hits.and(self.last[start]);
            let taken = here.count().min(spare);
            self.taken[start] = taken;
            spare -= taken;
            self.loads -= taken;
            self.last[start] = self.last[start].and_not(here);
            hits = hits.and_not(here);
        }
        self.pass_stretches(start, end);
    }

    /// Fills the positions that the taken stretches pass.
    #[inline]
    fn pass_stretches(&mut self, first: usize, end: usize) {
        let mut passing = 0;
        let mut full = None;
        for k in first..end - 1 {
            passing += self.taken[k];
            self.free[k + 1] -= passing;
            if self.free[k + 1] == 0 {
                full = Some(k + 1);
            }
        }
        if let Some(at) = full {
            self.stop_at(at);
        }
    }

    /// Forgets what was used last before a full position.
    #[inline]
    fn stop_at(&mut self, at: usize) {
        for k in self.barrier..at {
            self.alive = self.alive.and_not(self.last[k]);
        }
        self.barrier = self.barrier.max(at);
    }
}

/// The fewest switches that an order can be loaded with.
#[must_use]
pub fn fewest_switches(jobs: &CartJobs, order: &[usize]) -> usize {
    let wide = |words: usize| jobs.tool_range() <= 64 * words;
    let loads =
        if wide(1) { count_loads::<1>(jobs, order) } else { count_loads::<{ MAX_TOOLS / 64 }>(jobs, order) };
    jobs.switches_of_loads(loads as usize)
}

fn count_loads<const W: usize>(jobs: &CartJobs, order: &[usize]) -> u32 {
    let needs = JobNeeds::<W>::new(jobs);
    let mut tape = LoadTape::new(order.len());
    for job in order {
        tape.push(&needs, *job as u16);
    }
    tape.loads()
}
