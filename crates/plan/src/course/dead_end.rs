//! Why no order leads to the end: which rules stand against it, and what could not be done.

use std::collections::BTreeMap;

use effort::SolverWatch;
use model::{Book, PartStanding};

use super::exact::{ExactEnd, MovePrices, find_fewest_moves};
use super::machine::CompiledNeed;
use super::problem::{CourseProblem, CourseStart};
use super::work_units::CourseJob;
use crate::assemble::PlanError;

/// The most steps that are named.
const MAX_NAMED_STEPS: usize = 4;

/// Where a search ended that nothing leads on from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeadEnd {
    /// The units that are done where most are.
    pub done: Vec<usize>,
    /// Whether all orders were gone through.
    pub is_proven: bool,
}

impl DeadEnd {
    /// The reason in words: rules without which there would be an order, and the steps that nothing leads to with what they ask.
    #[must_use]
    pub fn explain(
        &self,
        book: &Book,
        job: &CourseJob,
        problem: &CourseProblem,
        start: &CourseStart,
        watch: &dyn SolverWatch,
    ) -> PlanError {
        let rules = if self.is_proven { rules_in_the_way(book, problem, start, watch) } else { Vec::new() };
        let is_done = |unit: &usize| self.done.contains(unit);
        let is_ready = |unit: &usize| problem.order.before[*unit].iter().all(is_done);
        let stuck = (0..problem.unit_count()).filter(|u| !is_done(u) && is_ready(u));
        let steps = stuck.take(MAX_NAMED_STEPS).map(|unit| {
            let text = job.job.nodes[unit].first().map_or_else(String::new, |d| d.text.clone());
            let asks = needs_in_words(book, problem, unit);
            let text = text.trim_end_matches('.').to_owned();
            if asks.is_empty() { text } else { format!("{text} (asks for {asks})") }
        });
        let mut steps: Vec<String> = steps.collect();
        if steps.is_empty() {
            steps = settings_not_back(book);
        }
        PlanError::NoOrder { rules, steps, is_proven: self.is_proven }
    }
}

/// Titles of the rules without any one of which there would be an order.
fn rules_in_the_way(
    book: &Book,
    problem: &CourseProblem,
    start: &CourseStart,
    watch: &dyn SolverWatch,
) -> Vec<String> {
    let opens = |at: usize| {
        let mut without = problem.clone();
        without.machine = problem.machine.without_rule(at);
        let free = MovePrices { place: 0, lift: 0 };
        matches!(find_fewest_moves(&without, start, free, watch), ExactEnd::Least(..))
    };
    let rules = book.rules.iter().enumerate().filter(|(at, _)| opens(*at));
    rules.map(|(_, rule)| rule.title.clone()).collect()
}

/// What is left where all work can be done: every setting at a value of the end.
fn settings_not_back(book: &Book) -> Vec<String> {
    let line = |setting: &model::Setting| {
        let values = (0..setting.values.len()).filter(|v| setting.end >> v & 1 == 1);
        let values: Vec<&str> = values.map(|v| setting.word(v as u8)).collect();
        format!("{} at {}", setting.title, values.join(" or "))
    };
    vec![format!("the end, with {}", book.settings.iter().map(line).collect::<Vec<_>>().join(", "))]
}

/// What a unit asks of settings and parts, "lift: low or chest; beam: carrying; engine cover: off".
fn needs_in_words(book: &Book, problem: &CourseProblem, unit: usize) -> String {
    let mut needs: Vec<&CompiledNeed> = problem.needs_of_unit(unit).collect();
    needs.sort();
    let mut asked: BTreeMap<u8, u16> = BTreeMap::new();
    for need in needs {
        *asked.entry(need.thing).or_insert(u16::MAX) &= need.values;
    }
    let settings = asked.iter().filter_map(|(thing, allowed)| {
        let setting = book.settings.get(usize::from(*thing))?;
        let values = (0..setting.values.len()).filter(|v| allowed >> v & 1 == 1);
        let values: Vec<&str> = values.map(|v| setting.word(v as u8)).collect();
        Some(format!("{}: {}", setting.title, values.join(" or ")))
    });
    let parts = book.part_ids().filter_map(|part| {
        let allowed = asked.get(&problem.machine.thing_of_part(part)?)?;
        let standings = PartStanding::ALL.iter().filter(|s| allowed & s.bit() != 0);
        let standings: Vec<&str> = standings.map(|s| s.spoken_word()).collect();
        Some(format!("{}: {}", book.part(part).title, standings.join(" or ")))
    });
    settings.chain(parts).collect::<Vec<_>>().join("; ")
}
