//! The published form of the kind `sop`: a heading, the number of nodes, and the full matrix of costs.
//!
//! TSPLIB files have a heading that ends with `EDGE_WEIGHT_SECTION`, and end with `EOF`; SOPLIB files have neither. −1 in
//! row `i`, column `j` says that `j` comes before `i`. The first node is first and the last is last in every order.

use judge::published::sop as sop_judge;
use order::{SequencingProblem, solve_sequencing};
use serde_json::json;

use crate::run::{InstanceAnswer, InstanceSettings, ObjectiveSense, RunClock};
use crate::words::FileWordReader;

/// Maximum number of nodes that are read.
const MAX_NODES: usize = 5000;
/// The last line of a heading.
const HEADING: &str = "EDGE_WEIGHT_SECTION";

/// Reads, solves and judges one published file.
pub fn run_sop_instance(
    name: &str,
    text: &str,
    settings: &InstanceSettings,
) -> Result<InstanceAnswer, String> {
    let file = read_sop_file(text)?;
    let problem = file.order_problem()?;
    let clock = RunClock::start(settings);
    let how =
        order::SequencingSettings { seed: settings.seed(), threads: settings.threads.into(), start: None };
    let found = solve_sequencing(&problem, &how, clock.budget(settings));
    let times = clock.read_times();
    Ok(InstanceAnswer {
        kind: "sop".into(),
        name: name.into(),
        sense: ObjectiveSense::Least,
        value: found.value as f64,
        bound: found.bound as f64,
        standing: found.standing,
        effort: found.effort,
        best_at_s: times.best_at_s,
        seconds: times.seconds,
        cpu_s: times.cpu_s,
        verdict: sop_judge::judge_sop_answer(file.count, &file.matrix, &found.order, found.value),
        solution: json!({ "order": found.order }),
    })
}

/// A published file.
#[derive(Debug, Clone, PartialEq, Eq)]
struct SopFile {
    count: usize,
    /// Row by row, −1 as in the file.
    matrix: Vec<i64>,
}

impl SopFile {
    fn order_problem(&self) -> Result<SequencingProblem, String> {
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
        SequencingProblem::new(self.count, costs, &pairs).map_err(|fault| fault.to_string())
    }
}

fn read_sop_file(text: &str) -> Result<SopFile, String> {
    let heading = text.lines().position(|line| line.trim() == HEADING);
    let mut words = FileWordReader::from_line(text, heading.map_or(0, |at| at + 1));
    let count = words.next_within("the number of nodes", 2, MAX_NODES)?;
    let mut matrix = Vec::new();
    for _ in 0..count * count {
        matrix.push(words.next_within("a cost", -1, order::MAX_COST)?);
    }
    let mut rest = words.clone();
    if rest.next_word("the end").ok() != Some("EOF") {
        rest = words;
    }
    rest.expect_end()?;
    Ok(SopFile { count, matrix })
}

#[cfg(test)]
mod tests {
    use super::*;
    use effort::SolverStanding;

    /// Invented: node 2 comes before node 1, so only 0, 2, 1, 3 is right, at 5 + 7 + 2.
    const SMALL: &str = "4\n0 4 5 1000000\n-1 0 -1 2\n-1 7 0 3\n-1 -1 -1 0\n";

    fn settings() -> InstanceSettings {
        InstanceSettings { seconds: 10.0, seed: 1, threads: 2, effort: None, until: None }
    }

    #[test]
    fn both_forms_read_the_same() {
        let long = format!("NAME: small\nTYPE: SOP\n{HEADING}\n{SMALL}EOF\n");
        assert_eq!(read_sop_file(&long), read_sop_file(SMALL));
        assert_eq!(read_sop_file(SMALL).unwrap().matrix[..6], [0, 4, 5, 1_000_000, -1, 0]);
    }

    #[test]
    fn the_only_order_is_found_and_holds() {
        let answer = run_sop_instance("small", SMALL, &settings()).unwrap();
        assert_eq!((answer.value, answer.bound, answer.standing), (14.0, 14.0, SolverStanding::Proven));
        assert_eq!(answer.solution, json!({ "order": [0, 2, 1, 3] }));
        assert_eq!(answer.verdict, Vec::<String>::new());
    }

    #[test]
    fn faults_are_told_with_their_line() {
        let fault = |text: &str| run_sop_instance("x", text, &settings()).unwrap_err();
        assert_eq!(fault("1 0"), "line 1: the number of nodes is 1, not from 2 to 5000");
        assert_eq!(fault("2\n0 x"), "line 2: expected a cost, found `x`");
        assert_eq!(fault("2\n0 1\n-1"), "line 3: the file ends before a cost");
        assert_eq!(fault("2\n0 1\n-1 0 7"), "line 3: expected the end of the file, found `7`");
        assert_eq!(
            fault("3\n0 1 1\n-1 0 -1\n-1 -1 0"),
            "nodes [0, 1, 2] form a circle or follow one; remove one of the precedences"
        );
    }
}
