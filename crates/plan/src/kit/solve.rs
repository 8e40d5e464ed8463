//! The proven least kit: a good one from above, clauses from below, until both meet.
//!
//! Reduce; split into components; for each find a good kit by building. Then repeat: choose the lightest columns that
//! meet the clauses known so far — no kit is lighter, so that is a bound; if they satisfy all rows they are a best kit;
//! else each unsatisfied row gives a clause that they violate. Ends, as a row has finitely many blockers.

use super::clause::Clauses;
use super::cover::Cover;
use super::greedy;
use super::master;
use super::reduce::{components, reduce};
use effort::Budget;

/// The effort where none is given: two to three seconds on a small machine of 2026.
const SIZED_EFFORT: u64 = 8_000;
/// Rounds of cheap clauses before the first integer program.
const MOST_CHEAP_ROUNDS: usize = 60;
/// Enough cheap clauses: more would only make the first integer program slow.
const MANY_CLAUSES: usize = 1_500;

/// A kit with its value, the bound and the work done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solved {
    /// Whether each item is in the kit.
    pub kit: Vec<bool>,
    /// Weight and cost.
    pub value: u64,
    /// No kit is below this.
    pub bound: u64,
    /// Rounds of clauses, and thousands of steps of the simplex method, each counted once a row.
    pub effort: u64,
    /// Ended by the watch.
    pub stopped: bool,
}

/// The best kit for a cover that some kit satisfies.
#[must_use]
pub fn solve(cover: &Cover, budget: &Budget) -> Solved {
    let mut small = cover.clone();
    reduce(&mut small);
    let mut kit = cover.empty_kit();
    small.taken.iter().for_each(|i| kit[*i as usize] = true);
    let mut left = budget.effort.tries(SIZED_EFFORT);
    let mut sum = Solved { kit, value: small.fixed, bound: small.fixed, effort: 0, stopped: false };
    for part in components(&small) {
        let solved = component(&part.cover, left, budget);
        left = left.saturating_sub(solved.effort);
        for (item, has) in part.items.iter().zip(&solved.kit) {
            sum.kit[*item as usize] = *has;
        }
        sum.value += solved.value;
        sum.bound += solved.bound;
        sum.effort += solved.effort;
        sum.stopped |= solved.stopped;
    }
    sum
}

fn component(cover: &Cover, most: u64, budget: &Budget) -> Solved {
    let kit = greedy::good(cover);
    let value = cover.value(&kit).unwrap_or(u64::MAX);
    let mut best = Solved { kit, value, bound: Clauses::floor(cover), effort: 1, stopped: false };
    let mut clauses = Clauses::of(cover);
    cheap_clauses(cover, &mut clauses, &mut best);
    while best.bound < best.value && best.effort < most {
        if budget.watch.stop() {
            best.stopped = true;
            break;
        }
        let answer = master::lightest(&clauses, most - best.effort, budget);
        best.effort += answer.effort + 1;
        best.bound = best.bound.max(Clauses::floor(cover) + answer.bound).min(best.value);
        let items = kit_of(cover, &answer.columns);
        offer(cover, &items, &mut best);
        if clauses.add_violated(cover, &items) == 0 {
            break;
        }
    }
    best
}

/// The items among chosen columns.
fn kit_of(cover: &Cover, columns: &[u32]) -> Vec<bool> {
    let mut kit = cover.empty_kit();
    for column in columns {
        if let Some(has) = kit.get_mut(*column as usize) {
            *has = true;
        }
    }
    kit
}

/// Keeps what can be built on some items, if it is better.
fn offer(cover: &Cover, items: &[bool], best: &mut Solved) {
    let nothing = cover.empty_kit();
    let Some(built) = greedy::completed(cover, items.to_vec(), &nothing) else { return };
    for kit in [items.to_vec(), greedy::pruned(cover, built)] {
        if let Some(value) = cover.value(&kit).filter(|v| *v < best.value) {
            best.value = value;
            best.kit = kit;
        }
    }
}

/// Clauses from kits that meet the clauses so far, chosen greedily.
fn cheap_clauses(cover: &Cover, clauses: &mut Clauses, best: &mut Solved) {
    let mut kit = cover.empty_kit();
    for _ in 0..MOST_CHEAP_ROUNDS {
        if clauses.add_violated(cover, &kit) == 0 || clauses.clauses.len() > MANY_CLAUSES {
            break;
        }
        kit = greedy_meeting(cover, clauses);
        best.effort += 1;
    }
}

/// Items that meet all clauses, most often asked for by weight first.
fn greedy_meeting(cover: &Cover, clauses: &Clauses) -> Vec<bool> {
    let mut open: Vec<&Vec<u32>> = clauses.clauses.iter().collect();
    let mut kit = cover.empty_kit();
    while !open.is_empty() {
        let mut times = vec![0_u64; clauses.weights.len()];
        open.iter().flat_map(|c| c.iter()).for_each(|i| times[*i as usize] += 1);
        let worth = |i: &usize| times[*i] as f64 / clauses.weights[*i].max(1) as f64;
        let best = (0..times.len()).max_by(|a, b| worth(a).total_cmp(&worth(b)).then(b.cmp(a)));
        let Some(best) = best else { break };
        open.retain(|c| !c.contains(&(best as u32)));
        if let Some(has) = kit.get_mut(best) {
            *has = true;
        }
    }
    kit
}
