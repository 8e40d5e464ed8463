//! Cases worked by hand: what is next, dates, clashes and ways out, pauses, lanes, the table, and what cannot be asked.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

#[expect(dead_code, reason = "this file uses a part")]
mod common;

use calendar::hours::{DaySpan, WeekHours};
use calendar::{
    BenchCalendar, BenchPause, BenchQuestion, CalendarFault, CalendarSettings, ClashWay, ItemHands, ItemPace,
    LaneKind, PartDate, ReservationTable, ReservedKind, RollWork, draw_lanes, find_worth_starting,
    follow_pause, format_bench_calendar, make_bench_calendar, name_moment, remake_bench_calendar,
};
use common::{DAY, H, assert_clean, hold, item, judged_visits, link, shop, visit};
use effort::{RandomSeed, SolverStanding};
use judge::visits::judge_visits;
use times::{FinishedItem, LearnedFactor};

fn settings() -> CalendarSettings<'static> {
    CalendarSettings { samples: 200, ..CalendarSettings::sized(RandomSeed(1)) }
}

fn solve(question: &BenchQuestion) -> BenchCalendar {
    let calendar = make_bench_calendar(question, &settings()).unwrap();
    assert_clean(question, &calendar);
    calendar
}

fn fault(question: &BenchQuestion) -> CalendarFault {
    make_bench_calendar(question, &settings()).unwrap_err()
}

/// The lecture's: shop hours 8 to 16, A seals, cures for 12 h and closes; B has four hours of work.
fn lecture() -> BenchQuestion {
    let mut question = shop(vec![
        visit('A', vec![item("seal", H), item("close", H)], vec![link(0, 1, 12 * H)]),
        visit('B', vec![item("strip", 4 * H)], Vec::new()),
    ]);
    question.hours = WeekHours::same_on([true; 7], &[DaySpan { from_s: 8 * H, to_s: 16 * H }], 0);
    question
}

/// Start and end of an item.
fn times(calendar: &BenchCalendar, visit: usize, item: usize) -> (u32, u32) {
    let line = calendar.lines_of_visit(visit).find(|l| l.item == item).unwrap();
    (line.start_s, line.end_s)
}

#[test]
fn the_lecture_is_right_and_proven() {
    let question = lecture();
    let calendar = solve(&question);
    assert_eq!(times(&calendar, 1, 0), (8 * H, 12 * H));
    assert_eq!(times(&calendar, 0, 0), (12 * H + 360, 13 * H + 360));
    assert_eq!(times(&calendar, 0, 1), (DAY + 8 * H, DAY + 9 * H));
    assert_eq!(calendar.sum_of_finishes.value, f64::from(4 * H + 25 * H));
    assert_eq!(calendar.sum_of_finishes.standing, SolverStanding::Proven);
    assert_eq!(calendar.next_line(&question).map(|l| (l.visit, l.item)), Some((1, 0)));
}

#[test]
fn a_promise_turns_the_order_round() {
    // A is to be finished on the first day: a cure of two hours, and B is at hand meanwhile.
    let mut question = lecture();
    question.visits[0].links[0].wait_s = 2 * H;
    question.visits[0].promise_s = Some(13 * H);
    let calendar = solve(&question);
    // B's four hours do not fit into the cure, and only closing time sets work aside: A is closed first, B follows and ends the next morning.
    assert_eq!(times(&calendar, 0, 1), (11 * H, 12 * H));
    assert_eq!(calendar.lateness.value, 0.0);
    assert_eq!(calendar.finishes[0].late_s, 0);
    assert_eq!(calendar.finishes[1].planned_s, DAY + 8 * H + 360);
}

#[test]
fn part_dates_two_pairs_of_hands_and_moments_not_to_stop_keep_to_their_hours() {
    let mut question = shop(vec![visit(
        'A',
        vec![item("gasket", H), item("lift engine", H), item("cover", 5 * H)],
        vec![link(0, 1, 0)],
    )]);
    question.visits[0].items[0].part = Some(PartDate { part: "gasket".into(), at_s: 15 * H + 1_800 });
    question.visits[0].items[0].pace = ItemPace::OnePiece;
    question.visits[0].items[1].hands = ItemHands::Two;
    question.helper_hours =
        Some(WeekHours::same_on([true; 7], &[DaySpan { from_s: 10 * H, to_s: 12 * H }], 0));
    question.hours.closed_days = vec![1];
    let calendar = solve(&question);
    assert_eq!(times(&calendar, 0, 2), (8 * H, 13 * H + 1_800));
    assert_eq!(times(&calendar, 0, 0), (15 * H + 1_800, 16 * H + 1_800));
    assert_eq!(times(&calendar, 0, 1), (2 * DAY + 10 * H, 2 * DAY + 11 * H));
}

