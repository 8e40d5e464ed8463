//! The published form of the kind `scp`: rows and columns, costs, then for each row the number of its columns and these.
//!
//! Columns count from 1 in the file and in the solution reported. Line breaks carry no meaning.

use cover::set::{self, SetCoverProblem};
use judge::published::scp as scp_judge;
use serde_json::json;

use crate::run::{InstanceAnswer, InstanceSettings, ObjectiveSense, RunClock};
use crate::words::FileWordReader;

/// Maximum numbers of rows and of columns that are read.
const MAX_ROWS_OR_COLUMNS: usize = 1_000_000;
/// The greatest cost that is read; sums of these stay exact.
const MAX_COST: u64 = 1_000_000_000;

/// Reads, solves and judges one published file.
pub fn run_scp_instance(
    name: &str,
    text: &str,
    settings: &InstanceSettings,
) -> Result<InstanceAnswer, String> {
    let file = read_scp_file(text)?;
    let problem = SetCoverProblem::new(file.costs.clone(), &file.rows).map_err(|e| e.to_string())?;
    let clock = RunClock::start(settings);
    let found = set::solve_set_cover(&problem, &clock.budget(settings), settings.seed());
    let times = clock.read_times();
    let (value, bound) = (found.value as f64, found.bound as f64);
    let columns: Vec<u32> = found.chosen.iter().map(|j| j + 1).collect();
    Ok(InstanceAnswer {
        kind: "scp".into(),
        name: name.into(),
        sense: ObjectiveSense::Least,
        value,
        bound,
        standing: found.standing,
        effort: found.effort,
        best_at_s: times.best_at_s,
        seconds: times.seconds,
        cpu_s: times.cpu_s,
        solution: json!({ "columns": columns }),
        verdict: scp_judge::judge_scp_answer(
            &scp_judge::JudgedSetCover { costs: &file.costs, rows: &file.rows },
            &found.chosen,
            value,
        ),
    })
}

/// A published file.
#[derive(Debug, Clone, PartialEq, Eq)]
struct ScpFile {
    costs: Vec<u64>,
    rows: Vec<Vec<u32>>,
}

fn read_scp_file(text: &str) -> Result<ScpFile, String> {
    let mut words = FileWordReader::new(text);
    let rows = words.next_within("the number of rows", 1, MAX_ROWS_OR_COLUMNS)?;
    let columns = words.next_within("the number of columns", 1, MAX_ROWS_OR_COLUMNS)?;
    let costs = (0..columns).map(|_| words.next_within("a cost", 0, MAX_COST)).collect::<Result<_, _>>()?;
    let row = |words: &mut FileWordReader| {
        let count = words.next_within("the number of columns of a row", 1, columns)?;
        let column = |_| words.next_within("a column", 1, columns as u32).map(|j| j - 1);
        (0..count).map(column).collect::<Result<Vec<u32>, String>>()
    };
    let rows = (0..rows).map(|_| row(&mut words)).collect::<Result<_, _>>()?;
    words.expect_end()?;
    Ok(ScpFile { costs, rows })
}

#[cfg(test)]
mod tests {
    use super::*;
    use effort::SolverStanding;

    /// A ring of five rows and five columns, each covering two neighbours: three columns are needed (worked by hand).
    const RING: &str = "5 5\n 2 2 2 2 3\n2\n1 2\n2 2 3\r\n2\n3\n4 2 4 5 2 5 1\n";

    fn settings() -> InstanceSettings {
        InstanceSettings { seconds: 10.0, seed: 1, threads: 1, effort: None, until: None }
    }

    #[test]
    fn a_file_is_read_whatever_its_lines() {
        let file = read_scp_file(RING).unwrap();
        assert_eq!(file.costs, [2, 2, 2, 2, 3]);
        assert_eq!(file.rows, [[0, 1], [1, 2], [2, 3], [3, 4], [4, 0]]);
    }

    #[test]
    fn the_ring_costs_six() {
        let answer = run_scp_instance("ring", RING, &settings()).unwrap();
        assert_eq!((answer.value, answer.bound, answer.standing), (6.0, 6.0, SolverStanding::Proven));
        assert_eq!(answer.verdict, Vec::<String>::new());
    }

    #[test]
    fn faults_are_told_with_their_line() {
        let check = |text: &str, expected: &str| assert_eq!(read_scp_file(text).unwrap_err(), expected);
        check("0 5", "line 1: the number of rows is 0, not from 1 to 1000000");
        check("1 2\n3 -1", "line 2: expected a cost, found `-1`");
        check("1 2\n3 4\n0", "line 3: the number of columns of a row is 0, not from 1 to 2");
        check("1 2\n3 4\n1\n3", "line 4: a column is 3, not from 1 to 2");
        check("1 2\n3 4\n1 2 9", "line 3: expected the end of the file, found `9`");
        check("2 2\n3 4\n1 2", "line 3: the file ends before the number of columns of a row");
    }
}
