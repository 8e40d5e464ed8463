//! How few switches there can be: from the number of tools, and from what two neighbours in the order share.
//!
//! # Question
//! Below which number can no order and no loading come?
//!
//! # Method
//! * Every tool in use is put on at least once: `tools − places` switches.
//! * Between job `a` and the next job `b`, the cart holds all of `a` and at most `places − |a|` other tools, so at least
//!   `d(a, b) = |a ∪ b| − places` are put on (0 if negative). No order is shorter than the shortest path through all jobs.
//!   Up to [`FEW`] jobs that path is found exactly by dynamic programming over the sets of jobs; beyond, a least spanning tree
//!   with penalties on the jobs that it meets too often or too seldom stands in: every path is a spanning tree in which all
//!   jobs have two neighbours but the ends, which have one.
//!
//! # Worked example
//! Three places, jobs {1, 2, 3}, {3, 4, 5}, {5, 6, 1}: any two hold five tools, so each change costs 2: 4 switches. By count of
//! tools: 6 − 3 = 3.
//!
//! # Sources
//! The pair bound: C. S. Tang, E. V. Denardo, Operations Research 36 (1988) 767-777; Y. Crama, A. W. J. Kolen, A. G. Oerlemans,
//! F. C. R. Spieksma, International Journal of Flexible Manufacturing Systems 6 (1994) 33-54. Dynamic programming and the
//! penalised tree: M. Held, R. M. Karp, SIAM Journal 10 (1962) 196-210 and Operations Research 18 (1970) 1138-1162.

// symbol: penalties = switches added to every link of a job
// symbol: step = how much a penalty changes, in switches

use crate::jobs::CartJobs;

/// Up to this many jobs the shortest path is exact.
pub(crate) const MAX_PATH_JOBS: usize = 16;
/// Rounds in which the penalties are corrected.
const ROUNDS: usize = 400;
/// How much smaller the correction becomes from round to round.
const SHRINK: f64 = 0.985;

/// Switches that no order and no loading can avoid.
#[must_use]
pub fn switch_bound(jobs: &CartJobs) -> usize {
    let by_count = jobs.used().saturating_sub(jobs.places());
    let links = JobLinks::new(jobs);
    let by_path = if jobs.count() <= MAX_PATH_JOBS {
        JobPaths::new(&links).shortest_path()
    } else {
        tree_bound(&links)
    };
    by_count.max(by_path as usize)
}

/// `d(a, b)` for every pair of jobs.
#[derive(Debug, Clone)]
pub(crate) struct JobLinks {
    pub count: usize,
    at: Vec<u32>,
}

impl JobLinks {
    pub(crate) fn new(jobs: &CartJobs) -> Self {
        let count = jobs.count();
        let pair = |a: usize, b: usize| {
            let shared = jobs.needs(a).iter().filter(|t| jobs.needs(b).binary_search(t).is_ok()).count();
            (jobs.needs(a).len() + jobs.needs(b).len() - shared).saturating_sub(jobs.places()) as u32
        };
        let at = (0..count * count).map(|i| pair(i / count, i % count)).collect();
        Self { count, at }
    }

    pub(crate) fn switches_between(&self, a: usize, b: usize) -> u32 {
        self.at[a * self.count + b]
    }
}

/// The shortest path through every set of jobs from each of them; for few jobs.
#[derive(Debug, Clone)]
pub(crate) struct JobPaths {
    count: usize,
    from: Vec<u32>,
}

impl JobPaths {
    pub(crate) fn new(links: &JobLinks) -> Self {
        let count = links.count;
        let mut from = vec![u32::MAX; count << count];
        for set in 1_usize..1 << count {
            for job in jobs_in_set(set, count) {
                let rest = set & !(1 << job);
                let on = |next: usize| links.switches_between(job, next) + from[rest * count + next];
                from[set * count + job] = jobs_in_set(rest, count).map(on).min().unwrap_or(0);
            }
        }
        Self { count, from }
    }

    /// Shortest path through a set of jobs from one of them.
    pub(crate) fn shortest_from(&self, set: usize, job: usize) -> u32 {
        self.from[set * self.count + job]
    }

    fn shortest_path(&self) -> u32 {
        let all = (1 << self.count) - 1;
        (0..self.count).map(|j| self.shortest_from(all, j)).min().unwrap_or(0)
    }
}

/// The numbers of the bits that are set.
fn jobs_in_set(set: usize, count: usize) -> impl Iterator<Item = usize> {
    (0..count).filter(move |j| set >> j & 1 == 1)
}

/// The penalised least spanning tree, at its best over all rounds, rounded up.
///
/// A dummy job with free links to all closes the path to a ring: its two links go to the jobs with the least penalties.
fn tree_bound(links: &JobLinks) -> u32 {
    let mut penalties = vec![0.0; links.count];
    let mut best: f64 = 0.0;
    let mut step = (0..links.count).map(|j| f64::from(links.switches_between(0, j))).fold(1.0, f64::max);
    for _ in 0..ROUNDS {
        let (weight, mut degrees) = least_tree(links, &penalties);
        let mut by_penalty: Vec<usize> = (0..links.count).collect();
        by_penalty.sort_by(|a, b| penalties[*a].total_cmp(&penalties[*b]));
        let ends = &by_penalty[..2.min(links.count)];
        ends.iter().for_each(|j| degrees[*j] += 1);
        let closing: f64 = ends.iter().map(|j| penalties[*j]).sum();
        best = best.max(weight + closing - 2.0 * penalties.iter().sum::<f64>());
        let far: f64 = degrees.iter().map(|d| (f64::from(*d) - 2.0) * (f64::from(*d) - 2.0)).sum();
        if far == 0.0 {
            break;
        }
        for (penalty, degree) in penalties.iter_mut().zip(&degrees) {
            *penalty += step * (f64::from(*degree) - 2.0) / far;
        }
        step *= SHRINK;
    }
    units::math::ceil(best - 1.0e-6) as u32
}

/// Weight and degrees of the least spanning tree with penalties on both ends of each link.
fn least_tree(links: &JobLinks, penalties: &[f64]) -> (f64, Vec<u32>) {
    let count = links.count;
    let mut degrees = vec![0; count];
    let mut near: Vec<(f64, usize)> = vec![(f64::INFINITY, 0); count];
    let mut is_in = vec![false; count];
    let mut sum = 0.0;
    let mut newest = 0;
    for _ in 1..count {
        is_in[newest] = true;
        for job in (0..count).filter(|j| !is_in[*j]) {
            let weight = f64::from(links.switches_between(newest, job)) + penalties[newest] + penalties[job];
            if weight < near[job].0 {
                near[job] = (weight, newest);
            }
        }
        let outside = (0..count).filter(|j| !is_in[*j]);
        let Some(next) = outside.min_by(|a, b| near[*a].0.total_cmp(&near[*b].0)) else { break };
        sum += near[next].0;
        degrees[next] += 1;
        degrees[near[next].1] += 1;
        newest = next;
    }
    (sum, degrees)
}
