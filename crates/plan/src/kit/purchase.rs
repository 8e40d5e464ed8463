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
//! **Range.** One imagined piece a gap: what two new pieces only together would open stays a gap and is reported as one. Prices
//! of pieces that are not owned are not known; their number is used instead.
//!
//! **Worked example.** Two bolts deep in the same hole need an extension of 40 to 60 mm and one of 55 to 90 mm. Each wish alone
//! closes one gap, the wish for both, 55 to 60 mm, closes two: one piece to buy.

use std::collections::BTreeSet;

use cover::choice::{self, KitAim, KitChoice, KitProblem};
use effort::SolverBudget;
use model::{Book, OutcomeUnit, Piece, PieceId, SolverOutcome, Store, WorkingStack};

use super::{SEED, numbered_copies, working_time_ms};
use crate::readiness::merge_specs;
use crate::scope::{PlanScope, ScopedDuty};

/// One piece to buy, borrow or make.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceToBuy {
    /// The piece as it was imagined.
    pub piece: Piece,
    /// Positions in `PlanScope::duties_of_book` of the gaps that are done with it, rising.
    pub closes: Vec<usize>,
}

/// What to buy, and the owned pieces to carry with it.
#[derive(Debug, Clone, PartialEq)]
pub struct KitPurchase {
    /// Pieces to buy.
    pub buys: Vec<PieceToBuy>,
    /// Owned pieces of the kit, rising, each as often as it is carried.
    pub owned: Vec<PieceId>,
    /// Positions in `PlanScope::duties_of_book` of those that nothing wished for opens, rising.
    pub left: Vec<usize>,
    /// How sure it is that no fewer will do, in pieces to buy.
    pub outcome: SolverOutcome,
}

/// A scope over the store with the imagined pieces put behind, in the words of the crate `cover`: every duty that can then be
/// done is a step, every copy of a piece is a piece; those not owned have a price of 1.
pub(super) struct ImaginedShelf {
    pub(super) store: Store,
    /// Pieces from here on are imagined.
    owned: usize,
    /// Workings of each duty of the scope.
    workings: Vec<Vec<WorkingStack>>,
    /// Positions in [`Scope::duties`] of the steps.
    able: Vec<usize>,
    /// The copy that each piece of the problem represents.
    pub(super) items: Vec<(PieceId, u16)>,
    pub(super) problem: KitProblem,
}

impl ImaginedShelf {
    pub(super) fn is_imagined(&self, id: PieceId) -> bool {
        id.index() >= self.owned
    }

    /// Positions in [`Scope::duties`] of those that nothing wished for opens.
    pub(super) fn unopened_duties(&self) -> Vec<usize> {
        (0..self.workings.len()).filter(|at| self.workings[*at].is_empty()).collect()
    }

    /// The working that each able duty is done with in the kit found.
    fn workings_used(&self, found: &KitChoice) -> Vec<Option<&WorkingStack>> {
        let stacks = self.problem.quickest_stacks(&found.pieces);
        self.able
            .iter()
            .zip(stacks)
            .map(|(at, stack)| stack.map(|stack| &self.workings[*at][stack]))
            .collect()
    }
}

/// What to buy for a scope.
#[must_use]
pub fn choose_purchase(
    book: &Book,
    store: &Store,
    scope: &PlanScope,
    threads: u16,
    budget: &SolverBudget,
) -> KitPurchase {
    let shelf = build_shelf(book, store, scope, threads);
    let found = choice::choose_in_order(&shelf.problem, &[KitAim::Price, KitAim::Load], budget, SEED);
    let left = shelf.unopened_duties();
    let Some(found) = found else {
        return KitPurchase { buys: Vec::new(), owned: Vec::new(), left, outcome: nothing_to_buy() };
    };
    let used = shelf.workings_used(&found);
    let chosen = || found.pieces.iter().map(|i| shelf.items[*i as usize].0);
    let imagined: BTreeSet<PieceId> = chosen().filter(|id| shelf.is_imagined(*id)).collect();
    let closes = |id: PieceId| {
        let with = shelf.able.iter().zip(&used);
        let with = with.filter(|(_, w)| w.is_some_and(|w| w.stack.all_pieces().contains(&id)));
        with.map(|(at, _)| *at).filter(|at| scope.duties[*at].workings.is_empty()).collect()
    };
    let buy = |id: &PieceId| PieceToBuy { piece: shelf.store.piece(*id).clone(), closes: closes(*id) };
    KitPurchase {
        buys: imagined.iter().map(buy).collect(),
        owned: chosen().filter(|id| !shelf.is_imagined(*id)).collect(),
        left,
        outcome: found
            .stages
            .first()
            .map_or_else(nothing_to_buy, |stage| stage.to_outcome(OutcomeUnit::Pieces)),
    }
}

