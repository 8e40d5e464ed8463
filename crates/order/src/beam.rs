//! Beam search over (nodes done, last node): proof when nothing was cut away, a good order in any case.
//!
//! Two beginnings with the same nodes done and the same last node go on alike, so only the cheaper is kept. A level
//! holds the beginnings of one length, grouped by the nodes done. The guide is the reduced cost so far: the cost beyond
//! the bound that the prices of the assignment prove. What cannot get below the best known is dropped; while nothing
//! else is dropped, the end proves the best. Widths double from run to run.
//!
//! Sources: L. Libralesso, A. Bouhassoun, H. Cambazard, V. Jost, "Tree search for the sequential ordering problem",
//! ECAI 2020, arXiv 1911.12427 (iterative widening, prefix dominance). Abstract read only; the guide by reduced costs is ours.

use core::ops::Range;
use std::collections::HashMap;

use crate::guide::{FAR, PriceGuide};
use crate::net::SequencingNet;
use crate::relation::set_bits;
use crate::work::TryCounter;

/// Maximum number of beginnings kept in all for the way back.
const MAX_KEPT_BEGINNINGS: usize = 12_000_000;
/// What a beginning looked at counts for, in tries of the annealing.
const TRIES_PER_LOOK: u64 = 2;

/// What a run of the beam came to.
#[derive(Debug)]
pub(crate) struct BeamResult {
    /// The best order, if one below the limit was found.
    pub(crate) order: Option<Vec<u32>>,
    /// Whether nothing was cut away: then no order below the limit is missed.
    pub(crate) complete: bool,
}

/// A beginning: its last node, its reduced cost and the beginning it grew from.
#[derive(Debug, Clone, Copy)]
struct BeamBeginning {
    group: u32,
    parent: u32,
    node: u32,
    over: i64,
    /// Reduced cost of all orders that begin so, at least.
    guess: i64,
}

/// The beginnings of one length with the nodes done by each group.
struct BeamLevel {
    words: usize,
    done: Vec<u64>,
    hashes: Vec<u64>,
    /// First beginning of each group, and one past the last.
    starts: Vec<u32>,
    last: Vec<u32>,
    over: Vec<i64>,
}

impl BeamLevel {
    fn done_row(&self, group: usize) -> &[u64] {
        &self.done[group * self.words..(group + 1) * self.words]
    }

    fn group_count(&self) -> usize {
        self.hashes.len()
    }
}

/// What the beam runs on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BeamInputs<'g> {
    pub(crate) net: &'g SequencingNet,
    pub(crate) guide: &'g PriceGuide,
}

/// Runs the beam with a width; `limit` is a value that an order must be below.
pub(crate) fn run_beam(ground: BeamInputs, width: usize, limit: i64, work: &mut TryCounter) -> BeamResult {
    let net = ground.net;
    let slack = ground.guide.slack(limit);
    let mut level = first_level(net);
    let mut complete = true;
    let mut history: Vec<(Vec<u32>, Vec<u32>)> = Vec::new();
    let mut kept = 0;
    let marks = draw_node_marks(net.n);
    for place in 1..net.n {
        let width = width.min((MAX_KEPT_BEGINNINGS - kept) / (net.n - history.len())).max(1);
        let Some((mut grown, cut)) = grow_level(ground, &level, BeamLimits { place, slack, width }, work)
        else {
            return BeamResult { order: None, complete: false };
        };
        complete &= !cut;
        if grown.is_empty() {
            return BeamResult { order: None, complete };
        }
        grown.sort_unstable_by_key(|g| (g.group, g.node));
        level = gather_level(&level, &grown, &marks, &mut history);
        kept += level.last.len();
    }
    let best = (0..level.last.len()).min_by_key(|at| level.over[*at]);
    BeamResult { order: best.map(|at| trace_back_order(&history, at)), complete }
}

fn first_level(net: &SequencingNet) -> BeamLevel {
    let words = net.arcs.word_count();
    let mut done = vec![0; words];
    done[0] = 1;
    BeamLevel { words, done, hashes: vec![0], starts: vec![0, 1], last: vec![0], over: vec![0] }
}

/// A random mark for each node; the marks of the nodes done, joined, distinguish groups quickly.
fn draw_node_marks(n: usize) -> Vec<u64> {
    let mut dice = crate::dice::OrderDice::new(1, 1, 1);
    (0..n).map(|_| dice.next_bits()).collect()
}

/// What a level may hold.
#[derive(Debug, Clone, Copy)]
struct BeamLimits {
    place: usize,
    slack: i64,
    width: usize,
}

/// Keeps the best, as many as the width; whether any had to go.
fn keep_best(grown: &mut Vec<BeamBeginning>, width: usize) -> bool {
    if grown.len() <= width {
        return false;
    }
    grown.select_nth_unstable_by_key(width, |g| (g.guess, g.node, g.group));
    grown.truncate(width);
    true
}

