//! One calendar by what the workshop has said: hours, days lost, promises, parts that come late, who goes first, and one lift.

#[path = "common/van_bench.rs"]
mod van_bench;

use std::collections::BTreeSet;
use std::path::Path;

use app::record::{VisitBody, VisitCommand, VisitId};
use app::text::table::PageWidth;
use app::text::week::format_day;
use app::week::{
    DateShift, ThingDay, WeekAnswer, WeekLayout, WeekRequest, WeekSaying, WeekVisit, lay_out_week,
    parse_stretches,
};
use app::workshop::{Workshop, WorkshopError};
use judge::visits::judge_visits;
use van_bench::begin_van;

/// Monday 1 March 2027, when the shop opens.
const NOW: &str = "2027-03-01T08:00";

fn workshop() -> Workshop {
    let archive = app::workshop::carry::SqliteArchive::in_memory().expect("memory");
    Workshop::over_archive(archive).expect("a workshop")
}

/// A vehicle on the small book with a lift, planned for all its tasks.
fn lifted(shop: &mut Workshop, letter: &str) -> VisitId {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let files = (root.join("tests/lifted-book"), root.join("demo/store"));
    begin_van(shop, letter, files).expect("a visit")
}

fn say(shop: &mut Workshop, saying: WeekSaying) {
    let device = shop.device().clone();
    shop.say_of_week(&device, saying, NOW).expect("it is written");
}

fn set_hours(shop: &mut Workshop) {
    let stretches = parse_stretches(["Mon-Fri 08:00-12:00 12:30-16:30"]).expect("hours");
    say(shop, WeekSaying::Hours(stretches));
}

fn laid(shop: &mut Workshop) -> WeekAnswer {
    lay_out_week(shop, &WeekRequest { now: NOW.into(), ..WeekRequest::default() }).expect("a calendar")
}

fn visit_of(answer: &WeekAnswer, letter: char) -> WeekVisit {
    answer.visits().into_iter().find(|visit| visit.letter == letter).expect("it is on the calendar")
}

fn two_vans() -> (Workshop, VisitId, VisitId) {
    let mut shop = workshop();
    let (a, b) = (lifted(&mut shop, "A"), lifted(&mut shop, "B"));
    set_hours(&mut shop);
    (shop, a, b)
}

#[test]
fn one_lift_is_never_under_two_vehicles_and_the_judge_sees_it() {
    let (mut shop, a, _) = two_vans();
    let device = shop.device().clone();
    let up = VisitBody::SettingChanged { setting: "lift".into(), value: "up".into() };
    shop.carry_out_command(&a, &device, &VisitCommand::from(up)).expect("it is up");
    let answer = laid(&mut shop);
    let case = answer.judged();
    assert_eq!(case.holder_counts[0], 1, "the lift");
    assert!(case.holds.iter().any(|hold| hold.from.is_none()), "A has it now: {:?}", case.holds);
    assert!(case.holds.iter().any(|hold| case.items[hold.to].visit == 1 && hold.from.is_some()));
    assert_eq!(judge_visits(&case), []);
    let mut two_at_once = case.clone();
    let later = two_at_once.holds.iter().position(|hold| case.items[hold.to].visit == 1).expect("B wants it");
    two_at_once.holds[later].from = None;
    assert!(judge_visits(&two_at_once).iter().any(|violation| violation.code == "C607"));
    let mut none_there = case;
    none_there.holder_counts[0] = 0;
    assert!(judge_visits(&none_there).iter().any(|violation| violation.code == "C607"));
}

