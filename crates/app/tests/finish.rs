//! The finish date of demo plans: judged, held back by what has to arrive, repeatable, and shown within 80 columns.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use app::ask::{self, SilentObserver};
use app::finish::{FinishAnswer, FinishRequest, HelperAvailability, compute_finish, draw_spread};
use app::load;
use app::model::plan::{KitObjective, Plan, StepKind};
use app::model::{Book, Store};
use plan::calendar::LineStartReason;
use std::path::{Path, PathBuf};

fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

fn case(name: &str) -> (Book, Store, Plan) {
    let (book, store) =
        (load::load_book(&demo("books").join(name)).unwrap(), load::load_store(&demo("store")).unwrap());
    let request = ask::PlanRequest {
        vehicle: String::from("A"),
        tasks: Vec::new(),
        objective: KitObjective::LeastToCarry,
        seconds: Some(1.0),
        stop_after_s: None,
        seed: 7,
        threads: 1,
    };
    let plan = ask::make_judged_plan(&book, &store, &request, &SilentObserver).unwrap().plan;
    (book, store, plan)
}

fn request() -> FinishRequest {
    FinishRequest {
        start: String::from("2027-03-01T08:00"),
        open_h: 8.0,
        days: 5,
        interrupted_percent: Some(20.0),
        arrives: Vec::new(),
        within: Vec::new(),
        helper: HelperAvailability::None,
        samples: 400,
        seed: 7,
    }
}

#[track_caller]
fn made((book, store, plan): &(Book, Store, Plan), request: &FinishRequest) -> FinishAnswer {
    let made = compute_finish(book, store, plan, request, &SilentObserver).unwrap_or_else(|e| panic!("{e}"));
    let words: Vec<String> = made.violations.iter().take(6).map(ToString::to_string).collect();
    assert!(words.is_empty(), "{} violations\n{}", made.violations.len(), words.join("\n"));
    made
}

#[test]
fn demo_plans_are_laid_onto_the_calendar_and_the_judge_finds_nothing() {
    for name in ["tern-24", "curlew-30"] {
        let case = case(name);
        let made = made(&case, &request());
        let calendar = &made.calendar;
        let spread = &calendar.spread;
        assert!(spread.p50_s <= spread.p80_s && spread.p80_s <= spread.p95_s);
        assert_eq!(spread.bars.iter().sum::<u32>(), 400);
        assert!(
            matches!(calendar.critical.first(), Some((0, LineStartReason::Start))),
            "{:?}",
            calendar.critical.first()
        );
        assert_eq!(
            calendar.critical.last().unwrap().0,
            calendar.lines.len() - 1,
            "the last line ends the job"
        );
        assert!(
            calendar.critical.iter().all(|(at, _)| calendar.lines[*at].slack_s < 1.0),
            "no room on the path"
        );
        let again = compute_finish(&case.0, &case.1, &case.2, &request(), &SilentObserver).unwrap();
        assert_eq!(again.calendar, *calendar, "the same seed gives the same dates");
        for line in app::text::finish::format_finish(&made, app::text::table::PageWidth::USUAL).lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        assert!(draw_spread(&made).contains("80 %"));
    }
}

#[test]
fn plans_of_generated_books_are_laid_onto_the_calendar() {
    for seed in 0..8_u64 {
        let (book, store) = generate::generate_book_and_store(seed, 30, 90, 250);
        let book = book::read_book(&[(String::from("book.toml"), book.into_bytes())]).book.unwrap();
        let store = tools::read_store(&[(String::from("store.toml"), store.into_bytes())]).store.unwrap();
        let asked = ask::PlanRequest {
            vehicle: String::from("G"),
            tasks: Vec::new(),
            objective: KitObjective::Quickest,
            seconds: Some(0.5),
            stop_after_s: None,
            seed,
            threads: 1,
        };
        let plan = ask::make_judged_plan(&book, &store, &asked, &SilentObserver).unwrap().plan;
        let what = plan.way_in.parts[seed as usize % plan.way_in.parts.len()].part.clone();
        let odd = FinishRequest {
            start: String::from("2027-03-05T13:30"),
            open_h: 4.0,
            days: 1 + (seed % 7) as u8,
            arrives: vec![format!("{what}=2027-03-09T09:00")],
            ..request()
        };
        let case = (book, store, plan);
        made(&case, &request());
        made(&case, &odd);
    }
}

#[test]
fn what_arrives_late_holds_back_what_needs_it_and_stands_on_the_critical_path() {
    let case = case("tern-24");
    let on_time = made(&case, &request());
    let part = case.2.refit.steps.iter().rev().find_map(|s| s.part.clone()).unwrap();
    let late = FinishRequest { arrives: vec![format!("{part}=2027-04-12")], ..request() };
    let late = made(&case, &late);
    assert!(late.calendar.finish_s > on_time.calendar.finish_s);
    assert!(late.p50.contains("Apr 2027"), "{}", late.p50);
    let arrives = |why: &LineStartReason| matches!(why, LineStartReason::Arrival(what) if *what == part);
    assert!(late.calendar.critical.iter().any(|(_, why)| arrives(why)));
    let longer = made(&case, &FinishRequest { open_h: 10.0, ..request() });
    assert!(longer.calendar.finish_s <= on_time.calendar.finish_s, "more hours a day never end later");
}

#[test]
fn a_longest_gap_is_kept_or_told() {
    let case = case("tern-24");
    let wait = case.0.parts.iter().find(|p| {
        let tightened =
            case.2.refit.steps.iter().any(|s| s.kind == StepKind::Tighten && s.part.as_ref() == Some(&p.key));
        tightened && case.2.way_in.parts.iter().any(|w| w.part == p.key)
    });
    let part = &wait.unwrap().key;
    let wide = made(&case, &FinishRequest { within: vec![format!("{part}=12 h")], ..request() });
    assert_eq!(wide.calendar.too_long, []);
    let narrow = made(&case, &FinishRequest { within: vec![format!("{part}=1 s")], ..request() });
    assert!(narrow.calendar.too_long.iter().all(|g| g.part == *part && g.by_s > 0.0));
}

#[test]
fn what_cannot_be_read_is_said() {
    let case = case("tern-24");
    let check = |request: FinishRequest, expected: &str| {
        let error =
            compute_finish(&case.0, &case.1, &case.2, &request, &SilentObserver).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
    };
    check(FinishRequest { start: "soon".into(), ..request() }, "2027-03-01T08:00");
    check(FinishRequest { open_h: 30.0, ..request() }, "do not fit in one day");
    check(FinishRequest { open_h: f64::NAN, ..request() }, "do not fit in one day");
    check(FinishRequest { days: 0, ..request() }, "working days");
    check(FinishRequest { interrupted_percent: Some(100.0), ..request() }, "interruptions");
    check(FinishRequest { arrives: vec!["unicorn=2027-03-03".into()], ..request() }, "unicorn");
    check(FinishRequest { arrives: vec!["unicorn".into()], ..request() }, "is not an arrival");
    check(
        FinishRequest { within: vec!["unicorn=soon".into()], ..request() },
        "is not a part and its longest gap",
    );
    check(FinishRequest { within: vec!["unicorn=5 min".into()], ..request() }, "unicorn");
}
