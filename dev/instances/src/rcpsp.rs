//! The published form of the kind `rcpsp`: PSPLIB's `.sm`, read, solved, reported.
//!
//! A `.sm` file has a line `jobs (incl. supersource/sink ): n`, a table of the jobs' successors, a table of durations and
//! demands, and a line of what is available; stars and dashes part them. One mode and renewable resources only.
//! (Kolisch and Sprecher, PSPLIB - a project scheduling problem library, EJOR 96 (1997) 205-216; from memory.)

use judge::published::rcpsp as rcpsp_judge;
use schedule::{ScheduleJob, ScheduleLag, ScheduleProblem};
use serde_json::json;

use crate::run::{InstanceAnswer, InstanceSettings, ObjectiveSense, RunClock};
use crate::words::FileWordReader;

/// Maximum number of jobs and longest duration that are read: beyond, a file is not one of this kind.
const MAX_JOBS: usize = 100_000;
const MAX_DURATION: u32 = 1_000_000;

/// A project as the file has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProjectInstance {
    /// Durations by job.
    pub durations: Vec<u32>,
    /// Demands by job, then resource.
    pub demands: Vec<Vec<u32>>,
    /// Pairs (before, after), counted from 0.
    pub pairs: Vec<(usize, usize)>,
    /// What is there of each resource.
    pub capacities: Vec<u32>,
}

/// Reads a `.sm` file.
pub fn read_project(text: &str) -> Result<ProjectInstance, String> {
    let jobs: usize = words_after(text, "jobs ", ":")?.next_within("the number of jobs", 1, MAX_JOBS)?;
    let resources: usize =
        words_after(text, "- renewable", ":")?.next_within("the number of resources", 1, 64)?;
    for kind in ["- nonrenewable", "- doubly constrained"] {
        let other: usize = words_after(text, kind, ":")?.next_number("a number")?;
        if other != 0 {
            return Err(format!("this solver does not support `{}` resources", &kind[2..]));
        }
    }
    let pairs = read_pairs(&mut words_of_table(text, "PRECEDENCE RELATIONS", 1)?, jobs)?;
    let (durations, demands) =
        read_requests(&mut words_of_table(text, "REQUESTS/DURATIONS", 1)?, jobs, resources)?;
    let mut words = words_of_table(text, "RESOURCEAVAILABILITIES", 1)?;
    let amount = |_| words.next_number("what is there of a resource");
    let capacities = (0..resources).map(amount).collect::<Result<_, _>>()?;
    Ok(ProjectInstance { durations, demands, pairs, capacities })
}

/// The words behind a mark in the line that opens with a text.
fn words_after<'t>(text: &'t str, opening: &str, mark: &str) -> Result<FileWordReader<'t>, String> {
    let line = text.lines().find(|l| l.trim_start().starts_with(opening));
    let rest = line.and_then(|l| l.split_once(mark)).map(|(_, rest)| rest);
    rest.map(FileWordReader::new).ok_or_else(|| format!("no line begins with `{opening}`"))
}

/// The words behind the line that begins with a title and `skipped` more lines.
fn words_of_table<'t>(text: &'t str, title: &str, skipped: usize) -> Result<FileWordReader<'t>, String> {
    let at = text.lines().position(|l| l.starts_with(title));
    let at = at.ok_or_else(|| format!("there is no table `{title}`"))?;
    Ok(FileWordReader::from_line(text, at + 1 + skipped))
}

fn read_pairs(words: &mut FileWordReader, jobs: usize) -> Result<Vec<(usize, usize)>, String> {
    let mut pairs = Vec::new();
    for job in 1..=jobs {
        words.next_within("the job's number", job, job)?;
        words.next_within("the number of modes", 1, 1)?;
        let successors = words.next_within("the number of successors", 0, jobs)?;
        for _ in 0..successors {
            pairs.push((job - 1, words.next_within("a successor", 1, jobs)? - 1));
        }
    }
    Ok(pairs)
}

type JobRequests = (Vec<u32>, Vec<Vec<u32>>);