#[test]
fn who_waits_for_the_lift_is_told_with_the_cheapest_way_out() {
    let (mut shop, a, _) = two_vans();
    let device = shop.device().clone();
    let up = VisitBody::SettingChanged { setting: "lift".into(), value: "up".into() };
    shop.carry_out_command(&a, &device, &VisitCommand::from(up)).expect("it is up");
    let part = visit_of(&laid(&mut shop), 'A').things.into_iter().next_back().expect("a part").thing.key;
    say(&mut shop, WeekSaying::Part { visit: a, part, day: ThingDay::InDays(3) });
    let clashes = laid(&mut shop).clashes();
    let clash = clashes.first().expect("B wants the lift meanwhile");
    assert!(clash.words.starts_with("A has the lift until "), "{}", clash.words);
    assert!(clash.ways.iter().any(|way| way.starts_with("B waits: A finished ")), "{:?}", clash.ways);
}

#[test]
fn a_part_that_is_late_moves_the_finish_and_one_that_is_here_moves_it_back() {
    let (mut shop, a, _) = two_vans();
    let before = visit_of(&laid(&mut shop), 'A');
    let part = before.things.first().expect("it wants something").thing.key.clone();
    let late = WeekSaying::Part { visit: a.clone(), part: part.clone(), day: ThingDay::InDays(3) };
    say(&mut shop, late);
    let after = visit_of(&laid(&mut shop), 'A');
    assert!(after.finish.likely.at.as_str() >= "2027-03-04T08:00", "{:?}", after.finish);
    assert!(after.finish.likely.at > before.finish.likely.at);
    assert_eq!(after.things[0].on.as_ref().map(|on| on.words.as_str()), Some("Thu 4 Mar"));
    say(&mut shop, WeekSaying::Part { visit: a, part, day: ThingDay::Here });
    assert_eq!(visit_of(&laid(&mut shop), 'A').finish, before.finish);
}

#[test]
fn a_day_lost_and_a_promise_that_cannot_be_kept_are_told() {
    let (mut shop, a, _) = two_vans();
    let before = visit_of(&laid(&mut shop), 'A');
    assert_eq!(before.promise, None);
    let to = DateShift::To("2027-03-01".into());
    say(&mut shop, WeekSaying::Promise { visit: a.clone(), to });
    let kept = visit_of(&laid(&mut shop), 'A').promise.expect("promised");
    assert_eq!(kept.until.at, "2027-03-01T16:30", "at closing time");
    say(&mut shop, WeekSaying::Closed { day: "2027-03-01".into(), why: "day lost".into() });
    let lost = visit_of(&laid(&mut shop), 'A');
    assert!(lost.finish.half.at.as_str() > "2027-03-02T08:00", "{:?}", lost.finish);
    let missed = lost.promise.expect("promised");
    assert!(missed.is_missed && missed.late_percent == 100, "{missed:?}");
    say(&mut shop, WeekSaying::Promise { visit: a.clone(), to: DateShift::DayLater });
    let moved = visit_of(&laid(&mut shop), 'A').promise.expect("promised");
    assert_eq!(moved.until.at, "2027-03-02T16:30");
    assert!(!moved.is_missed, "{moved:?}");
    say(&mut shop, WeekSaying::Opened { day: "2027-03-01".into() });
    assert_eq!(visit_of(&laid(&mut shop), 'A').finish, before.finish);
    say(&mut shop, WeekSaying::Promise { visit: a, to: DateShift::Dropped });
    assert_eq!(visit_of(&laid(&mut shop), 'A').promise, None);
}

#[test]
fn who_goes_first_is_next_though_the_other_is_promised() {
    let (mut shop, _, b) = two_vans();
    say(&mut shop, WeekSaying::First { visit: b.clone(), is_first: true });
    let first = laid(&mut shop);
    assert_eq!(first.next().map(|next| next.letter), Some('B'));
    let (a_first, b_first) = (visit_of(&first, 'A'), visit_of(&first, 'B'));
    assert!(b_first.finish.likely.at < a_first.finish.likely.at);
    assert!(b_first.is_first && !a_first.is_first);
    say(&mut shop, WeekSaying::First { visit: b, is_first: false });
    assert!(!visit_of(&laid(&mut shop), 'B').is_first);
}

