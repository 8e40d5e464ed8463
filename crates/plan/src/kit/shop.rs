//! What to buy: the fewest new pieces with which every duty can be done that one more piece would open, and then the
//! fewest pieces to carry.
//!
//! **Question.** A gap says which piece would close it. One piece may close several gaps, sometimes only if its dimensions
//! are chosen for all of them, and a gap may be closed by a piece that was wished for by another one. Which pieces are
//! bought?
//!
//! **Method.** Every gap's wish, and every wish that serves several gaps at once, becomes an *imagined* piece that is put
//! beside the store. The gaps' duties are reached again with all of these at hand, so that each has all its stacks. Then
//! the kit of all duties is chosen with a price of 1 on each imagined piece and none on what is owned: fewest to buy
//! first, fewest to carry second.
//!
//! **Range.** One imagined piece a gap: what two new pieces only together would open stays a gap, and is told as such. Prices
//! of pieces that are not owned are not known; their number stands for them.
//!
//! **Worked example.** Two bolts deep in the same hole want an extension of 40 to 60 mm and one of 55 to 90 mm. Each wish alone
//! closes one gap, the wish for both, 55 to 60 mm, closes two: one piece to buy.

use std::collections::BTreeSet;

use cover::choice::{self, Aim, Choice, Problem};
use effort::Budget;
use model::{Book, Outcome, Piece, PieceId, Store, Working};

use super::{SEED, copies, time_ms};
use crate::readiness::merged;
use crate::scope::{Scope, ScopedDuty};

/// One piece to buy, borrow or make.
#[derive(Debug, Clone, PartialEq)]
pub struct Buy {
    /// The piece as it was imagined.
    pub piece: Piece,
    /// Positions in [`Scope::duties`] of the gaps that are done with it, rising.
    pub closes: Vec<usize>,
}

/// What to buy, and the owned pieces to carry with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Shop {
    /// Pieces to buy.
    pub buys: Vec<Buy>,
    /// Owned pieces of the kit, rising, each as often as it is carried.
    pub owned: Vec<PieceId>,
    /// Positions in [`Scope::duties`] of those that nothing wished for opens, rising.
    pub left: Vec<usize>,
    /// How sure it is that no fewer will do, in pieces to buy.
    pub outcome: Outcome,
}

/// A scope over the store with the imagined pieces put behind, in the words of the crate `cover`: every duty that can then be
/// done is a step, every copy of a piece is a piece; those not owned have a price of 1.
pub(super) struct Shelf {
    pub(super) store: Store,
    /// Pieces from here on are imagined.
    owned: usize,
    /// Workings of each duty of the scope.
    workings: Vec<Vec<Working>>,
    /// Positions in [`Scope::duties`] of the steps.
    able: Vec<usize>,
    /// The copy that each piece of the problem stands for.
    pub(super) items: Vec<(PieceId, u16)>,
    pub(super) problem: Problem,
}

impl Shelf {
    pub(super) fn is_imagined(&self, id: PieceId) -> bool {
        id.index() >= self.owned
    }

    /// Positions in [`Scope::duties`] of those that nothing wished for opens.
    pub(super) fn left(&self) -> Vec<usize> {
        (0..self.workings.len()).filter(|at| self.workings[*at].is_empty()).collect()
    }

    /// The working that each able duty is done with in the kit found.
    fn used(&self, found: &Choice) -> Vec<Option<&Working>> {
        let stacks = self.problem.stacks(&found.pieces);
        self.able
            .iter()
            .zip(stacks)
            .map(|(at, stack)| stack.map(|stack| &self.workings[*at][stack]))
            .collect()
    }
}

/// What to buy for a scope.
#[must_use]
pub fn shop(book: &Book, store: &Store, scope: &Scope, threads: u16, budget: &Budget) -> Shop {
    let shelf = shelf(book, store, scope, threads);
    let found = choice::in_order(&shelf.problem, &[Aim::Price, Aim::Load], budget, SEED);
    let left = shelf.left();
    let Some(found) = found else {
        return Shop { buys: Vec::new(), owned: Vec::new(), left, outcome: none() };
    };
    let used = shelf.used(&found);
    let chosen = || found.pieces.iter().map(|i| shelf.items[*i as usize].0);
    let imagined: BTreeSet<PieceId> = chosen().filter(|id| shelf.is_imagined(*id)).collect();
    let closes = |id: PieceId| {
        let with = shelf.able.iter().zip(&used);
        let with = with.filter(|(_, w)| w.is_some_and(|w| w.stack.all_pieces().contains(&id)));
        with.map(|(at, _)| *at).filter(|at| scope.duties[*at].workings.is_empty()).collect()
    };
    let buy = |id: &PieceId| Buy { piece: shelf.store.piece(*id).clone(), closes: closes(*id) };
    Shop {
        buys: imagined.iter().map(buy).collect(),
        owned: chosen().filter(|id| !shelf.is_imagined(*id)).collect(),
        left,
        outcome: found.stages.first().map_or_else(none, |stage| stage.outcome("pieces")),
    }
}

