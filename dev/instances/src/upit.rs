//! The published form of the kind `closure`: ultimate pits of MineLib, read, solved, reported.
//!
//! `.upit`: lines of heading up to `OBJECTIVE_FUNCTION:`, then a block and its value a line. `.prec`: a block, the number of
//! its predecessors, and those, a line. Values are decimal fractions; they are read as whole numbers of the smallest unit that
//! any of them uses, so that the answer is exact; where their sum would not fit, the last places are rounded and the answer
//! says to how many (`places`). (D. Espinoza, M. Goycoolea, E. Moreno, A. Newman, MineLib: a library of
//! open pit mining problems, Annals of Operations Research 206 (2013) 93-114).

use closure::cut::{self, ClosureItem, ClosureProblem, ForcedChoice};
use judge::published::closure as closure_judge;
use serde_json::json;

use crate::run::{InstanceAnswer, InstanceSettings, ObjectiveSense, RunClock};
use crate::words::FileWordReader;

// symbol: figures = values as the file writes them, as floating point numbers, for the judge

/// Sizes of all values together stay below this, as `closure` asks.
const MAX_VALUE_SUM: i128 = i64::MAX as i128 / 16;

/// More blocks than this are not read.
const MAX_BLOCKS: usize = 50_000_000;

/// A mine as read.
#[derive(Debug, Clone, PartialEq)]
pub struct MineInstance {
    /// Value of each block in units of `10^-places`.
    pub values: Vec<i64>,
    /// Decimal places of the values.
    pub places: u32,
    /// Value of each block as written.
    pub figures: Vec<f64>,
    /// Blocks that must be taken with each.
    pub needs: Vec<Vec<u32>>,
}

/// Reads, solves and judges one published mine: its blocks and its arcs.
///
/// # Errors
/// A text with the line at fault; values too large to add up.
pub fn run_closure_instance(
    name: &str,
    blocks: &str,
    arcs: &str,
    settings: &InstanceSettings,
) -> Result<InstanceAnswer, String> {
    let mine = read_mine(blocks, arcs)?;
    let items = mine.values.iter().zip(&mine.needs);
    let items = items.map(|(value, needs)| ClosureItem {
        value: *value,
        needs: needs.clone(),
        fixed: ForcedChoice::Free,
    });
    let problem = ClosureProblem::new(items.collect()).map_err(|fault| fault.to_string())?;
    let clock = RunClock::start(settings);
    let solved = cut::solve_closure(&problem, &clock.budget(settings)).map_err(|fault| fault.to_string())?;
    let times = clock.read_times();
    let answer = solved.answer();
    let listed = |set: &[bool]| (0_u32..).zip(set).filter(|(_, c)| **c).map(|(b, _)| b).collect::<Vec<u32>>();
    let chosen = listed(&answer.least);
    let unit = 10_u64.pow(mine.places) as f64;
    let value = answer.value as f64 / unit;
    let verdict = closure_judge::judge_closure_answer(
        &closure_judge::JudgedMine { values: &mine.figures, needs: &mine.needs },
        &chosen,
        value,
    );
    let greatest = answer.greatest.iter().filter(|c| **c).count();
    Ok(InstanceAnswer {
        kind: "closure".into(),
        name: name.into(),
        sense: ObjectiveSense::Most,
        value,
        bound: answer.bound as f64 / unit,
        standing: answer.standing,
        effort: mine.needs.iter().map(Vec::len).sum::<usize>() as u64,
        best_at_s: times.best_at_s,
        seconds: times.seconds,
        cpu_s: times.cpu_s,
        solution: json!({ "blocks": chosen, "least": chosen.len(), "greatest": greatest, "places": mine.places }),
        verdict,
    })
}