#[test]
fn what_nobody_said_is_told_as_assumed_and_what_is_typed_counts_first() {
    let mut shop = workshop();
    lifted(&mut shop, "A");
    let assumed = laid(&mut shop);
    assert!(assumed.notices().iter().any(|n| n.starts_with("nobody has said when the shop is open")));
    set_hours(&mut shop);
    let said = laid(&mut shop);
    assert!(said.notices().iter().all(|n| !n.contains("when the shop is open")), "{:?}", said.notices());
    let typed = WeekRequest { now: NOW.into(), opens: Some("13:00".into()), ..WeekRequest::default() };
    let typed = lay_out_week(&mut shop, &typed).expect("a calendar");
    assert_eq!(typed.rows().first().map(|row| row.begins.at.clone()), Some("2027-03-01T13:00".into()));
    assert!(typed.next().expect("work").begins.is_some(), "not now");
    assert_eq!(said.next().expect("work").begins, None, "now");
}

#[test]
fn both_drawings_show_every_vehicle() {
    let (mut shop, a, _) = two_vans();
    say(&mut shop, WeekSaying::Promise { visit: a, to: DateShift::To("2027-03-03T12:00".into()) });
    let answer = laid(&mut shop);
    for layout in [WeekLayout::Along, WeekLayout::Down] {
        let svg = answer.draw(layout).concat();
        assert!(
            svg.starts_with("<svg") && svg.contains("A ") && svg.contains("B ") && svg.contains("Mon 1"),
            "{svg}"
        );
    }
}

#[test]
fn what_cannot_be_is_refused_and_writes_nothing() {
    let (mut shop, a, _) = two_vans();
    let device = shop.device().clone();
    let nobody = VisitId::new("nobody").expect("an id");
    let part = |day| WeekSaying::Part { visit: a.clone(), part: "pump".into(), day };
    for saying in [
        WeekSaying::Hours(Vec::new()),
        WeekSaying::Closed { day: "Monday".into(), why: String::new() },
        WeekSaying::Closed { day: "2027-02-28".into(), why: String::new() },
        WeekSaying::Promise { visit: a.clone(), to: DateShift::To("soon".into()) },
        WeekSaying::Promise { visit: a.clone(), to: DateShift::To("2999-01-01".into()) },
        part(ThingDay::On("2027-02-30".into())),
        part(ThingDay::On("2031-01-01".into())),
        WeekSaying::Part { visit: a.clone(), part: " ".into(), day: ThingDay::Here },
    ] {
        let refused = shop.say_of_week(&device, saying.clone(), NOW);
        assert!(matches!(refused, Err(WorkshopError::Ask(_))), "{saying:?}");
    }
    let missing = WeekSaying::First { visit: nobody, is_first: true };
    assert!(matches!(shop.say_of_week(&device, missing, NOW), Err(WorkshopError::NoVisit(_))));
    assert!(shop.record().visit_dates.is_empty() && shop.record().holidays.is_empty());
}

#[test]
fn the_dates_say_what_they_count_on() {
    let mut shop = workshop();
    lifted(&mut shop, "A");
    set_hours(&mut shop);
    let answer = laid(&mut shop);
    assert!(
        answer.how_sure().contains("1.15 times the planned times; that is assumed"),
        "{}",
        answer.how_sure()
    );
    assert_eq!(answer.how_it_held(), None, "no visit is finished");
}