/// Nothing to buy.
fn none() -> Outcome {
    Outcome { standing: effort::Standing::Found, value: 0.0, bound: 0.0, unit: "pieces".into(), effort: 0 }
}

/// The store with what the gaps wish for, and every duty reached with it.
pub(super) fn shelf(book: &Book, store: &Store, scope: &Scope, threads: u16) -> Shelf {
    let gaps: Vec<&ScopedDuty> = scope.duties.iter().filter(|d| d.workings.is_empty()).collect();
    let mut wider = store.clone();
    wider.pieces.extend(imagined(book, &gaps));
    let duties: Vec<model::Duty> = gaps.iter().map(|d| d.duty).collect();
    let reached = reach::reach(book, &wider, &duties, reach::Options { threads });
    let mut reached = reached.into_iter();
    let workings = scope.duties.iter().map(|d| {
        let is_gap = d.workings.is_empty();
        if is_gap { reached.next().map(|r| r.workings).unwrap_or_default() } else { d.workings.clone() }
    });
    let workings: Vec<Vec<Working>> = workings.collect();
    let able: Vec<usize> = (0..scope.duties.len()).filter(|at| !workings[*at].is_empty()).collect();
    let stacks = able.iter().flat_map(|at| &workings[*at]).map(|w| copies(&w.stack.all_pieces()));
    let items: Vec<(PieceId, u16)> = stacks.flatten().collect::<BTreeSet<_>>().into_iter().collect();
    let mut shelf =
        Shelf { store: wider, owned: store.pieces.len(), workings, able, items, problem: Problem::default() };
    shelf.problem = problem(book, scope, &shelf);
    shelf
}

/// The pieces wished for: by each gap alone, and by gaps that one piece serves.
fn imagined(book: &Book, gaps: &[&ScopedDuty]) -> Vec<Piece> {
    let missed = gaps.iter().filter_map(|d| Some((d.duty, d.miss.as_ref()?)));
    let missed: Vec<(model::Duty, &model::NearestMiss)> = missed.collect();
    let specs: Vec<&model::PieceSpec> = missed.iter().map(|(_, miss)| &miss.wanted).collect();
    let mut wishes: Vec<(usize, model::PieceSpec)> = specs.iter().map(|s| (*s).clone()).enumerate().collect();
    wishes.extend(merged(&specs).into_iter().filter_map(|(spec, served)| Some((*served.first()?, spec))));
    let mut pieces: Vec<Piece> = Vec::new();
    for (at, wanted) in wishes {
        let (duty, miss) = missed[at];
        let miss = model::NearestMiss { wanted, ..miss.clone() };
        let Some(piece) = reach::imagined(book, duty, &miss) else { continue };
        let is_known = |known: &Piece| Piece { key: known.key.clone(), ..piece.clone() } == *known;
        if !pieces.iter().any(is_known) {
            let key = format!("imagined-{}", pieces.len() + 1);
            pieces.push(Piece { key, ..piece });
        }
    }
    pieces
}

fn problem(book: &Book, scope: &Scope, shelf: &Shelf) -> Problem {
    let number = |copy: &(PieceId, u16)| shelf.items.partition_point(|item| item < copy) as u32;
    let stack = |duty: &ScopedDuty, working: &Working| choice::Stack {
        time: time_ms(book, duty, working),
        pieces: copies(&working.stack.all_pieces()).iter().map(number).collect(),
    };
    let step = |at: &usize| shelf.workings[*at].iter().map(|w| stack(&scope.duties[*at], w)).collect();
    let piece =
        |(id, _): &(PieceId, u16)| choice::Piece { price: u64::from(shelf.is_imagined(*id)), load: 1 };
    Problem { pieces: shelf.items.iter().map(piece).collect(), steps: shelf.able.iter().map(step).collect() }
}
