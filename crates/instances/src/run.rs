//! What every run takes and gives: settings, a clock that stops a search, and an answer with its judge's words.
//!
//! A module of a kind has one door, `pub fn run(name, text, settings) -> Result<Answer, String>` (closure takes two
//! texts). It reads the text with [`crate::words::Words`], starts a [`Clock`], solves with `clock.budget(settings)`,
//! has `check::published` judge the answer, and fills an [`Answer`]. A solver that tells its progress as `best 1288`
//! (see [`Clock`]) has the time of its best answer kept for it.
//!
//! symbol: value, bound, until = counts what the instance counts

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use effort::{Budget, Effort, Seed, Standing, Watch};
use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::cpu;

/// What a run may spend.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Seconds of the wall clock after which the search is stopped.
    pub seconds: f64,
    /// The seed of all random choices.
    pub seed: u64,
    /// Threads the solver may use.
    pub threads: u16,
    /// Tries in the solver's own count, for a run that can be repeated; none: as much as the seconds allow.
    pub effort: Option<u64>,
    /// A value that is known to be best: the clock stops a search that has told of it.
    pub until: Option<f64>,
}

impl Settings {
    /// The seed as the solvers take it.
    pub const fn seed(&self) -> Seed {
        Seed(self.seed)
    }

    /// The effort as the solvers take it: the tries asked for, else without end, so that the clock decides.
    pub const fn effort(&self) -> Effort {
        Effort::Tries(match self.effort {
            Some(tries) => tries,
            None => u64::MAX,
        })
    }
}

/// Which way an objective points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sense {
    /// The smaller the better.
    Least,
    /// The greater the better.
    Most,
}

/// One instance solved once.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Answer {
    /// `sop`, `ssp`, `scp`, `closure` or `rcpsp`.
    pub kind: String,
    /// Name of the instance, without folder and ending.
    pub name: String,
    /// Which way the objective points.
    pub sense: Sense,
    /// Value of the best answer.
    pub value: f64,
    /// No answer is better than this.
    pub bound: f64,
    /// How sure the answer is.
    pub standing: Standing,
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

impl Answer {
    /// Distance between value and bound as a share of the value; 0 when proven.
    pub fn gap_fraction(&self) -> f64 {
        let apart = match self.sense {
            Sense::Least => self.value - self.bound,
            Sense::Most => self.bound - self.value,
        };
        if self.standing == Standing::Proven || apart <= 0.0 || self.value == 0.0 {
            return 0.0;
        }
        apart / self.value.abs()
    }
}

/// The clock of one run. It stops a search when the seconds are up, and keeps when the best answer came: whenever a
/// solver tells its progress by a text that opens with `best ` and differs from the last such text.
#[derive(Debug)]
pub struct Clock {
    start: Instant,
    start_cpu_s: f64,
    limit: Duration,
    until: Option<f64>,
    reached: AtomicBool,
    best: Mutex<(String, Duration)>,
}

/// What the clock read at the end of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Times {
    /// Seconds from the start to the best answer.
    pub best_at_s: f64,
    /// Seconds of the whole run.
    pub seconds: f64,
    /// Processor seconds of the whole run.
    pub cpu_s: f64,
}

impl Clock {
    /// Starts to run.
    pub fn start(settings: &Settings) -> Self {
        // Ten years stand for no limit; `from_secs_f64` would panic on what no `Duration` holds.
        let limit = Duration::try_from_secs_f64(settings.seconds).unwrap_or(Duration::from_hours(87_600));
        let best = Mutex::new((String::new(), Duration::ZERO));
        let start_cpu_s = cpu::seconds();
        let reached = AtomicBool::new(false);
        Self { start: Instant::now(), start_cpu_s, limit, until: settings.until, reached, best }
    }

    /// The budget of the settings, watched by this clock.
    pub fn budget(&self, settings: &Settings) -> Budget<'_> {
        Budget { effort: settings.effort(), watch: self }
    }

    /// Notes that a better answer has just come.
    pub fn better(&self, text: &str) {
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
    pub fn seconds(&self) -> f64 {
        self.start.elapsed().as_secs_f64()
    }

    /// What the clock reads now; where no solver told of a better answer, the best came at the end.
    pub fn times(&self) -> Times {
        let seconds = self.seconds();
        let best = self.best.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let best_at_s = if best.0.is_empty() { seconds } else { best.1.as_secs_f64() };
        Times { best_at_s, seconds, cpu_s: cpu::seconds() - self.start_cpu_s }
    }
}

impl Watch for Clock {
    fn stop(&self) -> bool {
        self.reached.load(Ordering::Relaxed) || self.start.elapsed() >= self.limit
    }

    fn progress(&self, doing: &str, _done_fraction: f64) {
        if doing.starts_with("best ") {
            self.better(doing);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settings(seconds: f64) -> Settings {
        Settings { seconds, seed: 1, threads: 1, effort: None, until: None }
    }

    #[test]
    fn the_clock_stops_at_its_limit_and_not_before() {
        assert!(Clock::start(&settings(0.0)).stop());
        assert!(!Clock::start(&settings(60.0)).stop());
        assert!(!Clock::start(&settings(f64::INFINITY)).stop());
    }

    #[test]
    fn a_value_known_to_be_best_stops_the_clock() {
        let clock = Clock::start(&Settings { until: Some(7.0), ..settings(60.0) });
        clock.progress("best 8", 0.1);
        assert!(!clock.stop());
        clock.progress("best 7", 0.2);
        assert!(clock.stop());
    }

    #[test]
    fn the_time_of_the_best_is_that_of_its_first_telling() {
        let clock = Clock::start(&settings(60.0));
        clock.progress("best 7", 0.1);
        let first = clock.times().best_at_s;
        std::thread::sleep(Duration::from_millis(3));
        clock.progress("best 7", 0.2);
        clock.progress("beam", 0.3);
        assert_eq!(clock.times().best_at_s, first);
        clock.progress("best 6", 0.4);
        assert!(clock.times().best_at_s >= first + 0.003);
    }
}
