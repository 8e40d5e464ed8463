//! Small problems whose answers were worked out by hand.

use closure::cut::{self, ClosureError, ForcedChoice};
use closure::ways;
use effort::{SolverBudget, SolverStanding, UnwatchedSolver};

fn item(value: i64, needs: &[u32]) -> cut::ClosureItem {
    cut::ClosureItem { value, needs: needs.to_vec(), fixed: ForcedChoice::Free }
}

/// The worked example of the lecture: plugs, pump, cover, belt.
#[test]
fn plugs_and_pump_share_a_cover() {
    let items = vec![item(50, &[2]), item(30, &[2, 3]), item(-20, &[]), item(-25, &[])];
    let solved =
        cut::solve_closure(&cut::ClosureProblem::new(items).unwrap(), &SolverBudget::sized()).unwrap();
    assert_eq!(solved.answer().least, [true; 4]);
    assert_eq!((solved.answer().value, solved.answer().standing), (35, SolverStanding::Proven));
    let margins: Vec<_> = (0..4).map(|i| solved.margin_of(i, &UnwatchedSolver)).collect();
    // Without the plugs the pump does not carry cover and belt alone (30 − 45 < 0): all 35 are lost.
    assert_eq!(margins, [Some(35), Some(5), Some(35), Some(5)]);
}

#[test]
fn what_is_worth_nothing_either_way_is_told_apart() {
    let items = vec![item(10, &[1]), item(-10, &[]), item(3, &[])];
    let solved =
        cut::solve_closure(&cut::ClosureProblem::new(items).unwrap(), &SolverBudget::sized()).unwrap();
    assert_eq!(solved.answer().least, [false, false, true]);
    assert_eq!(solved.answer().greatest, [true, true, true]);
    assert_eq!(solved.margin_of(0, &UnwatchedSolver), Some(0));
}

/// What must be done opens the way to what would not pay alone.
#[test]
fn required_work_opens_the_way() {
    let mut items = vec![item(0, &[2]), item(15, &[2]), item(-40, &[])];
    let free = cut::solve_closure(&cut::ClosureProblem::new(items.clone()).unwrap(), &SolverBudget::sized())
        .unwrap();
    assert_eq!(free.answer().least, [false; 3]);
    items[0].fixed = ForcedChoice::In;
    let must = cut::solve_closure(&cut::ClosureProblem::new(items).unwrap(), &SolverBudget::sized()).unwrap();
    assert_eq!((must.answer().least.clone(), must.answer().value), (vec![true; 3], -25));
    assert_eq!(must.margin_of(1, &UnwatchedSolver), Some(15));
    assert_eq!(must.margin_of(2, &UnwatchedSolver), None);
}

#[test]
fn bad_problems_are_refused() {
    let check = |items: Vec<cut::ClosureItem>, fault: ClosureError| {
        assert_eq!(cut::ClosureProblem::new(items), Err(fault))
    };
    check(vec![item(1, &[1])], ClosureError::NoSuchItem { item: 0, need: 1 });
    check(vec![item(i64::MAX, &[]), item(i64::MAX, &[])], ClosureError::TooLarge);
    check(vec![item(i64::MIN, &[])], ClosureError::TooLarge);
    let mut items = vec![item(1, &[1]), item(1, &[])];
    (items[0].fixed, items[1].fixed) = (ForcedChoice::In, ForcedChoice::Out);
    let problem = cut::ClosureProblem::new(items).unwrap();
    assert_eq!(
        cut::solve_closure(&problem, &SolverBudget::sized()).map(|_| ()),
        Err(ClosureError::Impossible)
    );
}

fn starter(plugs: i64) -> ways::WaysProblem {
    let plain = |value: i64, needs: &[u32]| ways::ItemWithWays {
        value,
        needs: needs.to_vec(),
        ways: Vec::new(),
        fixed: ForcedChoice::Free,
    };
    let starter = ways::ItemWithWays {
        value: 50,
        needs: vec![],
        ways: vec![vec![2], vec![3, 4]],
        fixed: ForcedChoice::Free,
    };
    let items = vec![starter, plain(plugs, &[2]), plain(-60, &[]), plain(-20, &[]), plain(-10, &[])];
    ways::WaysProblem::new(items).expect("small and closed")
}

/// The worked example of the ways: a starter from above or from below.
#[test]
fn the_way_taken_depends_on_what_else_is_wanted() {
    let below = ways::solve_ways(&starter(0), &SolverBudget::sized()).unwrap();
    assert_eq!((below.value, below.ways[0]), (20, Some(1)));
    let above = ways::solve_ways(&starter(45), &SolverBudget::sized()).unwrap();
    assert_eq!((above.value, above.ways[0]), (35, Some(0)));
    // The plugs are worth it while they pay 30 or more: from below the starter alone gives 20.
    assert_eq!(ways::ways_margin(&starter(45), &above, 1, &SolverBudget::sized()), Some(15));
}

/// Two parts that each need the other off on their cheap way: one has to go the dear way.
#[test]
fn a_circle_is_no_way_in() {
    let part = |other: u32| ways::ItemWithWays {
        value: 10,
        needs: vec![],
        ways: vec![vec![other], vec![2]],
        fixed: ForcedChoice::Free,
    };
    let dear = ways::ItemWithWays { value: -6, needs: vec![], ways: vec![], fixed: ForcedChoice::Free };
    let answer = ways::solve_ways(
        &ways::WaysProblem::new(vec![part(1), part(0), dear]).unwrap(),
        &SolverBudget::sized(),
    )
    .unwrap();
    assert_eq!((answer.value, answer.chosen), (14, vec![true; 3]));
    assert_ne!(answer.ways[0], answer.ways[1]);
}
