//! The loading as the sheet prints it: pieces, and stages with their zones.

use std::collections::BTreeSet;

use model::Store;
use model::cart::{CartPiece, CartStage, CartTrip};
use model::plan::Plan;

use super::course::{CartCourse, CartLoadingCase};
use super::needs::{StepPieceNeeds, steps_in_order};

/// The pieces that the steps need, by cabinet, drawer and key.
pub(super) fn cart_pieces(store: &Store, needs: &StepPieceNeeds, course: &CartCourse) -> Vec<CartPiece> {
    let mut pieces: Vec<CartPiece> = Vec::new();
    let firsts = needs.items.iter().enumerate().filter(|(_, item)| item.1 == 0);
    for (first, (id, _)) in firsts {
        let piece = store.piece(*id);
        let is_it = |item: u16| needs.items[usize::from(item)].0 == *id;
        let brought =
            (0..course.carts.len()).flat_map(|at| course.items_brought(at)).filter(|i| is_it(*i)).count();
        pieces.push(CartPiece {
            piece: piece.key.clone(),
            title: piece.title.clone(),
            place: piece.place.clone(),
            count: needs.items.iter().filter(|i| i.0 == *id).count() as u16,
            steps: needs.of_step.iter().filter(|n| n.binary_search(&(first as u16)).is_ok()).count() as u32,
            brought: brought as u32,
        });
    }
    pieces.sort_by(|a, b| (&a.place, &a.piece).cmp(&(&b.place, &b.piece)));
    pieces
}

/// The stages: a new one wherever anything is brought.
pub(super) fn cart_stages(
    store: &Store,
    plan: &Plan,
    needs: &StepPieceNeeds,
    case: &CartLoadingCase,
    course: &CartCourse,
) -> Vec<CartStage> {
    let starts: Vec<usize> =
        (0..course.carts.len()).filter(|at| course.items_brought(*at).next().is_some()).collect();
    let last_step = steps_in_order(plan).map(|s| s.number).max().unwrap_or(0);
    let keys = |items: &BTreeSet<u16>| item_keys(store, needs, items);
    let stage = |(position, at): (usize, &usize)| {
        let cart = &course.carts[*at];
        let now: BTreeSet<u16> = needs.of_step[*at].iter().copied().collect();
        let next = starts.get(position + 1);
        let stays = |item: &&u16| {
            next.is_some_and(|n| course.carts[*n].contains(item) && !is_brought_at(course, *n, **item))
        };
        CartStage {
            from_step: needs.steps[*at],
            to_step: next.map_or(last_step, |n| needs.steps[*n] - 1),
            trips: stage_trips(needs, case, course, *at, &keys),
            next: keys(&cart.difference(&now).copied().collect()),
            now: keys(&now),
            back: keys(&cart.iter().filter(|i| !stays(i)).copied().collect()),
            places: cart.len() as u16,
            seconds: course.cost_at_s(case, *at),
        }
    };
    starts.iter().enumerate().map(stage).collect()
}

fn is_brought_at(course: &CartCourse, at: usize, item: u16) -> bool {
    course.items_brought(at).any(|i| i == item)
}

fn stage_trips(
    needs: &StepPieceNeeds,
    case: &CartLoadingCase,
    course: &CartCourse,
    at: usize,
    keys: &impl Fn(&BTreeSet<u16>) -> Vec<String>,
) -> Vec<CartTrip> {
    let of = |cabinet: usize| {
        let ours =
            course.items_brought(at).filter(|i| needs.cabinet_of[usize::from(*i)] == cabinet).collect();
        CartTrip { cabinet: needs.cabinets[cabinet].clone(), bring: keys(&ours) }
    };
    course.cabinets_walked(case, at).into_iter().map(of).collect()
}

/// The keys of items, sorted.
fn item_keys(store: &Store, needs: &StepPieceNeeds, items: &BTreeSet<u16>) -> Vec<String> {
    let key = |item: &u16| store.piece(needs.items[usize::from(*item)].0).key.clone();
    let mut keys: Vec<String> = items.iter().map(key).collect();
    keys.sort();
    keys
}
