//! What every run takes and gives: settings, a clock that stops a search, and an answer with its judge's words.
//!
//! A module of a kind has one door, `pub fn run(name, text, settings) -> Result<Answer, String>` (closure takes two
//! texts). It reads the text with [`crate::words::FileWordReader`], starts a [`RunClock`], solves with `clock.budget(settings)`,
//! has `judge::published` judge the answer, and fills an [`InstanceAnswer`]. A solver that reports its progress as `best 1288`
//! (see [`RunClock`]) has the time of its best answer kept for it.
//!
//! symbol: value, bound, until = counts what the instance counts

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use effort::{RandomSeed, SolverBudget, SolverEffort, SolverStanding, SolverWatch};
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::cpu;

/// What a run may spend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InstanceSettings {
    /// Seconds of the wall clock after which the search is stopped.
    pub seconds: f64,
    /// The seed of all random choices.
    pub seed: u64,
    /// Threads the solver may use.
    pub threads: u16,
    /// Tries in the solver's own count, for a run that can be repeated; none: as much as the seconds allow.
    pub effort: Option<u64>,
    /// A value that is known to be best: the clock stops a search that has reported it.
    pub until: Option<f64>,
}

impl InstanceSettings {
    /// The seed as the solvers take it.
    pub const fn seed(&self) -> RandomSeed {
        RandomSeed(self.seed)
    }

    /// The effort as the solvers take it: the tries asked for, otherwise unlimited, so that the clock decides.
    pub const fn effort(&self) -> SolverEffort {
        SolverEffort::Tries(match self.effort {
            Some(tries) => tries,
            None => u64::MAX,
        })
    }
}

/// Which way an objective points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ObjectiveSense {
    /// The smaller the better.
    Least,
    /// The greater the better.
    Most,
}

/// One instance solved once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct InstanceAnswer {
    /// `sop`, `ssp`, `scp`, `closure` or `rcpsp`.
    pub kind: String,
    /// Name of the instance, without folder and ending.
    pub name: String,
    /// Which way the objective points.
    pub sense: ObjectiveSense,
    /// Value of the best answer.
    pub value: f64,
    /// No answer is better than this.
    pub bound: f64,
    /// How sure the answer is.
    pub standing: SolverStanding,
    /// Work done, in the solver's own count.
    pub effort: u64,
    /// Seconds from the start to the best answer.
    pub best_at_s: f64,
    /// Seconds of the whole run.
    pub seconds: f64,
    /// Processor seconds of the whole run, over all threads.
    pub cpu_s: f64,
    /// The answer itself, in the words of the published format.
    pub solution: Value,
    /// What the judge found wrong; empty when the answer holds.
    pub verdict: Vec<String>,
}

impl InstanceAnswer {
    /// Distance between value and bound as a share of the value; 0 when proven.
    pub fn gap_fraction(&self) -> f64 {
        let apart = match self.sense {
            ObjectiveSense::Least => self.value - self.bound,
            ObjectiveSense::Most => self.bound - self.value,
        };
        if self.standing == SolverStanding::Proven || apart <= 0.0 || self.value == 0.0 {
            return 0.0;
        }
        apart / self.value.abs()
    }
}

/// The clock of one run. It stops a search when the seconds are up, and keeps when the best answer came: whenever a
/// solver reports its progress by a text that begins with `best ` and differs from the last such text.
#[derive(Debug)]
pub struct RunClock {
    start: Instant,
    start_cpu_s: f64,
    limit: Duration,
    until: Option<f64>,
    reached: AtomicBool,
    best: Mutex<(String, Duration)>,
}

/// What the clock read at the end of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunTimes {
    /// Seconds from the start to the best answer.
    pub best_at_s: f64,
    /// Seconds of the whole run.
    pub seconds: f64,
    /// Processor seconds of the whole run.
    pub cpu_s: f64,
}

impl RunClock {
    /// Starts to run.
    pub fn start(settings: &InstanceSettings) -> Self {
        // Ten years mean no limit; `from_secs_f64` would panic on what no `Duration` holds.
        let limit = Duration::try_from_secs_f64(settings.seconds).unwrap_or(Duration::from_hours(87_600));
        let best = Mutex::new((String::new(), Duration::ZERO));
        let start_cpu_s = cpu::processor_seconds();
        let reached = AtomicBool::new(false);
        Self { start: Instant::now(), start_cpu_s, limit, until: settings.until, reached, best }
    }

    /// The budget of the settings, watched by this clock.
    pub fn budget(&self, settings: &InstanceSettings) -> SolverBudget<'_> {
        SolverBudget { effort: settings.effort(), watch: self }
    }

    /// Notes that a better answer has just come.
    pub fn note_better(&self, text: &str) {
        let now = self.start.elapsed();
        let value = text.rsplit(' ').next().and_then(|word| word.parse::<f64>().ok());
        if value.is_some() && value == self.until {
            self.reached.store(true, Ordering::Relaxed);
        }
        let mut best = self.best.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if best.0 != text {
            *best = (text.to_owned(), now);
        }
    }

    /// Seconds since the start.
    pub fn elapsed_seconds(&self) -> f64 {
        self.start.elapsed().as_secs_f64()
    }

    /// What the clock reads now; where no solver reported a better answer, the best came at the end.
    pub fn read_times(&self) -> RunTimes {
        let seconds = self.elapsed_seconds();
        let best = self.best.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let best_at_s = if best.0.is_empty() { seconds } else { best.1.as_secs_f64() };
        RunTimes { best_at_s, seconds, cpu_s: cpu::processor_seconds() - self.start_cpu_s }
    }
}

impl SolverWatch for RunClock {
    fn should_stop(&self) -> bool {
        self.reached.load(Ordering::Relaxed) || self.start.elapsed() >= self.limit
    }

    fn report_progress(&self, doing: &str, _done_fraction: f64) {
        if doing.starts_with("best ") {
            self.note_better(doing);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settings(seconds: f64) -> InstanceSettings {
        InstanceSettings { seconds, seed: 1, threads: 1, effort: None, until: None }
    }

    #[test]
    fn the_clock_stops_at_its_limit_and_not_before() {
        assert!(RunClock::start(&settings(0.0)).should_stop());
        assert!(!RunClock::start(&settings(60.0)).should_stop());
        assert!(!RunClock::start(&settings(f64::INFINITY)).should_stop());
    }

    #[test]
    fn a_value_known_to_be_best_stops_the_clock() {
        let clock = RunClock::start(&InstanceSettings { until: Some(7.0), ..settings(60.0) });
        clock.report_progress("best 8", 0.1);
        assert!(!clock.should_stop());
        clock.report_progress("best 7", 0.2);
        assert!(clock.should_stop());
    }

    #[test]
    fn the_time_of_the_best_is_that_of_its_first_telling() {
        let clock = RunClock::start(&settings(60.0));
        clock.report_progress("best 7", 0.1);
        let first = clock.read_times().best_at_s;
        std::thread::sleep(Duration::from_millis(3));
        clock.report_progress("best 7", 0.2);
        clock.report_progress("beam", 0.3);
        assert_eq!(clock.read_times().best_at_s, first);
        clock.report_progress("best 6", 0.4);
        assert!(clock.read_times().best_at_s >= first + 0.003);
    }
}
