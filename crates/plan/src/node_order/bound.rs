//! A bound that no order goes below.
//!
//! Sums are added that count different seconds:
//!
//! * the fixed work of all nodes;
//! * entering each station, and turning to each part, as often as the precedence forces it (`visits`); once at least;
//! * for each node with choices the cheapest of `inside + cheapest swap from any stack that can be in hand before it`; or,
//!   if that is more, the cheapest `inside` of each and the picks and puts of each piece that are forced: some nodes cannot
//!   do without it, others, between them by the precedence, cannot be begun with it in hand.
//!
//! A wait of `L` gives a bound of its own: the work on what has to precede its start, `L`, and the work on all that follows
//! its end. The greatest of all is taken.

// symbol: of_piece = seconds for one copy of a piece

use std::collections::BTreeSet;

use model::PieceId;

use super::problem::{EMPTY_HAND, NodeLag, NodeOrderProblem, StackChoice, WorkNode};
use super::visits::{NodeEffect, count_beginnings, rising_nodes};

/// Seconds that no order goes below.
#[must_use]
pub fn node_order_bound_s(problem: &NodeOrderProblem) -> f64 {
    let fixed_s: f64 = problem.nodes.iter().map(|n| n.fixed_s).sum();
    let rising = rising_nodes(problem);
    let places_s = stations_s(problem, &rising) + parts_s(problem, &rising);
    let busy_s = fixed_s + places_s + swaps_s(problem).max(picks_s(problem, &rising));
    problem.lags.iter().map(|lag| across_s(problem, lag)).fold(busy_s, f64::max)
}

/// The least seconds of a plan that waits for a lag: the first of `to` starts when all before `from` is long done.
fn across_s(problem: &NodeOrderProblem, lag: &NodeLag) -> f64 {
    let all = 0..problem.nodes.len();
    let before = |n: &usize| lag.from.iter().any(|f| f == n || problem.precedes(*n, *f));
    let after = |n: &usize| lag.to.iter().any(|t| t == n || problem.precedes(*t, *n));
    let ends = all.filter(|n| before(n) || after(n));
    lag.wait_s + ends.map(|n| node_work_s(&problem.nodes[n])).sum::<f64>()
}

fn node_work_s(node: &WorkNode) -> f64 {
    let inside_s = node.choices.iter().map(|c| c.inside_s).reduce(f64::min);
    node.fixed_s + inside_s.unwrap_or(0.0)
}

/// Changes of station that the precedence forces on every order that begins at a station.
#[must_use]
pub fn least_place_changes(problem: &NodeOrderProblem, start: u16) -> u32 {
    station_entries(problem, &rising_nodes(problem), start).iter().map(|(_, times)| times).sum()
}

fn stations_s(problem: &NodeOrderProblem, rising: &[usize]) -> f64 {
    let entered = |(station, times): &(u16, u32)| f64::from(*times) * problem.enter_s[usize::from(*station)];
    station_entries(problem, rising, 0).iter().map(entered).sum()
}

/// How often each station is entered at least.
fn station_entries(problem: &NodeOrderProblem, rising: &[usize], start: u16) -> Vec<(u16, u32)> {
    // Changes of station inside a node are part of its fixed seconds: only where nodes start is sure to be extra.
    let inner: BTreeSet<u16> =
        problem.nodes.iter().filter(|n| n.leaves != n.station).map(|n| n.leaves).collect();
    let starts: BTreeSet<u16> = problem.nodes.iter().map(|n| n.station).collect();
    let entered = |station: &u16| {
        let says = |node: usize| {
            let it = &problem.nodes[node];
            match (it.station == *station, it.leaves == *station) {
                (true, true) => NodeEffect::On,
                (true, false) => NodeEffect::Ends,
                (false, _) => NodeEffect::Off,
            }
        };
        (*station, count_beginnings(problem, rising, *station == start, says))
    };
    starts.iter().filter(|s| !inner.contains(s)).map(entered).collect()
}

