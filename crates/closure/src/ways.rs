//! The set of greatest value where some items have several ways: branch on the ways, bounded by closures.
//!
//! # Question
//! As in [`crate::cut`], but an item with ways needs all of *one* of several sets in addition to its own needs, and all work is done
//! one after the other: with the ways taken, needs must not run in a circle.
//!
//! # Method
//! The bound of a branch is a closure in which an item whose way is open needs only what all its ways share: dropping needs
//! can only add value. If every chosen item with ways has its way settled and nothing runs in a circle, that closure is
//! an answer of the branch and the best in it. Else take the chosen item whose ways are open and whose dearest way in is
//! greatest, and branch on its ways; or, where all are settled and there is a circle, branch on which item of the circle
//! stays out (child `k` keeps the first `k − 1` in and the `k`-th out, so no set is looked at twice). Branches are taken
//! best bound first, so the gap is known whenever the watch stops the search.
//!
//! # Worked example
//! A starter pays 50 and is reached with the intake off (−60) or with tray (−20) and shield (−10) off: from below it is worth
//! 20. If the plugs, which pay 45 and need the intake, are wanted too: 50 + 45 − 60 = 35, from above.
//!
//! # Range
//! Some tens of items with ways among those that pay are proven in milliseconds. AND/OR precedence: see `plan::way_in`.

use std::collections::{BTreeSet, BinaryHeap};

use effort::{SolverBudget, SolverStanding};

use crate::cut::{self, ClosureError, ForcedChoice};

/// Closures worked out before the best found is taken, where no effort is given.
const SIZED_TRIES: u64 = 20_000;

/// Something that may be chosen, with its ways.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemWithWays {
    /// What it adds to the value; below zero if it costs.
    pub value: i64,
    /// Positions of the items that must be chosen with it, whichever way is taken.
    pub needs: Vec<u32>,
    /// Ways of which one is taken, each the items it needs; empty where there is nothing to choose.
    pub ways: Vec<Vec<u32>>,
    /// Whether there is a choice.
    pub fixed: ForcedChoice,
}

/// Items whose needs exist and whose values can be added up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WaysProblem {
    items: Vec<ItemWithWays>,
}

impl WaysProblem {
    /// Checks the items.
    ///
    /// # Errors
    /// As `cut::WaysProblem::new`.
    pub fn new(items: Vec<ItemWithWays>) -> Result<Self, ClosureError> {
        let all =
            |item: &ItemWithWays| item.needs.iter().chain(item.ways.iter().flatten()).copied().collect();
        let flat =
            |item: &ItemWithWays| cut::ClosureItem { value: item.value, needs: all(item), fixed: item.fixed };
        cut::ClosureProblem::new(items.iter().map(flat).collect())?;
        Ok(Self { items })
    }

    /// The items.
    #[must_use]
    pub fn items(&self) -> &[ItemWithWays] {
        &self.items
    }

    /// The value of a set.
    #[must_use]
    pub fn value(&self, chosen: &[bool]) -> i64 {
        self.items.iter().zip(chosen).filter(|(_, c)| **c).map(|(item, _)| item.value).sum()
    }

    /// Whether a set keeps what is fixed.
    #[must_use]
    pub fn keeps_fixed(&self, chosen: &[bool]) -> bool {
        let bad = |item: &ItemWithWays, inside: bool| {
            item.fixed == if inside { ForcedChoice::Out } else { ForcedChoice::In }
        };
        !self.items.iter().zip(chosen).any(|(item, inside)| bad(item, *inside))
    }

    /// The same problem with one item fixed.
    #[must_use]
    pub fn with_fixed(&self, item: usize, fixed: ForcedChoice) -> Self {
        let mut other = self.clone();
        other.items[item].fixed = fixed;
        other
    }
}

/// A best set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WaysAnswer {
    /// What is chosen.
    pub chosen: Vec<bool>,
    /// Position of the way taken by each chosen item with ways.
    pub ways: Vec<Option<u16>>,
    /// Its value.
    pub value: i64,
    /// No set is worth more.
    pub bound: i64,
    /// Proven; or found within the effort, or stopped by the watch.
    pub standing: SolverStanding,
    /// Closures worked out.
    pub effort: u64,
}

/// A branch: what is settled in it, the best closure that this leaves, and what that closure leaves open.
#[derive(Debug, Clone, PartialEq, Eq)]
struct WaysBranch {
    node: WaysNode,
    split: BranchSplit,
}

/// What is settled, and the best closure that this leaves.
#[derive(Debug, Clone, PartialEq, Eq)]
struct WaysNode {
    bound: i64,
    /// Branches made later are looked at first when bounds are the same: the deeper ones.
    made: u64,
    ways: Vec<Option<u16>>,
    fixed: Vec<ForcedChoice>,
    chosen: Vec<bool>,
}

