//! The kit: the pieces that have to lie on the cart, chosen so that every duty has a stack wholly among them.
//!
//! **Question.** Which pieces, and how many of each? An *item* is one copy of a piece: "a first 10 mm socket", "a second
//! 75 mm extension". A duty is a *row*, a stack that can do it an *alternative*: the items that it is made of (a stack
//! that uses two of a piece needs both its copies). A kit satisfies a row when one alternative lies wholly inside it. This
//! is a cover of *and*s under *or*s, which is hard in general.
//!
//! **Objectives.** With `x` the kit, `w` the weight of an item and `t(r, x)` the time of row `r` with its quickest
//! alternative inside `x`:
//!
//! | objective | minimised | unit |
//! |---|---|---|
//! | least to carry | number of items; among kits with that number, total time | pieces |
//! | quickest | `Σ t(r, x) + w·|x|`, `w` = fetching a piece once and putting it back | seconds |
//! | balanced | number of items, of the kits with `Σ t(r, x)` at most 5 % above that with every item | pieces |
//! | least to buy | number of pieces to buy so that all is done that one more piece would open, then number of items | pieces to buy |
//!
//! The store holds only what is owned; what could be bought is imagined from the gaps (`purchase`). The kit then also has the
//! owned pieces that go with what is bought. Without a gap nothing is to be bought, and least to buy is least to carry.
//!
//! **Under doubt** (`doubt`): with a likely duty the time of a stack has the walk to the cabinet that its missing rooms may cost, and once the kit
//! stands, pieces are added that serve further rooms and are worth carrying.
//!
//! **Method.** The question is put in the words of the crate `cover` and solved there, to a proof or with a bound: for the
//! smallest kit the number of items first, then, among kits with that number, the time; for the quickest kit the weighed
//! sum.
//!
//! **Range.** The proof is about the number (or the seconds); the time of the smallest kit is a secondary aim and is not reported.
//! Duties that nothing can do are left out and listed; the outcome is about the others.
//!
//! **Worked example.** Two bolts, sockets A and B fit either, C fits the second only, each turned by ratchet R: rows
//! {A,R}|{B,R} and {A,R}|{B,R}|{C,R}. The second row contains the first's alternatives and is dropped; R is forced; A
//! dominates B. The kit is {A, R}, proven without a search.
//!
//! **Sources.** Those of the crate `cover`.

mod doubt;
mod purchase;
mod sheet;
mod spare;
mod trade;

use std::collections::{BTreeMap, BTreeSet};

use cover::CoverAnswer;
use cover::choice::{self, KitAim, KitLimits, KitProblem, KitWorth, PricedPiece};
use cover::fewest::choose_fewest_within_time;
use effort::{RandomSeed, SolverBudget, SolverStanding};
use model::plan::KitObjective;
use model::rules::KIT_TIME_SLACK_FRACTION;
use model::{Book, OutcomeUnit, PieceId, SolverOutcome, Stack, Store, WorkingStack};
use times::{PICK_S, PUT_S};

use crate::scope::{PlanScope, ScopedDuty};
pub use doubt::kit_doubt;
pub use purchase::{KitPurchase, PieceToBuy, choose_purchase};
pub use sheet::{kit_sheet, special_tools_needed};
pub use trade::{TradeOff, TradedKit, TradedPiece, find_trade_off};

const MS_PER_S: f64 = 1000.0;

/// The kit, and what it cannot do.
#[derive(Debug, Clone, PartialEq)]
pub struct KitAnswer {
    /// Pieces, rising, with how many of each.
    pub pieces: Vec<(PieceId, u16)>,
    /// How sure it is that no kit is better, over the duties that some stack can do.
    pub outcome: SolverOutcome,
    /// Positions in `PlanScope::duties_of_book` of those that no stack can do.
    pub unmet: Vec<usize>,
    /// For each duty the position of its quickest working inside the kit.
    pub best: Vec<Option<usize>>,
}

impl KitAnswer {
    /// How many of a piece the kit has.
    #[must_use]
    pub fn count(&self, piece: PieceId) -> u16 {
        self.pieces.binary_search_by_key(&piece, |(p, _)| *p).map_or(0, |at| self.pieces[at].1)
    }

    /// Whether a stack lies wholly inside the kit.
    #[must_use]
    pub fn holds_stack(&self, stack: &Stack) -> bool {
        numbered_copies(&stack.all_pieces()).iter().all(|(piece, copy)| *copy <= self.count(*piece))
    }

