//! The kit's solver against the trying of every kit, on small random covers; and each reduction against it.

use effort::Budget;
use plan::kit::cover::{Alternative, Cover, Row};
use plan::kit::{plain, reduce, solve};
use proptest::prelude::*;

fn alternative(items: u32, dearest: u64) -> impl Strategy<Value = Alternative> {
    let list = prop::collection::btree_set(0..items, 0..5);
    (list, 0..=dearest).prop_map(|(items, cost)| Alternative { cost, items: items.into_iter().collect() })
}

fn cover(dearest: u64) -> impl Strategy<Value = Cover> {
    let row = prop::collection::vec(alternative(12, dearest), 1..6).prop_map(Row::new);
    let weights = prop::collection::vec(1_u64..=6, 12);
    (weights, prop::collection::vec(row, 0..9)).prop_map(|(weights, rows)| Cover::new(weights, rows))
}

fn unit_cover() -> impl Strategy<Value = Cover> {
    cover(0).prop_map(|c| Cover::new(vec![1; c.weights.len()], c.rows))
}

fn check(cover: &Cover) -> Result<(), TestCaseError> {
    let least = plain::least(cover).expect("all items together satisfy every row");
    let solved = solve::solve(cover, &Budget::sized());
    prop_assert_eq!(cover.value(&solved.kit), Some(solved.value));
    prop_assert_eq!((solved.value, solved.bound), (least, least));
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn the_lightest_kit_is_found_and_proven(cover in cover(0)) {
        check(&cover)?;
    }

    #[test]
    fn the_smallest_kit_is_found_and_proven(cover in unit_cover()) {
        check(&cover)?;
    }

    #[test]
    fn the_quickest_kit_is_found_and_proven(cover in cover(20)) {
        check(&cover)?;
    }

    #[test]
    fn reductions_leave_a_best_answer(cover in cover(20)) {
        let mut small = cover.clone();
        reduce::reduce(&mut small);
        prop_assert_eq!(plain::least(&small), plain::least(&cover));
    }

    #[test]
    fn without_any_effort_the_bound_is_still_one(cover in cover(20)) {
        let least = plain::least(&cover).expect("all items together satisfy every row");
        let none = Budget { effort: effort::Effort::Tries(0), ..Budget::sized() };
        let solved = solve::solve(&cover, &none);
        prop_assert_eq!(cover.value(&solved.kit), Some(solved.value));
        prop_assert!(solved.bound <= least && least <= solved.value);
    }
}

#[test]
fn the_example_of_the_lecture_needs_no_search() {
    let items = |i: &[u32]| Alternative { cost: 0, items: i.to_vec() };
    let (a, b, c, r) = (0, 1, 2, 3);
    let first = Row::new(vec![items(&[a, r]), items(&[b, r])]);
    let second = Row::new(vec![items(&[a, r]), items(&[b, r]), items(&[c, r])]);
    let mut cover = Cover::new(vec![1; 4], vec![first, second]);
    reduce::reduce(&mut cover);
    assert_eq!((cover.fixed, cover.rows.len(), cover.taken.len()), (2, 0, 2));
}