#[test]
fn the_sheet_of_the_day_says_what_is_done_what_comes_and_how_the_evening_stands() {
    let (mut shop, a, b) = two_vans();
    let thing = visit_of(&laid(&mut shop), 'A').things.into_iter().next_back().expect("a part").thing;
    say(&mut shop, WeekSaying::Part { visit: a.clone(), part: thing.key, day: ThingDay::InDays(0) });
    say(&mut shop, WeekSaying::Promise { visit: b.clone(), to: DateShift::To("2027-03-01T16:00".into()) });
    let answer = laid(&mut shop);
    let day = answer.today();
    assert_eq!(day.day, "Monday 1 March");
    assert_eq!(day.stretches.first().map(|stretch| stretch.begins.as_str()), Some("08:00"));
    let letters: BTreeSet<char> = day.stretches.iter().map(|stretch| stretch.letter).collect();
    assert_eq!(letters, BTreeSet::from(['A', 'B']));
    let of_rows: Vec<String> = answer
        .rows()
        .iter()
        .filter(|row| row.begins.at.starts_with("2027-03-01"))
        .map(|row| row.begins.at[11..].to_owned())
        .collect();
    let of_day: Vec<String> =
        day.stretches.iter().flat_map(|stretch| &stretch.work).map(|work| work.begins.clone()).collect();
    assert_eq!(of_day, of_rows, "all work of the day, once");
    assert_eq!(day.comes, [format!("{}, for A van A", thing.title)]);
    assert!(day.promised[0].starts_with("B van B until 16:00"), "{:?}", day.promised);
    assert!(day.evening[0].starts_with("As they stand now: A "), "{:?}", day.evening);

    let device = shop.device().clone();
    let up = VisitBody::SettingChanged { setting: "lift".into(), value: "up".into() };
    shop.carry_out_command(&a, &device, &VisitCommand::from(up)).expect("it is up");
    let evening = laid(&mut shop).today().evening;
    assert!(evening[0].contains("A must not be moved"), "{evening:?}");
    let text = format_day(&laid(&mut shop), PageWidth::nearest(60));
    assert!(text.lines().all(|line| line.chars().count() <= 60), "{text}");
    assert!(text.contains("Evening") && text.contains("Promised"), "{text}");
}

#[test]
fn what_is_worth_beginning_beside_a_visit_is_of_another_vehicle() {
    let (mut shop, a, b) = two_vans();
    let answer = laid(&mut shop);
    let first = answer.next().expect("work").letter;
    let (with_next, other) = if first == 'A' { (&a, &b) } else { (&b, &a) };
    assert_eq!(answer.worth_beside(with_next, 60), None, "the next one is of this vehicle");
    assert!(answer.worth_beside(other, 60).is_some_and(|words| words.starts_with(first)));
}

/// A joint of two passes and a part on its last screws: what is begun is ended before closing.
#[test]
fn work_that_hangs_together_is_not_laid_over_closing_time() {
    let (mut shop, ..) = two_vans();
    let case = laid(&mut shop).judged();
    let whole: Vec<_> = case.items.iter().filter(|item| item.in_one_piece).collect();
    for item in &whole {
        assert_eq!(item.end_s - item.start_s, item.work_s, "{} is done without a break", item.name);
    }
    assert_eq!(judge_visits(&case), []);
    let mut broken = case.clone();
    let Some(at) = broken.items.iter().position(|item| item.in_one_piece) else {
        panic!("a plan of two vans holds a piece that is not broken off: {:?}", case.items)
    };
    // Begun just before closing time, it would go on after the night.
    broken.items[at].start_s = 16 * 3_600 + 1_740;
    broken.items[at].end_s = 24 * 3_600 + 8 * 3_600 + broken.items[at].work_s - 60;
    assert!(!judge_visits(&broken).is_empty());
}

/// A visit that was begun in another journal, brought over as a file.
fn brought_over(shop: &mut Workshop, letter: &str) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut other = workshop();
    let visit = lifted(&mut other, letter);
    let file = folder.path().join("visit");
    app::workshop::carry::export_visit(other.archive(), &visit, &file).expect("written");
    shop.import_visit_file(&file).expect("taken in");
}

#[test]
fn two_open_visits_with_one_letter_are_told_apart() {
    let mut shop = workshop();
    set_hours(&mut shop);
    lifted(&mut shop, "A");
    brought_over(&mut shop, "A");
    let answer = laid(&mut shop);
    assert_eq!(answer.visits().len(), 1);
    let told = answer.notices().iter().any(|words| words.contains("has the same letter"));
    assert!(told, "{:?}", answer.notices());
}