impl Ord for WaysBranch {
    fn cmp(&self, other: &Self) -> core::cmp::Ordering {
        (self.node.bound, self.node.made).cmp(&(other.node.bound, other.node.made))
    }
}

impl PartialOrd for WaysBranch {
    fn partial_cmp(&self, other: &Self) -> Option<core::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

/// How a branch is taken apart.
#[derive(Debug, Clone, PartialEq, Eq)]
enum BranchSplit {
    /// Open ways of an item.
    Ways(usize),
    /// A circle, of which one item has to go.
    Circle(Vec<usize>),
}

struct WaysSearch<'a> {
    problem: &'a WaysProblem,
    budget: &'a SolverBudget<'a>,
    open: BinaryHeap<WaysBranch>,
    best: Option<WaysNode>,
    tries: u64,
}

/// The set of greatest value that can be worked one item after the other.
///
/// # Errors
/// [`ClosureError::Impossible`] where no set holds all that must be chosen; [`ClosureError::NotFound`] when the effort or the watch ends the
/// search before one is found.
pub fn solve_ways(problem: &WaysProblem, budget: &SolverBudget) -> Result<WaysAnswer, ClosureError> {
    let mut search = WaysSearch { problem, budget, open: BinaryHeap::new(), best: None, tries: 0 };
    let fixed = problem.items.iter().map(|i| i.fixed).collect();
    search.add_branch(vec![None; problem.items.len()], fixed);
    search.run_search()
}

/// The best answer with the choice of one item turned round; `None` where it cannot be at any price, or where either answer
/// is not proven.
#[must_use]
pub fn turned_answer(
    problem: &WaysProblem,
    answer: &WaysAnswer,
    item: usize,
    budget: &SolverBudget,
) -> Option<WaysAnswer> {
    if problem.items.get(item)?.fixed != ForcedChoice::Free || answer.standing != SolverStanding::Proven {
        return None;
    }
    let other = if answer.chosen[item] { ForcedChoice::Out } else { ForcedChoice::In };
    solve_ways(&problem.with_fixed(item, other), budget).ok().filter(|a| a.standing == SolverStanding::Proven)
}

/// What the best value loses when the choice of one item is turned round; `None` as with [`turned_answer`].
#[must_use]
pub fn ways_margin(
    problem: &WaysProblem,
    answer: &WaysAnswer,
    item: usize,
    budget: &SolverBudget,
) -> Option<i64> {
    turned_answer(problem, answer, item, budget).map(|other| answer.value - other.value)
}

impl WaysSearch<'_> {
    fn run_search(mut self) -> Result<WaysAnswer, ClosureError> {
        let most = self.budget.effort.tries_or_sized(SIZED_TRIES);
        while let Some(branch) = self.open.pop() {
            let bound = branch.node.bound;
            if self.best.as_ref().is_some_and(|best| best.bound >= bound) {
                break;
            }
            let stopped = self.budget.watch.should_stop();
            if stopped || self.tries >= most {
                self.open.push(branch);
                self.dive_for_answer();
                let standing = if stopped { SolverStanding::Stopped } else { SolverStanding::Found };
                let best = self.best.as_ref().ok_or(ClosureError::NotFound)?;
                return Ok(self.build_answer(best, bound, standing));
            }
            self.expand_branch(&branch.node, &branch.split);
        }
        let best = self.best.as_ref().ok_or(ClosureError::Impossible)?;
        Ok(self.build_answer(best, best.bound, SolverStanding::Proven))
    }

    /// Looks deepest first for some answer, if a search was cut short before there was one.
    fn dive_for_answer(&mut self) {
        let most = self.tries + 10 * self.problem.items.len() as u64;
        let mut stack: Vec<WaysBranch> = std::mem::take(&mut self.open).into_sorted_vec();
        while self.best.is_none() && self.tries < most {
            let Some(branch) = stack.pop() else { break };
            self.expand_branch(&branch.node, &branch.split);
            stack.extend(std::mem::take(&mut self.open).into_sorted_vec());
        }
    }

    fn build_answer(&self, best: &WaysNode, bound: i64, standing: SolverStanding) -> WaysAnswer {
        let ways = best.ways.iter().zip(&best.chosen).map(|(way, inside)| way.filter(|_| *inside));
        let standing = if bound == best.bound { SolverStanding::Proven } else { standing };
        WaysAnswer {
            chosen: best.chosen.clone(),
            ways: ways.collect(),
            value: best.bound,
            bound,
            standing,
            effort: self.tries,
        }
    }

    fn expand_branch(&mut self, branch: &WaysNode, split: &BranchSplit) {
        match split {
            BranchSplit::Ways(item) => {
                for way in 0..self.problem.items[*item].ways.len() {
                    let mut ways = branch.ways.clone();
                    ways[*item] = Some(way as u16);
                    self.add_branch(ways, branch.fixed.clone());
                }
            }
            BranchSplit::Circle(circle) => {
                let mut fixed = branch.fixed.clone();
                for item in circle {
                    if fixed[*item] == ForcedChoice::Free {
                        let mut without = fixed.clone();
                        without[*item] = ForcedChoice::Out;
                        self.add_branch(branch.ways.clone(), without);
                        fixed[*item] = ForcedChoice::In;
                    }
                }
            }
        }
    }

    /// Adds a branch with its closure, unless nothing is allowed in it.
    fn add_branch(&mut self, ways: Vec<Option<u16>>, fixed: Vec<ForcedChoice>) {
        self.tries += 1;
        let item = |at: usize| {
            let item = &self.problem.items[at];
            let mut needs = item.needs.clone();
            needs.extend(way_needs(item, ways[at]));
            cut::ClosureItem { value: item.value, needs, fixed: fixed[at] }
        };
        let items = (0..self.problem.items.len()).map(item).collect();
        let Ok(relaxed) = cut::ClosureProblem::new(items) else { return };
        // Never stopped halfway: a closure cut short would be no bound. It takes little.
        let Ok(solved) = cut::solve_closure(&relaxed, &SolverBudget::sized()) else { return };
        let answer = solved.answer();
        let node =
            WaysNode { bound: answer.value, made: self.tries, ways, fixed, chosen: answer.least.clone() };
        if self.best.as_ref().is_some_and(|best| best.bound >= node.bound) {
            return;
        }
        match open_split(self.problem, &node) {
            Some(split) => self.open.push(WaysBranch { node, split }),
            None => self.best = Some(node),
        }
    }
}