#[test]
fn dates_without_any_doubt_are_the_calendar_itself_and_learning_moves_them() {
    let mut question = lecture();
    question.visits.iter_mut().flat_map(|v| &mut v.items).for_each(|i| i.spread_ratio = 0.0);
    let sure = solve(&question);
    for finish in &sure.finishes {
        let dates = finish.dates;
        assert_eq!([dates.p50_s, dates.p80_s, dates.p95_s], [finish.planned_s; 3]);
    }
    question.factor =
        LearnedFactor { visit_spread_ratio: 0.2, mechanic_spread_ratio: 0.2, ..LearnedFactor::exact() };
    let done = FinishedItem { estimated_s: 600.0, actual_s: 900.0, spread_ratio: 0.1 };
    question.visits[1].finished = vec![done; 30];
    let slower = solve(&question);
    // Thirty items of B took one and a half times their estimate: so will what is left of it, nearly.
    let work_s = slower.lines_of_visit(1).next().unwrap().work_s;
    assert!((5.9..=6.0).contains(&(f64::from(work_s) / f64::from(H))), "{work_s}");
    let dates = slower.finishes[1].dates;
    assert!(dates.p50_s < dates.p80_s && dates.p80_s < dates.p95_s, "{dates:?}");
}

/// A has the lift now, for 3 h of work of which 2 h wait for a part of tomorrow; B wants it for an hour and is promised for today.
fn clashing() -> BenchQuestion {
    let mut question = shop(vec![
        visit('A', vec![item("drain", H), item("fit pump", 2 * H)], vec![link(0, 1, 0)]),
        visit('B', vec![item("exhaust", H)], Vec::new()),
    ]);
    question.visits[0].items[1].part = Some(PartDate { part: "pump".into(), at_s: DAY + 10 * H });
    question.visits[0].stretches.push(hold(0, None, 1));
    question.visits[1].stretches.push(hold(0, Some(0), 0));
    question.visits[1].promise_s = Some(15 * H);
    question.switch_s = 0;
    question
}

#[test]
fn a_clash_is_told_with_its_cheapest_way_out() {
    let mut question = clashing();
    let calendar = solve(&question);
    assert_eq!(times(&calendar, 1, 0), (DAY + 12 * H + 1_800, DAY + 13 * H + 1_800));
    let clash = &calendar.clashes[0];
    assert_eq!((clash.visits, clash.wanted_s, clash.free_s), ((0, 1), 8 * H, DAY + 12 * H));
    let ways: Vec<ClashWay> = clash.ways.iter().map(|w| w.way).collect();
    assert_eq!(ways, [ClashWay::Wait], "A has it now and cannot be moved");
    question.visits[0].roll = Some(RollWork { off_s: 1_200, on_s: 1_200 });
    let calendar = solve(&question);
    let clash = &calendar.clashes[0];
    let ways: Vec<ClashWay> = clash.ways.iter().map(|w| w.way).collect();
    assert_eq!(ways, [ClashWay::RolledOut, ClashWay::Wait]);
    assert_eq!(clash.ways[0].late_s, 0);
    // Rolled out at once, B done at 9:20; tomorrow back on before the part is here.
    assert_eq!(clash.ways[0].finish_s, [DAY + 12 * H, 9 * H + 1_200]);
    assert!(clash.words.contains("A is rolled out and back in"), "{}", clash.words);
}

