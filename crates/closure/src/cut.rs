//! The closure of greatest value where every need must be met: one minimum cut, and the margin of each item.

use effort::{SolverBudget, SolverStanding, SolverWatch};

use crate::flow::{FlowNetwork, NetworkDraft, WITHOUT_END};

/// The sizes of all values sum to less; a flow of this size forces something that cannot be.
const MAX_VALUE: i64 = WITHOUT_END / 2;

/// Something that may be chosen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosureItem {
    /// What it adds to the value; below zero if it costs.
    pub value: i64,
    /// Positions of the items that must be chosen with it.
    pub needs: Vec<u32>,
    /// Whether there is a choice.
    pub fixed: ForcedChoice,
}

/// Whether an item may be chosen freely.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ForcedChoice {
    /// As it pays.
    #[default]
    Free,
    /// Must be chosen.
    In,
    /// Must not be chosen.
    Out,
}

/// Why a problem cannot be posed or has no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ClosureError {
    /// A need that is no item.
    NoSuchItem {
        /// Who needs it.
        item: usize,
        /// The position that is beyond the last.
        need: u32,
    },
    /// The values are too large to add up safely.
    TooLarge,
    /// What must be chosen needs what must not be.
    Impossible,
    /// The search ended before any answer was found.
    NotFound,
}

impl core::fmt::Display for ClosureError {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::NoSuchItem { item, need } => {
                write!(f, "item {item} needs item {need}, which does not exist")
            }
            Self::TooLarge => f.write_str("the sum of the values is too large"),
            Self::NotFound => f.write_str("the search ended before any answer was found"),
            Self::Impossible => {
                f.write_str("an item that must be chosen needs an item that must not be chosen")
            }
        }
    }
}

impl core::error::Error for ClosureError {}

/// Items whose needs exist and whose values can be added up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClosureProblem {
    items: Vec<ClosureItem>,
}

impl ClosureProblem {
    /// Checks the items.
    ///
    /// # Errors
    /// A need that is no item; values that sum to `i64::MAX / 16` or more.
    pub fn new(items: Vec<ClosureItem>) -> Result<Self, ClosureError> {
        let count = u32::try_from(items.len()).map_err(|_| ClosureError::TooLarge)?;
        let mut sum = 0_i64;
        for (at, item) in items.iter().enumerate() {
            if let Some(need) = item.needs.iter().find(|n| **n >= count) {
                return Err(ClosureError::NoSuchItem { item: at, need: *need });
            }
            let size = i64::try_from(item.value.unsigned_abs()).map_err(|_| ClosureError::TooLarge)?;
            sum = sum.checked_add(size).ok_or(ClosureError::TooLarge)?;
        }
        if count >= u32::MAX - 2 || sum >= MAX_VALUE {
            return Err(ClosureError::TooLarge);
        }
        Ok(Self { items })
    }

    /// The items.
    #[must_use]
    pub fn items(&self) -> &[ClosureItem] {
        &self.items
    }

    /// The value of a set.
    #[must_use]
    pub fn value(&self, chosen: &[bool]) -> i64 {
        self.items.iter().zip(chosen).filter(|(_, c)| **c).map(|(item, _)| item.value).sum()
    }
}

/// A best closure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BestClosure {
    /// The least best closure: nothing in it could be left out without loss.
    pub least: Vec<bool>,
    /// The greatest best closure: what it adds to the least is worth nothing either way.
    pub greatest: Vec<bool>,
    /// Value of both.
    pub value: i64,
    /// No closure is worth more.
    pub bound: i64,
    /// Proven, or stopped by the watch.
    pub standing: SolverStanding,
}

/// A solved problem, whose flow can be asked for margins.
#[derive(Debug, Clone)]
pub struct SolvedClosure {
    network: FlowNetwork,
    answer: BestClosure,
}

/// The closure of greatest value.
///
/// # Errors
/// [`ClosureError::Impossible`] where what must be chosen needs what must not be.
pub fn solve_closure(problem: &ClosureProblem, budget: &SolverBudget) -> Result<SolvedClosure, ClosureError> {
    let (source, sink) = source_and_sink(problem);
    let mut network = closure_network(problem);
    let (flow, whole) = network.push_flow(source, sink, budget.watch);
    if flow >= MAX_VALUE {
        return Err(ClosureError::Impossible);
    }
    let answer =
        if whole { proven_answer(problem, &network) } else { stopped_answer(problem, &network, flow)? };
    Ok(SolvedClosure { network, answer })
}

const fn source_and_sink(problem: &ClosureProblem) -> (u32, u32) {
    let count = problem.items.len() as u32;
    (count, count + 1)
}

