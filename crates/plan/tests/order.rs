//! Order: the search against dynamic programming, dynamic programming against every order, and the bound under both.

#![expect(clippy::unwrap_used, reason = "what a test expects to be there")]

mod common;

use common::Numbers;
use effort::{RandomSeed, SolverBudget, SolverEffort, SolverWatch, UnwatchedSolver};
use model::{PieceId, SolverStanding};
use plan::node_order::{
    NodeLag, NodeOrderAnswer, NodeOrderProblem, NodeOrderSettings, StackChoice, StackSets, WorkNode,
    evaluate_node_order, node_order_bound_s, plain, solve_node_order,
};
use proptest::prelude::*;

fn problem(seed: u64, count: usize, waits: bool) -> NodeOrderProblem {
    let mut n = Numbers(seed);
    let mut stacks = StackSets::default();
    let mut id = |n: &mut Numbers| {
        let mut pieces: Vec<PieceId> = (0..n.below(4)).map(|_| PieceId::new(n.below(7))).collect();
        pieces.sort_unstable();
        stacks.intern_pieces(pieces)
    };
    let mut choice = |n: &mut Numbers| {
        let first = id(n);
        let last = if n.one_in(2) { first } else { id(n) };
        StackChoice { first, last, inside_s: 5.0 + n.below(30) as f64, workings: Vec::new() }
    };
    let mut node = |n: &mut Numbers| {
        let station = n.below(3) as u16;
        WorkNode {
            station,
            leaves: if n.one_in(6) { n.below(3) as u16 } else { station },
            part: (!n.one_in(4)).then(|| n.below(4) as u32),
            fixed_s: n.below(20) as f64,
            choices: (0..n.below(4)).map(|_| choice(n)).collect(),
        }
    };
    let nodes: Vec<WorkNode> = (0..count).map(|_| node(&mut n)).collect();
    let mut pairs = Vec::new();
    for b in 1..count {
        for _ in 0..n.below(3) {
            pairs.push((n.below(b), b));
        }
    }
    let mut lags = Vec::new();
    if waits {
        for _ in 0..2 {
            let a = n.below(count - 1);
            let b = a + 1 + n.below(count - 1 - a);
            lags.push(NodeLag { from: vec![a], to: vec![b], wait_s: n.below(120) as f64 });
        }
    }
    NodeOrderProblem::new(nodes, &pairs, lags, vec![20.0, 30.0, 45.0], stacks).unwrap()
}

fn tries(most: u64) -> SolverBudget<'static> {
    SolverBudget { effort: SolverEffort::Tries(most), watch: &UnwatchedSolver }
}

fn two(seed: u64) -> NodeOrderSettings {
    NodeOrderSettings { seed: RandomSeed(seed), threads: 2 }
}

fn is_sound(problem: &NodeOrderProblem, solved: &NodeOrderAnswer) -> bool {
    let again = evaluate_node_order(problem, &solved.order);
    problem.allows(&solved.order)
        && (again.total_s() - solved.outcome.value).abs() < 1e-6
        && solved.outcome.bound <= solved.outcome.value + 1e-9
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn dynamic_programming_is_as_good_as_every_order(seed in any::<u64>(), count in 1_usize..7) {
        let problem = problem(seed, count, false);
        let (fast, plain) = (plain::solve_by_sets(&problem), plain::try_every_order(&problem));
        prop_assert!(is_sound(&problem, &fast));
        prop_assert!((fast.outcome.value - plain.outcome.value).abs() < 1e-6);
        prop_assert!(node_order_bound_s(&problem) <= plain.outcome.value + 1e-9);
    }

    #[test]
    fn the_search_is_never_better_than_the_best(seed in any::<u64>()) {
        let problem = problem(seed, 12, false);
        let (found, best) = (solve_node_order(&problem, "", &tries(10_000), two(seed)), plain::solve_by_sets(&problem));
        prop_assert!(is_sound(&problem, &found));
        prop_assert!(found.outcome.value >= best.outcome.value - 1e-6);
        prop_assert!(found.outcome.bound <= best.outcome.value + 1e-9);
    }

    #[test]
    fn with_waits_the_search_is_never_better_than_every_order(seed in any::<u64>()) {
        let problem = problem(seed, 8, true);
        let (found, best) = (solve_node_order(&problem, "", &tries(4_000), two(1)), plain::try_every_order(&problem));
        prop_assert!(is_sound(&problem, &found));
        prop_assert!(found.outcome.value >= best.outcome.value - 1e-6);
        prop_assert!(node_order_bound_s(&problem) <= best.outcome.value + 1e-6);
    }

    #[test]
    fn larger_orders_respect_the_precedence_and_come_again(seed in any::<u64>()) {
        let problem = problem(seed, 60, true);
        let found = solve_node_order(&problem, "", &tries(3_000), two(seed));
        prop_assert!(is_sound(&problem, &found));
        prop_assert_eq!(&found, &solve_node_order(&problem, "", &tries(3_000), two(seed)));
        prop_assert!(found.outcome.value <= solve_node_order(&problem, "", &tries(0), two(seed)).outcome.value + 1e-6);
    }
}

