//! The problem in the solver's own form: jobs with their neighbours by lag, checked once.

/// Most resources of a problem: their free amounts are kept in one machine word.
pub const MOST_RESOURCES: usize = 4;
/// Greatest amount of a resource: fifteen bits and one to spare.
const MOST_AMOUNT: u32 = 0x7FFF;
/// Latest time that is counted to.
const MOST_TIME: u64 = 1 << 30;

/// A piece of work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// How long it takes.
    pub duration: u32,
    /// It does not start before.
    pub release: u32,
    /// How much of each resource it holds while it runs.
    pub demand: Vec<u32>,
}

/// A job does not start before another has ended and a wait is over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lag {
    /// The job that ends.
    pub from: usize,
    /// The job that waits.
    pub to: usize,
    /// The time between; 0 for a plain precedence.
    pub wait: u32,
}

/// A job starts no later than a time after another has ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Gap {
    /// The job that ends.
    pub from: usize,
    /// The job that has to start soon after.
    pub to: usize,
    /// The longest time between.
    pub most: u32,
}

/// Why there is no such problem.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    /// More than [`MOST_RESOURCES`].
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

impl core::fmt::Display for Fault {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::TooManyResources(count) => {
                write!(f, "{count} resources, at most {MOST_RESOURCES} are counted")
            }
            Self::TooMuch { resource } => {
                write!(f, "resource {resource} has more than {MOST_AMOUNT} units")
            }
            Self::NeverFits { job } => write!(f, "job {job} asks for more than there is"),
            Self::NoSuchJob { job } => write!(f, "there is no other job {job}"),
            Self::Circle(jobs) => write!(f, "jobs {jobs:?} wait for each other"),
            Self::TooLong => f.write_str("times are too long to be counted"),
        }
    }
}

impl core::error::Error for Fault {}

/// A neighbour by a lag.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Near {
    pub job: u32,
    pub wait: u32,
}

/// Jobs, resources, lags and gaps.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    pub(crate) jobs: Vec<Job>,
    pub(crate) capacity: Vec<u32>,
    pub(crate) lags: Vec<Lag>,
    pub(crate) gaps: Vec<Gap>,
    before: Vec<Vec<Near>>,
    after: Vec<Vec<Near>>,
    sorted: Vec<usize>,
    pub(crate) horizon: u32,
}

impl Problem {
    /// Checks the parts and puts them together.
    ///
    /// # Errors
    /// [`Fault`] with what does not fit.
    pub fn new(jobs: Vec<Job>, capacity: Vec<u32>, lags: Vec<Lag>, gaps: Vec<Gap>) -> Result<Self, Fault> {
        amounts(&jobs, &capacity)?;
        let ends = lags.iter().map(|l| (l.from, l.to)).chain(gaps.iter().map(|g| (g.from, g.to)));
        for (from, to) in ends {
            if let Some(job) = [from, to].into_iter().find(|j| *j >= jobs.len() || from == to) {
                return Err(Fault::NoSuchJob { job });
            }
        }
        let horizon = horizon(&jobs, &lags)?;
        let mut before = vec![Vec::new(); jobs.len()];
        let mut after = vec![Vec::new(); jobs.len()];
        for lag in &lags {
            before[lag.to].push(Near { job: lag.from as u32, wait: lag.wait });
            after[lag.from].push(Near { job: lag.to as u32, wait: lag.wait });
        }
        let sorted = sorted(&before, &after)?;
        Ok(Self { jobs, capacity, lags, gaps, before, after, sorted, horizon })
    }

    /// The jobs.
    #[must_use]
    pub fn jobs(&self) -> &[Job] {
        &self.jobs
    }

    /// How much of each resource there is.
    #[must_use]
    pub fn capacity(&self) -> &[u32] {
        &self.capacity
    }

    /// Lags.
    #[must_use]
    pub fn lags(&self) -> &[Lag] {
        &self.lags
    }

    /// Gaps.
    #[must_use]
    pub fn gaps(&self) -> &[Gap] {
        &self.gaps
    }

    /// The jobs in an order that respects the lags.
    #[must_use]
    pub fn sorted(&self) -> &[usize] {
        &self.sorted
    }

    pub(crate) fn before(&self, job: usize) -> &[Near] {
        &self.before[job]
    }

    pub(crate) fn after(&self, job: usize) -> &[Near] {
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
    pub fn end(&self, starts: &[u32]) -> u32 {
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

fn amounts(jobs: &[Job], capacity: &[u32]) -> Result<(), Fault> {
    if capacity.len() > MOST_RESOURCES {
        return Err(Fault::TooManyResources(capacity.len()));
    }
    if let Some(resource) = capacity.iter().position(|c| *c > MOST_AMOUNT) {
        return Err(Fault::TooMuch { resource });
    }
    let fits =
        |job: &Job| job.demand.iter().enumerate().all(|(k, u)| *u <= capacity.get(k).copied().unwrap_or(0));
    jobs.iter().position(|j| !fits(j)).map_or(Ok(()), |job| Err(Fault::NeverFits { job }))
}

/// A time by which everything can be over: the latest release, then one job after another with every wait.
fn horizon(jobs: &[Job], lags: &[Lag]) -> Result<u32, Fault> {
    let release = jobs.iter().map(|j| u64::from(j.release)).max().unwrap_or(0);
    let work: u64 = jobs.iter().map(|j| u64::from(j.duration)).sum();
    let waits: u64 = lags.iter().map(|l| u64::from(l.wait)).sum();
    let all = release + work + waits;
    if all > MOST_TIME { Err(Fault::TooLong) } else { Ok(all as u32) }
}

fn sorted(before: &[Vec<Near>], after: &[Vec<Near>]) -> Result<Vec<usize>, Fault> {
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
    Err(Fault::Circle((0..before.len()).filter(|j| waits[*j] > 0).collect()))
}