    /// The positions of the workings of a duty that lie inside the kit.
    pub fn workings_inside<'a>(&'a self, duty: &'a ScopedDuty) -> impl Iterator<Item = usize> + 'a {
        (0..duty.workings.len()).filter(|at| self.holds_stack(&duty.workings[*at].stack))
    }
}

impl KitAnswer {
    /// The workings inside the kit that a duty may be planned with: with a duty in doubt those that hold in most of its rooms.
    #[must_use]
    pub fn workings_to_plan(&self, duty: &ScopedDuty) -> Vec<usize> {
        let inside: Vec<usize> = self.workings_inside(duty).collect();
        let Some(rooms) = &duty.rooms else { return inside };
        let most = inside.iter().map(|at| rooms.count_held(*at)).max();
        inside.into_iter().filter(|at| Some(rooms.count_held(*at)) == most).collect()
    }
}

/// The copies that a sorted list of pieces is made of: a piece's second mention is its second copy.
fn numbered_copies(pieces: &[PieceId]) -> Vec<(PieceId, u16)> {
    let mut copies: Vec<(PieceId, u16)> = Vec::with_capacity(pieces.len());
    for piece in pieces {
        let copy = copies.last().filter(|(last, _)| last == piece).map_or(1, |(_, n)| n + 1);
        copies.push((*piece, copy));
    }
    copies
}

/// The time of a working for the holes that a duty is done to.
fn working_time_ms(book: &Book, duty: &ScopedDuty, working: &WorkingStack) -> u64 {
    let seconds = duty.seconds_each(book, working) * duty.holes.len() as f64;
    (seconds * MS_PER_S).round().max(0.0) as u64
}

/// The time of a working, with what it may cost in walks where its duty is in doubt.
fn weighed_time_ms(book: &Book, duty: &ScopedDuty, working: usize) -> u64 {
    working_time_ms(book, duty, &duty.workings[working]) + doubt::expected_walk_ms(duty, working)
}

/// Items of a scope, and the steps and stacks over them, in milliseconds.
struct IndexedKit {
    /// The copy that each item represents.
    items: Vec<(PieceId, u16)>,
    problem: KitProblem,
}

/// The weight of an item in the quickest kit: fetched once, put back once.
fn piece_weight_ms() -> u64 {
    ((PICK_S + PUT_S) * MS_PER_S).round() as u64
}

fn index_kit(book: &Book, scope: &PlanScope) -> IndexedKit {
    let able = scope.duties.iter().filter(|d| !d.workings.is_empty());
    let stacks = able.clone().flat_map(|d| &d.workings).map(|w| numbered_copies(&w.stack.all_pieces()));
    let items: Vec<(PieceId, u16)> = stacks.flatten().collect::<BTreeSet<_>>().into_iter().collect();
    let number: BTreeMap<(PieceId, u16), u32> = items.iter().copied().zip(0..).collect();
    let stack = |duty: &ScopedDuty, at: usize| choice::TimedStack {
        time: weighed_time_ms(book, duty, at),
        pieces: numbered_copies(&duty.workings[at].stack.all_pieces())
            .iter()
            .map(|copy| number[copy])
            .collect(),
    };
    let step = |d: &ScopedDuty| (0..d.workings.len()).map(|at| stack(d, at)).collect();
    let pieces = vec![PricedPiece { price: 0, load: 1 }; items.len()];
    IndexedKit { items, problem: KitProblem { pieces, steps: able.map(step).collect() } }
}

/// Gaps are few; their stacks are looked for on one thread.
const ONE_THREAD: u16 = 1;
/// The seed of the kit's search: a kit is the same for the same scope.
const SEED: RandomSeed = RandomSeed(0);

