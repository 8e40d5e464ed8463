//! The published form of the kind `ssp`: jobs, tools and places, then the 0/1 matrix with a row for each tool.
//!
//! The value counts the tools put on after the first full loading, as Crama and others count.

use cart::{CartJobs, solve_cart_order};
use judge::published::ssp as ssp_judge;
use serde_json::json;

use crate::run::{InstanceAnswer, InstanceSettings, ObjectiveSense, RunClock};
use crate::words::FileWordReader;

/// Maximum numbers of jobs and of tools that are read.
const MAX_JOBS_OR_TOOLS: usize = 1000;

/// Reads, solves and judges one published file.
pub fn run_ssp_instance(
    name: &str,
    text: &str,
    settings: &InstanceSettings,
) -> Result<InstanceAnswer, String> {
    let file = read_ssp_file(text)?;
    let jobs = CartJobs::new(file.needs.clone(), file.places, &[]).map_err(|e| e.to_string())?;
    let clock = RunClock::start(settings);
    let found = solve_cart_order(&jobs, &clock.budget(settings), settings.seed(), settings.threads.into());
    let times = clock.read_times();
    let verdict = ssp_judge::judge_ssp_answer(
        &file.needs,
        file.places,
        &found.order,
        &found.loadings,
        found.outcome.value,
    );
    Ok(InstanceAnswer {
        kind: "ssp".into(),
        name: name.into(),
        sense: ObjectiveSense::Least,
        value: found.outcome.value,
        bound: found.outcome.bound,
        standing: found.outcome.standing,
        effort: found.outcome.effort,
        best_at_s: times.best_at_s,
        seconds: times.seconds,
        cpu_s: times.cpu_s,
        solution: json!({ "order": found.order, "loadings": found.loadings }),
        verdict,
    })
}

/// A published file.
#[derive(Debug, Clone, PartialEq, Eq)]
struct SspFile {
    needs: Vec<Vec<u16>>,
    places: usize,
}

fn read_ssp_file(text: &str) -> Result<SspFile, String> {
    let mut words = FileWordReader::new(text);
    let jobs = words.next_within("the number of jobs", 1, MAX_JOBS_OR_TOOLS)?;
    let tools = words.next_within("the number of tools", 1, MAX_JOBS_OR_TOOLS)?;
    let places = words.next_within("the number of places", 1, MAX_JOBS_OR_TOOLS)?;
    let mut needs = vec![Vec::new(); jobs];
    for tool in 0..tools {
        for job in &mut needs {
            if words.next_within("a 0 or a 1", 0, 1)? == 1 {
                job.push(tool as u16);
            }
        }
    }
    words.expect_end()?;
    Ok(SspFile { needs, places })
}

#[cfg(test)]
mod tests {
    use super::*;
    use effort::SolverStanding;

    /// Three jobs of three tools each in a ring, on three places: any change costs two (worked by hand).
    const RING: &str = "3 6 3\r\n1 0 1\r\n1 0 0\n1 1 0\n0 1 0\n0 1 1\n0 0 1\n";

    fn settings() -> InstanceSettings {
        InstanceSettings { seconds: 10.0, seed: 1, threads: 2, effort: None, until: None }
    }

    #[test]
    fn a_file_is_read_row_by_row() {
        let file = read_ssp_file(RING).unwrap();
        assert_eq!(file.needs, [vec![0, 1, 2], vec![2, 3, 4], vec![0, 4, 5]]);
        assert_eq!(file.places, 3);
    }

    #[test]
    fn the_ring_costs_four() {
        let answer = run_ssp_instance("ring", RING, &settings()).unwrap();
        assert_eq!((answer.value, answer.bound, answer.standing), (4.0, 4.0, SolverStanding::Proven));
        assert_eq!(answer.verdict, Vec::<String>::new());
    }

    #[test]
    fn faults_are_told_with_their_line() {
        let fault = |text: &str| run_ssp_instance("x", text, &settings()).unwrap_err();
        assert_eq!(fault("0 1 1"), "line 1: the number of jobs is 0, not from 1 to 1000");
        assert_eq!(fault("1 1 1\n2"), "line 2: a 0 or a 1 is 2, not from 0 to 1");
        assert_eq!(fault("1 1 1\n1\n1"), "line 3: expected the end of the file, found `1`");
        assert_eq!(fault("1 2 1\n1\n1"), "job 0 needs 2 tools, more than the cart has places");
    }
}