/// Mean and greatest ratio of what the search finds to the best, over the same hundred problems each time.
fn ratios(pair: impl Fn(u64) -> (NodeOrderAnswer, NodeOrderAnswer)) -> (f64, f64) {
    let ratio = |seed: u64| {
        let (found, best) = pair(seed);
        found.outcome.value / best.outcome.value
    };
    let all: Vec<f64> = (0..100).map(ratio).collect();
    (all.iter().sum::<f64>() / all.len() as f64, all.iter().copied().fold(0.0, f64::max))
}

#[test]
fn the_search_finds_the_best_of_twelve_nodes_nearly_always() {
    let (mean, worst) = ratios(|seed| {
        let problem = problem(seed, 12, false);
        (solve_node_order(&problem, "", &SolverBudget::sized(), two(seed)), plain::solve_by_sets(&problem))
    });
    assert!(mean < 1.0002 && worst < 1.005, "mean {mean}, worst {worst}");
}

#[test]
fn with_waits_the_search_is_near_the_best_of_eight_nodes() {
    let (mean, worst) = ratios(|seed| {
        let problem = problem(seed, 8, true);
        (solve_node_order(&problem, "", &SolverBudget::sized(), two(seed)), plain::try_every_order(&problem))
    });
    assert!(mean < 1.002 && worst < 1.05, "mean {mean}, worst {worst}");
}

/// The worked example of the lecture, by hand: 14 s with the clip first.
#[test]
fn the_worked_example_takes_fourteen_seconds() {
    let mut stacks = StackSets::default();
    let ratchet = stacks.intern_pieces(vec![PieceId::new(0), PieceId::new(1)]);
    let choice = |s: u16| vec![StackChoice { first: s, last: s, inside_s: 0.0, workings: Vec::new() }];
    let node = |part, choices| WorkNode { station: 0, leaves: 0, part: Some(part), fixed_s: 0.0, choices };
    let nodes = vec![
        node(0, choice(ratchet)),
        node(0, choice(0)),
        node(0, Vec::new()),
        node(1, choice(ratchet)),
        node(1, Vec::new()),
    ];
    let pairs = [(0, 2), (1, 2), (3, 4)];
    let problem = NodeOrderProblem::new(nodes, &pairs, Vec::new(), vec![0.0], stacks).unwrap();
    let solved = solve_node_order(&problem, "", &SolverBudget::sized(), two(1));
    assert_eq!((solved.outcome.value, solved.outcome.standing), (14.0, SolverStanding::Proven));
    assert!((evaluate_node_order(&problem, &[0, 1, 2, 3, 4]).total_s() - 24.8).abs() < 1e-9);
}

#[test]
fn a_circle_is_named() {
    let node = WorkNode { station: 0, leaves: 0, part: None, fixed_s: 0.0, choices: Vec::new() };
    let nodes = vec![node.clone(), node.clone(), node];
    let pairs = [(0, 1), (1, 2), (2, 1)];
    let circle =
        NodeOrderProblem::new(nodes, &pairs, Vec::new(), vec![0.0], StackSets::default()).unwrap_err();
    assert_eq!(circle.0, [0, 1, 2]);
}

#[test]
fn a_stopped_search_says_so() {
    struct Now;
    impl SolverWatch for Now {
        fn should_stop(&self) -> bool {
            true
        }
    }
    let problem = problem(7, 40, true);
    let solved = solve_node_order(&problem, "", &SolverBudget::watched(&Now), two(1));
    assert!(problem.allows(&solved.order));
    assert_eq!(solved.outcome.standing, SolverStanding::Stopped);
}
