//! Gaps are true: they stand where nothing works, and getting the wanted piece closes them.

use crate::common::*;
use crate::random::{random_book, random_store};
use model::*;
use proptest::prelude::*;
use reach::{DutyReach, ReachOptions, find_reach, imagine_wanted_piece};

const ONE: ReachOptions = ReachOptions { threads: 1 };

/// The store with what a miss wants.
fn with_wanted(book: &Book, store: &Store, duty: Duty, miss: &NearestMiss) -> Store {
    let mut more = store.clone();
    if miss.words.contains("both sides need the") {
        let piece = miss.piece.expect("the shared piece");
        more.pieces[piece.index()].count += 1;
    } else if miss.kind == MissKind::Away {
        for piece in &mut more.pieces {
            (piece.lent, piece.in_calibration) = (0, 0);
        }
    } else {
        more.pieces.extend(imagine_wanted_piece(book, duty, miss));
    }
    more
}

/// Gets what is wanted; where the other side is held, it may want a piece too, and one more if both want the same.
fn fill(book: &Book, store: &Store, duty: Duty, miss: NearestMiss) -> Option<NearestMiss> {
    let held = book.fixing(duty.fixing).accesses[usize::from(duty.access)].counter_hold.is_some();
    let rounds = if held { 12 } else { 1 };
    let (mut store, mut miss) = (store.clone(), miss);
    for _ in 0..rounds {
        store = with_wanted(book, &store, duty, &miss);
        let last = miss.words.contains("one more would be enough");
        let answer = find_reach(book, &store, &[duty], ONE).remove(0);
        miss = answer.miss?;
        assert!(!last, "one more piece was said to do: {miss:?}");
        if held && !closable(&miss) {
            return None;
        }
    }
    Some(miss)
}

/// Whether any piece may close the gap, by the miss's own words.
fn closable(miss: &NearestMiss) -> bool {
    !miss.words.contains("no single piece would close the gap")
}

fn gaps(seed: u64) -> (Book, Store, Vec<DutyReach>) {
    let mut dice = Dice::new(seed);
    let store = random_store(&mut dice, 16);
    let book = random_book(&mut dice, 4);
    let all = find_reach(&book, &store, &duties_of_book(&book), ONE);
    (book, store, all.into_iter().filter(|r| r.workings.is_empty()).collect())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn the_wanted_piece_closes_the_gap(seed in any::<u64>()) {
        let (book, store, gaps) = gaps(seed);
        for gap in gaps {
            let miss = gap.miss.expect("a gap has a miss");
            prop_assert!(miss.short_by > 0.0, "{miss:?}");
            prop_assert!(!miss.words.is_empty() && !miss.wanted.words.is_empty());
            if closable(&miss) {
                let left = fill(&book, &store, gap.duty, miss);
                prop_assert!(left.is_none(), "seed {seed}: {:?} {left:#?}", gap.duty);
            }
        }
    }
}

/// Most gaps are closable and the rules that are missed are of many kinds.
#[test]
fn gaps_are_of_many_kinds_and_mostly_closable() {
    let mut kinds = std::collections::BTreeMap::new();
    let (mut closed, mut open) = (0, 0);
    for seed in 0..200 {
        for gap in gaps(seed).2 {
            let miss = gap.miss.expect("a gap has a miss");
            *kinds.entry(miss.kind).or_insert(0) += 1;
            if closable(&miss) { closed += 1 } else { open += 1 }
        }
    }
    assert!(kinds.len() >= 12, "{kinds:?}");
    assert!(closed > 4 * open, "{closed} closable, {open} not");
}