fn closure_network(problem: &ClosureProblem) -> FlowNetwork {
    let (source, sink) = source_and_sink(problem);
    let mut draft = NetworkDraft::default();
    for (at, item) in problem.items.iter().enumerate() {
        let at = at as u32;
        match (item.fixed, item.value) {
            (ForcedChoice::In, _) => draft.add_arc(source, at, WITHOUT_END),
            (ForcedChoice::Out, _) => draft.add_arc(at, sink, WITHOUT_END),
            (ForcedChoice::Free, value) if value > 0 => draft.add_arc(source, at, value),
            (ForcedChoice::Free, _) => {}
        }
        if item.fixed != ForcedChoice::Out && item.value < 0 {
            draft.add_arc(at, sink, -item.value);
        }
        item.needs.iter().for_each(|need| draft.add_arc(at, *need, 2 * WITHOUT_END));
    }
    draft.to_network(problem.items.len() + 2)
}

fn proven_answer(problem: &ClosureProblem, network: &FlowNetwork) -> BestClosure {
    let (least, greatest) = cut_sides(problem, network);
    let value = problem.value(&least);
    BestClosure { least, greatest, value, bound: value, standing: SolverStanding::Proven }
}

/// What the source reaches, and what does not reach the sink.
fn cut_sides(problem: &ClosureProblem, network: &FlowNetwork) -> (Vec<bool>, Vec<bool>) {
    let (source, sink) = source_and_sink(problem);
    let count = problem.items.len();
    let mut least = network.reached_from(source);
    let mut greatest: Vec<bool> = network.nodes_reaching(sink).into_iter().map(|reaches| !reaches).collect();
    least.truncate(count);
    greatest.truncate(count);
    (least, greatest)
}

/// The better of the two sides that are closed and allowed; the flow found so far bounds what any closure is worth.
fn stopped_answer(
    problem: &ClosureProblem,
    network: &FlowNetwork,
    flow: i64,
) -> Result<BestClosure, ClosureError> {
    // A forced item's arc from the source has no limit, so its value is counted apart.
    let gain = |item: &ClosureItem| if item.fixed == ForcedChoice::Free { item.value.max(0) } else { 0 };
    let forced = |item: &ClosureItem| if item.fixed == ForcedChoice::In { item.value.max(0) } else { 0 };
    let bound = problem.items.iter().map(|i| gain(i) + forced(i)).sum::<i64>() - flow;
    let (least, greatest) = cut_sides(problem, network);
    let none = needed_items(problem);
    let allowed = [least, greatest, none].into_iter().filter(|set| is_valid_closure(problem, set));
    let best = allowed.max_by_key(|set| problem.value(set)).ok_or(ClosureError::Impossible)?;
    let value = problem.value(&best);
    let standing = if value == bound { SolverStanding::Proven } else { SolverStanding::Stopped };
    Ok(BestClosure { greatest: best.clone(), least: best, value, bound, standing })
}

/// What must be chosen, with all its needs.
fn needed_items(problem: &ClosureProblem) -> Vec<bool> {
    let mut inside = vec![false; problem.items.len()];
    let mut open: Vec<usize> =
        (0..inside.len()).filter(|at| problem.items[*at].fixed == ForcedChoice::In).collect();
    while let Some(at) = open.pop() {
        if !std::mem::replace(&mut inside[at], true) {
            open.extend(problem.items[at].needs.iter().map(|n| *n as usize));
        }
    }
    inside
}

/// Whether a set is closed and keeps what is fixed.
#[must_use]
pub fn is_valid_closure(problem: &ClosureProblem, chosen: &[bool]) -> bool {
    problem.items.iter().zip(chosen).all(|(item, inside)| match (item.fixed, inside) {
        (ForcedChoice::Out, true) | (ForcedChoice::In, false) => false,
        (_, false) => true,
        (_, true) => item.needs.iter().all(|need| chosen[*need as usize]),
    })
}

impl SolvedClosure {
    /// The best closure.
    #[must_use]
    pub const fn answer(&self) -> &BestClosure {
        &self.answer
    }

    /// What the best value loses when the choice of one item is turned round: while the value of a chosen item falls by less
    /// than this, or that of an item left out rises by less, the least best closure stays a best one. `None` where the item
    /// cannot be chosen otherwise at any price, or where the flow was stopped.
    #[must_use]
    pub fn margin_of(&self, item: usize, watch: &dyn SolverWatch) -> Option<i64> {
        let inside = *self.answer.least.get(item)?;
        if self.answer.standing != SolverStanding::Proven {
            return None;
        }
        let count = self.answer.least.len() as u32;
        let (from, to) = if inside { (count, item as u32) } else { (item as u32, count + 1) };
        let (flow, whole) = self.network.clone().push_flow(from, to, watch);
        (whole && flow < MAX_VALUE).then_some(flow)
    }
}
