//! The published form of the kind `sop`: a heading, the number of nodes, and the full matrix of costs.
//!
//! TSPLIB files have a heading that ends with `EDGE_WEIGHT_SECTION`, and end with `EOF`; SOPLIB files have neither. −1 in
//! row `i`, column `j` says that `j` comes before `i`. The first node is first and the last is last in every order.

use check::published::sop as judge;
use order::{Problem, solve};
use serde_json::json;

use crate::run::{Answer, Clock, Sense, Settings};
use crate::words::Words;

/// Most nodes that are read.
const MOST: usize = 5000;
/// The last line of a heading.
const HEADING: &str = "EDGE_WEIGHT_SECTION";

/// Reads, solves and judges one published file.
pub fn run(name: &str, text: &str, settings: &Settings) -> Result<Answer, String> {
    let file = read(text)?;
    let problem = file.problem()?;
    let clock = Clock::start(settings);
    let how = order::Settings { seed: settings.seed(), threads: settings.threads.into(), start: None };
    let found = solve(&problem, &how, clock.budget(settings));
    let times = clock.times();
    Ok(Answer {
        kind: "sop".into(),
        name: name.into(),
        sense: Sense::Least,
        value: found.value as f64,
        bound: found.bound as f64,
        standing: found.standing,
        effort: found.effort,
        best_at_s: times.best_at_s,
        seconds: times.seconds,
        cpu_s: times.cpu_s,
        verdict: judge::judge(file.count, &file.matrix, &found.order, found.value),
        solution: json!({ "order": found.order }),
    })
}

/// A published file.
#[derive(Debug, Clone, PartialEq, Eq)]
struct File {
    count: usize,
    /// Row by row, −1 as it stands.
    matrix: Vec<i64>,
}

impl File {
    fn problem(&self) -> Result<Problem, String> {
        let last = self.count - 1;
        let mut pairs: Vec<(usize, usize)> = (1..self.count).map(|node| (0, node)).collect();
        pairs.extend((0..last).map(|node| (node, last)));
        let mut costs = self.matrix.clone();
        for (at, cost) in costs.iter_mut().enumerate().filter(|(_, cost)| **cost == -1) {
            let (late, early) = (at / self.count, at % self.count);
            if late != early {
                pairs.push((early, late));
            }
            *cost = 0;
        }
        Problem::new(self.count, costs, &pairs).map_err(|fault| fault.to_string())
    }
}

fn read(text: &str) -> Result<File, String> {
    let heading = text.lines().position(|line| line.trim() == HEADING);
    let mut words = Words::from_line(text, heading.map_or(0, |at| at + 1));
    let count = words.within("the number of nodes", 2, MOST)?;
    let mut matrix = Vec::new();
    for _ in 0..count * count {
        matrix.push(words.within("a cost", -1, order::LARGEST_COST)?);
    }
    let mut rest = words.clone();
    if rest.word("the end").ok() != Some("EOF") {
        rest = words;
    }
    rest.end()?;
    Ok(File { count, matrix })
}

#[cfg(test)]
mod tests {
    use super::*;
    use effort::Standing;

    /// Invented: node 2 comes before node 1, so only 0, 2, 1, 3 is right, at 5 + 7 + 2.
    const SMALL: &str = "4\n0 4 5 1000000\n-1 0 -1 2\n-1 7 0 3\n-1 -1 -1 0\n";

    fn settings() -> Settings {
        Settings { seconds: 10.0, seed: 1, threads: 2, effort: None, until: None }
    }

    #[test]
    fn both_forms_read_the_same() {
        let long = format!("NAME: small\nTYPE: SOP\n{HEADING}\n{SMALL}EOF\n");
        assert_eq!(read(&long), read(SMALL));
        assert_eq!(read(SMALL).unwrap().matrix[..6], [0, 4, 5, 1_000_000, -1, 0]);
    }

    #[test]
    fn the_only_order_is_found_and_holds() {
        let answer = run("small", SMALL, &settings()).unwrap();
        assert_eq!((answer.value, answer.bound, answer.standing), (14.0, 14.0, Standing::Proven));
        assert_eq!(answer.solution, json!({ "order": [0, 2, 1, 3] }));
        assert_eq!(answer.verdict, Vec::<String>::new());
    }

    #[test]
    fn faults_are_told_with_their_line() {
        let fault = |text: &str| run("x", text, &settings()).unwrap_err();
        assert_eq!(fault("1 0"), "line 1: the number of nodes is 1, not from 2 to 5000");
        assert_eq!(fault("2\n0 x"), "line 2: expected a cost, found `x`");
        assert_eq!(fault("2\n0 1\n-1"), "line 3: the file ends before a cost");
        assert_eq!(fault("2\n0 1\n-1 0 7"), "line 3: expected the end of the file, found `7`");
        assert_eq!(fault("3\n0 1 1\n-1 0 -1\n-1 -1 0"), "nodes [0, 1, 2] wait for each other");
    }
}
