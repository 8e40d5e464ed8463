//! The fast solvers against the trying of every answer, on small random problems; and each reduction against it.

use cover::choice::{
    KitAim, KitLimits, KitProblem, KitWorth, PricedPiece, TimedStack, choose_by_weights, choose_in_order,
};
use cover::fewest::choose_fewest_within_time;
use cover::frontier::find_frontier;
use cover::kit::kit_cover::{AmountLimit, KitCover, KitRow, RowAlternative};
use cover::kit::{self, plain};
use cover::next_best::{NextBestJob, rank_purchases};
use cover::set::{self, SetCoverProblem};
use effort::{RandomSeed, SolverBudget, SolverEffort, SolverStanding};
use proptest::prelude::*;

fn alternative(items: u32, dearest: u64) -> impl Strategy<Value = RowAlternative> {
    let list = prop::collection::btree_set(0..items, 0..5);
    (list, 0..=dearest).prop_map(|(items, cost)| RowAlternative { cost, items: items.into_iter().collect() })
}

fn cover(dearest: u64) -> impl Strategy<Value = KitCover> {
    let row = prop::collection::vec(alternative(12, dearest), 1..6).prop_map(KitRow::new);
    let weights = prop::collection::vec(0_u64..=6, 12);
    (weights, prop::collection::vec(row, 0..9)).prop_map(|(weights, rows)| KitCover::new(weights, rows))
}

fn unit_cover() -> impl Strategy<Value = KitCover> {
    cover(0).prop_map(|c| KitCover::new(vec![1; c.weights.len()], c.rows))
}

fn capped() -> impl Strategy<Value = KitCover> {
    let cap = (prop::collection::vec(0_u64..=4, 12), 3_u64..=16);
    (cover(20), prop::collection::vec(cap, 1..3)).prop_map(|(mut cover, caps)| {
        cover.caps = caps.into_iter().map(|(amounts, most)| AmountLimit { amounts, most }).collect();
        cover
    })
}

fn set_cover() -> impl Strategy<Value = SetCoverProblem> {
    let row = prop::collection::btree_set(0_u32..14, 1..6).prop_map(|row| row.into_iter().collect());
    let costs = prop::collection::vec(0_u64..=9, 14);
    (costs, prop::collection::vec(row, 0..20)).prop_map(|(costs, rows): (Vec<u64>, Vec<Vec<u32>>)| {
        SetCoverProblem::new(costs, &rows).expect("every row has a column that there is")
    })
}

fn problem() -> impl Strategy<Value = KitProblem> {
    let piece = (prop_oneof![Just(0_u64), 1_u64..=9], 1_u64..=3)
        .prop_map(|(price, load)| PricedPiece { price, load });
    let stack = (prop::collection::btree_set(0_u32..8, 1..4), 1_u64..=9)
        .prop_map(|(pieces, time)| TimedStack { time, pieces: pieces.into_iter().collect() });
    let step = prop::collection::vec(stack, 1..4);
    (prop::collection::vec(piece, 8), prop::collection::vec(step, 1..6))
        .prop_map(|(pieces, steps)| KitProblem { pieces, steps })
}

fn marked(cover: &KitCover, chosen: &[u32]) -> Vec<bool> {
    let mut kit = cover.empty_kit();
    chosen.iter().for_each(|i| kit[*i as usize] = true);
    kit
}

fn check(cover: &KitCover) -> Result<(), TestCaseError> {
    let least = plain::least_kit_value(cover).expect("all items together satisfy every row");
    let solved = kit::solve_kit_cover(cover, &SolverBudget::sized(), RandomSeed(1));
    prop_assert_eq!(cover.value(&marked(cover, &solved.chosen)), Some(solved.value));
    prop_assert_eq!((solved.value, solved.bound, solved.standing), (least, least, SolverStanding::Proven));
    Ok(())
}

