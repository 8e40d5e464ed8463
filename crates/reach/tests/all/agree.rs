//! The fast search finds exactly what the plain one finds, on random small books and stores, with any thread count.

use crate::common::Dice;
use crate::random::{random_book, random_store};
use model::duties_of_book;
use proptest::prelude::*;
use reach::{DutyReach, ReachOptions, find_reach};

fn agree(seed: u64, pieces: usize) -> (usize, usize) {
    let mut dice = Dice::new(seed);
    let store = random_store(&mut dice, pieces);
    let book = random_book(&mut dice, 3);
    let duties = duties_of_book(&book);
    let fast = find_reach(&book, &store, &duties, ReachOptions { threads: 1 });
    let plain = reach::plain::find_reach_plainly(&book, &store, &duties);
    assert_eq!(fast.len(), duties.len());
    for ((fast, plain), duty) in fast.iter().zip(&plain).zip(&duties) {
        assert_eq!(fast.duty, *duty);
        assert_eq!(&fast.workings, plain, "seed {seed}, {duty:?}");
        assert_eq!(fast.miss.is_some(), plain.is_empty(), "a miss stands just where nothing works");
    }
    (plain.iter().map(Vec::len).sum(), plain.iter().filter(|p| p.is_empty()).count())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn fast_is_plain(seed in any::<u64>(), pieces in 4_usize..22) {
        agree(seed, pieces);
    }

    #[test]
    fn threads_change_nothing(seed in any::<u64>()) {
        let mut dice = Dice::new(seed);
        let store = random_store(&mut dice, 25);
        let book = random_book(&mut dice, 6);
        let duties = duties_of_book(&book);
        let with = |threads| -> Vec<DutyReach> { find_reach(&book, &store, &duties, ReachOptions { threads }) };
        let one = with(1);
        prop_assert_eq!(&one, &with(2));
        prop_assert_eq!(&one, &with(7));
    }
}

/// The random cases are worth something: they have many workings, and gaps.
#[test]
fn the_random_cases_are_rich() {
    let (mut workings, mut gaps) = (0, 0);
    for seed in 0..60 {
        let (some, none) = agree(seed, 20);
        workings += some;
        gaps += none;
    }
    assert!(workings > 1000 && gaps > 100, "{workings} workings, {gaps} gaps");
}
