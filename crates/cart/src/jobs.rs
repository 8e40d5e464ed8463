//! The problem: jobs with the tools they need, a cart with a number of places, and which job goes before which.

use core::fmt;

/// Maximum number of tools that the solver takes.
pub const MAX_TOOLS: usize = 1024;

/// Why a problem cannot be posed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CartJobsError {
    /// A job needs more tools than the cart has places.
    TooFewPlaces {
        /// The job.
        job: usize,
        /// How many tools it needs.
        needs: usize,
    },
    /// A tool has a number that is not below [`MAX_TOOLS`].
    TooManyTools(u16),
    /// More jobs than 65,535.
    TooManyJobs(usize),
    /// A pair names a job that does not exist.
    NoSuchJob(usize),
    /// Some jobs wait for each other in a circle; one of them.
    Circle(usize),
}

impl fmt::Display for CartJobsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewPlaces { job, needs } => {
                write!(f, "job {job} needs {needs} tools, more than the cart has places")
            }
            Self::TooManyTools(tool) => {
                write!(f, "tool number {tool} is too large; numbers are below {MAX_TOOLS}")
            }
            Self::TooManyJobs(count) => write!(f, "there are {count} jobs; at most 65,535 are supported"),
            Self::NoSuchJob(job) => write!(f, "there is no job {job}"),
            Self::Circle(job) => write!(f, "job {job} is part of a circle of precedences, or follows one"),
        }
    }
}

impl core::error::Error for CartJobsError {}

/// Jobs, places and precedence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CartJobs {
    needs: Vec<Vec<u16>>,
    places: usize,
    before: Vec<Vec<u16>>,
    used: usize,
}

impl CartJobs {
    /// The problem from the tools of each job and pairs (before, after).
    ///
    /// # Errors
    /// [`CartJobsError`] where a job does not fit the cart, a number is out of range or the pairs close a circle.
    pub fn new(needs: Vec<Vec<u16>>, places: usize, pairs: &[(usize, usize)]) -> Result<Self, CartJobsError> {
        let count = needs.len();
        if count > usize::from(u16::MAX) {
            return Err(CartJobsError::TooManyJobs(count));
        }
        let needs: Vec<Vec<u16>> = needs.into_iter().map(sort_tools).collect();
        if let Some(job) = (0..count).find(|j| needs[*j].len() > places) {
            return Err(CartJobsError::TooFewPlaces { job, needs: needs[job].len() });
        }
        let used = sort_tools(needs.concat());
        if let Some(tool) = used.last().filter(|t| usize::from(**t) >= MAX_TOOLS) {
            return Err(CartJobsError::TooManyTools(*tool));
        }
        let jobs = Self { places, before: direct_predecessors(count, pairs)?, used: used.len(), needs };
        jobs.some_order()?;
        Ok(jobs)
    }

    /// Number of jobs.
    #[must_use]
    pub const fn count(&self) -> usize {
        self.needs.len()
    }

    /// The tools that a job needs, rising.
    #[must_use]
    pub fn needs(&self, job: usize) -> &[u16] {
        &self.needs[job]
    }

    /// Places on the cart.
    #[must_use]
    pub const fn places(&self) -> usize {
        self.places
    }

    /// Number of tools that any job needs.
    #[must_use]
    pub const fn used(&self) -> usize {
        self.used
    }

    /// One more than the highest number of a tool.
    pub(crate) fn tool_range(&self) -> usize {
        self.needs.iter().filter_map(|n| n.last()).max().map_or(0, |t| usize::from(*t) + 1)
    }

    /// The jobs that come directly before a job.
    #[must_use]
    pub fn before(&self, job: usize) -> &[u16] {
        &self.before[job]
    }

    /// Whether no job has to come before another.
    #[must_use]
    pub fn is_free(&self) -> bool {
        self.before.iter().all(Vec::is_empty)
    }

    /// Whether an order holds every job once and none before one that has to come first.
    #[must_use]
    pub fn allows(&self, order: &[usize]) -> bool {
        let mut done = vec![false; self.count()];
        for job in order {
            if done.get(*job) != Some(&false) || !self.before[*job].iter().all(|b| done[usize::from(*b)]) {
                return false;
            }
            done[*job] = true;
        }
        order.len() == self.count()
    }

    /// Tools put on after the first full loading, where a given number are put on in all.
    pub(crate) fn switches_of_loads(&self, loads: usize) -> usize {
        loads - self.places.min(self.used)
    }

    /// Some of the jobs alone; for jobs without precedence.
    pub(crate) fn only_jobs(&self, some: &[usize]) -> Self {
        let needs: Vec<Vec<u16>> = some.iter().map(|j| self.needs[*j].clone()).collect();
        let used = sort_tools(needs.concat()).len();
        Self { before: vec![Vec::new(); needs.len()], needs, used, places: self.places }
    }

    /// The first order that precedence allows, lowest job first.
    fn some_order(&self) -> Result<Vec<usize>, CartJobsError> {
        let mut order = Vec::with_capacity(self.count());
        let mut done = vec![false; self.count()];
        while order.len() < self.count() {
            let is_ready = |j: &usize| !done[*j] && self.before[*j].iter().all(|b| done[usize::from(*b)]);
            let ready: Vec<usize> = (0..self.count()).filter(is_ready).collect();
            if ready.is_empty() {
                let stuck = (0..self.count()).find(|j| !done[*j]);
                return Err(CartJobsError::Circle(stuck.unwrap_or_default()));
            }
            for job in ready {
                done[job] = true;
                order.push(job);
            }
        }
        Ok(order)
    }
}

fn sort_tools(mut tools: Vec<u16>) -> Vec<u16> {
    tools.sort_unstable();
    tools.dedup();
    tools
}

fn direct_predecessors(count: usize, pairs: &[(usize, usize)]) -> Result<Vec<Vec<u16>>, CartJobsError> {
    let mut before = vec![Vec::new(); count];
    for (first, then) in pairs {
        let missing = [*first, *then].into_iter().find(|j| *j >= count);
        if let Some(job) = missing {
            return Err(CartJobsError::NoSuchJob(job));
        }
        before[*then].push(*first as u16);
    }
    Ok(before.into_iter().map(sort_tools).collect())
}
