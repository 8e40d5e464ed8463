//! The problem in the solver's own form: jobs with their neighbours by lag, checked once.

/// Maximum number of resources of a problem: their free amounts are kept in one machine word.
pub const MAX_RESOURCES: usize = 4;
/// Greatest amount of a resource: fifteen bits and one to spare.
const MAX_AMOUNT: u32 = 0x7FFF;
/// Latest time that is counted to.
const MAX_TIME: u64 = 1 << 30;

/// A piece of work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScheduleJob {
    /// How long it takes.
    pub duration: u32,
    /// It does not start before.
    pub release: u32,
    /// How much of each resource it holds while it runs.
    pub demand: Vec<u32>,
}

/// A job does not start before another has ended and a wait is over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct ScheduleLag {
    /// The job that ends.
    pub from: usize,
    /// The job that waits.
    pub to: usize,
    /// The time between; 0 for a plain precedence.
    pub wait: u32,
}

/// A job starts no later than a time after another has ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct MaxTimeLag {
    /// The job that ends.
    pub from: usize,
    /// The job that has to start soon after.
    pub to: usize,
    /// The longest time between.
    pub most: u32,
}

/// Why there is no such problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ScheduleError {
    /// More than [`MAX_RESOURCES`].
    TooManyResources(usize),
    /// A resource with more units than are counted.
    TooMuch {
        /// Position of the resource.
        resource: usize,
    },
    /// A job that asks for more than there is, or for a resource that is not there.
    NeverFits {
        /// Position of the job.
        job: usize,
    },
    /// A lag or a gap between jobs that are not there, or of a job with itself.
    NoSuchJob {
        /// The position that is meant.
        job: usize,
    },
    /// Jobs that wait for each other in a circle.
    Circle(Vec<usize>),
    /// Times beyond what is counted to.
    TooLong,
}

impl core::fmt::Display for ScheduleError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::TooManyResources(count) => {
                write!(f, "there are {count} resources; at most {MAX_RESOURCES} are supported")
            }
            Self::TooMuch { resource } => {
                write!(f, "resource {resource} has more than {MAX_AMOUNT} units")
            }
            Self::NeverFits { job } => write!(f, "job {job} needs more of a resource than exists"),
            Self::NoSuchJob { job } => {
                write!(f, "a lag names job {job}, which does not exist or is the job itself")
            }
            Self::Circle(jobs) => write!(f, "jobs {jobs:?} form a circle of lags, or follow one"),
            Self::TooLong => f.write_str("the times are too long to be added up"),
        }
    }
}

impl core::error::Error for ScheduleError {}

/// A neighbour by a lag.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct LagNeighbour {
    pub job: u32,
    pub wait: u32,
}

/// Jobs, resources, lags and gaps.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScheduleProblem {
    pub(crate) jobs: Vec<ScheduleJob>,
    pub(crate) capacity: Vec<u32>,
    pub(crate) lags: Vec<ScheduleLag>,
    pub(crate) gaps: Vec<MaxTimeLag>,
    before: Vec<Vec<LagNeighbour>>,
    after: Vec<Vec<LagNeighbour>>,
    sorted: Vec<usize>,
    pub(crate) horizon: u32,
}

impl ScheduleProblem {
    /// Checks the parts and puts them together.
    ///
    /// # Errors
    /// [`ScheduleError`] with what does not fit.
    pub fn new(
        jobs: Vec<ScheduleJob>,
        capacity: Vec<u32>,
        lags: Vec<ScheduleLag>,
        gaps: Vec<MaxTimeLag>,
    ) -> Result<Self, ScheduleError> {
        check_amounts(&jobs, &capacity)?;
        let ends = lags.iter().map(|l| (l.from, l.to)).chain(gaps.iter().map(|g| (g.from, g.to)));
        for (from, to) in ends {
            if let Some(job) = [from, to].into_iter().find(|j| *j >= jobs.len() || from == to) {
                return Err(ScheduleError::NoSuchJob { job });
            }
        }
        let horizon = time_horizon(&jobs, &lags)?;
        let mut before = vec![Vec::new(); jobs.len()];
        let mut after = vec![Vec::new(); jobs.len()];
        for lag in &lags {
            before[lag.to].push(LagNeighbour { job: lag.from as u32, wait: lag.wait });
            after[lag.from].push(LagNeighbour { job: lag.to as u32, wait: lag.wait });
        }
        let sorted = sort_by_lags(&before, &after)?;
        Ok(Self { jobs, capacity, lags, gaps, before, after, sorted, horizon })
    }

