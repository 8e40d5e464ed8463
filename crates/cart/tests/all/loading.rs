//! Loading in a fixed order: by hand, against every loading tried, and the laws.

use std::collections::BTreeSet;

use cart::{CartJobs, CartLoadError, CartLoading, LoadPiece, fewest_switches, load_cart, plain};
use effort::{SolverBudget, SolverEffort, SolverStanding, UnwatchedSolver};
use proptest::prelude::*;

fn pieces(of: &[(u32, f64)]) -> Vec<LoadPiece> {
    of.iter().map(|(places, fetch_s)| LoadPiece { places: *places, fetch_s: *fetch_s }).collect()
}

/// The lecture's example: the dear piece stays, the cheap one is fetched twice.
#[test]
fn the_dear_piece_stays() {
    let needs = [vec![0], vec![1], vec![2], vec![0, 1]];
    let found =
        load_cart(&needs, &pieces(&[(1, 60.0), (1, 10.0), (1, 10.0)]), 2, &SolverBudget::sized()).unwrap();
    assert_eq!(found.carts, [vec![0], vec![0, 1], vec![0, 2], vec![0, 1]]);
    assert_eq!(found.bring, [vec![0], vec![1], vec![2], vec![1]]);
    assert_eq!(found.back, [vec![], vec![], vec![1], vec![2]]);
    assert_eq!((found.outcome.value, found.outcome.standing), (90.0, SolverStanding::Proven));
}

/// A stack of two places saves 30 s over the step between; two single pieces that need the same two places save 20 s each,
/// so they stay and the stack is fetched again: 30 + 20 + 20 + 5 + 30 = 105 s.
#[test]
fn two_small_pieces_beat_a_large_one() {
    let needs = [vec![0, 1, 2], vec![3], vec![0, 1, 2]];
    let four = pieces(&[(2, 30.0), (1, 20.0), (1, 20.0), (2, 5.0)]);
    let found = load_cart(&needs, &four, 4, &SolverBudget::sized()).unwrap();
    assert_eq!((found.outcome.value, found.outcome.standing), (105.0, SolverStanding::Proven));
    assert_eq!(found.carts[1], [1, 2, 3]);
}

/// One place and a half for each of three stacks of two: the flow would split one of them, the loading may not.
#[test]
fn a_split_stack_is_decided() {
    let needs = [vec![0, 1, 2], vec![3], vec![0, 1, 2]];
    let four = pieces(&[(2, 30.0), (2, 29.0), (2, 28.0), (3, 1.0)]);
    let found = load_cart(&needs, &four, 6, &SolverBudget::sized()).unwrap();
    assert_eq!((found.outcome.value, found.outcome.standing), (87.0 + 1.0 + 57.0, SolverStanding::Proven));
    assert!(found.outcome.effort > 1);
    let cut = load_cart(
        &needs,
        &four,
        6,
        &SolverBudget { effort: SolverEffort::Tries(1), watch: &UnwatchedSolver },
    )
    .unwrap();
    assert_eq!((cut.outcome.value, cut.outcome.standing), (145.0, SolverStanding::Found));
    // Three places carry stack 0 whole and half of stack 1: 145 less 14.5.
    assert_eq!(cut.outcome.bound, 130.5);
}

#[test]
fn what_cannot_be_loaded_is_told() {
    let one = |needs: &[Vec<u16>], places, fetch_s| {
        load_cart(needs, &pieces(&[(places, fetch_s)]), 2, &SolverBudget::sized())
    };
    assert_eq!(one(&[vec![], vec![0]], 3, 1.0), Err(CartLoadError::TooFewPlaces { step: 1, needs: 3 }));
    assert_eq!(one(&[vec![1]], 1, 1.0), Err(CartLoadError::NoSuchPiece(1)));
    assert_eq!(one(&[vec![0]], 0, 1.0), Err(CartLoadError::Size(0)));
    assert_eq!(one(&[vec![0]], 17, 1.0), Err(CartLoadError::Size(0)));
    assert_eq!(one(&[vec![0]], 1, f64::NAN), Err(CartLoadError::Seconds(0)));
    assert_eq!(one(&[vec![0]], 1, -1.0), Err(CartLoadError::Seconds(0)));
    assert_eq!(one(&[], 1, 1.0).map(|l| l.outcome.value), Ok(0.0));
}