#[test]
fn another_order_is_weighed_where_nobody_has_it_yet() {
    let mut question = clashing();
    question.visits[0].stretches[0].from = Some(0);
    question.visits[0].items[1].part = None;
    question.visits[1].promise_s = Some(9 * H);
    let calendar = solve(&question);
    let clash = &calendar.clashes[0];
    assert_eq!(clash.visits, (1, 0), "B goes first, since it is promised");
    let ways: Vec<ClashWay> = clash.ways.iter().map(|w| w.way).collect();
    assert_eq!(ways, [ClashWay::Wait, ClashWay::OrderChanged]);
    assert_eq!(clash.ways[1].late_s, u64::from(3 * H));
}

#[test]
fn rolling_a_vehicle_out_frees_what_it_stands_on_and_not_what_stays_on_it() {
    let mut question = clashing();
    question.visits[0].roll = Some(RollWork { off_s: 1_200, on_s: 1_200 });
    let rolled = |question: &BenchQuestion| {
        let ways = &solve(question).clashes[0].ways;
        ways.iter().any(|weighed| weighed.way == ClashWay::RolledOut)
    };
    assert!(rolled(&question));
    question.holders[0] =
        calendar::BenchHolder { name: "flywheel lock".into(), count: 1, kind: calendar::HolderKind::StaysOn };
    assert!(!rolled(&question));
    let words = &solve(&question).clashes[0].words;
    assert!(words.starts_with("A has the flywheel lock until "), "{words}");
}

#[test]
fn two_that_hold_what_each_other_needs_are_told_to_give_way() {
    let mut question = clashing();
    question.holders.push(calendar::BenchHolder {
        name: "trestles".into(),
        count: 1,
        kind: calendar::HolderKind::Place,
    });
    question.visits[0].stretches.push(calendar::HeldStretch { holder: 1, amount: 1, from: Some(0), to: 1 });
    question.visits[1].stretches.push(calendar::HeldStretch { holder: 1, amount: 1, from: None, to: 0 });
    assert!(
        matches!(fault(&question), CalendarFault::NeverFits(words) if words.contains("roll one of them out"))
    );
}

#[test]
fn the_order_of_before_stays_unless_another_is_better_by_much() {
    let mut question = shop(vec![
        visit('A', vec![item("one", H), item("two", H)], Vec::new()),
        visit('B', vec![item("three", H + 1_900)], Vec::new()),
    ]);
    let remade = |question: &BenchQuestion, before: &[(usize, usize)]| {
        let calendar = remake_bench_calendar(question, before, &settings()).unwrap();
        assert_clean(question, &calendar);
        calendar
    };
    let order =
        |calendar: &BenchCalendar| calendar.lines.iter().map(|l| (l.visit, l.item)).collect::<Vec<_>>();
    // B first is best: its work is the shorter. With A first and its items turned round nothing but 100 s is lost once B has grown.
    assert_eq!(order(&remade(&question, &[]))[0], (1, 0));
    let before = [(0, 1), (0, 0), (1, 0)];
    assert_eq!(order(&remade(&question, &before))[0], (1, 0), "a gain of 1,700 s is worth it");
    question.visits[1].items[0].expected_s = 2 * H - 100;
    let kept = remade(&question, &before);
    assert_eq!(order(&kept), before, "a gain of 100 s is not");
    assert_eq!(kept.sum_of_finishes.standing, SolverStanding::Found);
    assert_eq!(kept.sum_of_finishes.value - kept.sum_of_finishes.bound, 100.0);
    question.visits[0].items.push(item("new", 600));
    question.visits[0].links.push(link(2, 1, 0));
    assert_eq!(order(&remade(&question, &[(0, 1), (0, 0)])).len(), 4);
}

#[test]
fn ten_minutes_are_enough_for_some_work_and_not_for_all() {
    let mut question = shop(vec![visit(
        'A',
        vec![
            item("apply sealant", 600),
            item("set cover", 900),
            item("clean", 2 * H),
            item("torque head", 1_500),
        ],
        vec![link(0, 1, 300)],
    )]);
    question.visits[0].links[0].most_s = Some(900);
    question.visits[0].items[3].pace = ItemPace::OnePiece;
    let calendar = solve(&question);
    let next = |minutes: u32| {
        find_worth_starting(&question, &calendar, minutes * 60)
            .unwrap()
            .map(|w| (w.item, w.held_together_s, w.is_done))
    };
    assert_eq!(next(3), None);
    // Sealant, its skin and the cover hang together for half an hour; the head for 25 minutes; cleaning may stop any time.
    assert_eq!(next(10), Some((2, 0, false)));
    assert_eq!(next(26), Some((3, 1_500, true)));
    assert_eq!(next(31), Some((0, 1_800, true)));
}

