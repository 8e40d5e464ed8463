//! Laws that hold for any book and store: domination, more tools, more room.

use crate::common::*;
use crate::random::{random_book, random_store};
use model::*;
use proptest::prelude::*;
use reach::{ReachOptions, find_reach};

const ONE: ReachOptions = ReachOptions { threads: 1 };

/// Whether every piece of one list is in the other, as often.
fn is_part(part: &[PieceId], whole: &[PieceId]) -> bool {
    let count = |list: &[PieceId], id: &PieceId| list.iter().filter(|other| *other == id).count();
    part.iter().all(|id| count(part, id) <= count(whole, id))
}

/// The cheapest cost of each duty, where it works.
fn cheapest(book: &Book, store: &Store) -> Vec<Option<f64>> {
    let all = find_reach(book, store, &duties_of_book(book), ONE);
    all.iter().map(|r| r.workings.first().map(|w| w.cost.as_s())).collect()
}

fn more_room(access: &mut Access) {
    access.headroom += mm(30.0);
    for segment in &mut access.corridor {
        segment.clear += mm(2.0);
    }
    let side = access.side.iter_mut().flat_map(|s| &mut s.swings);
    for swing in access.swings.iter_mut().chain(side) {
        swing.arc += deg(10.0);
    }
    if let Some(hold) = &mut access.counter_hold {
        more_room(&mut hold.access);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn no_working_dominates_another(seed in any::<u64>()) {
        let mut dice = Dice::new(seed);
        let (store, book) = (random_store(&mut dice, 20), random_book(&mut dice, 3));
        for answer in find_reach(&book, &store, &duties_of_book(&book), ONE) {
            let list = &answer.workings;
            prop_assert!(list.is_sorted_by(|a, b| a.cost.as_s() <= b.cost.as_s()));
            for (at, one) in list.iter().enumerate() {
                let pieces = one.stack.all_pieces();
                let owned = |id: &&PieceId| pieces.iter().filter(|o| o == id).count()
                    <= usize::from(store.piece(**id).at_hand());
                prop_assert!(pieces.iter().all(|id| owned(&id)));
                for (other_at, other) in list.iter().enumerate() {
                    let dominated = other.cost.as_s() <= one.cost.as_s()
                        && is_part(&other.stack.all_pieces(), &pieces);
                    prop_assert!(at == other_at || !dominated, "{:?} by {:?}", one.stack, other.stack);
                }
            }
        }
    }

    #[test]
    fn more_tools_never_cost_more(seed in any::<u64>()) {
        let mut dice = Dice::new(seed);
        let (store, book) = (random_store(&mut dice, 16), random_book(&mut dice, 3));
        let mut more = store.clone();
        more.pieces.extend(random_store(&mut dice, 6).pieces);
        for (few, many) in cheapest(&book, &store).iter().zip(cheapest(&book, &more)) {
            if let Some(few) = few {
                prop_assert!(many.is_some_and(|many| many <= *few));
            }
        }
    }

    #[test]
    fn more_room_never_costs_more(seed in any::<u64>()) {
        let mut dice = Dice::new(seed);
        let (store, book) = (random_store(&mut dice, 16), random_book(&mut dice, 3));
        let mut roomy = book.clone();
        for access in roomy.fixings.iter_mut().flat_map(|f| &mut f.accesses) {
            more_room(access);
        }
        for (tight, wide) in cheapest(&book, &store).iter().zip(cheapest(&roomy, &store)) {
            if let Some(tight) = tight {
                prop_assert!(wide.is_some_and(|wide| wide <= *tight));
            }
        }
    }
}