/// Reads the two files of a mine.
///
/// # Errors
/// What is amiss, with its line.
pub fn read_mine(blocks: &str, arcs: &str) -> Result<MineInstance, String> {
    let (count, skipped) = read_heading(blocks)?;
    let mut words = FileWordReader::from_line(blocks, skipped);
    let mut read: Vec<(&str, usize)> = vec![("", 0); count];
    for _ in 0..count {
        let block: usize = words.next_within("a block", 0, count.saturating_sub(1))?;
        if !read[block].0.is_empty() {
            return Err(words.fault_here(&format!("block {block} appears twice")));
        }
        read[block] = (words.next_word("a value")?, words.line());
    }
    words.expect_end()?;
    let fault = |(word, line): &(&str, usize)| format!("line {line}: expected a value, found `{word}`");
    let exact = read.iter().map(|r| ExactDecimal::parse(r.0).ok_or_else(|| fault(r)));
    let exact = exact.collect::<Result<Vec<ExactDecimal>, String>>()?;
    let places = places_that_fit(&exact).ok_or("the sum of the values is too large")?;
    let values = exact.iter().map(|d| d.in_units(places)).collect();
    let figures =
        read.iter().map(|r| r.0.parse().map_err(|_| fault(r))).collect::<Result<Vec<f64>, String>>()?;
    let needs = read_precedences(arcs, count).map_err(|fault| format!("precedences, {fault}"))?;
    Ok(MineInstance { values, places, figures, needs })
}

/// The number of blocks, and how many lines the heading has.
fn read_heading(text: &str) -> Result<(usize, usize), String> {
    let mut count = None;
    for (at, line) in text.lines().enumerate() {
        let (key, rest) = line.split_once(':').unwrap_or((line, ""));
        match key.trim() {
            "NBLOCKS" => {
                let number = rest.trim().parse().ok().filter(|n| *n <= MAX_BLOCKS);
                count = Some(number.ok_or_else(|| format!("line {}: expected a number of blocks", at + 1))?);
            }
            "OBJECTIVE_FUNCTION" => {
                let count = count.ok_or_else(|| format!("line {}: no NBLOCKS before the values", at + 1))?;
                // Each block has a line of its own, so a text with fewer cannot be whole.
                if count > text.lines().count() {
                    return Err(format!(
                        "line {}: {count} blocks announced, but the file has fewer lines",
                        at + 1
                    ));
                }
                return Ok((count, at + 1));
            }
            _ => {}
        }
    }
    Err("no line OBJECTIVE_FUNCTION:".into())
}

fn read_precedences(text: &str, count: usize) -> Result<Vec<Vec<u32>>, String> {
    let mut words = FileWordReader::new(text);
    let last = count.saturating_sub(1);
    let mut needs = vec![Vec::new(); count];
    let mut seen = vec![false; count];
    while !words.is_empty() {
        let block: usize = words.next_within("a block", 0, last)?;
        if std::mem::replace(&mut seen[block], true) {
            return Err(words.fault_here(&format!("block {block} appears twice")));
        }
        let several: usize = words.next_within("the number of its predecessors", 0, count)?;
        for _ in 0..several {
            needs[block].push(words.next_within("a predecessor", 0, last)? as u32);
        }
    }
    Ok(needs)
}

/// A decimal fraction, digit by digit: `digits · 10^-places`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct ExactDecimal {
    digits: i128,
    places: u32,
}

impl ExactDecimal {
    /// Reads `-12.5`; `None` for anything else, and for more digits than anyone's money has.
    fn parse(word: &str) -> Option<Self> {
        let (negative, size) = match word.strip_prefix('-') {
            Some(size) => (true, size),
            None => (false, word),
        };
        let (whole, rest) = size.split_once('.').unwrap_or((size, ""));
        let digits = [whole, rest].concat();
        if digits.is_empty() || digits.len() > 30 || !digits.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let size: i128 = digits.parse().ok()?;
        Some(Self { digits: if negative { -size } else { size }, places: rest.len() as u32 })
    }

    /// In units of `10^-places`, rounded half away from zero where it has more places than that.
    fn in_units(self, places: u32) -> i64 {
        let less = 10_i128.pow(self.places.saturating_sub(places));
        let more = 10_i128.pow(places.saturating_sub(self.places));
        let rounded = (self.digits * more + self.digits.signum() * (less / 2)) / less;
        i64::try_from(rounded).unwrap_or(i64::MAX * rounded.signum() as i64)
    }
}

