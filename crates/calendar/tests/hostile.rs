//! Questions of odd figures: an answer that the judge finds clean, or words; never a panic.

#[expect(dead_code, reason = "this file uses a part")]
mod common;
#[path = "../../../tests/long.rs"]
mod long;

use calendar::hours::{DaySpan, WeekHours};
use calendar::{
    BenchHolder, BenchPause, BenchQuestion, CalendarSettings, HeldStretch, HolderKind, ItemHands, ItemLink,
    ItemPace, OpenVisit, PartDate, RollWork, draw_lanes, find_worth_starting, follow_pause,
    format_bench_calendar, make_bench_calendar,
};
use common::{DAY, Draws, H, assert_clean, item, shop, visit};
use effort::{RandomSeed, SolverBudget, SolverEffort};
use times::{FactorPrior, FinishedItem, learn_factor};

/// Mostly an ordinary figure, sometimes an odd one.
fn odd(draws: &mut Draws, ordinary: u32) -> u32 {
    const ODD: [u32; 9] = [0, 1, 59, 61 * DAY, 400 * DAY, 1 << 30, (1 << 31) - 1, u32::MAX - 1, u32::MAX];
    if draws.below(400) == 0 { ODD[draws.below(9) as usize] } else { draws.below(ordinary) }
}

fn odd_visit(letter: char, draws: &mut Draws) -> OpenVisit {
    let count = draws.below(7) as usize;
    let mut items = Vec::new();
    for k in 0..count {
        let mut it = item(&format!("item {k}"), odd(draws, 3 * H));
        it.spread_ratio =
            if draws.below(200) == 0 { f64::INFINITY } else { f64::from(draws.below(8)) / 10.0 };
        it.hands = [ItemHands::None, ItemHands::One, ItemHands::One, ItemHands::Two][draws.below(4) as usize];
        it.pace = if draws.chance(30) { ItemPace::OnePiece } else { ItemPace::MayStop };
        it.part = draws.chance(20).then(|| PartDate { part: "part".into(), at_s: odd(draws, 3 * DAY) });
        it.start_by_s = draws.chance(5).then(|| odd(draws, DAY));
        items.push(it);
    }
    let place = |draws: &mut Draws| odd(draws, count as u32).min(1_000) as usize;
    let mut links = Vec::new();
    for _ in 0..draws.below(count as u32) {
        let (one, other) = (place(draws), place(draws));
        let most_s = draws.chance(20).then(|| odd(draws, DAY));
        links.push(ItemLink {
            from: one.min(other),
            to: one.max(other),
            wait_s: odd(draws, H),
            most_s,
            words: "wait".into(),
        });
    }
    let mut it = visit(letter, items, links);
    it.promise_s = draws.chance(50).then(|| odd(draws, 5 * DAY));
    it.weight = odd(draws, 5);
    it.is_first = it.weight % 2 == 1;
    it.roll = draws.chance(50).then(|| RollWork { off_s: odd(draws, H), on_s: odd(draws, H) });
    for _ in 0..draws.below(count.min(3) as u32) {
        let from = draws.chance(70).then(|| place(draws));
        it.stretches.push(HeldStretch {
            holder: draws.below(2) as usize,
            amount: odd(draws, 2),
            from,
            to: place(draws),
        });
    }
    it.finished = vec![FinishedItem {
        estimated_s: f64::from(draws.below(3)),
        actual_s: f64::from(odd(draws, 9)),
        spread_ratio: 0.2,
    }];
    it
}

fn odd_question(seed: u64) -> BenchQuestion {
    let mut draws = Draws::new(seed);
    let letters = ['A', 'B', if draws.chance(5) { 'B' } else { 'C' }];
    let visits = letters[..1 + draws.below(3) as usize].iter().map(|l| odd_visit(*l, &mut draws)).collect();
    let mut question = shop(visits);
    question.holders = vec![
        BenchHolder { name: "lift".into(), count: odd(&mut draws, 3), kind: HolderKind::Place },
        BenchHolder { name: "trestles".into(), count: 2, kind: HolderKind::Place },
    ];
    let span = DaySpan { from_s: draws.below(9 * H), to_s: odd(&mut draws, 8 * H).saturating_add(9 * H) };
    question.hours.spans[draws.below(7) as usize] = vec![span];
    question.hours.closed_days = (0..draws.below(4)).map(|_| odd(&mut draws, 9)).collect();
    question.hours.first_weekday = odd(&mut draws, 7).min(255) as u8;
    question.helper_hours = draws.chance(80).then(|| WeekHours::same_on([true; 7], &[span], 3));
    question.now_s = odd(&mut draws, 2 * DAY);
    question.switch_s = odd(&mut draws, 900);
    question.at_visit = draws.chance(30).then(|| draws.below(3) as usize);
    question.factor = learn_factor(&FactorPrior::assumed(), &[question.visits[0].finished.clone()]);
    question
}

#[test]
fn odd_figures_give_a_clean_calendar_or_words() {
    let (mut answered, mut refused) = (0, 0);
    let tried = long::choose_count("questions of odd figures", 300, 1_500);
    for seed in 0..u64::from(tried) {
        let question = odd_question(seed);
        let budget = SolverBudget { effort: SolverEffort::Tries(40), ..SolverBudget::sized() };
        let settings = CalendarSettings { budget, samples: 3, ..CalendarSettings::sized(RandomSeed(seed)) };
        match make_bench_calendar(&question, &settings) {
            Err(fault) => {
                refused += 1;
                assert!(fault.to_string().split_whitespace().count() > 4, "{fault}");
            }
            Ok(calendar) => {
                answered += 1;
                assert_clean(&question, &calendar);
                assert!(calendar.sum_of_finishes.bound <= calendar.sum_of_finishes.value);
                assert!(calendar.lateness.bound <= calendar.lateness.value);
                assert!(draw_lanes(&question, &calendar).is_ok());
                let table = format_bench_calendar(&question, &calendar, &|at_s| format!("{at_s} s"), 72);
                assert!(table.lines().all(|l| l.chars().count() <= 72));
                assert!(find_worth_starting(&question, &calendar, 1_800).is_ok());
                for pause in [
                    BenchPause::Seconds(u32::MAX),
                    BenchPause::Tomorrow,
                    BenchPause::UntilPart { visit: 0, at_s: DAY },
                ] {
                    if let Ok(after) = follow_pause(&question, &calendar, pause, &settings) {
                        assert!(!after.words.is_empty());
                    }
                }
            }
        }
    }
    assert!(answered * 5 > tried && refused * 5 > tried, "{answered} answered, {refused} refused");
}