/// The kit for a scope.
#[must_use]
pub fn choose_kit(
    book: &Book,
    store: &Store,
    scope: &PlanScope,
    objective: KitObjective,
    budget: &SolverBudget,
) -> KitAnswer {
    budget.watch.report_progress("choosing the kit", 0.0);
    let has_gaps = scope.duties.iter().any(|d| d.workings.is_empty());
    if objective == KitObjective::LeastToBuy && has_gaps {
        let shop = choose_purchase(book, store, scope, ONE_THREAD, budget);
        let answer = answer_from_pieces(book, scope, shop.owned.into_iter(), shop.outcome);
        budget.watch.report_progress("choosing the kit", 1.0);
        return answer;
    }
    let indexed = index_kit(book, scope);
    let problem = &indexed.problem;
    let quickest = objective == KitObjective::Quickest;
    let found = match objective {
        KitObjective::Quickest => {
            let weights = KitWorth { price: 0, load: piece_weight_ms(), time: 1 };
            choice::choose_by_weights(problem, &weights, &KitLimits::default(), budget, SEED).ok()
        }
        KitObjective::Balanced => {
            choose_fewest_within_time(problem, balanced_time_ms(problem), BALANCED_GAP_PIECES, budget, SEED)
        }
        KitObjective::LeastToCarry | KitObjective::LeastToBuy => {
            choice::choose_in_order(problem, &[KitAim::Load, KitAim::Time], budget, SEED)
        }
    };
    // Every step has a stack, so there is always a kit.
    let (pieces, first) = found.map_or_else(
        || ((0..problem.pieces.len() as u32).collect(), None),
        |choice| (choice.pieces, choice.stages.into_iter().next()),
    );
    let outcome = first
        .map_or_else(|| whole_kit_outcome(problem.pieces.len()), |stage| stage_outcome(&stage, quickest));
    let mut answer = kit_answer(book, scope, &indexed, &pieces, outcome);
    if matches!(objective, KitObjective::Balanced | KitObjective::Quickest) {
        doubt::add_pieces_for_rooms(book, store, scope, &mut answer, budget);
    }
    if quickest {
        spare::add_spare_copies(store, scope, &mut answer);
    }
    budget.watch.report_progress("choosing the kit", 1.0);
    answer
}

/// How many pieces a balanced kit may be above the least possible: one is proven several times sooner than none (measured on
/// the demo books).
const BALANCED_GAP_PIECES: u64 = 1;

/// The time that all acts may take with a balanced kit.
fn balanced_time_ms(problem: &KitProblem) -> u64 {
    let least = |step: &Vec<choice::TimedStack>| step.iter().map(|stack| stack.time).min().unwrap_or(0);
    let quickest_ms: u64 = problem.steps.iter().map(least).sum();
    (quickest_ms as f64 * (1.0 + KIT_TIME_SLACK_FRACTION)).round() as u64
}

/// The outcome of taking everything along.
fn whole_kit_outcome(pieces: usize) -> SolverOutcome {
    let value = pieces as f64;
    SolverOutcome { standing: SolverStanding::Found, value, bound: 0.0, unit: OutcomeUnit::Pieces, effort: 0 }
}

fn kit_answer(
    book: &Book,
    scope: &PlanScope,
    indexed: &IndexedKit,
    chosen: &[u32],
    outcome: SolverOutcome,
) -> KitAnswer {
    answer_from_pieces(book, scope, chosen.iter().map(|item| indexed.items[*item as usize].0), outcome)
}

/// How often each piece comes.
fn count_pieces(pieces: impl Iterator<Item = PieceId>) -> BTreeMap<PieceId, u16> {
    let mut counts = BTreeMap::new();
    for piece in pieces {
        *counts.entry(piece).or_default() += 1;
    }
    counts
}

/// The kit of pieces, each given as often as it is in it.
fn answer_from_pieces(
    book: &Book,
    scope: &PlanScope,
    pieces: impl Iterator<Item = PieceId>,
    outcome: SolverOutcome,
) -> KitAnswer {
    let unmet = (0..scope.duties.len()).filter(|at| scope.duties[*at].workings.is_empty()).collect();
    let mut answer =
        KitAnswer { pieces: count_pieces(pieces).into_iter().collect(), outcome, unmet, best: Vec::new() };
    answer.best = scope.duties.iter().map(|d| quickest_working(book, &answer, d)).collect();
    answer
}

fn quickest_working(book: &Book, answer: &KitAnswer, duty: &ScopedDuty) -> Option<usize> {
    answer.workings_inside(duty).min_by_key(|at| (weighed_time_ms(book, duty, *at), *at))
}

/// The outcome of a stage, in pieces or, where it was solved in milliseconds, in seconds.
fn stage_outcome(stage: &CoverAnswer, timed: bool) -> SolverOutcome {
    if !timed {
        return stage.to_outcome(OutcomeUnit::Pieces);
    }
    let mut outcome = stage.to_outcome(OutcomeUnit::Seconds);
    outcome.value /= MS_PER_S;
    outcome.bound /= MS_PER_S;
    outcome
}
