//! A row without costs goes where every alternative of another row contains one of its own: it is satisfied whenever the
//! other one is.

use crate::kit::kit_cover::{KitCover, KitRow};
use crate::lists::{NumberLists, fingerprint_of, is_rising_subset};
use crate::search::CoverSearch;

/// Comparisons of two alternatives in one pass; more rows than that allows keep what is left (the rule only helps).
const MAX_COMPARISONS: u64 = 60_000_000;

/// A row's alternatives with a fingerprint each: a subset's bits are a subset of the whole's.
struct FingerprintedRow<'r> {
    row: &'r KitRow,
    prints: Vec<u64>,
    free: bool,
}

fn fingerprint_row(row: &KitRow) -> FingerprintedRow<'_> {
    let prints = row.alternatives.iter().map(|a| fingerprint_of(&a.items)).collect();
    FingerprintedRow { row, prints, free: row.is_free() }
}

/// Applies the rule; true if a row went.
pub fn drop_implied(cover: &mut KitCover, search: &mut CoverSearch) -> bool {
    let rows: Vec<FingerprintedRow> = cover.rows.iter().map(fingerprint_row).collect();
    let by_first =
        NumberLists::from_lists(cover.rows.iter().map(first_items)).transposed(cover.weights.len());
    let mut gone = vec![false; rows.len()];
    let mut compared = 0;
    for (i, row) in rows.iter().enumerate().filter(|(_, r)| r.free) {
        let mut candidates = implying_candidates(row.row, &by_first);
        compared += 1;
        let implies = |j: usize| j != i && !gone[j] && is_implied_by(row, &rows[j], &mut compared);
        if candidates.any(implies) {
            gone[i] = true;
        }
        if compared > MAX_COMPARISONS {
            break;
        }
    }
    search.spend_visits(compared as usize);
    let mut at = 0..;
    let any = gone.contains(&true);
    cover.rows.retain(|_| !at.next().is_some_and(|i: usize| gone[i]));
    any
}

/// Items of a row's first alternative.
fn first_items(row: &KitRow) -> impl Iterator<Item = u32> + '_ {
    row.alternatives.first().into_iter().flat_map(|a| a.items.iter().copied())
}

/// Rows whose first alternative holds an item that is in fewest first ones, of each alternative: no other row can
/// imply this one.
fn implying_candidates<'l>(row: &KitRow, by_first: &'l NumberLists) -> impl Iterator<Item = usize> + use<'l> {
    let rare = |items: &[u32]| items.iter().copied().min_by_key(|i| by_first.get(*i as usize).len());
    let mut rare: Vec<u32> = row.alternatives.iter().filter_map(|a| rare(&a.items)).collect();
    rare.sort_unstable();
    rare.dedup();
    rare.into_iter().flat_map(|i| by_first.get(i as usize).iter().map(|j| *j as usize))
}

/// Whether a row is satisfied whenever another is.
fn is_implied_by(row: &FingerprintedRow, other: &FingerprintedRow, compared: &mut u64) -> bool {
    other.row.alternatives.iter().zip(&other.prints).all(|(theirs, bits)| {
        row.row.alternatives.iter().zip(&row.prints).any(|(own, print)| {
            *compared += 1;
            print & !bits == 0 && is_rising_subset(&own.items, &theirs.items)
        })
    })
}
