//! What is free of each resource at each time, and the earliest time at which a job fits.
//!
//! Free amounts are kept in lanes of sixteen bits of one word, the top bit of each lane kept clear. A demand fits where
//! `(free | TOP) - demand` keeps all top bits: one subtraction compares all resources at once.
//!
//! Two forms with the same answers: [`Dense`] has a word for each unit of time, for short projects in coarse units; [`Sparse`] has one for
//! each change, for long projects in fine units.

use crate::problem::ScheduleProblem;

/// The top bit of each lane.
const TOP: u64 = 0x8000_8000_8000_8000;

/// Amounts of all resources in one word.
pub(crate) fn pack_lanes(amounts: &[u32]) -> u64 {
    amounts.iter().enumerate().fold(0, |word, (k, amount)| word | (u64::from(*amount) << (16 * k)))
}

fn lanes_fit(free: u64, demand: u64) -> bool {
    ((free | TOP) - demand) & TOP == TOP
}

/// What is free when.
pub(crate) trait ResourceTimeline {
    /// Everything free for ever.
    fn clear(&mut self);
    /// The first time from `from` on at which a job fits; it is taken.
    fn place_earliest(&mut self, from: u32, duration: u32, demand: u64) -> u32;
}

/// A word for each unit of time.
#[derive(Debug, Clone)]
pub(crate) struct DenseTimeline {
    free: Vec<u64>,
    /// From here on all is free.
    top: usize,
    all: u64,
}

impl DenseTimeline {
    pub(crate) fn new(problem: &ScheduleProblem) -> Self {
        Self { free: Vec::new(), top: 0, all: pack_lanes(&problem.capacity) }
    }
}

impl ResourceTimeline for DenseTimeline {
    fn clear(&mut self) {
        let top = self.top;
        self.free[..top].fill(self.all);
        self.top = 0;
    }

    fn place_earliest(&mut self, from: u32, duration: u32, demand: u64) -> u32 {
        if duration == 0 || demand == 0 {
            return from;
        }
        let length = duration as usize;
        let mut start = from as usize;
        // What clashes last in the window says where the next one may begin; up to there nothing need be asked again.
        let mut asked = start;
        'window: loop {
            let end = (start + length).min(self.top.max(start));
            let mut at = end;
            while at > asked {
                at -= 1;
                if !lanes_fit(self.free[at], demand) {
                    start = at + 1;
                    asked = start.max(end);
                    if start >= self.top {
                        break 'window;
                    }
                    continue 'window;
                }
            }
            break;
        }
        let end = start + length;
        if self.free.len() < end {
            self.free.resize(end + 64, self.all);
        }
        self.free[start..end].iter_mut().for_each(|f| *f -= demand);
        self.top = self.top.max(end);
        start as u32
    }
}

/// A word for each change: what is free from its time to the next one's.
#[derive(Debug, Clone)]
pub(crate) struct SparseTimeline {
    changes: Vec<(u32, u64)>,
    all: u64,
}

impl SparseTimeline {
    pub(crate) fn new(problem: &ScheduleProblem) -> Self {
        let all = pack_lanes(&problem.capacity);
        Self { changes: vec![(0, all)], all }
    }

    /// The position of a change at a time, made if there is none.
    fn split_at(&mut self, time: u32) -> usize {
        let at = self.changes.partition_point(|(t, _)| *t < time);
        if self.changes.get(at).is_none_or(|(t, _)| *t != time) {
            let before = self.changes[at - 1].1;
            self.changes.insert(at, (time, before));
        }
        at
    }
}

impl ResourceTimeline for SparseTimeline {
    fn clear(&mut self) {
        self.changes.clear();
        self.changes.push((0, self.all));
    }

    fn place_earliest(&mut self, from: u32, duration: u32, demand: u64) -> u32 {
        if duration == 0 || demand == 0 {
            return from;
        }
        let mut start = from;
        let mut at = self.changes.partition_point(|(t, _)| *t <= from) - 1;
        while let Some((time, free)) = self.changes.get(at) {
            if *time >= start + duration {
                break;
            }
            at += 1;
            if !lanes_fit(*free, demand) {
                start = self.changes[at].0;
            }
        }
        let first = self.split_at(start);
        let last = self.split_at(start + duration);
        self.changes[first..last].iter_mut().for_each(|(_, free)| *free -= demand);
        start
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dice::ScheduleDice;

    fn problem() -> ScheduleProblem {
        ScheduleProblem::new(Vec::new(), vec![5, 1, 9], Vec::new(), Vec::new()).expect("no jobs fit anywhere")
    }

    #[test]
    fn a_lane_does_not_borrow_from_its_neighbour() {
        assert!(lanes_fit(pack_lanes(&[0, 3]), pack_lanes(&[0, 3])));
        assert!(!lanes_fit(pack_lanes(&[0, 3]), pack_lanes(&[1, 0])));
        assert!(!lanes_fit(pack_lanes(&[0x7FFF, 0]), pack_lanes(&[0, 1])));
    }

    #[test]
    fn both_forms_place_alike_and_as_asking_every_time_does() {
        let problem = problem();
        let mut dice = ScheduleDice::new(7, 0);
        for _ in 0..200 {
            let (mut dense, mut sparse) = (DenseTimeline::new(&problem), SparseTimeline::new(&problem));
            let mut plain = vec![[5_u32, 1, 9]; 400];
            for _ in 0..30 {
                let demand = [dice.below(6) as u32, dice.below(2) as u32, dice.below(10) as u32];
                let (from, duration) = (dice.below(40) as u32, dice.below(9) as u32);
                let word = pack_lanes(&demand);
                let a = dense.place_earliest(from, duration, word);
                let b = sparse.place_earliest(from, duration, word);
                let window = |s: u32| s as usize..(s + duration) as usize;
                let free = |s: &u32| plain[window(*s)].iter().all(|f| (0..3).all(|k| f[k] >= demand[k]));
                let first = (from..).find(free).expect("the end is free");
                assert_eq!((a, b), (first, first));
                plain[window(first)].iter_mut().for_each(|f| (0..3).for_each(|k| f[k] -= demand[k]));
            }
            dense.clear();
            sparse.clear();
            assert_eq!(dense.place_earliest(0, 3, pack_lanes(&[5])), 0);
            assert_eq!(sparse.place_earliest(0, 3, pack_lanes(&[5])), 0);
        }
    }
}
