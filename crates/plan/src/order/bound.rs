//! A bound that no order goes below.
//!
//! Three sums are added, because they count different seconds:
//!
//! * the fixed work of all nodes;
//! * entering each station that is worked at, once, the first station left out; turning to each part, once;
//! * for each node with choices the cheapest of `inside + cheapest swap from any stack that can be in hand before it`; or,
//!   if that is more, the cheapest `inside` of each and one pick of each piece that some node cannot do without.
//!
//! A wait of `L` gives a bound of its own: the work on what has to precede its start, `L`, and the work on all that follows
//! its end. The greatest of all is taken.

use std::collections::{BTreeMap, BTreeSet};

use model::{PieceId, rules};

use super::problem::{Choice, EMPTY_HAND, Lag, Node, Problem};

/// Seconds that no order goes below.
#[must_use]
pub fn bound_s(problem: &Problem) -> f64 {
    let fixed_s: f64 = problem.nodes.iter().map(|n| n.fixed_s).sum();
    let busy_s = fixed_s + places_s(problem) + swaps_s(problem).max(picks_s(problem));
    problem.lags.iter().map(|lag| across_s(problem, lag)).fold(busy_s, f64::max)
}

/// The least seconds of a plan that waits for a lag: the first of `to` starts when all before `from` is long done.
fn across_s(problem: &Problem, lag: &Lag) -> f64 {
    let all = 0..problem.nodes.len();
    let before = |n: &usize| lag.from.iter().any(|f| f == n || problem.precedes(*n, *f));
    let after = |n: &usize| lag.to.iter().any(|t| t == n || problem.precedes(*t, *n));
    let ends = all.filter(|n| before(n) || after(n));
    lag.wait_s + ends.map(|n| work_s(&problem.nodes[n])).sum::<f64>()
}

fn work_s(node: &Node) -> f64 {
    let inside_s = node.choices.iter().map(|c| c.inside_s).reduce(f64::min);
    node.fixed_s + inside_s.unwrap_or(0.0)
}

fn places_s(problem: &Problem) -> f64 {
    // Changes of station inside a node are part of its fixed seconds: only where nodes start is sure to be extra.
    let inner: BTreeSet<u16> =
        problem.nodes.iter().filter(|n| n.leaves != n.station).map(|n| n.leaves).collect();
    let starts: BTreeSet<u16> = problem.nodes.iter().map(|n| n.station).collect();
    let entered = starts.iter().filter(|s| **s != 0 && !inner.contains(s));
    let stations_s: f64 = entered.map(|s| problem.enter_s[usize::from(*s)]).sum();
    let parts: BTreeSet<u32> = problem.nodes.iter().filter_map(|n| n.part).collect();
    stations_s + parts.len() as f64 * rules::ATTENTION_S
}

/// Nodes with choices.
fn choosers(problem: &Problem) -> impl Iterator<Item = (usize, &[Choice])> {
    let all = problem.nodes.iter().map(|n| n.choices.as_slice()).enumerate();
    all.filter(|(_, choices)| !choices.is_empty())
}

fn swaps_s(problem: &Problem) -> f64 {
    let mut sum_s = 0.0;
    for (node, choices) in choosers(problem) {
        let mut hands: BTreeSet<u16> = BTreeSet::from([EMPTY_HAND]);
        let others = choosers(problem).filter(|(other, _)| *other != node && !problem.precedes(node, *other));
        hands.extend(others.flat_map(|(_, c)| c.iter().map(|c| c.last)));
        let least_s = |c: &Choice| {
            let swaps = hands.iter().map(|h| problem.stacks.swap_s(*h, c.first));
            swaps.fold(f64::INFINITY, f64::min) + c.inside_s
        };
        sum_s += choices.iter().map(least_s).fold(f64::INFINITY, f64::min);
    }
    sum_s
}

fn picks_s(problem: &Problem) -> f64 {
    let mut work_s = 0.0;
    let mut needed: BTreeMap<PieceId, usize> = BTreeMap::new();
    for (_, choices) in choosers(problem) {
        work_s += choices.iter().map(|c| c.inside_s).fold(f64::INFINITY, f64::min);
        let Some(first) = choices.first() else { continue };
        for piece in problem.stacks.pieces(first.first) {
            let count = |c: &Choice| problem.stacks.pieces(c.first).iter().filter(|p| *p == piece).count();
            let least = choices.iter().map(count).min().unwrap_or(0);
            let most = needed.entry(*piece).or_default();
            *most = (*most).max(least);
        }
    }
    // Picks inside a node are part of `inside`: only pieces that no node picks up on the way are sure to be extra.
    for (_, choices) in choosers(problem) {
        for choice in choices.iter().filter(|c| c.first != c.last) {
            problem.stacks.pieces(choice.last).iter().for_each(|p| _ = needed.remove(p));
        }
    }
    work_s + needed.values().sum::<usize>() as f64 * rules::PICK_S
}
