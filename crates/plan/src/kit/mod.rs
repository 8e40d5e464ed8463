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
//! | least to buy | number of pieces to buy so that all is done that one more piece would open, then number of items | pieces to buy |
//!
//! The store holds only what is owned; what could be bought is imagined from the gaps ([`shop`]). The kit then also has the
//! owned pieces that go with what is bought. Without a gap nothing is to be bought, and least to buy is least to carry.
//!
//! **Method.** The question is put in the words of the crate `cover` and solved there, to a proof or with a bound: for the
//! smallest kit the number of items first, then, among kits with that number, the time; for the quickest kit the weighed
//! sum.
//!
//! **Range.** The proof is about the number (or the seconds); the time of the smallest kit is its second aim and not told.
//! Duties that nothing can do are left out and listed; the outcome speaks of the others.
//!
//! **Worked example.** Two bolts, sockets A and B fit either, C fits the second only, each turned by ratchet R: rows
//! {A,R}|{B,R} and {A,R}|{B,R}|{C,R}. The second contains the first's alternatives and goes; R is forced; A stands in for
//! B. The kit is {A, R}, proven without a search.
//!
//! **Sources.** Those of the crate `cover`.

mod sheet;
mod shop;
mod spare;
mod trade;

use std::collections::{BTreeMap, BTreeSet};

use cover::Answer;
use cover::choice::{self, Aim, Limits, Piece, Problem, Worth};
use effort::{Budget, Seed, Standing};
use model::plan::Objective;
use model::rules::{PICK_S, PUT_S};
use model::{Book, Outcome, PieceId, Stack, Store, Working};

use crate::scope::{Scope, ScopedDuty};
pub use sheet::{sheet, special};
pub use shop::{Buy, Shop, shop};
pub use trade::{TradeOff, TradedKit, TradedPiece, trade_off};

const MS_PER_S: f64 = 1000.0;

/// The kit, and what it cannot do.
#[derive(Debug, Clone, PartialEq)]
pub struct KitAnswer {
    /// Pieces, rising, with how many of each.
    pub pieces: Vec<(PieceId, u16)>,
    /// How sure it is that no kit is better, over the duties that some stack can do.
    pub outcome: Outcome,
    /// Positions in [`Scope::duties`] of those that no stack can do.
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
    pub fn holds(&self, stack: &Stack) -> bool {
        copies(&stack.all_pieces()).iter().all(|(piece, copy)| *copy <= self.count(*piece))
    }

    /// The positions of the workings of a duty that lie inside the kit.
    pub fn inside<'a>(&'a self, duty: &'a ScopedDuty) -> impl Iterator<Item = usize> + 'a {
        (0..duty.workings.len()).filter(|at| self.holds(&duty.workings[*at].stack))
    }
}

/// The copies that a sorted list of pieces is made of: a piece's second mention is its second copy.
fn copies(pieces: &[PieceId]) -> Vec<(PieceId, u16)> {
    let mut copies: Vec<(PieceId, u16)> = Vec::with_capacity(pieces.len());
    for piece in pieces {
        let copy = copies.last().filter(|(last, _)| last == piece).map_or(1, |(_, n)| n + 1);
        copies.push((*piece, copy));
    }
    copies
}

/// The time of a working for the holes that a duty is done to.
fn time_ms(book: &Book, duty: &ScopedDuty, working: &Working) -> u64 {
    let seconds = duty.seconds_each(book, working) * duty.holes.len() as f64;
    (seconds * MS_PER_S).round().max(0.0) as u64
}

/// Items of a scope, and the steps and stacks over them, in milliseconds.
struct Indexed {
    /// The copy that each item stands for.
    items: Vec<(PieceId, u16)>,
    problem: Problem,
}

/// The weight of an item in the quickest kit: fetched once, put back once.
fn piece_ms() -> u64 {
    ((PICK_S + PUT_S) * MS_PER_S).round() as u64
}