#[test]
fn pauses_are_followed_by_what_they_change() {
    let mut question = lecture();
    let calendar = solve(&question);
    let after =
        |question: &BenchQuestion, pause| follow_pause(question, &calendar, pause, &settings()).unwrap();
    let short = after(&question, BenchPause::Seconds(600));
    assert_eq!((short.resumes_s, short.later_s.as_slice()), (8 * H + 600, &[0, 600][..]));
    let tomorrow = after(&question, BenchPause::Tomorrow);
    assert_eq!(tomorrow.resumes_s, DAY + 8 * H);
    assert_eq!(tomorrow.later_s, [i64::from(DAY), i64::from(DAY)]);
    let part = after(&question, BenchPause::UntilPart { visit: 1, at_s: DAY + 8 * H });
    assert_eq!(part.next.map(|l| (l.visit, l.item, l.start_s)), Some((0, 0, 8 * H)));
    assert!(part.words.iter().any(|w| w.starts_with("B is finished")), "{:?}", part.words);
    // Sealant that is already on: an hour's pause breaks its time.
    question.visits[0].items[0].start_by_s = Some(8 * H + 1_800);
    let calendar = solve(&question);
    let broken = follow_pause(&question, &calendar, BenchPause::Seconds(H), &settings()).unwrap().broken;
    assert_eq!(
        broken.iter().map(|b| (b.visit, b.from, b.to, b.by_s)).collect::<Vec<_>>(),
        [(0, None, 0, 1_800)]
    );
}

#[test]
fn lanes_hold_work_waits_closed_hours_promise_and_now() {
    let mut question = lecture();
    question.visits[0].promise_s = Some(DAY + 10 * H);
    let calendar = solve(&question);
    let lanes = draw_lanes(&question, &calendar).unwrap();
    let a: Vec<(LaneKind, u32, u32)> = lanes[0].segments.iter().map(|s| (s.kind, s.from_s, s.to_s)).collect();
    let cured = 13 * H + 360;
    assert_eq!(
        a,
        [
            (LaneKind::Now, 8 * H, 8 * H),
            (LaneKind::Work, 12 * H + 360, cured),
            (LaneKind::Wait, cured, cured + 12 * H),
            (LaneKind::Closed, 16 * H, DAY + 8 * H),
            (LaneKind::Work, DAY + 8 * H, DAY + 9 * H),
            (LaneKind::Promise, DAY + 10 * H, DAY + 10 * H),
        ]
    );
    assert_eq!((lanes[1].letter, lanes[1].segments[0].words.as_str()), ('B', "strip, 4 h"));
}

/// The table with days that are counted.
fn table_of(question: &BenchQuestion, calendar: &BenchCalendar, columns: usize) -> String {
    let moment = |at_s| name_moment(at_s, question.hours.first_weekday);
    format_bench_calendar(question, calendar, &moment, columns)
}

#[test]
fn the_table_fits_every_width() {
    let mut question = clashing();
    question.visits[0].roll = Some(RollWork { off_s: 1_200, on_s: 1_200 });
    question.visits[1].name =
        "a-name-without-any-break-that-is-longer-than-the-narrowest-table-is-wide-or-so".into();
    let calendar = solve(&question);
    for columns in [60, 80, 120, 200] {
        let text = table_of(&question, &calendar, columns);
        assert!(text.lines().all(|l| l.chars().count() <= columns), "{columns}:\n{text}");
        for words in ["Finish", "Next", "All items", "Who stands against whom", "How sure"] {
            assert!(text.lines().any(|l| l == words), "{words} at {columns}:\n{text}");
        }
    }
    assert_eq!(table_of(&question, &calendar, 3), table_of(&question, &calendar, 60));
    assert_eq!(name_moment(2 * DAY + 14 * H + 241, 1), "Thu d3 14:05");
}

