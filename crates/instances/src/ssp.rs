//! The published form of the kind `ssp`: jobs, tools and places, then the 0/1 matrix with a row for each tool.
//!
//! The value counts the tools put on after the first full loading, as Crama and others count.

use cart::{Jobs, solve};
use check::published::ssp as judge;
use serde_json::json;

use crate::run::{Answer, Clock, Sense, Settings};
use crate::words::Words;

/// Most jobs and most tools that are read.
const MOST: usize = 1000;

/// Reads, solves and judges one published file.
pub fn run(name: &str, text: &str, settings: &Settings) -> Result<Answer, String> {
    let file = read(text)?;
    let jobs = Jobs::new(file.needs.clone(), file.places, &[]).map_err(|e| e.to_string())?;
    let clock = Clock::start(settings);
    let found = solve(&jobs, &clock.budget(settings), settings.seed(), settings.threads.into());
    let times = clock.times();
    let verdict = judge::judge(&file.needs, file.places, &found.order, &found.loadings, found.outcome.value);
    Ok(Answer {
        kind: "ssp".into(),
        name: name.into(),
        sense: Sense::Least,
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
struct File {
    needs: Vec<Vec<u16>>,
    places: usize,
}

fn read(text: &str) -> Result<File, String> {
    let mut words = Words::new(text);
    let jobs = words.within("the number of jobs", 1, MOST)?;
    let tools = words.within("the number of tools", 1, MOST)?;
    let places = words.within("the number of places", 1, MOST)?;
    let mut needs = vec![Vec::new(); jobs];
    for tool in 0..tools {
        for job in &mut needs {
            if words.within("a 0 or a 1", 0, 1)? == 1 {
                job.push(tool as u16);
            }
        }
    }
    words.end()?;
    Ok(File { needs, places })
}

#[cfg(test)]
mod tests {
    use super::*;
    use effort::Standing;

    /// Three jobs of three tools each in a ring, on three places: any change costs two (worked by hand).
    const RING: &str = "3 6 3\r\n1 0 1\r\n1 0 0\n1 1 0\n0 1 0\n0 1 1\n0 0 1\n";

    fn settings() -> Settings {
        Settings { seconds: 10.0, seed: 1, threads: 2, effort: None, until: None }
    }

    #[test]
    fn a_file_is_read_row_by_row() {
        let file = read(RING).unwrap();
        assert_eq!(file.needs, [vec![0, 1, 2], vec![2, 3, 4], vec![0, 4, 5]]);
        assert_eq!(file.places, 3);
    }

    #[test]
    fn the_ring_costs_four() {
        let answer = run("ring", RING, &settings()).unwrap();
        assert_eq!((answer.value, answer.bound, answer.standing), (4.0, 4.0, Standing::Proven));
        assert_eq!(answer.verdict, Vec::<String>::new());
    }

    #[test]
    fn faults_are_told_with_their_line() {
        let fault = |text: &str| run("x", text, &settings()).unwrap_err();
        assert_eq!(fault("0 1 1"), "line 1: the number of jobs is 0, not from 1 to 1000");
        assert_eq!(fault("1 1 1\n2"), "line 2: a 0 or a 1 is 2, not from 0 to 1");
        assert_eq!(fault("1 1 1\n1\n1"), "line 3: expected the end of the file, found `1`");
        assert_eq!(fault("1 2 1\n1\n1"), "job 0 needs 2 tools, more than places");
    }
}