/// The most decimal places, up to those written, with which the sizes of all values can be added up.
fn places_that_fit(values: &[ExactDecimal]) -> Option<u32> {
    let written = values.iter().map(|d| d.places).max().unwrap_or(0);
    let whole = |d: &ExactDecimal| d.digits.abs() / 10_i128.pow(d.places) + 1;
    let sum: i128 = values.iter().map(whole).sum();
    (0..=written.min(18)).rev().find(|places| sum.saturating_mul(10_i128.pow(*places)) < MAX_VALUE_SUM)
}

#[cfg(test)]
mod tests {
    use super::*;
    use effort::SolverStanding;

    const BLOCKS: &str = "NAME: small\nTYPE: UPIT\nNBLOCKS: 3\nOBJECTIVE_FUNCTION:\n0 -1.5\n1 -.25\n2 4\n";
    const ARCS: &str = "0 0\n1 1 0\n2 2 0 1\n";

    fn settings() -> InstanceSettings {
        InstanceSettings { seconds: 10.0, seed: 1, threads: 1, effort: None, until: None }
    }

    #[test]
    fn a_small_mine_is_read_exactly_and_solved() {
        let mine = read_mine(BLOCKS, ARCS).expect("the text is good");
        assert_eq!((mine.values.as_slice(), mine.places), (&[-150, -25, 400][..], 2));
        assert_eq!(mine.needs, [vec![], vec![0], vec![0, 1]]);
        let answer = run_closure_instance("small", BLOCKS, ARCS, &settings()).expect("it has an answer");
        assert_eq!((answer.value, answer.standing), (2.25, SolverStanding::Proven));
        assert_eq!(answer.verdict, Vec::<String>::new());
    }

    #[test]
    fn bad_files_name_their_line() {
        let check = |blocks: &str, arcs: &str, expected: &str| {
            assert_eq!(read_mine(blocks, arcs).expect_err("the text is bad"), expected);
        };
        check("", ARCS, "no line OBJECTIVE_FUNCTION:");
        check("OBJECTIVE_FUNCTION:", ARCS, "line 1: no NBLOCKS before the values");
        check("NBLOCKS: x", ARCS, "line 1: expected a number of blocks");
        check(
            "NBLOCKS: 9\nOBJECTIVE_FUNCTION:",
            ARCS,
            "line 2: 9 blocks announced, but the file has fewer lines",
        );
        check(&BLOCKS.replace("1 -.25", "7 1"), ARCS, "line 6: a block is 7, not from 0 to 2");
        check(&BLOCKS.replace("1 -.25", "0 1"), ARCS, "line 6: block 0 appears twice");
        check(&BLOCKS.replace("-.25", "1e3"), ARCS, "line 6: expected a value, found `1e3`");
        check(&BLOCKS.replace("2 4", "2"), ARCS, "line 7: the file ends before a value");
        check(BLOCKS, "0 1 9", "precedences, line 1: a predecessor is 9, not from 0 to 2");
        check(BLOCKS, "0 0\n0 0", "precedences, line 2: block 0 appears twice");
        check(BLOCKS, "1 2 0", "precedences, line 1: the file ends before a predecessor");
    }

    #[test]
    fn decimal_fractions_are_read_digit_by_digit() {
        let check = |word: &str, expected: Option<i64>| {
            assert_eq!(ExactDecimal::parse(word).map(|d| d.in_units(4)), expected, "{word}");
        };
        check("-2236.7886", Some(-22_367_886));
        check("-.5", Some(-5_000));
        check("12.", Some(120_000));
        check("1.23455", Some(12_346));
        check("-1.23455", Some(-12_346));
        check("-", None);
        check("", None);
        check("--1", None);
        check("1e3", None);
        check("1234567890123456789012345678901", None);
    }

    #[test]
    fn places_are_dropped_only_where_the_sum_would_not_fit() {
        let check = |words: &[&str], expected: Option<u32>| {
            let values: Vec<ExactDecimal> = words.iter().filter_map(|w| ExactDecimal::parse(w)).collect();
            assert_eq!(places_that_fit(&values), expected, "{words:?}");
        };
        check(&["1.25", "3"], Some(2));
        check(&["1000000000.123456789012"], Some(8));
        check(&["999999999999999999"], None);
    }
}
