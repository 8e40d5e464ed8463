//! Stacks left joined on the cart, and the second pieces that would let more of them stay joined.
//!
//! # Question
//! Taking a stack apart to build the next one takes time for each piece. A stack that is kept joined is taken up and set down as
//! one. Which stacks should stay joined, given how many of each piece there are, and which second piece would save the most?
//!
//! # Method
//! The swaps of the plan are gone through in order, each sequence starting with the bare hand. A stack that stays joined is picked
//! up and put down at the time of one piece and keeps its pieces; another is joined from single pieces, those in hand used again
//! as in the plan. Stacks are left joined one at a time: each time the stack, or the pair used in succession, that
//! saves the most, while the pieces at hand suffice: pieces of standing stacks are not available to others,
//! and a stack that is not left joined needs pieces of its own. A second piece is worth what this saves more with one more of it.
//!
//! # Assumptions and range
//! Taken one after the other the choice is good but not proven best. Times as in [`model::rules`]. The price is set beside the
//! saving; which weighs more is for the mechanic to say.
//!
//! # Worked example
//! Socket 10 on a ratchet and socket 13 on a ratchet with an extension take turns, 40 swaps: the plan counts
//! `2 · 4 + 1.4 = 9.4 s` one way and `4 + 2 · 1.4 = 6.8 s` the other. With a second ratchet both could stay joined: 5.4 s each way,
//! which saves `20 · (4.0 + 1.4) = 108 s`.

use std::collections::BTreeMap;

use model::cart::{LEAST_SAVING_S, SecondPieceLine, StandingStackLine};
use model::plan::{Plan, StepSequence};
use model::{PieceId, Store};

use super::CartError;
use super::needs;
use crate::node_order::hand_swap_s;

/// Standing stacks with the pieces at hand, and second pieces worth having; none where plan and store do not belong together.
#[must_use]
pub fn standing_lines(store: &Store, plan: &Plan) -> (Vec<StandingStackLine>, Vec<SecondPieceLine>) {
    let Ok(swaps) = StackSwaps::new(store, plan) else { return (Vec::new(), Vec::new()) };
    let have = swaps.pieces_at_hand(store);
    let standing = swaps.choose_standing(&have);
    let now_s = standing.iter().map(|s| s.1).sum::<f64>();
    let lines =
        standing.iter().map(|(stacks, saves_s)| swaps.standing_line(store, stacks, *saves_s)).collect();
    let mut seconds: Vec<SecondPieceLine> = Vec::new();
    for piece in swaps.shared_pieces() {
        let mut more = have.clone();
        *more.entry(piece).or_insert(0) += 1;
        let then = swaps.choose_standing(&more);
        let saves_s = then.iter().map(|s| s.1).sum::<f64>() - now_s;
        if saves_s >= LEAST_SAVING_S {
            let old: Vec<usize> = standing.iter().flat_map(|s| s.0.clone()).collect();
            let new = then.iter().flat_map(|s| &s.0).filter(|s| !old.contains(s));
            seconds.push(second_line(store, piece, new.map(|s| swaps.ids[*s].clone()).collect(), saves_s));
        }
    }
    seconds.sort_by(|a, b| b.saves_s.total_cmp(&a.saves_s).then(a.piece.cmp(&b.piece)));
    (lines, seconds)
}

fn second_line(store: &Store, piece: PieceId, stacks: Vec<String>, saves_s: f64) -> SecondPieceLine {
    let piece = store.piece(piece);
    SecondPieceLine {
        piece: piece.key.clone(),
        title: piece.title.clone(),
        stacks,
        saves_s,
        price_cents: piece.price.map(units::Money::as_cents),
    }
}

/// The stacks of a plan and how they follow each other in the hand.
struct StackSwaps {
    ids: Vec<String>,
    pieces: Vec<Vec<PieceId>>,
    /// Changes from one stack to another and how often, none for the bare hand.
    changes: BTreeMap<(Option<usize>, usize), u32>,
}

impl StackSwaps {
    fn new(store: &Store, plan: &Plan) -> Result<Self, CartError> {
        let of_id = needs::pieces_by_stack(store, plan)?;
        let ids: Vec<String> = of_id.keys().map(|id| (*id).to_owned()).collect();
        let pieces = of_id.into_values().collect();
        let mut swaps = Self { ids, pieces, changes: BTreeMap::new() };
        for sequence in [&plan.strip, &plan.work, &plan.refit] {
            swaps.count_changes(sequence)?;
        }
        Ok(swaps)
    }

    fn count_changes(&mut self, sequence: &StepSequence) -> Result<(), CartError> {
        let mut hand = None;
        let used = sequence.steps.iter().flat_map(|s| &s.actions).filter_map(|a| a.stack.as_ref());
        for id in used {
            let stack = self.ids.binary_search(id).map_err(|_| CartError::NoSuchStack(id.clone()))?;
            if hand != Some(stack) {
                *self.changes.entry((hand, stack)).or_insert(0) += 1;
            }
            hand = Some(stack);
        }
        Ok(())
    }

