//! Which pieces each step of a plan needs, as small numbers; a piece needed twice at once is two items.

use std::collections::BTreeMap;

use model::cart::ON_CART;
use model::plan::{Plan, StackLine, Step};
use model::{PieceId, Store};

use super::CartError;

/// One copy of a piece.
pub(super) type PieceCopy = (PieceId, u16);

/// The steps that need pieces from a cabinet, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct StepPieceNeeds {
    /// The copies needed, by piece.
    pub items: Vec<PieceCopy>,
    /// The cabinets that hold them, by name.
    pub cabinets: Vec<String>,
    /// Position in `cabinets` for each item.
    pub cabinet_of: Vec<usize>,
    /// Number of each step that needs items.
    pub steps: Vec<u32>,
    /// Items that each of these steps needs, rising.
    pub of_step: Vec<Vec<u16>>,
}

impl StepPieceNeeds {
    pub(super) fn new(store: &Store, plan: &Plan) -> Result<Self, CartError> {
        let stacks = pieces_by_stack(store, plan)?;
        let mut wanted: Vec<(u32, BTreeMap<PieceId, u16>)> = Vec::new();
        for step in steps_in_order(plan) {
            let pieces = cart_pieces_of_step(step, &stacks)?;
            let from_cabinets: BTreeMap<PieceId, u16> =
                pieces.into_iter().filter(|(p, _)| store.piece(*p).place.cabinet != ON_CART).collect();
            if !from_cabinets.is_empty() {
                wanted.push((step.number, from_cabinets));
            }
        }
        Ok(Self::number_items(store, &wanted))
    }

    fn number_items(store: &Store, wanted: &[(u32, BTreeMap<PieceId, u16>)]) -> Self {
        let copies = |pieces: &BTreeMap<PieceId, u16>| -> Vec<PieceCopy> {
            pieces.iter().flat_map(|(p, count)| (0..*count).map(move |c| (*p, c))).collect()
        };
        let mut items: Vec<PieceCopy> = wanted.iter().flat_map(|(_, pieces)| copies(pieces)).collect();
        items.sort_unstable();
        items.dedup();
        let cabinet = |item: &PieceCopy| store.piece(item.0).place.cabinet.clone();
        let mut cabinets: Vec<String> = items.iter().map(cabinet).collect();
        cabinets.sort();
        cabinets.dedup();
        let position = |item: &PieceCopy| cabinets.binary_search(&cabinet(item)).unwrap_or_default();
        let number = |item: PieceCopy| items.binary_search(&item).unwrap_or_default() as u16;
        Self {
            cabinet_of: items.iter().map(position).collect(),
            steps: wanted.iter().map(|(step, _)| *step).collect(),
            of_step: wanted
                .iter()
                .map(|(_, pieces)| copies(pieces).into_iter().map(number).collect())
                .collect(),
            cabinets,
            items,
        }
    }

    /// Maximum number of items that any step needs at once.
    pub(super) fn most_at_once(&self) -> usize {
        self.of_step.iter().map(Vec::len).max().unwrap_or(0)
    }

    /// The first step that needs more items than there are places, and how many.
    pub(super) fn first_overfull_step(&self, places: u16) -> Option<(u32, usize)> {
        let at = self.of_step.iter().position(|n| n.len() > usize::from(places))?;
        Some((self.steps[at], self.of_step[at].len()))
    }
}

/// All steps of a plan in the order of the work.
pub(super) fn steps_in_order(plan: &Plan) -> impl Iterator<Item = &Step> {
    [&plan.strip, &plan.work, &plan.refit].into_iter().flat_map(|s| &s.steps)
}

/// The pieces of each stack, those that hold the other side included, by the stack's id.
pub(super) fn pieces_by_stack<'p>(
    store: &Store,
    plan: &'p Plan,
) -> Result<BTreeMap<&'p str, Vec<PieceId>>, CartError> {
    let piece = |key: &String| store.piece_by_key(key).ok_or_else(|| CartError::NoSuchPiece(key.clone()));
    let of = |line: &'p StackLine| {
        let mut pieces = line.pieces.iter().chain(&line.hold).map(piece).collect::<Result<Vec<_>, _>>()?;
        pieces.sort_unstable();
        Ok((line.id.as_str(), pieces))
    };
    plan.stacks.iter().map(of).collect()
}

/// The pieces that a step needs on the cart, each as often as one of its stacks takes it.
fn cart_pieces_of_step(
    step: &Step,
    stacks: &BTreeMap<&str, Vec<PieceId>>,
) -> Result<BTreeMap<PieceId, u16>, CartError> {
    let mut most: BTreeMap<PieceId, u16> = BTreeMap::new();
    for id in step.actions.iter().filter_map(|a| a.stack.as_ref()) {
        let pieces = stacks.get(id.as_str()).ok_or_else(|| CartError::NoSuchStack(id.clone()))?;
        for piece in pieces {
            let count = pieces.iter().filter(|p| *p == piece).count() as u16;
            let known = most.entry(*piece).or_insert(0);
            *known = count.max(*known);
        }
    }
    Ok(most)
}
