//! The least weight of columns that meets all clauses: reduced first, then an integer program.
//!
//! The clauses are a set cover. Three exact rules come first, until none applies: the column of a clause with one column
//! is taken; a clause that contains another goes; a column goes whose clauses another column, no heavier, meets as well.
//! What is left goes to `microlp` (branch and bound over a linear relaxation) by clusters that share no column.

use std::collections::BTreeSet;

use microlp::{ComparisonOp, OptimizationDirection, Problem, SolveOptions, SolveOutcome, Variable};

use super::clause::Clauses;
use super::cover::{Alternative, Cover, Row, is_within};
use super::reduce::components;
use effort::Budget;

/// Nodes between two questions whether to stop.
const NODES_A_SLICE: u64 = 10;
/// Steps of the simplex method times rows that make one unit of effort.
const STEPS_TIMES_ROWS: u64 = 1000;

/// An answer to the clauses.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Columns chosen, rising.
    pub columns: Vec<u32>,
    /// No choice of columns that meets the clauses weighs less.
    pub bound: u64,
    /// Thousands of steps of the simplex method, each counted once a row.
    pub effort: u64,
    /// Whether the columns are a best answer, not just one that meets the clauses.
    pub is_best: bool,
}

/// The lightest columns, as far as the effort allows.
#[must_use]
pub fn lightest(clauses: &Clauses, most: u64, budget: &Budget) -> Answer {
    let (cover, mut columns) = reduced(clauses);
    let taken: u64 = columns.iter().map(|c| clauses.weights[*c as usize]).sum();
    let mut answer = Answer { columns: Vec::new(), bound: taken, effort: 0, is_best: true };
    for part in components(&cover) {
        let left = most.saturating_sub(answer.effort);
        let solved = program(&part.cover, left, budget);
        columns.extend(solved.columns.iter().map(|c| part.items[*c as usize]));
        answer.bound += solved.bound;
        answer.effort += solved.effort;
        answer.is_best &= solved.is_best;
    }
    columns.sort_unstable();
    answer.columns = columns;
    answer
}

/// The clauses after the exact rules, as a cover whose alternatives are single columns, and the columns taken.
fn reduced(clauses: &Clauses) -> (Cover, Vec<u32>) {
    let mut open: Vec<Vec<u32>> = clauses.clauses.iter().cloned().collect();
    let mut taken = BTreeSet::new();
    loop {
        taken.extend(open.iter().filter(|c| c.len() == 1).map(|c| c[0]));
        open.retain(|c| !c.iter().any(|i| taken.contains(i)));
        open = without_containing(open);
        let gone = dominated(&open, &clauses.weights);
        if gone.is_empty() {
            break;
        }
        for clause in &mut open {
            clause.retain(|i| !gone.contains(i));
        }
    }
    let single = |i: &u32| Alternative { cost: 0, items: vec![*i] };
    let rows = open.iter().map(|c| Row::new(c.iter().map(single).collect())).collect();
    (Cover::new(clauses.weights.clone(), rows), taken.into_iter().collect())
}

/// Drops every clause that contains another.
fn without_containing(mut open: Vec<Vec<u32>>) -> Vec<Vec<u32>> {
    open.sort_by(|a, b| (a.len(), a).cmp(&(b.len(), b)));
    open.dedup();
    let mut kept: Vec<(u64, Vec<u32>)> = Vec::new();
    for clause in open {
        let print = clause.iter().fold(0_u64, |bits, i| bits | 1 << (i % 64));
        let contains = |(bits, k): &(u64, Vec<u32>)| bits & !print == 0 && is_within(k, &clause);
        if !kept.iter().any(contains) {
            kept.push((print, clause));
        }
    }
    kept.into_iter().map(|(_, clause)| clause).collect()
}

