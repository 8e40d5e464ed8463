//! Room from stacks: bounds always hold the truth, contradictions are told, and nothing is concluded from a failure that two sizes may explain.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use learn::room::{LearnedRoom, RoomQuantity, StackOutcome, StackTry, learn_room};
use learn::visits::HistoryFault;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;

const WIDTH: RoomQuantity = RoomQuantity::ClearWidth;
const LENGTH: RoomQuantity = RoomQuantity::Headroom;
const UNTOLD: StackOutcome = StackOutcome::NoRoom(None);

fn stack(visit: &str, width_mm: f64, length_mm: f64, outcome: StackOutcome) -> StackTry {
    StackTry { visit: visit.to_owned(), fixing: String::from("pump-bolts"), width_mm, length_mm, outcome }
}

fn room_of(tries: &[StackTry]) -> LearnedRoom {
    learn_room(tries).unwrap().remove(0)
}

/// Ends of clear width and headroom.
fn ends(room: &LearnedRoom) -> [(Option<f64>, Option<f64>); 2] {
    let size = |end: &Option<learn::room::RoomEnd>| end.as_ref().map(|end| end.size_mm);
    [0, 1].map(|at| (size(&room.bounds[at].at_least), size(&room.bounds[at].less_than)))
}

/// Twelve hundred invented fixings: the interval holds the true room, and narrows with the number of stacks.
#[test]
fn bounds_always_hold_the_truth() {
    let mut random = Pcg64Mcg::seed_from_u64(4);
    let mut widths_by_count = Vec::new();
    for tries in [2_usize, 8, 32] {
        let (mut closed, mut span_mm) = (0, 0.0);
        for _ in 0..400 {
            let mut number = |low: f64, high: f64| low + (high - low) * random.random::<f64>();
            let truth = [number(15.0, 60.0), number(40.0, 300.0)];
            let all: Vec<StackTry> = (0..tries)
                .map(|at| {
                    let (width, length) = (number(10.0, 70.0), number(30.0, 330.0));
                    let (is_narrow, is_low) = (width <= truth[0], length <= truth[1]);
                    let is_told = number(0.0, 1.0) < 0.5;
                    let culprit = if is_narrow { LENGTH } else { WIDTH };
                    let outcome = match (is_narrow && is_low, is_told) {
                        (true, _) => StackOutcome::Worked,
                        (false, true) => StackOutcome::NoRoom(Some(culprit)),
                        (false, false) => UNTOLD,
                    };
                    stack(&format!("visit {at}"), width, length, outcome)
                })
                .collect();
            let room = room_of(&all);
            for ((low, high), truth) in ends(&room).into_iter().zip(truth) {
                assert!(
                    low.is_none_or(|low| low <= truth) && high.is_none_or(|high| truth < high),
                    "{room:?}"
                );
                if let (Some(low), Some(high)) = (low, high) {
                    closed += 1;
                    span_mm += high - low;
                }
            }
            assert!(room.bounds.iter().all(|bounds| !bounds.contradicted), "{room:?}");
        }
        widths_by_count.push((closed, span_mm / f64::from(closed)));
    }
    let narrows = widths_by_count.windows(2).all(|two| two[1].0 > two[0].0 && two[1].1 < two[0].1);
    assert!(narrows, "{widths_by_count:?}");
}

#[test]
fn what_fits_in_one_size_failed_in_the_other() {
    let tries = [
        stack("one", 30.0, 100.0, StackOutcome::Worked),
        stack("two", 28.0, 150.0, UNTOLD),
        stack("three", 40.0, 90.0, UNTOLD),
    ];
    assert_eq!(ends(&room_of(&tries)), [(Some(30.0), Some(40.0)), (Some(100.0), Some(150.0))]);
}

#[test]
fn a_failure_that_either_size_explains_bounds_neither() {
    let worked = stack("one", 30.0, 100.0, StackOutcome::Worked);
    let wide_and_long = stack("two", 40.0, 150.0, UNTOLD);
    let room = room_of(&[worked.clone(), wide_and_long.clone()]);
    assert_eq!(ends(&room), [(Some(30.0), None), (Some(100.0), None)]);
    assert_eq!(room.either, vec![wide_and_long.clone()]);
    // Once the width is known to be too little for it, the failure says nothing more.
    let told = stack("three", 35.0, 90.0, StackOutcome::NoRoom(Some(WIDTH)));
    let room = room_of(&[worked, wide_and_long, told]);
    assert_eq!(ends(&room), [(Some(30.0), Some(35.0)), (Some(100.0), None)]);
    assert!(room.either.is_empty());
}

#[test]
fn contradictions_are_told_with_their_visits() {
    let worked = stack("spring", 30.0, 100.0, StackOutcome::Worked);
    let room = room_of(&[worked.clone(), stack("autumn", 30.0, 80.0, StackOutcome::NoRoom(Some(WIDTH)))]);
    let width = &room.bounds[0];
    assert!(width.contradicted && !room.bounds[1].contradicted, "{room:?}");
    assert_eq!(width.at_least.as_ref().unwrap().visit, "spring");
    assert_eq!(width.less_than.as_ref().unwrap().visit, "autumn");
    // Smaller than what worked in both sizes, and yet no room.
    let room = room_of(&[worked, stack("autumn", 20.0, 80.0, UNTOLD)]);
    assert!(room.bounds.iter().all(|bounds| bounds.contradicted), "{room:?}");
}

#[test]
fn an_end_says_how_many_visits_stand_behind_it() {
    let tries = [
        stack("one", 30.0, 100.0, StackOutcome::Worked),
        stack("two", 30.0, 90.0, StackOutcome::Worked),
        stack("two", 30.0, 90.0, StackOutcome::Worked),
    ];
    let room = room_of(&tries);
    assert_eq!(room.bounds[0].at_least.as_ref().unwrap().visits, 2);
    assert_eq!(room.bounds[1].at_least.as_ref().unwrap().visits, 1);
    assert!(room.bounds[0].less_than.is_none());
}

#[test]
fn sizes_that_are_none_are_refused() {
    for bad in [f64::NAN, 0.0, -3.0, f64::INFINITY] {
        let told = learn_room(&[stack("one", bad, 10.0, UNTOLD)]).unwrap_err();
        assert!(matches!(told, HistoryFault::SizeUnusable { .. }) && told.to_string().contains("measure it"));
    }
    assert!(learn_room(&[]).unwrap().is_empty());
}
