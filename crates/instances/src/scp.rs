//! The published form of the kind `scp`: rows and columns, costs, then for each row the number of its columns and these.
//!
//! Columns count from 1 in the file and in the solution told. Line breaks carry no meaning.

use check::published::scp as judge;
use cover::set::{self, SetCover};
use serde_json::json;

use crate::run::{Answer, Clock, Sense, Settings};
use crate::words::Words;

/// Most rows and most columns that are read.
const MOST: usize = 1_000_000;
/// The greatest cost that is read; sums of these stay exact.
const GREATEST_COST: u64 = 1_000_000_000;

/// Reads, solves and judges one published file.
pub fn run(name: &str, text: &str, settings: &Settings) -> Result<Answer, String> {
    let file = read(text)?;
    let problem = SetCover::new(file.costs.clone(), &file.rows).map_err(|e| e.to_string())?;
    let clock = Clock::start(settings);
    let found = set::solve(&problem, &clock.budget(settings), settings.seed());
    let times = clock.times();
    let (value, bound) = (found.value as f64, found.bound as f64);
    let columns: Vec<u32> = found.chosen.iter().map(|j| j + 1).collect();
    Ok(Answer {
        kind: "scp".into(),
        name: name.into(),
        sense: Sense::Least,
        value,
        bound,
        standing: found.standing,
        effort: found.effort,
        best_at_s: times.best_at_s,
        seconds: times.seconds,
        cpu_s: times.cpu_s,
        solution: json!({ "columns": columns }),
        verdict: judge::judge(
            &judge::SetCover { costs: &file.costs, rows: &file.rows },
            &found.chosen,
            value,
        ),
    })
}

/// A published file.
#[derive(Debug, Clone, PartialEq, Eq)]
struct File {
    costs: Vec<u64>,
    rows: Vec<Vec<u32>>,
}

fn read(text: &str) -> Result<File, String> {
    let mut words = Words::new(text);
    let rows = words.within("the number of rows", 1, MOST)?;
    let columns = words.within("the number of columns", 1, MOST)?;
    let costs = (0..columns).map(|_| words.within("a cost", 0, GREATEST_COST)).collect::<Result<_, _>>()?;
    let row = |words: &mut Words| {
        let count = words.within("the number of columns of a row", 1, columns)?;
        let column = |_| words.within("a column", 1, columns as u32).map(|j| j - 1);
        (0..count).map(column).collect::<Result<Vec<u32>, String>>()
    };
    let rows = (0..rows).map(|_| row(&mut words)).collect::<Result<_, _>>()?;
    words.end()?;
    Ok(File { costs, rows })
}

#[cfg(test)]
mod tests {
    use super::*;
    use effort::Standing;

    /// A ring of five rows and five columns, each covering two neighbours: three columns are needed (worked by hand).
    const RING: &str = "5 5\n 2 2 2 2 3\n2\n1 2\n2 2 3\r\n2\n3\n4 2 4 5 2 5 1\n";

    fn settings() -> Settings {
        Settings { seconds: 10.0, seed: 1, threads: 1, effort: None, until: None }
    }

    #[test]
    fn a_file_is_read_whatever_its_lines() {
        let file = read(RING).unwrap();
        assert_eq!(file.costs, [2, 2, 2, 2, 3]);
        assert_eq!(file.rows, [[0, 1], [1, 2], [2, 3], [3, 4], [4, 0]]);
    }

    #[test]
    fn the_ring_costs_six() {
        let answer = run("ring", RING, &settings()).unwrap();
        assert_eq!((answer.value, answer.bound, answer.standing), (6.0, 6.0, Standing::Proven));
        assert_eq!(answer.verdict, Vec::<String>::new());
    }

    #[test]
    fn faults_are_told_with_their_line() {
        let check = |text: &str, expected: &str| assert_eq!(read(text).unwrap_err(), expected);
        check("0 5", "line 1: the number of rows is 0, not from 1 to 1000000");
        check("1 2\n3 -1", "line 2: expected a cost, found `-1`");
        check("1 2\n3 4\n0", "line 3: the number of columns of a row is 0, not from 1 to 2");
        check("1 2\n3 4\n1\n3", "line 4: a column is 3, not from 1 to 2");
        check("1 2\n3 4\n1 2 9", "line 3: expected the end of the file, found `9`");
        check("2 2\n3 4\n1 2", "line 3: the file ends before the number of columns of a row");
    }
}