/// Worths of all kits of a problem that do every step.
fn worths(problem: &KitProblem) -> Vec<KitWorth> {
    let kit =
        |mask: u32| (0..problem.pieces.len() as u32).filter(|i| mask >> i & 1 == 1).collect::<Vec<u32>>();
    (0_u32..1 << problem.pieces.len()).filter_map(|mask| problem.kit_worth(&kit(mask))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

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
    fn within_caps_the_best_is_found_or_there_is_none(cover in capped()) {
        let solved = kit::solve_kit_cover(&cover, &SolverBudget::sized(), RandomSeed(1));
        match plain::least_kit_value(&cover) {
            Some(least) => {
                prop_assert_eq!(cover.value(&marked(&cover, &solved.chosen)), Some(least));
                prop_assert_eq!((solved.value, solved.bound, solved.standing), (least, least, SolverStanding::Proven));
            }
            None => prop_assert_eq!((solved.standing, solved.chosen.len()), (SolverStanding::Impossible, 0)),
        }
    }

    #[test]
    fn reductions_leave_a_best_answer(cover in prop_oneof![cover(20), capped()]) {
        let mut small = cover.clone();
        let is_possible = kit::reduce_kit_cover(&mut small);
        prop_assert_eq!(plain::least_kit_value(&small).filter(|_| is_possible), plain::least_kit_value(&cover));
    }

    #[test]
    fn without_any_effort_the_bound_is_still_one(cover in cover(20)) {
        let least = plain::least_kit_value(&cover).expect("all items together satisfy every row");
        let none = SolverBudget { effort: SolverEffort::Tries(0), ..SolverBudget::sized() };
        let solved = kit::solve_kit_cover(&cover, &none, RandomSeed(1));
        prop_assert_eq!(cover.value(&marked(&cover, &solved.chosen)), Some(solved.value));
        prop_assert!(solved.bound <= least && least <= solved.value);
    }

    #[test]
    fn the_cheapest_columns_are_found_and_proven(problem in set_cover()) {
        let holds = |mask: u32| problem.rows().iter().all(|row| row.iter().any(|j| mask >> j & 1 == 1));
        let cost = |mask: u32| (0..14).filter(|j| mask >> j & 1 == 1).map(|j| problem.costs()[j]).sum::<u64>();
        let least = (0_u32..1 << 14).filter(|m| holds(*m)).map(cost).min().expect("all columns cover all rows");
        let solved = set::solve_set_cover(&problem, &SolverBudget::sized(), RandomSeed(1));
        let mask = solved.chosen.iter().fold(0, |mask, j| mask | 1 << j);
        prop_assert!(holds(mask));
        prop_assert_eq!((solved.value, solved.bound, cost(mask)), (least, least, least));
    }

    #[test]
    fn aims_in_order_are_each_best_given_those_before(problem in problem()) {
        let aims = [KitAim::Price, KitAim::Load, KitAim::Time];
        let choice = choose_in_order(&problem, &aims, &SolverBudget::sized(), RandomSeed(1)).expect("every step has a stack");
        let best = worths(&problem).into_iter().min().expect("all pieces do every step");
        prop_assert_eq!((choice.worth, problem.kit_worth(&choice.pieces)), (best, Some(best)));
        for (stage, aim) in choice.stages.iter().zip(aims) {
            prop_assert_eq!((stage.value, stage.bound, stage.standing), (best.amount_of(aim), best.amount_of(aim), SolverStanding::Proven));
        }
    }

    #[test]
    fn limits_hold_or_nothing_fits(problem in problem(), price in 0_u64..20, load in 1_u64..12) {
        let limits = KitLimits { price: Some(price), load: Some(load) };
        let within = |w: &KitWorth| w.price <= price && w.load <= load;
        let best = worths(&problem).into_iter().filter(within).map(|w| w.time).min();
        let found = choose_by_weights(&problem, &KitWorth::only_aim(KitAim::Time), &limits, &SolverBudget::sized(), RandomSeed(1));
        prop_assert_eq!(found.as_ref().map(|c| c.worth.time).map_err(|s| *s), best.ok_or(SolverStanding::Impossible));
        prop_assert!(found.map_or(true, |c| within(&c.worth)));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn the_fewest_pieces_within_a_time_are_as_few_as_they_say(problem in problem(), share in 0_u64..=100) {
        let all = worths(&problem);
        let times = || all.iter().map(|w| w.time);
        let (least, greatest) = (times().min().unwrap_or(0), times().max().unwrap_or(0));
        let most_time = least + (greatest - least) * share / 100;
        let best = all.iter().filter(|w| w.time <= most_time).map(|w| w.load).min().expect("the quickest is one");
        let found = choose_fewest_within_time(&problem, most_time, 0, &SolverBudget::sized(), RandomSeed(1))
            .expect("there is one");
        prop_assert_eq!(problem.kit_worth(&found.pieces), Some(found.worth));
        prop_assert!(found.worth.time <= most_time);
        let stage = &found.stages[0];
        prop_assert!(stage.bound <= best && best <= stage.value, "{} {best} {}", stage.bound, stage.value);
        prop_assert_eq!(stage.value, found.worth.load);
        prop_assert!(stage.standing != SolverStanding::Proven || stage.value == best);
        // A time that lies off the hull of all kits may leave a gap, which is told.
        prop_assert!(stage.standing == SolverStanding::Proven || stage.bound < stage.value);
    }

    #[test]
    fn no_kit_is_quicker_than_the_quickest_stacks(problem in problem()) {
        let least = worths(&problem).iter().map(|w| w.time).min().unwrap_or(0);
        let none = least.checked_sub(1).and_then(|most| {
            choose_fewest_within_time(&problem, most, 0, &SolverBudget::sized(), RandomSeed(1))
        });
        prop_assert!(none.is_none());
    }

    #[test]
    fn the_trade_off_is_every_worth_that_no_other_beats(problem in problem()) {
        let all = worths(&problem);
        let mut expected: Vec<KitWorth> =
            all.iter().filter(|w| !all.iter().any(|o| o != *w && o.is_within(w))).copied().collect();
        expected.sort_unstable();
        expected.dedup();
        let found = find_frontier(&problem, 1000, &SolverBudget::sized(), RandomSeed(1));
        prop_assert!(found.is_whole);
        prop_assert_eq!(found.points.iter().map(|p| p.worth).collect::<Vec<_>>(), expected);
        prop_assert!(found.points.iter().all(|p| problem.kit_worth(&p.pieces) == Some(p.worth)));
    }

    #[test]
    fn the_next_purchase_opens_as_much_as_any(
        prices in prop::collection::vec(0_u64..9, 6),
        ways in prop::collection::vec(
            prop::collection::vec(prop::collection::btree_set(0_u32..6, 0..4), 1..4), 1..8),
    ) {
        let jobs: Vec<NextBestJob> = ways
            .iter()
            .map(|job| NextBestJob { ways: job.iter().map(|way| way.iter().copied().collect()).collect() })
            .collect();
        let opened = |got: &[u32]| {
            let is_open = |job: &NextBestJob| job.ways.iter().any(|way| way.iter().all(|o| got.contains(o)));
            let is_new = |job: &NextBestJob| is_open(job) && !job.ways.iter().any(Vec::is_empty);
            (0..jobs.len()).filter(|at| is_new(&jobs[*at])).map(|at| (0, at)).collect::<Vec<_>>()
        };
        let found = rank_purchases(&prices, core::slice::from_ref(&jobs));
        for purchase in found.singles.iter().chain(&found.pairs) {
            prop_assert_eq!(&purchase.opens, &opened(&purchase.offers));
        }
        let best_single = (0..6).map(|a| opened(&[a]).len()).max().unwrap_or(0);
        prop_assert_eq!(found.singles.first().map_or(0, |p| p.opens.len()), best_single);
        let pairs = (0..6).flat_map(|a| (a + 1..6).map(move |b| [a, b]));
        let best_pair = pairs.map(|pair| opened(&pair).len()).max().unwrap_or(0);
        let found_pair = found.pairs.first().map_or(0, |p| p.opens.len());
        // A pair whose one half opens nothing the other does not open is no pair worth telling.
        prop_assert!(found_pair == best_pair || best_pair == best_single);
    }
}

#[test]
fn the_example_of_the_lecture_needs_no_search() {
    let items = |i: &[u32]| RowAlternative { cost: 0, items: i.to_vec() };
    let (a, b, c, r) = (0, 1, 2, 3);
    let first = KitRow::new(vec![items(&[a, r]), items(&[b, r])]);
    let second = KitRow::new(vec![items(&[a, r]), items(&[b, r]), items(&[c, r])]);
    let mut cover = KitCover::new(vec![1; 4], vec![first, second]);
    assert!(kit::reduce_kit_cover(&mut cover));
    assert_eq!((cover.fixed, cover.rows.len(), cover.taken.len()), (2, 0, 2));
}

#[test]
fn the_example_of_the_trade_off_has_two_points() {
    let pieces = vec![
        PricedPiece { price: 0, load: 1 },
        PricedPiece { price: 30, load: 1 },
        PricedPiece { price: 0, load: 1 },
    ];
    let steps =
        vec![vec![TimedStack { time: 60, pieces: vec![0] }, TimedStack { time: 20, pieces: vec![1, 2] }]];
    let found = find_frontier(&KitProblem { pieces, steps }, 10, &SolverBudget::sized(), RandomSeed(1));
    let worth: Vec<KitWorth> = found.points.iter().map(|p| p.worth).collect();
    assert_eq!(worth, [KitWorth { price: 0, load: 1, time: 60 }, KitWorth { price: 30, load: 2, time: 20 }]);
}
