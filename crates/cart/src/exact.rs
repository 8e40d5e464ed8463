//! Every beginning of an order, level by level, less those that another makes needless: proof for a dozen jobs or so.
//!
//! # Method
//! Level `k` holds the beginnings of `k` jobs. Of two with the same jobs, one goes when [`Chain::loss_against`] says that it
//! can never catch up. A beginning also goes when its loads and a bound on the rest do not undercut the best order known. The
//! bound on the rest is the larger of two: the tools still wanted less the most that can be kept; and the next job's loads
//! with the shortest path through the remaining jobs ([`crate::bound()`]). Without precedence an order and its reverse cost the
//! same, so job 0 may be asked to lie in the first half.
//!
//! When all levels were worked out in full, the best order known is proven best. When a level grows beyond what the effort
//! allows, the method gives up and says so; it never cuts a level and goes on.

use effort::SolverWatch;

use crate::bound::{JobLinks, JobPaths};
use crate::chain::KeepableTools;
use crate::jobs::CartJobs;
use crate::set::ToolBits;
use crate::tape::JobNeeds;

/// More jobs are not tried: the paths through every set of them would not fit.
pub(crate) const MAX_JOBS_PROVEN: usize = crate::bound::MAX_PATH_JOBS;
/// Maximum number of beginnings of one level.
const MAX_LEVEL_WIDTH: usize = 400_000;
/// Beginnings between two looks at the watch.
const WATCH_EVERY: usize = 4096;

/// How the search ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum ProofEnd {
    /// No order has fewer loads than this one.
    Better(Vec<u16>),
    /// No order has fewer loads than the best known before.
    NoneBetter,
    /// It would have taken too long.
    GaveUp,
}

/// A beginning of an order.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct JobBeginning<const W: usize> {
    jobs: u32,
    loads: u32,
    chain: KeepableTools<W>,
    parent: u32,
    job: u16,
}

/// The best order with fewer loads than `known`, if there is one; `effort` counts beginnings.
pub(crate) fn search_levels<const W: usize>(
    jobs: &CartJobs,
    known: u32,
    watch: &dyn SolverWatch,
    effort: &mut u64,
) -> ProofEnd {
    if jobs.count() > MAX_JOBS_PROVEN {
        return ProofEnd::GaveUp;
    }
    let room = ProofTables::<W>::new(jobs);
    let mut levels: Vec<Vec<(u32, u16)>> = Vec::new();
    let mut level =
        vec![JobBeginning { jobs: 0, loads: 0, chain: KeepableTools::empty(), parent: 0, job: 0 }];
    for done in 1..=jobs.count() {
        watch.report_progress("proving the order", done as f64 / jobs.count() as f64);
        let Some(next) = room.next_level(&level, done, known, watch) else { return ProofEnd::GaveUp };
        *effort += next.len() as u64;
        level = next;
        if level.is_empty() {
            return ProofEnd::NoneBetter;
        }
        levels.push(level.iter().map(|b| (b.parent, b.job)).collect());
    }
    ProofEnd::Better(trace_back_jobs(&levels))
}

/// The order that leads to the first beginning of the last level.
fn trace_back_jobs(levels: &[Vec<(u32, u16)>]) -> Vec<u16> {
    let mut at = 0;
    let mut order = Vec::with_capacity(levels.len());
    for level in levels.iter().rev() {
        let (parent, job) = level[at];
        order.push(job);
        at = parent as usize;
    }
    order.reverse();
    order
}

/// What is worked out once.
struct ProofTables<'a, const W: usize> {
    jobs: &'a CartJobs,
    needs: JobNeeds<W>,
    links: JobLinks,
    paths: JobPaths,
    before: Vec<u32>,
    /// Tools that each set of jobs needs.
    union: Vec<ToolBits<W>>,
}