fn read_requests(words: &mut FileWordReader, jobs: usize, resources: usize) -> Result<JobRequests, String> {
    let (mut durations, mut demands) = (Vec::new(), Vec::new());
    // There is a row of dashes under the heading.
    words.next_word("the table of requests")?;
    for job in 1..=jobs {
        words.next_within("the job's number", job, job)?;
        words.next_within("the mode", 1, 1)?;
        durations.push(words.next_within("a duration", 0, MAX_DURATION)?);
        let demand = |_| words.next_within("a demand", 0, MAX_DURATION);
        demands.push((0..resources).map(demand).collect::<Result<_, _>>()?);
    }
    Ok((durations, demands))
}

fn schedule_problem(project: &ProjectInstance) -> Result<ScheduleProblem, String> {
    let job = |(duration, demand): (&u32, &Vec<u32>)| ScheduleJob {
        duration: *duration,
        release: 0,
        demand: demand.clone(),
    };
    let jobs = project.durations.iter().zip(&project.demands).map(job).collect();
    let lags = project.pairs.iter().map(|(from, to)| ScheduleLag { from: *from, to: *to, wait: 0 }).collect();
    ScheduleProblem::new(jobs, project.capacities.clone(), lags, Vec::new())
        .map_err(|fault| fault.to_string())
}

/// Reads, solves and judges one published file.
pub fn run_rcpsp_instance(
    name: &str,
    text: &str,
    settings: &InstanceSettings,
) -> Result<InstanceAnswer, String> {
    let project = read_project(text)?;
    let problem = schedule_problem(&project)?;
    let clock = RunClock::start(settings);
    let solved =
        schedule::solve_schedule(&problem, &[], &clock.budget(settings), settings.seed(), settings.threads);
    let times = clock.read_times();
    let judged = rcpsp_judge::JudgedProject {
        durations: &project.durations,
        demands: &project.demands,
        pairs: &project.pairs,
        capacities: &project.capacities,
    };
    let verdict = rcpsp_judge::judge_rcpsp_answer(&judged, &solved.starts, solved.outcome.value);
    Ok(InstanceAnswer {
        kind: "rcpsp".into(),
        name: name.into(),
        sense: ObjectiveSense::Least,
        value: solved.outcome.value,
        bound: solved.outcome.bound,
        standing: solved.outcome.standing,
        effort: solved.outcome.effort,
        best_at_s: times.best_at_s,
        seconds: times.seconds,
        cpu_s: times.cpu_s,
        solution: json!({ "starts": solved.starts }),
        verdict,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Invented, in the published form: two jobs that share one machine of two units, the second after the first.
    const SMALL: &str = "\
************
jobs (incl. supersource/sink ):  4
horizon                       :  9
RESOURCES
  - renewable                 :  1   R
  - nonrenewable              :  0   N
  - doubly constrained        :  0   D
************
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           4
   3        1          1           4
   4        1          0
************
REQUESTS/DURATIONS:
jobnr. mode duration  R 1
------------------------
  1      1     0       0
  2      1     4       2
  3      1     5       1
  4      1     0       0
************
RESOURCEAVAILABILITIES:
  R 1
    2
************
";

    fn settings() -> InstanceSettings {
        InstanceSettings { seconds: 5.0, seed: 1, threads: 1, effort: Some(100), until: None }
    }

    #[test]
    fn a_small_file_is_read_solved_and_judged() {
        let answer = run_rcpsp_instance("small", SMALL, &settings()).expect("the file is in order");
        assert_eq!((answer.value, answer.bound), (9.0, 9.0));
        assert_eq!(answer.verdict, Vec::<String>::new());
    }

    #[test]
    fn faults_of_a_file_are_told_and_never_panic() {
        let check = |from: &str, to: &str, expected: &str| {
            let fault =
                run_rcpsp_instance("bad", &SMALL.replacen(from, to, 1), &settings()).expect_err("a fault");
            assert!(fault.contains(expected), "{fault}");
        };
        check("  4\nhorizon", "  x\nhorizon", "expected the number of jobs, found `x`");
        check("RESOURCEAVAIL", "RESOURCE", "no table");
        check("   2   3\n", "   2   9\n", "a successor is 9, not from 1 to 4");
        check(
            "   3        1          1           4",
            "   3        1          1           1",
            "form a circle of lags",
        );
        check("4       2\n", "4       3\n", "more of a resource than exists");
        for cut in 0..SMALL.len() {
            _ = read_project(&SMALL[..cut]);
        }
    }
}
