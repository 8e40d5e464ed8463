//! Small problems whose answers were worked out by hand.

use closure::cut::{self, Fault, Fixed};
use closure::ways;
use effort::{Budget, Standing, Unwatched};

fn item(value: i64, needs: &[u32]) -> cut::Item {
    cut::Item { value, needs: needs.to_vec(), fixed: Fixed::Free }
}

/// The worked example of the lecture: plugs, pump, cover, belt.
#[test]
fn plugs_and_pump_share_a_cover() {
    let items = vec![item(50, &[2]), item(30, &[2, 3]), item(-20, &[]), item(-25, &[])];
    let solved = cut::solve(&cut::Problem::new(items).unwrap(), &Budget::sized()).unwrap();
    assert_eq!(solved.answer().least, [true; 4]);
    assert_eq!((solved.answer().value, solved.answer().standing), (35, Standing::Proven));
    let margins: Vec<_> = (0..4).map(|i| solved.margin(i, &Unwatched)).collect();
    // Without the plugs the pump does not carry cover and belt alone (30 − 45 < 0): all 35 are lost.
    assert_eq!(margins, [Some(35), Some(5), Some(35), Some(5)]);
}

#[test]
fn what_is_worth_nothing_either_way_is_told_apart() {
    let items = vec![item(10, &[1]), item(-10, &[]), item(3, &[])];
    let solved = cut::solve(&cut::Problem::new(items).unwrap(), &Budget::sized()).unwrap();
    assert_eq!(solved.answer().least, [false, false, true]);
    assert_eq!(solved.answer().greatest, [true, true, true]);
    assert_eq!(solved.margin(0, &Unwatched), Some(0));
}

/// What must be done opens the way to what would not pay alone.
#[test]
fn required_work_opens_the_way() {
    let mut items = vec![item(0, &[2]), item(15, &[2]), item(-40, &[])];
    let free = cut::solve(&cut::Problem::new(items.clone()).unwrap(), &Budget::sized()).unwrap();
    assert_eq!(free.answer().least, [false; 3]);
    items[0].fixed = Fixed::In;
    let must = cut::solve(&cut::Problem::new(items).unwrap(), &Budget::sized()).unwrap();
    assert_eq!((must.answer().least.clone(), must.answer().value), (vec![true; 3], -25));
    assert_eq!(must.margin(1, &Unwatched), Some(15));
    assert_eq!(must.margin(2, &Unwatched), None);
}

#[test]
fn bad_problems_are_refused() {
    let check = |items: Vec<cut::Item>, fault: Fault| assert_eq!(cut::Problem::new(items), Err(fault));
    check(vec![item(1, &[1])], Fault::NoSuchItem { item: 0, need: 1 });
    check(vec![item(i64::MAX, &[]), item(i64::MAX, &[])], Fault::TooLarge);
    check(vec![item(i64::MIN, &[])], Fault::TooLarge);
    let mut items = vec![item(1, &[1]), item(1, &[])];
    (items[0].fixed, items[1].fixed) = (Fixed::In, Fixed::Out);
    let problem = cut::Problem::new(items).unwrap();
    assert_eq!(cut::solve(&problem, &Budget::sized()).map(|_| ()), Err(Fault::Impossible));
}

fn starter(plugs: i64) -> ways::Problem {
    let plain = |value: i64, needs: &[u32]| ways::Item {
        value,
        needs: needs.to_vec(),
        ways: Vec::new(),
        fixed: Fixed::Free,
    };
    let starter =
        ways::Item { value: 50, needs: vec![], ways: vec![vec![2], vec![3, 4]], fixed: Fixed::Free };
    let items = vec![starter, plain(plugs, &[2]), plain(-60, &[]), plain(-20, &[]), plain(-10, &[])];
    ways::Problem::new(items).expect("small and closed")
}

/// The worked example of the ways: a starter from above or from below.
#[test]
fn the_way_taken_depends_on_what_else_is_wanted() {
    let below = ways::solve(&starter(0), &Budget::sized()).unwrap();
    assert_eq!((below.value, below.ways[0]), (20, Some(1)));
    let above = ways::solve(&starter(45), &Budget::sized()).unwrap();
    assert_eq!((above.value, above.ways[0]), (35, Some(0)));
    // The plugs are worth it while they pay 30 or more: from below the starter alone gives 20.
    assert_eq!(ways::margin(&starter(45), &above, 1, &Budget::sized()), Some(15));
}

/// Two parts that each need the other off on their cheap way: one has to go the dear way.
#[test]
fn a_circle_is_no_way_in() {
    let part = |other: u32| ways::Item {
        value: 10,
        needs: vec![],
        ways: vec![vec![other], vec![2]],
        fixed: Fixed::Free,
    };
    let dear = ways::Item { value: -6, needs: vec![], ways: vec![], fixed: Fixed::Free };
    let answer =
        ways::solve(&ways::Problem::new(vec![part(1), part(0), dear]).unwrap(), &Budget::sized()).unwrap();
    assert_eq!((answer.value, answer.chosen), (14, vec![true; 3]));
    assert_ne!(answer.ways[0], answer.ways[1]);
}
