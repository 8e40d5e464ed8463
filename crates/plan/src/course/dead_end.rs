//! Why no order leads to the end: which rules stand against it, and what could not be done.

use std::collections::BTreeMap;

use effort::SolverWatch;
use model::Book;

use super::exact::{ExactEnd, MovePrices, find_fewest_moves};
use super::machine::CompiledNeed;
use super::problem::{CourseProblem, CourseStart};
use super::units::CourseJob;
use crate::assemble::PlanError;

/// The most steps that are named.
const MAX_NAMED_STEPS: usize = 4;

/// The reason in words: rules without which there would be an order, and the steps that nothing leads to with what they ask.
#[must_use]
pub fn explain_dead_end(
    book: &Book,
    job: &CourseJob,
    problem: &CourseProblem,
    start: &CourseStart,
    done: &[usize],
    is_proven: bool,
    watch: &dyn SolverWatch,
) -> PlanError {
    let mut rules = Vec::new();
    if is_proven {
        for (at, rule) in book.rules.iter().enumerate() {
            let mut without = problem.clone();
            without.machine = problem.machine.without_rule(at);
            let free = MovePrices { place: 0, lift: 0 };
            if matches!(find_fewest_moves(&without, start, free, watch), ExactEnd::Least(..)) {
                rules.push(rule.title.clone());
            }
        }
    }
    let is_done = |unit: &usize| done.contains(unit);
    let is_ready = |unit: &usize| problem.order.before[*unit].iter().all(|b| is_done(b));
    let stuck = (0..problem.unit_count()).filter(|u| !is_done(u) && is_ready(u));
    let steps = stuck.take(MAX_NAMED_STEPS).map(|unit| {
        let text = job.job.nodes[unit].first().map_or_else(String::new, |d| d.text.clone());
        let asks = needs_in_words(book, problem, unit);
        let text = text.trim_end_matches('.').to_owned();
        if asks.is_empty() { text } else { format!("{text} (asks for {asks})") }
    });
    let steps = steps.collect();
    PlanError::NoOrder { rules, steps, is_proven }
}

/// What a unit asks of the settings, "lift: low or chest; beam: carrying".
fn needs_in_words(book: &Book, problem: &CourseProblem, unit: usize) -> String {
    let mut needs: Vec<&CompiledNeed> = problem.needs_of_unit(unit).collect();
    needs.sort();
    let mut asked: BTreeMap<u8, u16> = BTreeMap::new();
    for need in needs {
        *asked.entry(need.thing).or_insert(u16::MAX) &= need.values;
    }
    let words = asked.into_iter().filter_map(|(thing, allowed)| {
        let setting = book.settings.get(usize::from(thing))?;
        let values = (0..setting.values.len()).filter(|v| allowed >> v & 1 == 1);
        let values: Vec<&str> = values.map(|v| setting.word(v as u8)).collect();
        Some(format!("{}: {}", setting.title, values.join(" or ")))
    });
    words.collect::<Vec<_>>().join("; ")
}