fn indexed(book: &Book, scope: &Scope) -> Indexed {
    let able = scope.duties.iter().filter(|d| !d.workings.is_empty());
    let stacks = able.clone().flat_map(|d| &d.workings).map(|w| copies(&w.stack.all_pieces()));
    let items: Vec<(PieceId, u16)> = stacks.flatten().collect::<BTreeSet<_>>().into_iter().collect();
    let number: BTreeMap<(PieceId, u16), u32> = items.iter().copied().zip(0..).collect();
    let stack = |duty: &ScopedDuty, working: &Working| choice::Stack {
        time: time_ms(book, duty, working),
        pieces: copies(&working.stack.all_pieces()).iter().map(|copy| number[copy]).collect(),
    };
    let step = |d: &ScopedDuty| d.workings.iter().map(|w| stack(d, w)).collect();
    let pieces = vec![Piece { price: 0, load: 1 }; items.len()];
    Indexed { items, problem: Problem { pieces, steps: able.map(step).collect() } }
}

/// Gaps are few; their stacks are looked for on one thread.
const ONE_THREAD: u16 = 1;
/// The seed of the kit's search: a kit is the same for the same scope.
const SEED: Seed = Seed(0);

/// The kit for a scope.
#[must_use]
pub fn choose(book: &Book, store: &Store, scope: &Scope, objective: Objective, budget: &Budget) -> KitAnswer {
    budget.watch.progress("choosing the kit", 0.0);
    let has_gaps = scope.duties.iter().any(|d| d.workings.is_empty());
    if objective == Objective::LeastToBuy && has_gaps {
        let shop = shop(book, store, scope, ONE_THREAD, budget);
        let answer = counted(book, scope, shop.owned.into_iter(), shop.outcome);
        budget.watch.progress("choosing the kit", 1.0);
        return answer;
    }
    let indexed = indexed(book, scope);
    let problem = &indexed.problem;
    let quickest = objective == Objective::Quickest;
    let found = if quickest {
        let weights = Worth { price: 0, load: piece_ms(), time: 1 };
        choice::weighed(problem, &weights, &Limits::default(), budget, SEED).ok()
    } else {
        choice::in_order(problem, &[Aim::Load, Aim::Time], budget, SEED)
    };
    // Every step has a stack, so there is always a kit.
    let (pieces, first) = found.map_or_else(
        || ((0..problem.pieces.len() as u32).collect(), None),
        |choice| (choice.pieces, choice.stages.into_iter().next()),
    );
    let outcome = first.map_or_else(|| everything(problem.pieces.len()), |stage| outcome(&stage, quickest));
    let mut answer = answer(book, scope, &indexed, &pieces, outcome);
    if quickest {
        spare::add(store, scope, &mut answer);
    }
    budget.watch.progress("choosing the kit", 1.0);
    answer
}

/// The outcome of taking everything along.
fn everything(pieces: usize) -> Outcome {
    let value = pieces as f64;
    Outcome { standing: Standing::Found, value, bound: 0.0, unit: "pieces".into(), effort: 0 }
}

fn answer(book: &Book, scope: &Scope, indexed: &Indexed, chosen: &[u32], outcome: Outcome) -> KitAnswer {
    counted(book, scope, chosen.iter().map(|item| indexed.items[*item as usize].0), outcome)
}

/// How often each piece comes.
fn counts(pieces: impl Iterator<Item = PieceId>) -> BTreeMap<PieceId, u16> {
    let mut counts = BTreeMap::new();
    for piece in pieces {
        *counts.entry(piece).or_default() += 1;
    }
    counts
}

/// The kit of pieces, each given as often as it is in it.
fn counted(book: &Book, scope: &Scope, pieces: impl Iterator<Item = PieceId>, outcome: Outcome) -> KitAnswer {
    let unmet = (0..scope.duties.len()).filter(|at| scope.duties[*at].workings.is_empty()).collect();
    let mut answer =
        KitAnswer { pieces: counts(pieces).into_iter().collect(), outcome, unmet, best: Vec::new() };
    answer.best = scope.duties.iter().map(|d| quickest_inside(book, &answer, d)).collect();
    answer
}

fn quickest_inside(book: &Book, answer: &KitAnswer, duty: &ScopedDuty) -> Option<usize> {
    answer.inside(duty).min_by_key(|at| (time_ms(book, duty, &duty.workings[*at]), *at))
}

/// The outcome of a stage, in pieces or, where it was solved in milliseconds, in seconds.
fn outcome(stage: &Answer, timed: bool) -> Outcome {
    if !timed {
        return stage.outcome("pieces");
    }
    let mut outcome = stage.outcome("seconds");
    outcome.value /= MS_PER_S;
    outcome.bound /= MS_PER_S;
    outcome
}