/// Steps on up to six pieces, with sizes up to `most_places` and whole seconds.
fn problems(most_places: u32) -> impl Strategy<Value = (Vec<Vec<u16>>, Vec<LoadPiece>, u32)> {
    let needs = prop::collection::vec(prop::collection::btree_set(0_u16..6, 0..3), 0..7);
    let sizes = prop::collection::vec((1..=most_places, 0_u32..50), 6);
    (needs, sizes, 0_u32..4).prop_map(|(needs, sizes, spare)| {
        let needs: Vec<Vec<u16>> =
            needs.into_iter().map(|n: BTreeSet<u16>| n.into_iter().collect()).collect();
        let pieces: Vec<LoadPiece> =
            sizes.into_iter().map(|(places, s)| LoadPiece { places, fetch_s: f64::from(s) }).collect();
        let size = |n: &Vec<u16>| n.iter().map(|p| pieces[usize::from(*p)].places).sum::<u32>();
        let places = needs.iter().map(size).max().unwrap_or(0) + spare;
        (needs, pieces, places)
    })
}

/// What the loading says it costs, replayed from its bringing and taking back; none where a rule is broken.
fn replayed_s(needs: &[Vec<u16>], pieces: &[LoadPiece], places: u32, found: &CartLoading) -> Option<f64> {
    let mut cart: BTreeSet<u16> = BTreeSet::new();
    let mut seconds = 0.0;
    for (at, needs) in needs.iter().enumerate() {
        let gone = found.back[at].iter().all(|p| cart.remove(p));
        let came = found.bring[at].iter().all(|p| cart.insert(*p));
        seconds += found.bring[at].iter().map(|p| pieces[usize::from(*p)].fetch_s).sum::<f64>();
        let fits = cart.iter().map(|p| pieces[usize::from(*p)].places).sum::<u32>() <= places;
        let ready = needs.iter().all(|p| cart.contains(p));
        let told = cart.iter().eq(found.carts[at].iter());
        if !(gone && came && fits && ready && told) {
            return None;
        }
    }
    Some(seconds)
}

proptest! {
    #[test]
    fn no_loading_is_quicker((needs, pieces, places) in problems(1)) {
        let found = load_cart(&needs, &pieces, places, &SolverBudget::sized()).unwrap();
        prop_assert_eq!(found.outcome.standing, SolverStanding::Proven);
        prop_assert_eq!(found.outcome.effort, 1);
        prop_assert_eq!(found.outcome.value, plain::least_seconds(&needs, &pieces, places));
        prop_assert_eq!(replayed_s(&needs, &pieces, places, &found), Some(found.outcome.value));
    }

    #[test]
    fn no_loading_of_stacks_is_quicker((needs, pieces, places) in problems(4)) {
        let found = load_cart(&needs, &pieces, places, &SolverBudget::sized()).unwrap();
        prop_assert_eq!(found.outcome.standing, SolverStanding::Proven);
        prop_assert_eq!(found.outcome.value, plain::least_seconds(&needs, &pieces, places));
        prop_assert_eq!(replayed_s(&needs, &pieces, places, &found), Some(found.outcome.value));
        let rough = load_cart(&needs, &pieces, places, &SolverBudget { effort: SolverEffort::Tries(1), watch: &UnwatchedSolver }).unwrap();
        prop_assert!(rough.outcome.bound <= found.outcome.value + 1.0e-9);
        prop_assert!(rough.outcome.value >= found.outcome.value);
    }

    #[test]
    fn more_places_never_cost_more((needs, pieces, places) in problems(3)) {
        let of = |places| load_cart(&needs, &pieces, places, &SolverBudget::sized()).unwrap().outcome.value;
        prop_assert!(of(places + 1) <= of(places));
    }

    /// With one second for every piece the seconds are the loads of the published form.
    #[test]
    fn equal_seconds_count_switches((needs, _, _) in problems(1), spare in 0_u32..3) {
        let same = pieces(&[(1, 1.0); 6]);
        let places = needs.iter().map(Vec::len).max().unwrap_or(0) as u32 + spare;
        let order: Vec<usize> = (0..needs.len()).collect();
        let jobs = CartJobs::new(needs.clone(), places as usize, &[]).unwrap();
        let first = jobs.used().min(places as usize);
        let found = load_cart(&needs, &same, places, &SolverBudget::sized()).unwrap();
        prop_assert_eq!(found.outcome.value as usize, first + fewest_switches(&jobs, &order));
    }
}