/// What a way needs; where it is open, what all ways share.
fn way_needs(item: &ItemWithWays, way: Option<u16>) -> Vec<u32> {
    match (way, item.ways.split_first()) {
        (Some(way), _) => item.ways.get(usize::from(way)).cloned().unwrap_or_default(),
        (None, Some((first, rest))) => {
            first.iter().filter(|n| rest.iter().all(|way| way.contains(n))).copied().collect()
        }
        (None, None) => Vec::new(),
    }
}

/// What has to be settled before a branch's closure is an answer; nothing if it is one.
fn open_split(problem: &WaysProblem, branch: &WaysNode) -> Option<BranchSplit> {
    let open =
        |at: &usize| branch.chosen[*at] && branch.ways[*at].is_none() && !problem.items[*at].ways.is_empty();
    let added = |at: usize| cheapest_way(problem, branch, at);
    let widest = (0..problem.items.len()).filter(open).max_by_key(|at| (added(*at), usize::MAX - *at));
    widest.map(BranchSplit::Ways).or_else(|| find_circle(problem, branch).map(BranchSplit::Circle))
}

/// What the cheapest way of an item adds to what is chosen already, looking only at the way's own needs.
fn cheapest_way(problem: &WaysProblem, branch: &WaysNode, item: usize) -> i64 {
    let cost = |way: &Vec<u32>| {
        let new: BTreeSet<u32> = way.iter().filter(|n| !branch.chosen[**n as usize]).copied().collect();
        new.iter().map(|n| problem.items[*n as usize].value.min(0)).sum::<i64>().saturating_neg()
    };
    problem.items[item].ways.iter().map(cost).min().unwrap_or(0)
}

/// A circle of needs among the chosen items, with the ways taken.
fn find_circle(problem: &WaysProblem, branch: &WaysNode) -> Option<Vec<usize>> {
    let mut done: Vec<bool> = branch.chosen.iter().map(|inside| !inside).collect();
    let waits_for = |at: usize, done: &[bool]| {
        let item = &problem.items[at];
        let way = way_needs(item, branch.ways[at]);
        item.needs.iter().chain(&way).map(|n| *n as usize).find(|n| !done[*n])
    };
    loop {
        let ready: Vec<usize> =
            (0..done.len()).filter(|at| !done[*at] && waits_for(*at, &done).is_none()).collect();
        if ready.is_empty() {
            break;
        }
        ready.into_iter().for_each(|at| done[at] = true);
    }
    let mut path: Vec<usize> = vec![done.iter().position(|d| !d)?];
    loop {
        let next = waits_for(*path.last()?, &done)?;
        if let Some(start) = path.iter().position(|at| *at == next) {
            return Some(path.split_off(start));
        }
        path.push(next);
    }
}