impl<'a, const W: usize> ProofTables<'a, W> {
    fn new(jobs: &'a CartJobs) -> Self {
        let needs = JobNeeds::new(jobs);
        let links = JobLinks::new(jobs);
        let mut union = vec![ToolBits::EMPTY; 1 << jobs.count()];
        for set in 1..union.len() {
            union[set] = union[set & (set - 1)].or(needs.sets[set.trailing_zeros() as usize]);
        }
        let bits = |job| jobs.before(job).iter().fold(0, |set, b| set | 1 << b);
        let before = (0..jobs.count()).map(bits).collect();
        Self { jobs, paths: JobPaths::new(&links), needs, links, before, union }
    }

    fn all_jobs(&self) -> u32 {
        (1 << self.jobs.count()) - 1
    }

    /// The next level, sorted by jobs and loads and without what is needless; none where it grows too wide.
    fn next_level(
        &self,
        level: &[JobBeginning<W>],
        done: usize,
        known: u32,
        watch: &dyn SolverWatch,
    ) -> Option<Vec<JobBeginning<W>>> {
        let mut all = Vec::new();
        for (parent, begun) in level.iter().enumerate() {
            if parent.is_multiple_of(WATCH_EVERY) && watch.should_stop() {
                return None;
            }
            let children =
                (0..self.jobs.count()).filter_map(|job| self.child_with(begun, parent, job, known));
            all.extend(children.filter(|c| !self.is_mirrored(c.jobs, done)));
            if all.len() > MAX_LEVEL_WIDTH * 8 {
                all = drop_needless_beginnings(all);
            }
            if all.len() > MAX_LEVEL_WIDTH * 4 {
                return None;
            }
        }
        let kept = drop_needless_beginnings(all);
        (kept.len() <= MAX_LEVEL_WIDTH).then_some(kept)
    }

    /// Whether the reverse of every order that begins so is looked at elsewhere.
    fn is_mirrored(&self, jobs: u32, done: usize) -> bool {
        self.jobs.is_free() && done == self.jobs.count().div_ceil(2) && jobs & 1 == 0
    }

    fn child_with(
        &self,
        begun: &JobBeginning<W>,
        parent: usize,
        job: usize,
        known: u32,
    ) -> Option<JobBeginning<W>> {
        let bit = 1 << job;
        if begun.jobs & bit != 0 || self.before[job] & !begun.jobs != 0 {
            return None;
        }
        let jobs = begun.jobs | bit;
        let rest = self.all_jobs() & !jobs;
        let later = self.union[rest as usize];
        let (chain, put_on) = begun.chain.with_job(self.needs.sets[job], self.needs.places, later);
        let loads = begun.loads + put_on;
        let kept = chain.keepable_count(later);
        let by_count = loads + later.count() - kept;
        let full = loads.max(self.needs.places);
        let by_path = full + self.path_switches(job, rest);
        (by_count.max(by_path) < known).then_some(JobBeginning {
            jobs,
            loads,
            chain,
            parent: parent as u32,
            job: job as u16,
        })
    }

    /// Switches that the rest costs after a job.
    fn path_switches(&self, job: usize, rest: u32) -> u32 {
        let next = (0..self.jobs.count()).filter(|n| rest >> n & 1 == 1);
        next.map(|n| self.links.switches_between(job, n) + self.paths.shortest_from(rest as usize, n))
            .min()
            .unwrap_or(0)
    }
}

/// Sorted, and of each set of jobs only those that none makes needless.
fn drop_needless_beginnings<const W: usize>(mut all: Vec<JobBeginning<W>>) -> Vec<JobBeginning<W>> {
    all.sort_unstable();
    let mut kept: Vec<JobBeginning<W>> = Vec::new();
    let mut first = 0;
    for begun in all {
        if kept.get(first).is_some_and(|k| k.jobs != begun.jobs) {
            first = kept.len();
        }
        let is_needless = |k: &JobBeginning<W>| k.loads + k.chain.loss_against(&begun.chain) <= begun.loads;
        if !kept[first..].iter().any(is_needless) {
            kept.push(begun);
        }
    }
    kept
}
