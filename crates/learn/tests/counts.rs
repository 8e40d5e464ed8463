//! Intervals of counts against the beta distribution of the library `statrs`, closed forms and simulated truth.

use learn::counts::{MAX_TRIES, SeenMishap, SeenTry, count_tries, count_visits_with, share_of_count};
use learn::visits::HistoryFault;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use statrs::distribution::{Beta, ContinuousCDF};

/// Clopper and Pearson's ends are quantiles of beta distributions (from memory): 5 % of B(k, n−k+1), 95 % of B(k+1, n−k). `statrs` searches
/// its quantiles to about eight digits.
#[test]
fn ends_are_quantiles_of_beta_distributions() {
    for tries in [1_u32, 2, 5, 12, 40, 300] {
        for hits in 0..=tries.min(40) {
            let found = share_of_count("x", hits, tries).unwrap();
            let (k, n) = (f64::from(hits), f64::from(tries));
            let low = if hits == 0 { 0.0 } else { Beta::new(k, n - k + 1.0).unwrap().inverse_cdf(0.05) };
            let high = if hits == tries { 1.0 } else { Beta::new(k + 1.0, n - k).unwrap().inverse_cdf(0.95) };
            assert!(
                (found.low_share - low).abs() < 1e-6,
                "{hits} of {tries}: {} against {low}",
                found.low_share
            );
            assert!(
                (found.high_share - high).abs() < 1e-6,
                "{hits} of {tries}: {} against {high}",
                found.high_share
            );
        }
    }
}

/// Closed forms: no hit in n has the upper end `1 − 0.05^(1/n)`, the rule of three over n for large n.
#[test]
fn no_hits_have_a_closed_form() {
    let high = |tries: u32| share_of_count("x", 0, tries).unwrap().high_share;
    assert!((high(10) - 0.258_866).abs() < 1e-6, "{}", high(10));
    assert!((high(MAX_TRIES) * f64::from(MAX_TRIES) - 2.995_73).abs() < 1e-3);
}

/// The interval promises 90 % and never holds less, for shares from rare to usual and few to many tries.
#[test]
fn intervals_hold_what_they_promise() {
    let mut random = Pcg64Mcg::seed_from_u64(8);
    for truth in [0.02, 0.2, 0.5, 0.9] {
        for tries in [4_u32, 15, 60] {
            let runs = 3_000;
            let held = (0..runs)
                .filter(|_| {
                    let hits = (0..tries).filter(|_| random.random::<f64>() < truth).count() as u32;
                    let found = share_of_count("x", hits, tries).unwrap();
                    (found.low_share..=found.high_share).contains(&truth)
                })
                .count();
            // Three standard errors of 90 % over 3,000 runs are 1.6 %.
            assert!(held as f64 >= 0.884 * f64::from(runs), "{truth} in {tries}: {held} of {runs}");
        }
    }
}

#[test]
fn counts_are_gathered_and_small_ones_called_few() {
    let mut tries = Vec::new();
    let mut add = |subject: &str, hits: usize, misses: usize| {
        let one = |hit: bool| SeenTry { subject: subject.to_owned(), hit };
        tries.extend((0..hits).map(|_| one(true)).chain((0..misses).map(|_| one(false))));
    };
    add("rusted, heat", 18, 2);
    add("rusted, soak", 3, 1);
    add("rusted, force", 2, 10);
    let found = count_tries(&tries);
    let said: Vec<(&str, u32, u32, bool)> =
        found.iter().map(|each| (each.subject.as_str(), each.hits, each.tries, each.is_few)).collect();
    // Three of four look better than they are: their lower end comes second.
    assert_eq!(
        said,
        [("rusted, heat", 18, 20, false), ("rusted, soak", 3, 4, true), ("rusted, force", 2, 12, false)]
    );
    assert!(count_tries(&[]).is_empty());
}

#[test]
fn counts_that_are_none_are_refused() {
    assert!(matches!(share_of_count("x", 0, 0), Err(HistoryFault::CountUnusable { .. })));
    assert!(matches!(share_of_count("x", 3, 2), Err(HistoryFault::CountUnusable { .. })));
    assert!(matches!(share_of_count("x", 3, MAX_TRIES + 1), Err(HistoryFault::TooMany { .. })));
}

#[test]
fn mishaps_are_counted_by_visit() {
    let mishap =
        |visit: &str, subject: &str| SeenMishap { visit: visit.to_owned(), subject: subject.to_owned() };
    let seen = [
        mishap("one", "valley"),
        mishap("one", "valley"),
        mishap("two", "valley"),
        mishap("two", "cover-bolts"),
    ];
    let found = count_visits_with(&seen, 12).expect("two of twelve visits");
    let said: Vec<(&str, u32, u32)> =
        found.iter().map(|each| (each.subject.as_str(), each.hits, each.tries)).collect();
    assert_eq!(said, [("valley", 2, 12), ("cover-bolts", 1, 12)]);
    assert!(matches!(count_visits_with(&seen, 1), Err(HistoryFault::CountUnusable { hits: 2, tries: 1 })));
}