/// Every group grown by every node that may come next, from the cheapest of its beginnings; and whether any was cut.
///
/// `None` when the work is at its end before the level is.
fn grow_level(
    ground: BeamInputs,
    level: &BeamLevel,
    frame: BeamLimits,
    work: &mut TryCounter,
) -> Option<(Vec<BeamBeginning>, bool)> {
    let mut grown = Vec::new();
    let mut cut = false;
    let mut onward = vec![0_u64; level.words];
    for group in 0..level.group_count() {
        let row = level.done_row(group);
        let all = level.starts[group] as usize..level.starts[group + 1] as usize;
        let mut looks = 1;
        onward.fill(0);
        for at in all.clone() {
            let arcs = ground.net.arcs.row(level.last[at] as usize);
            onward.iter_mut().zip(arcs).for_each(|(word, arcs)| *word |= arcs);
        }
        onward.iter_mut().zip(row).for_each(|(word, done)| *word &= !done);
        for node in set_bits(&onward) {
            if !is_free(ground.net, node, row) {
                continue;
            }
            looks += all.len() as u64;
            let best = cheapest_beginning(ground, level, all.clone(), node);
            let Some((over, at)) = best else { continue };
            let rest = ground.guide.least_rest(frame.place, node as u32);
            if rest < FAR && over + rest <= frame.slack {
                let (group, parent, node) = (group as u32, at as u32, node as u32);
                grown.push(BeamBeginning { group, parent, node, over, guess: over + rest });
            }
        }
        if work.spend_tries(looks * TRIES_PER_LOOK) {
            return None;
        }
        // Cut early, so that a level never takes much more room than it keeps.
        if grown.len() > 4 * frame.width {
            cut |= keep_best(&mut grown, frame.width);
        }
    }
    cut |= keep_best(&mut grown, frame.width);
    Some((grown, cut))
}

/// Whether all predecessors of a node are done.
fn is_free(net: &SequencingNet, node: usize, done: &[u64]) -> bool {
    net.before.row(node).iter().zip(done).all(|(before, done)| before & !done == 0)
}

/// The least reduced cost with a node behind one of the beginnings of a group.
fn cheapest_beginning(
    ground: BeamInputs,
    level: &BeamLevel,
    all: Range<usize>,
    node: usize,
) -> Option<(i64, usize)> {
    let mut best: Option<(i64, usize)> = None;
    for at in all {
        let last = level.last[at] as usize;
        if ground.net.arcs.has(last, node) {
            let over = level.over[at] + ground.guide.reduced_cost(ground.net, last as u32, node as u32);
            if best.is_none_or(|(least, _)| over < least) {
                best = Some((over, at));
            }
        }
    }
    best
}

/// The next level: beginnings with the same nodes done come together.
fn gather_level(
    level: &BeamLevel,
    grown: &[BeamBeginning],
    marks: &[u64],
    history: &mut Vec<(Vec<u32>, Vec<u32>)>,
) -> BeamLevel {
    let words = level.words;
    let mut groups: HashMap<u64, Vec<u32>> = HashMap::new();
    let mut done: Vec<u64> = Vec::new();
    let mut hashes = Vec::new();
    let mut gathered: Vec<Vec<BeamBeginning>> = Vec::new();
    let mut row = vec![0_u64; words];
    for g in grown {
        row.copy_from_slice(level.done_row(g.group as usize));
        row[g.node as usize / 64] |= 1 << (g.node % 64);
        let hash = level.hashes[g.group as usize] ^ marks[g.node as usize];
        let same = groups.entry(hash).or_default();
        let found = same.iter().copied().find(|at| done[*at as usize * words..][..words] == row[..]);
        let at = found.unwrap_or_else(|| {
            let at = hashes.len() as u32;
            same.push(at);
            hashes.push(hash);
            done.extend_from_slice(&row);
            gathered.push(Vec::new());
            at
        });
        gathered[at as usize].push(*g);
    }
    let mut next = BeamLevel { words, done, hashes, starts: vec![0], last: Vec::new(), over: Vec::new() };
    let mut parents = Vec::with_capacity(grown.len());
    for group in &gathered {
        for grown in group {
            next.last.push(grown.node);
            next.over.push(grown.over);
            parents.push(grown.parent);
        }
        next.starts.push(next.last.len() as u32);
    }
    history.push((parents, next.last.clone()));
    next
}

fn trace_back_order(history: &[(Vec<u32>, Vec<u32>)], end: usize) -> Vec<u32> {
    let mut order = Vec::with_capacity(history.len() + 1);
    let mut at = end;
    for (parents, nodes) in history.iter().rev() {
        order.push(nodes[at]);
        at = parents[at] as usize;
    }
    order.push(0);
    order.reverse();
    order
}

#[cfg(test)]
mod tests {
    use core::sync::atomic::AtomicBool;

    use super::*;
    use crate::assign::assignment_of_net;
    use crate::dice::OrderDice;
    use crate::plain;
    use crate::problem::SequencingProblem;

    #[test]
    fn an_uncut_beam_finds_the_best_and_proves_that_nothing_is_below() {
        let mut dice = OrderDice::new(11, 0, 0);
        let halt = AtomicBool::new(false);
        for _ in 0..20 {
            let costs = (0..64).map(|_| dice.below(100) as i64).collect();
            let problem = SequencingProblem::new(8, costs, &[(0, 3), (5, 2), (2, 7)]).unwrap();
            let (_, best) = plain::solve_by_all_orders(&problem).unwrap();
            let net = SequencingNet::new(&problem);
            let guide = PriceGuide::of_prices(&assignment_of_net(&net));
            let ground = BeamInputs { net: &net, guide: &guide };
            let mut work = TryCounter::new(u64::MAX, &halt, None);
            let found = run_beam(ground, 100_000, best + 40, &mut work);
            assert!(found.complete);
            assert_eq!(found.order.map(|order| net.order_value(&order)), Some(best));
            let none = run_beam(ground, 100_000, best, &mut work);
            assert!(none.complete && none.order.is_none());
            let narrow = run_beam(ground, 1, best + 400, &mut work);
            assert!(!narrow.complete);
            assert!(narrow.order.is_none_or(|order| problem.allows(&net.to_problem_order(&order))));
        }
    }
}