    /// How many of each piece are at hand; at least as many as any stack takes.
    fn pieces_at_hand(&self, store: &Store) -> BTreeMap<PieceId, u16> {
        let mut have: BTreeMap<PieceId, u16> = BTreeMap::new();
        for stack in &self.pieces {
            for piece in stack {
                let known = have.entry(*piece).or_insert(0);
                *known = store.piece(*piece).at_hand().max(count_piece(stack, *piece)).max(*known);
            }
        }
        have
    }

    /// Pieces of more than one stack.
    fn shared_pieces(&self) -> Vec<PieceId> {
        let mut all: Vec<PieceId> = self.pieces.concat();
        all.sort_unstable();
        all.dedup();
        all.retain(|p| self.pieces.iter().filter(|s| s.contains(p)).count() > 1);
        all
    }

    /// Stacks left joined, in turn, one or two at a time, with what they save.
    fn choose_standing(&self, have: &BTreeMap<PieceId, u16>) -> Vec<(Vec<usize>, f64)> {
        let mut stands = vec![false; self.ids.len()];
        let mut chosen = Vec::new();
        while let Some((stacks, saves_s)) = self.next_to_stand(have, &stands) {
            stacks.iter().for_each(|s| stands[*s] = true);
            chosen.push((stacks, saves_s));
        }
        chosen
    }

    /// The stack, or the two that follow each other, that save the most in addition to those left joined.
    fn next_to_stand(&self, have: &BTreeMap<PieceId, u16>, stands: &[bool]) -> Option<(Vec<usize>, f64)> {
        let before_s = self.total_s(stands);
        let one = (0..stands.len()).map(|s| vec![s]);
        let two = self.changes.keys().filter_map(|(from, to)| from.map(|f| vec![f, *to]));
        let can = |stacks: &Vec<usize>| stacks.iter().all(|s| !stands[*s] && self.pieces[*s].len() > 1);
        let weigh = |stacks: Vec<usize>| {
            let mut then = stands.to_vec();
            stacks.iter().for_each(|s| then[*s] = true);
            let saves_s = before_s - self.total_s(&then);
            (saves_s >= LEAST_SAVING_S && self.pieces_suffice(have, &then)).then_some((stacks, saves_s))
        };
        let worth = one.chain(two).filter(can).filter_map(weigh);
        worth.fold(None, |best, new| if best.as_ref().is_none_or(|b| new.1 > b.1) { Some(new) } else { best })
    }

    /// Whether the pieces suffice for all that stay joined and for any one of the others.
    fn pieces_suffice(&self, have: &BTreeMap<PieceId, u16>, stands: &[bool]) -> bool {
        have.iter().all(|(piece, have)| {
            let of = |stack: usize| count_piece(&self.pieces[stack], *piece);
            let bound: u16 = (0..stands.len()).filter(|s| stands[*s]).map(of).sum();
            let besides = (0..stands.len()).filter(|s| !stands[*s]).map(of).max().unwrap_or(0);
            bound + besides <= *have
        })
    }

    fn total_s(&self, stands: &[bool]) -> f64 {
        let one = |((from, to), times): (&(Option<usize>, usize), &u32)| {
            self.change_s(*from, *to, stands) * f64::from(*times)
        };
        self.changes.iter().map(one).sum()
    }

    fn change_s(&self, from: Option<usize>, to: usize, stands: &[bool]) -> f64 {
        let hand: &[PieceId] = from.map_or(&[], |f| &self.pieces[f]);
        let from_stands = from.is_some_and(|f| stands[f]);
        if !from_stands && !stands[to] {
            return hand_swap_s(hand, &self.pieces[to]);
        }
        let put_s = if from_stands { times::PUT_S } else { hand.len() as f64 * times::PUT_S };
        let pick_s = if stands[to] { times::PICK_S } else { self.pieces[to].len() as f64 * times::PICK_S };
        put_s + pick_s
    }

    fn standing_line(&self, store: &Store, stacks: &[usize], saves_s: f64) -> StandingStackLine {
        let to_them = self.changes.iter().filter(|((_, to), _)| stacks.contains(to));
        let of = |s: &usize| self.pieces[*s].iter().map(|p| store.piece(*p).key.clone());
        let mut pieces: Vec<String> = stacks.iter().flat_map(of).collect();
        pieces.sort();
        let ids = stacks.iter().map(|s| self.ids[*s].clone()).collect();
        StandingStackLine { stacks: ids, pieces, uses: to_them.map(|(_, n)| n).sum(), saves_s }
    }
}

fn count_piece(stack: &[PieceId], piece: PieceId) -> u16 {
    stack.iter().filter(|p| **p == piece).count() as u16
}
