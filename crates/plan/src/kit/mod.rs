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
//! | least to carry | number of items; among kits with that number, total time by exchanging one piece at a time | pieces |
//! | quickest | `Σ t(r, x) + w·|x|`, `w` = fetching a piece once and putting it back | seconds |
//! | least to buy | as least to carry | pieces |
//!
//! The store holds only what is owned, so no kit from it costs money. What has to be bought follows from the gaps alone
//! (see [`crate::next_best`]) and is the same for every kit: least to buy therefore comes down to its second
//! criterion. That a bought piece might spare an owned one on the cart is not counted.
//!
//! **Method.** Exact reductions ([`reduce`]), then clauses from below and a good kit from above until both meet
//! ([`solve`]). [`plain`] tries every kit, to compare.
//!
//! **Range.** The proof is about the number (or the seconds), not about the exchange of equals. Duties that nothing can
//! do are left out and listed; the outcome speaks of the others.
//!
//! **Worked example.** Two bolts, sockets A and B fit either, C fits the second only, each turned by ratchet R: rows
//! {A,R}|{B,R} and {A,R}|{B,R}|{C,R}. The second contains the first's alternatives and goes; R is forced; A stands in for
//! B. The kit is {A, R}, proven without a search.
//!
//! **Sources.** Strong and weak forms of such covers and reductions are common knowledge of integer programming; making
//! clauses only when violated is logic-based Benders decomposition, here in the form of implicit hitting sets.

pub mod clause;
pub mod cover;
pub mod greedy;
pub mod master;
pub mod plain;
pub mod reduce;
mod sheet;
pub mod solve;
mod spare;
mod tie;

use std::collections::{BTreeMap, BTreeSet};

use model::plan::Objective;
use model::rules::{PICK_S, PUT_S};
use model::{Book, Outcome, PieceId, Stack, Standing, Store, Working};

use crate::scope::{Scope, ScopedDuty};
use cover::{Alternative, Cover, Row};
use effort::Budget;
pub use sheet::{sheet, special};

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

/// Items and rows of a scope, with times as costs.
struct Indexed {
    /// The copy that each item stands for.
    items: Vec<(PieceId, u16)>,
    cover: Cover,
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
    let alternative = |duty: &ScopedDuty, working: &Working| Alternative {
        cost: time_ms(book, duty, working),
        items: copies(&working.stack.all_pieces()).iter().map(|copy| number[copy]).collect(),
    };
    let row = |d: &ScopedDuty| Row::new(d.workings.iter().map(|w| alternative(d, w)).collect());
    let weights = vec![piece_ms(); items.len()];
    Indexed { cover: Cover::new(weights, able.map(row).collect()), items }
}

/// The same cover where only the number of items counts.
fn counted(cover: &Cover) -> Cover {
    let free = |row: &Row| {
        let alternatives = row.alternatives.iter().map(|a| Alternative { cost: 0, items: a.items.clone() });
        Row::new(alternatives.collect())
    };
    Cover::new(vec![1; cover.weights.len()], cover.rows.iter().map(free).collect())
}

/// The kit for a scope.
#[must_use]
pub fn choose(book: &Book, store: &Store, scope: &Scope, objective: Objective, budget: &Budget) -> KitAnswer {
    budget.watch.progress("choosing the kit", 0.0);
    let indexed = indexed(book, scope);
    let quickest = objective == Objective::Quickest;
    let mut solved = if quickest {
        solve::solve(&indexed.cover, budget)
    } else {
        solve::solve(&counted(&indexed.cover), budget)
    };
    if !quickest {
        solved.kit = tie::quicker(&indexed.cover, solved.kit, budget);
    }
    let mut answer = answer(book, scope, &indexed, &solved, quickest);
    if quickest {
        spare::add(store, scope, &mut answer);
    }
    budget.watch.progress("choosing the kit", 1.0);
    answer
}

fn answer(book: &Book, scope: &Scope, indexed: &Indexed, solved: &solve::Solved, timed: bool) -> KitAnswer {
    let mut counts: BTreeMap<PieceId, u16> = BTreeMap::new();
    for ((piece, _), _) in indexed.items.iter().zip(&solved.kit).filter(|(_, has)| **has) {
        *counts.entry(*piece).or_default() += 1;
    }
    let unmet = (0..scope.duties.len()).filter(|at| scope.duties[*at].workings.is_empty()).collect();
    let mut answer = KitAnswer {
        pieces: counts.into_iter().collect(),
        outcome: outcome(solved, timed),
        unmet,
        best: Vec::new(),
    };
    answer.best = scope.duties.iter().map(|d| quickest_inside(book, &answer, d)).collect();
    answer
}

fn quickest_inside(book: &Book, answer: &KitAnswer, duty: &ScopedDuty) -> Option<usize> {
    answer.inside(duty).min_by_key(|at| (time_ms(book, duty, &duty.workings[*at]), *at))
}

fn outcome(solved: &solve::Solved, timed: bool) -> Outcome {
    let standing = match (solved.value == solved.bound, solved.stopped) {
        (true, _) => Standing::Proven,
        (false, true) => Standing::Stopped,
        (false, false) => Standing::Found,
    };
    let (divisor, unit) = if timed { (MS_PER_S, "seconds") } else { (1.0, "pieces") };
    Outcome {
        standing,
        value: solved.value as f64 / divisor,
        bound: solved.bound as f64 / divisor,
        unit: unit.into(),
        effort: solved.effort,
    }
}