    /// The jobs.
    #[must_use]
    pub fn jobs(&self) -> &[ScheduleJob] {
        &self.jobs
    }

    /// How much of each resource there is.
    #[must_use]
    pub fn capacity(&self) -> &[u32] {
        &self.capacity
    }

    /// Lags.
    #[must_use]
    pub fn lags(&self) -> &[ScheduleLag] {
        &self.lags
    }

    /// Gaps.
    #[must_use]
    pub fn gaps(&self) -> &[MaxTimeLag] {
        &self.gaps
    }

    /// The jobs in an order that respects the lags.
    #[must_use]
    pub fn sorted_jobs(&self) -> &[usize] {
        &self.sorted
    }

    pub(crate) fn before(&self, job: usize) -> &[LagNeighbour] {
        &self.before[job]
    }

    pub(crate) fn after(&self, job: usize) -> &[LagNeighbour] {
        &self.after[job]
    }

    /// Whether a list holds every job once, each after all that it waits for.
    #[must_use]
    pub fn allows(&self, list: &[usize]) -> bool {
        let mut done = vec![false; self.jobs.len()];
        for job in list {
            let ready =
                done.get(*job) == Some(&false) && self.before[*job].iter().all(|n| done[n.job as usize]);
            if !ready {
                return false;
            }
            done[*job] = true;
        }
        list.len() == self.jobs.len()
    }

    /// The end of a schedule.
    #[must_use]
    pub fn end_of(&self, starts: &[u32]) -> u32 {
        starts.iter().zip(&self.jobs).map(|(s, j)| s + j.duration).max().unwrap_or(0)
    }

    /// The same problem without its gaps.
    pub(crate) fn with_releases(&self, releases: &[u32]) -> Self {
        let mut other = self.clone();
        other.jobs.iter_mut().zip(releases).for_each(|(job, release)| job.release = *release);
        other.gaps.clear();
        other.horizon = other.horizon.saturating_add(releases.iter().copied().max().unwrap_or(0));
        other
    }
}

fn check_amounts(jobs: &[ScheduleJob], capacity: &[u32]) -> Result<(), ScheduleError> {
    if capacity.len() > MAX_RESOURCES {
        return Err(ScheduleError::TooManyResources(capacity.len()));
    }
    if let Some(resource) = capacity.iter().position(|c| *c > MAX_AMOUNT) {
        return Err(ScheduleError::TooMuch { resource });
    }
    let fits = |job: &ScheduleJob| {
        job.demand.iter().enumerate().all(|(k, u)| *u <= capacity.get(k).copied().unwrap_or(0))
    };
    jobs.iter().position(|j| !fits(j)).map_or(Ok(()), |job| Err(ScheduleError::NeverFits { job }))
}

/// A time by which everything can be over: the latest release, then one job after another with every wait.
fn time_horizon(jobs: &[ScheduleJob], lags: &[ScheduleLag]) -> Result<u32, ScheduleError> {
    let release = jobs.iter().map(|j| u64::from(j.release)).max().unwrap_or(0);
    let work: u64 = jobs.iter().map(|j| u64::from(j.duration)).sum();
    let waits: u64 = lags.iter().map(|l| u64::from(l.wait)).sum();
    let all = release + work + waits;
    if all > MAX_TIME { Err(ScheduleError::TooLong) } else { Ok(all as u32) }
}

fn sort_by_lags(
    before: &[Vec<LagNeighbour>],
    after: &[Vec<LagNeighbour>],
) -> Result<Vec<usize>, ScheduleError> {
    let mut waits: Vec<usize> = before.iter().map(Vec::len).collect();
    let mut order: Vec<usize> = (0..before.len()).filter(|j| waits[*j] == 0).collect();
    let mut at = 0;
    while let Some(job) = order.get(at).copied() {
        at += 1;
        for next in &after[job] {
            let next = next.job as usize;
            waits[next] -= 1;
            if waits[next] == 0 {
                order.push(next);
            }
        }
    }
    if order.len() == before.len() {
        return Ok(order);
    }
    Err(ScheduleError::Circle((0..before.len()).filter(|j| waits[*j] > 0).collect()))
}
