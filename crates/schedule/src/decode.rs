//! Serial schedule generation and justification.
//!
//! Forward: each job of the list in turn starts as early as its lags, its release and the resources let it. Backward: the same on
//! time turned round, lags the other way. A schedule whose jobs are taken by falling end, packed backward, then by rising start,
//! packed forward, never ends later than before (Valls, Ballestín and Quintanilla 2005).

use crate::problem::ScheduleProblem;
use crate::timeline::{DenseTimeline, ResourceTimeline, SparseTimeline, pack_lanes};

/// Up to this time there is a word for each unit of it (assumption, from trials: a pass over it stays in the nearest cache).
const MAX_DENSE_TIME: u32 = 4096;

/// Room to decode lists of one problem, kept between calls.
#[derive(Debug, Clone)]
pub struct ScheduleDecoder<'p> {
    problem: &'p ScheduleProblem,
    demand: Vec<u64>,
    line: TimelineForm,
}

#[derive(Debug, Clone)]
enum TimelineForm {
    Dense(DenseTimeline),
    Sparse(SparseTimeline),
}

impl<'p> ScheduleDecoder<'p> {
    /// Room for a problem.
    #[must_use]
    pub fn new(problem: &'p ScheduleProblem) -> Self {
        let demand = problem.jobs.iter().map(|j| pack_lanes(&j.demand)).collect();
        let line = if problem.horizon <= MAX_DENSE_TIME {
            TimelineForm::Dense(DenseTimeline::new(problem))
        } else {
            TimelineForm::Sparse(SparseTimeline::new(problem))
        };
        Self { problem, demand, line }
    }

    /// The starts of a list that respects the lags; gives the end.
    pub fn decode_forward(&mut self, list: &[usize], starts: &mut [u32]) -> u32 {
        match &mut self.line {
            TimelineForm::Dense(line) => place_forward(self.problem, &self.demand, line, list, starts),
            TimelineForm::Sparse(line) => place_forward(self.problem, &self.demand, line, list, starts),
        }
    }

    /// Each job's end counted back from the end of time, for a list that respects the lags backward.
    fn decode_backward(&mut self, list: &[usize], ends: &mut [u32]) -> u32 {
        match &mut self.line {
            TimelineForm::Dense(line) => place_backward(self.problem, &self.demand, line, list, ends),
            TimelineForm::Sparse(line) => place_backward(self.problem, &self.demand, line, list, ends),
        }
    }

    /// Decodes a list, justifies the schedule to the right and to the left, and puts the list into the order of the
    /// starts; gives the end. `spare` is room for as many jobs.
    pub fn justify_list(&mut self, list: &mut [usize], starts: &mut [u32], spare: &mut [u32]) -> u32 {
        let end = self.decode_forward(list, starts);
        let ends = |j: &usize, starts: &[u32]| starts[*j] + self.problem.jobs[*j].duration;
        // Stable sorts: jobs of no duration stay on their side of those that they wait for.
        list.reverse();
        list.sort_by_key(|j| core::cmp::Reverse(ends(j, starts)));
        self.decode_backward(list, spare);
        let start = |j: &usize, spare: &[u32]| core::cmp::Reverse(spare[*j] + self.problem.jobs[*j].duration);
        list.reverse();
        list.sort_by_key(|j| start(j, spare));
        let justified = self.decode_forward(list, starts);
        debug_assert!(justified <= end, "justification never ends later");
        list.sort_by_key(|j| starts[*j]);
        justified
    }
}

fn place_forward(
    problem: &ScheduleProblem,
    demand: &[u64],
    line: &mut impl ResourceTimeline,
    list: &[usize],
    starts: &mut [u32],
) -> u32 {
    line.clear();
    let mut end = 0;
    for job in list.iter().copied() {
        let it = &problem.jobs[job];
        let ends = |n: &crate::problem::LagNeighbour| {
            starts[n.job as usize] + problem.jobs[n.job as usize].duration + n.wait
        };
        let from = problem.before(job).iter().map(ends).fold(it.release, u32::max);
        let start = line.place_earliest(from, it.duration, demand[job]);
        starts[job] = start;
        end = end.max(start + it.duration);
    }
    end
}

fn place_backward(
    problem: &ScheduleProblem,
    demand: &[u64],
    line: &mut impl ResourceTimeline,
    list: &[usize],
    ends: &mut [u32],
) -> u32 {
    line.clear();
    let mut end = 0;
    for job in list.iter().copied() {
        let it = &problem.jobs[job];
        let starts = |n: &crate::problem::LagNeighbour| {
            ends[n.job as usize] + problem.jobs[n.job as usize].duration + n.wait
        };
        let from = problem.after(job).iter().map(starts).fold(0, u32::max);
        ends[job] = line.place_earliest(from, it.duration, demand[job]);
        end = end.max(ends[job] + it.duration);
    }
    end
}

/// The starts of a list that respects the lags.
#[must_use]
pub fn decode_list(problem: &ScheduleProblem, list: &[usize]) -> Vec<u32> {
    let mut starts = vec![0; problem.jobs.len()];
    ScheduleDecoder::new(problem).decode_forward(list, &mut starts);
    starts
}