fn parts_s(problem: &NodeOrderProblem, rising: &[usize]) -> f64 {
    let parts: BTreeSet<u32> = problem.nodes.iter().filter_map(|n| n.part).collect();
    let turned = |part: &u32| {
        let says = |node: usize| {
            if problem.nodes[node].part == Some(*part) { NodeEffect::On } else { NodeEffect::Off }
        };
        f64::from(count_beginnings(problem, rising, false, says)) * times::ATTENTION_S
    };
    parts.iter().map(turned).sum()
}

/// Nodes with choices.
fn nodes_with_choices(problem: &NodeOrderProblem) -> impl Iterator<Item = (usize, &[StackChoice])> {
    let all = problem.nodes.iter().map(|n| n.choices.as_slice()).enumerate();
    all.filter(|(_, choices)| !choices.is_empty())
}

fn swaps_s(problem: &NodeOrderProblem) -> f64 {
    let mut sum_s = 0.0;
    for (node, choices) in nodes_with_choices(problem) {
        let mut hands: BTreeSet<u16> = BTreeSet::from([EMPTY_HAND]);
        let others = nodes_with_choices(problem)
            .filter(|(other, _)| *other != node && !problem.precedes(node, *other));
        hands.extend(others.flat_map(|(_, c)| c.iter().map(|c| c.last)));
        let least_s = |c: &StackChoice| {
            let swaps = hands.iter().map(|h| problem.stacks.swap_s(*h, c.first));
            swaps.fold(f64::INFINITY, f64::min) + c.inside_s
        };
        sum_s += choices.iter().map(least_s).fold(f64::INFINITY, f64::min);
    }
    sum_s
}

fn picks_s(problem: &NodeOrderProblem, rising: &[usize]) -> f64 {
    let work_s: f64 = nodes_with_choices(problem)
        .map(|(_, choices)| choices.iter().map(|c| c.inside_s).fold(f64::INFINITY, f64::min))
        .sum();
    let all = nodes_with_choices(problem).flat_map(|(_, choices)| choices);
    let pieces: BTreeSet<PieceId> = all.flat_map(|c| problem.stacks.pieces(c.first)).copied().collect();
    work_s + pieces.iter().map(|piece| piece_s(problem, rising, *piece)).sum::<f64>()
}

/// Picks and puts of a piece, and of its second, third … copy, that the precedence forces between nodes.
fn piece_s(problem: &NodeOrderProblem, rising: &[usize], piece: PieceId) -> f64 {
    let copies = |stack: u16| problem.stacks.pieces(stack).iter().filter(|p| **p == piece).count();
    let all = || {
        nodes_with_choices(problem)
            .flat_map(|(_, choices)| choices)
            .map(|c| (copies(c.first), copies(c.last)))
    };
    let most = all().map(|(first, _)| first).max().unwrap_or(0);
    let copy_s = |nth: usize| {
        // Picks inside a node are part of its `inside`: what a node may pick up on the way is not sure to be extra.
        if all().any(|(first, last)| first < nth && last >= nth) {
            return 0.0;
        }
        let says = |node: usize| {
            let choices = &problem.nodes[node].choices;
            let has = |stack: u16| copies(stack) >= nth;
            let (wanted, put_away) =
                (choices.iter().all(|c| has(c.first)), choices.iter().all(|c| !has(c.last)));
            match (wanted, put_away) {
                _ if choices.is_empty() => NodeEffect::Nothing,
                (true, true) => NodeEffect::Ends,
                (true, false) => NodeEffect::On,
                (false, true) => NodeEffect::Off,
                (false, false) => NodeEffect::Nothing,
            }
        };
        let picks = f64::from(count_beginnings(problem, rising, false, says));
        let put_inside = all().any(|(first, last)| first >= nth && last < nth);
        let puts = if put_inside { 0.0 } else { (picks - 1.0).max(0.0) };
        picks * times::PICK_S + puts * times::PUT_S
    };
    (1..=most).map(copy_s).sum()
}