/// Nothing to buy.
fn nothing_to_buy() -> SolverOutcome {
    SolverOutcome {
        standing: effort::SolverStanding::Found,
        value: 0.0,
        bound: 0.0,
        unit: OutcomeUnit::Pieces,
        effort: 0,
    }
}

/// The store with what the gaps wish for, and every duty reached with it.
pub(super) fn build_shelf(book: &Book, store: &Store, scope: &PlanScope, threads: u16) -> ImaginedShelf {
    let gaps: Vec<&ScopedDuty> = scope.duties.iter().filter(|d| d.workings.is_empty()).collect();
    let mut wider = store.clone();
    wider.pieces.extend(imagined_pieces(book, &gaps));
    let duties: Vec<model::Duty> = gaps.iter().map(|d| d.duty).collect();
    let reached = reach::find_reach(book, &wider, &duties, reach::ReachOptions { threads });
    let mut reached = reached.into_iter();
    let workings = scope.duties.iter().map(|d| {
        let is_gap = d.workings.is_empty();
        if is_gap { reached.next().map(|r| r.workings).unwrap_or_default() } else { d.workings.clone() }
    });
    let workings: Vec<Vec<WorkingStack>> = workings.collect();
    let able: Vec<usize> = (0..scope.duties.len()).filter(|at| !workings[*at].is_empty()).collect();
    let stacks = able.iter().flat_map(|at| &workings[*at]).map(|w| numbered_copies(&w.stack.all_pieces()));
    let items: Vec<(PieceId, u16)> = stacks.flatten().collect::<BTreeSet<_>>().into_iter().collect();
    let mut shelf = ImaginedShelf {
        store: wider,
        owned: store.pieces.len(),
        workings,
        able,
        items,
        problem: KitProblem::default(),
    };
    shelf.problem = shelf_problem(book, scope, &shelf);
    shelf
}

/// The pieces wished for: by each gap alone, and by gaps that one piece serves.
fn imagined_pieces(book: &Book, gaps: &[&ScopedDuty]) -> Vec<Piece> {
    let missed = gaps.iter().filter_map(|d| Some((d.duty, d.miss.as_ref()?)));
    let missed: Vec<(model::Duty, &model::NearestMiss)> = missed.collect();
    let specs: Vec<&model::PieceSpec> = missed.iter().map(|(_, miss)| &miss.wanted).collect();
    let mut wishes: Vec<(usize, model::PieceSpec)> = specs.iter().map(|s| (*s).clone()).enumerate().collect();
    wishes
        .extend(merge_specs(&specs).into_iter().filter_map(|(spec, served)| Some((*served.first()?, spec))));
    let mut pieces: Vec<Piece> = Vec::new();
    for (at, wanted) in wishes {
        let (duty, miss) = missed[at];
        let miss = model::NearestMiss { wanted, ..miss.clone() };
        let Some(piece) = reach::imagine_wanted_piece(book, duty, &miss) else { continue };
        let is_known = |known: &Piece| Piece { key: known.key.clone(), ..piece.clone() } == *known;
        if !pieces.iter().any(is_known) {
            let key = format!("imagined-{}", pieces.len() + 1);
            pieces.push(Piece { key, ..piece });
        }
    }
    pieces
}

fn shelf_problem(book: &Book, scope: &PlanScope, shelf: &ImaginedShelf) -> KitProblem {
    let number = |copy: &(PieceId, u16)| shelf.items.partition_point(|item| item < copy) as u32;
    let stack = |duty: &ScopedDuty, working: &WorkingStack| choice::TimedStack {
        time: working_time_ms(book, duty, working),
        pieces: numbered_copies(&working.stack.all_pieces()).iter().map(number).collect(),
    };
    let step = |at: &usize| shelf.workings[*at].iter().map(|w| stack(&scope.duties[*at], w)).collect();
    let piece =
        |(id, _): &(PieceId, u16)| choice::PricedPiece { price: u64::from(shelf.is_imagined(*id)), load: 1 };
    KitProblem {
        pieces: shelf.items.iter().map(piece).collect(),
        steps: shelf.able.iter().map(step).collect(),
    }
}