/// Columns whose clauses another column, no heavier, meets as well.
fn dominated(open: &[Vec<u32>], weights: &[u64]) -> BTreeSet<u32> {
    let mut at: Vec<Vec<u32>> = vec![Vec::new(); weights.len()];
    for (n, clause) in open.iter().enumerate() {
        clause.iter().for_each(|i| at[*i as usize].push(n as u32));
    }
    let mut gone = BTreeSet::new();
    for (i, clauses) in (0_u32..).zip(&at) {
        let Some(first) = clauses.first() else { continue };
        let beats = |j: &u32| {
            *j != i
                && !gone.contains(j)
                && weights[*j as usize] <= weights[i as usize]
                && is_within(clauses, &at[*j as usize])
        };
        if open[*first as usize].iter().any(beats) {
            gone.insert(i);
        }
    }
    gone
}

/// Solves one cluster; without an answer from the solver all columns are chosen and the bound is that of disjoint rows.
fn program(cover: &Cover, most: u64, budget: &Budget) -> Answer {
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let columns: Vec<Variable> = cover.weights.iter().map(|w| problem.add_binary_var(*w as f64)).collect();
    for row in &cover.rows {
        let terms: Vec<(Variable, f64)> =
            row.alternatives.iter().flat_map(|a| &a.items).map(|i| (columns[*i as usize], 1.0)).collect();
        problem.add_constraint(&terms, ComparisonOp::Ge, 1.0);
    }
    let mut options = SolveOptions::default();
    options.node_limit = Some(NODES_A_SLICE);
    let Ok(mut outcome) = problem.solve_with(options) else { return unsolved(cover, 1) };
    while !outcome.is_optimal() && effort(cover, &outcome) < most && !budget.watch.stop() {
        let before = effort(cover, &outcome);
        let Ok(next) = outcome.resume() else { return unsolved(cover, before) };
        outcome = next;
        if effort(cover, &outcome) == before {
            break;
        }
    }
    read(cover, &columns, &outcome)
}

fn effort(cover: &Cover, outcome: &SolveOutcome) -> u64 {
    let stats = outcome.stats();
    1 + stats.nodes_solved + stats.lp_iterations * cover.rows.len() as u64 / STEPS_TIMES_ROWS
}

/// The answer in whole numbers: chosen columns are rounded and weighed again, bounds are rounded up.
fn read(cover: &Cover, columns: &[Variable], outcome: &SolveOutcome) -> Answer {
    let effort = effort(cover, outcome);
    let Some(solution) = outcome.solution() else { return unsolved(cover, effort) };
    let mut kit: Vec<bool> = columns.iter().map(|c| solution.var_value(*c) > 0.5).collect();
    let meets = cover.rows.iter().all(|r| r.is_satisfied(&kit));
    if !meets {
        return unsolved(cover, effort);
    }
    let weight = cover.weight(&kit);
    let bound = if outcome.is_optimal() { weight } else { whole_bound(outcome.stats().best_bound, weight) };
    let columns = (0..).zip(kit.drain(..)).filter(|(_, has)| *has).map(|(i, _)| i).collect();
    Answer { columns, bound, effort, is_best: outcome.is_optimal() }
}

/// A bound from the relaxation as a whole number, less a millionth for rounding.
fn whole_bound(figure: Option<f64>, weight: u64) -> u64 {
    let figure = figure.filter(|b| b.is_finite()).unwrap_or(0.0).max(0.0);
    let safe = (figure * (1.0 - 1e-6) - 1e-6).ceil().max(0.0);
    (safe as u64).min(weight)
}

/// All columns, and the bound from rows that share no column: each needs its lightest.
fn unsolved(cover: &Cover, effort: u64) -> Answer {
    let mut used = cover.empty_kit();
    let mut bound = 0;
    for row in &cover.rows {
        let items: Vec<u32> = row.alternatives.iter().flat_map(|a| a.items.iter().copied()).collect();
        if items.iter().all(|i| !used[*i as usize]) {
            bound += items.iter().map(|i| cover.weights[*i as usize]).min().unwrap_or(0);
            items.iter().for_each(|i| used[*i as usize] = true);
        }
    }
    Answer { columns: (0..cover.weights.len() as u32).collect(), bound, effort, is_best: false }
}