#[test]
fn the_page_shows_the_table_as_it_is() {
    const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/calendar.md");
    let mut question = clashing();
    question.visits[0].roll = Some(RollWork { off_s: 1_200, on_s: 1_200 });
    question.factor = LearnedFactor { mechanic_spread_ratio: 0.1, ..LearnedFactor::exact() };
    let table = format!("```text\n{}```\n", table_of(&question, &solve(&question), 80));
    let page = std::fs::read_to_string(PAGE).unwrap();
    let (begin, end) = ("<!-- table -->\n", "<!-- end of table -->");
    let (head, rest) = page.split_once(begin).unwrap();
    let (old, tail) = rest.split_once(end).unwrap();
    if std::env::var_os("TRAYWRIGHT_WRITE_DOCS").is_some() {
        std::fs::write(PAGE, format!("{head}{begin}{table}{end}{tail}")).unwrap();
    } else {
        assert_eq!(old, table, "write the page anew with TRAYWRIGHT_WRITE_DOCS=1");
    }
}

#[test]
fn the_table_of_reservations_follows_the_calendar() {
    let question = clashing();
    let mut calendar = solve(&question);
    let table = |calendar: &BenchCalendar| {
        ReservationTable::of_calendar(&question, calendar, &|_| ReservedKind::Lift)
    };
    assert_eq!(table(&calendar).find_reservation_clashes(), []);
    let moved = calendar.lines.iter_mut().find(|l| l.visit == 1).unwrap();
    (moved.start_s, moved.end_s) = (8 * H, 9 * H);
    let clashes = table(&calendar).find_reservation_clashes();
    assert_eq!(clashes.len(), 1);
    assert_eq!((clashes[0].letters.as_slice(), clashes[0].from_s), (&['A', 'B'][..], 8 * H));
    assert!(judge_visits(&judged_visits(&question, &calendar)).iter().any(|v| v.code == "C607"));
}

#[test]
fn what_cannot_be_asked_is_told_with_what_to_do() {
    let check = |change: &dyn Fn(&mut BenchQuestion), expected: &str| {
        let mut question = lecture();
        change(&mut question);
        let words = fault(&question).to_string();
        assert!(words.contains(expected), "{words}");
    };
    check(&|q| q.visits[0].links.push(link(1, 0, 0)), "take a link out");
    check(&|q| q.visits[0].links[0].to = 7, "a link from item 0 to item 7, of 2");
    check(&|q| q.visits[0].stretches.push(hold(3, None, 0)), "not there");
    check(
        &|q| q.visits[0].stretches.push(calendar::HeldStretch { holder: 0, amount: 2, from: Some(0), to: 0 }),
        "of which there are 1",
    );
    check(
        &|q| q.visits.iter_mut().for_each(|v| v.stretches.push(hold(0, None, 0))),
        "A and B have `lift` now",
    );
    check(&|q| q.visits[0].weight = u32::MAX, "above 1000");
    check(&|q| q.visits[0].items[0].hands = ItemHands::Two, "give hours in which there is one");
    check(
        &|q| (q.visits[0].items[0].pace, q.visits[0].items[0].expected_s) = (ItemPace::OnePiece, 9 * H),
        "split it",
    );
    check(&|q| q.visits[0].items[0].expected_s = u32::MAX, "more than 60 days");
    check(&|q| q.visits[0].items[0].spread_ratio = f64::NAN, "spread outside 0 to 2");
    check(&|q| q.visits[1].letter = 'A', "give one of them another");
    check(&|q| q.hours = WeekHours::same_on([false; 7], &[], 0), "no weekday is open");
    check(&|q| q.at_visit = Some(9), "not open");
    check(&|q| q.now_s = u32::MAX, "five years");
    check(&|q| q.visits[0].links[0].most_s = Some(0), "longest time between");
    check(&|q| q.visits = vec![q.visits[0].clone(); 13], "at most 12 visits");
}

#[test]
fn nothing_to_do_is_a_calendar_too() {
    let calendar = solve(&shop(Vec::new()));
    assert_eq!((calendar.lines.len(), calendar.finishes.len()), (0, 0));
    let question = shop(vec![visit('A', Vec::new(), Vec::new())]);
    let calendar = solve(&question);
    assert_eq!(calendar.finishes[0].planned_s, question.now_s);
    assert!(table_of(&question, &calendar, 80).starts_with("Finish"));
}
