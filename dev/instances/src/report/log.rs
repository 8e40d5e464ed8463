//! The log of runs, a line of JSON each, so that a report that was interrupted goes on where it stopped.
//!
//! symbol: value, bound, load = in the unit of the instance; programs that wanted a processor

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::work::{ComparedSolver, RunJob};

/// What came of one run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunLogLine {
    /// Who solved.
    pub solver: ComparedSolver,
    /// Word of the kind.
    pub kind: String,
    /// Name of the instance.
    pub name: String,
    /// Seed.
    pub seed: u64,
    /// Seconds allowed.
    pub limit_s: f64,
    /// Threads or workers.
    pub threads: u16,
    /// Programs that wanted a processor in the minute before the end of the run.
    pub load: Option<f64>,
    /// The result, or why there is none.
    pub result: Result<RunResult, String>,
}

/// A result.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunResult {
    /// Best value; none where no answer was found in time.
    pub value: Option<f64>,
    /// Bound, where one is known.
    pub bound: Option<f64>,
    /// Whether the value is proven best.
    pub proven: bool,
    /// Seconds to the best answer.
    pub best_at_s: f64,
    /// Seconds in all.
    pub seconds: f64,
    /// Processor seconds in all.
    pub cpu_s: f64,
    /// Work in the solver's own count.
    pub effort: Option<u64>,
    /// What the judge found wrong.
    pub verdict: Vec<String>,
}

impl RunLogLine {
    /// Whether this is the run that a job asks for.
    pub fn answers_job(&self, job: &RunJob) -> bool {
        let same = (self.solver, self.seed, self.threads) == (job.solver, job.seed, job.threads);
        let named = self.kind == job.instance.kind.word() && self.name == job.instance.known.instance;
        same && named && (self.limit_s - job.seconds).abs() < 1e-9
    }
}

/// The log on disk with what it held when it was opened.
#[derive(Debug)]
pub struct RunLog {
    path: PathBuf,
    /// Lines so far.
    pub lines: Vec<RunLogLine>,
}

impl RunLog {
    /// Opens a log, or begins one. A last line that was cut off is dropped.
    ///
    /// # Errors
    /// A file that cannot be read or is no log.
    pub fn open(path: &Path, fresh: bool) -> Result<Self, String> {
        let told = |error: std::io::Error| format!("{}: {error}", path.display());
        if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
            fs::create_dir_all(folder).map_err(told)?;
        }
        let text = match fs::read_to_string(path) {
            _ if fresh => String::new(),
            Ok(text) => text,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => String::new(),
            Err(error) => return Err(told(error)),
        };
        let whole = text.rfind('\n').map_or("", |end| &text[..=end]);
        let mut lines = Vec::new();
        for (at, line) in whole.lines().enumerate() {
            let read = serde_json::from_str(line);
            lines.push(read.map_err(|error| format!("{}:{}: {error}", path.display(), at + 1))?);
        }
        if whole.len() != text.len() || fresh {
            fs::write(path, whole).map_err(told)?;
        }
        Ok(Self { path: path.to_owned(), lines })
    }

    /// Adds a line, on disk first.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub fn add_line(&mut self, line: RunLogLine) -> Result<(), String> {
        let told = |error: std::io::Error| format!("{}: {error}", self.path.display());
        let text = serde_json::to_string(&line).map_err(|error| error.to_string())?;
        let mut file = fs::OpenOptions::new().create(true).append(true).open(&self.path).map_err(told)?;
        file.write_all(format!("{text}\n").as_bytes()).map_err(told)?;
        self.lines.push(line);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(name: &str) -> RunLogLine {
        RunLogLine {
            solver: ComparedSolver::Ours,
            kind: "sop".into(),
            name: name.into(),
            seed: 1,
            limit_s: 2.5,
            threads: 2,
            load: None,
            result: Err("no such file".into()),
        }
    }

    #[test]
    fn a_log_goes_on_after_a_cut_off_line() {
        let path = std::env::temp_dir().join(format!("instances-log-{}.jsonl", std::process::id()));
        let mut log = RunLog::open(&path, true).expect("the folder can be written");
        log.add_line(line("a")).expect("it can be written");
        let whole = fs::read_to_string(&path).expect("just written");
        fs::write(&path, format!("{whole}{{\"solver\":\"ou")).expect("it can be written");
        let mut again = RunLog::open(&path, false).expect("the cut line is dropped");
        again.add_line(line("b")).expect("it can be written");
        let names: Vec<String> =
            RunLog::open(&path, false).expect("whole").lines.into_iter().map(|l| l.name).collect();
        assert_eq!(names, ["a", "b"]);
        fs::write(&path, "{}\n").expect("it can be written");
        assert!(RunLog::open(&path, false).expect_err("no line of ours").contains(":1: "));
        fs::remove_file(&path).expect("it is there");
    }
}
