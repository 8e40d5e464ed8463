//! Which jobs come before which, as the search needs it.

use crate::jobs::CartJobs;

/// The direct precedence, in both directions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct JobPrecedence {
    before: Vec<Vec<u16>>,
    is_free: bool,
}

impl JobPrecedence {
    pub(crate) fn new(jobs: &CartJobs) -> Self {
        let before = (0..jobs.count()).map(|j| jobs.before(j).to_vec()).collect();
        Self { before, is_free: jobs.is_free() }
    }

    /// Whether no job of the stretch comes before one that has to come first.
    pub(crate) fn allows(&self, order: &[u16], first: usize, last: usize) -> bool {
        self.is_free
            || (first..last).all(|at| {
                let before = &self.before[usize::from(order[at])];
                before.is_empty()
                    || !order[at + 1..=last].iter().any(|later| before.binary_search(later).is_ok())
            })
    }

    /// An order, each job drawn from those that may come next by `draw`, which gives a number below its argument.
    pub(crate) fn random_order(&self, mut draw: impl FnMut(usize) -> usize) -> Vec<u16> {
        let mut waits: Vec<usize> = self.before.iter().map(Vec::len).collect();
        let mut after = vec![Vec::new(); waits.len()];
        for (job, before) in self.before.iter().enumerate() {
            for first in before {
                after[usize::from(*first)].push(job as u16);
            }
        }
        let mut ready: Vec<u16> = (0..waits.len()).filter(|j| waits[*j] == 0).map(|j| j as u16).collect();
        let mut order = Vec::with_capacity(waits.len());
        while !ready.is_empty() {
            let job = ready.swap_remove(draw(ready.len()));
            order.push(job);
            for next in &after[usize::from(job)] {
                waits[usize::from(*next)] -= 1;
                if waits[usize::from(*next)] == 0 {
                    ready.push(*next);
                }
            }
        }
        order
    }
}
