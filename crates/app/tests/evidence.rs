//! Readings judged in a visit, wear over visits, what falls due, estimates, and what was found and approved.
//!
//! The guard bands are those of JCGM 106:2012, 8.3 (from memory): with one limit and a known uncertainty `u`, pass from `1.645·u` inside the limit on,
//! fail from `1.645·u` outside it on; `u` of a gauge good to `±a` is `a/√3` (GUM, 4.3.7).

use std::path::{Path, PathBuf};

use app::ask::SilentObserver;
use app::evidence::due::DueStanding;
use app::evidence::estimate::{WorkshopTerms, estimate_job};
use app::evidence::readings::{ReadingBoard, boards_of_visit};
use app::trend::reading_verdict::ReadingOutcome;
use app::workshop::{NewVisit, Workshop};
use model::plan::{KitObjective, Plan};
use model::{Book, Store};
use record::vehicle::{OdometerUnit, OdometerValue};
use record::{
    EventPlace, MeasuredReading, OwnerWord, StepMark, VehicleBody, VehicleId, VisitBody, VisitCommand,
    VisitId,
};

fn workshop() -> Workshop {
    let archive = app::workshop::carry::SqliteArchive::in_memory().expect("memory");
    Workshop::over_archive(archive).expect("a workshop")
}

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name)
}

fn visit_of(shop: &mut Workshop, vehicle: Option<VehicleId>, km: impl Into<Option<u32>>) -> VisitId {
    let new = NewVisit {
        letter: shop.free_letter().expect("a letter that no open visit has"),
        vehicle,
        name: "the grey bus".into(),
        odometer: km.into().map(|km| format!("{km} km")),
        book: Some(demo("books/tern-24")),
        store: Some(demo("store")),
        request: None,
    };
    shop.begin_visit(&new, &SilentObserver).expect("a visit")
}

fn say(shop: &mut Workshop, visit: &VisitId, body: VisitBody) -> String {
    let (device, command): (_, VisitCommand) = (shop.device().clone(), body.into());
    let written = shop.carry_out_command(visit, &device, &command).expect("it is so");
    written[0].id.to_string()
}

fn read(shop: &mut Workshop, visit: &VisitId, measure: &str, place: &str, reading: MeasuredReading) {
    let reading = MeasuredReading { measure: Some(measure.into()), place: place.into(), ..reading };
    say(shop, visit, VisitBody::Read { reading: Box::new(reading), at: EventPlace::default() });
}

fn board(shop: &mut Workshop, visit: &VisitId, measure: &str) -> ReadingBoard {
    let live = shop.visit(visit).expect("a visit");
    let all = boards_of_visit(live.book(), &[], live.state());
    all.into_iter().find(|board| board.measure == measure).expect("it was read")
}

fn outcomes(board: &ReadingBoard) -> Vec<Option<ReadingOutcome>> {
    board.places.iter().map(|place| place.verdict.as_ref().map(|verdict| verdict.outcome)).collect()
}

#[test]
fn a_reading_near_its_limit_is_too_close_to_call_and_says_what_would_settle_it() {
    use ReadingOutcome::{Fail, Pass, TooClose};
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, 300_000);
    // At most 20 %, good to 2 %: u = 1.1547, guard 1.645·u = 1.899.
    let values = [("cylinder 1", 18.0), ("cylinder 2", 18.2), ("cylinder 3", 21.8), ("cylinder 4", 22.0)];
    for (place, value) in values {
        read(&mut shop, &visit, "leak-down", place, MeasuredReading::plain("leak-down", value, "%"));
    }
    let leak = board(&mut shop, &visit, "leak-down");
    assert_eq!(outcomes(&leak), [Some(Pass), Some(TooClose), Some(TooClose), Some(Fail)]);
    assert_eq!(leak.outcome(), Some(Fail));
    let again = &leak.places[1].verdict.as_ref().expect("judged").again;
    assert!(again.contains("good to 2 %") || again.contains("read it"), "{again}");
    let spread = leak.spread.as_ref().expect("two limits");
    assert_eq!(spread.outcome, Pass, "4 % apart of 10 %: {}", spread.words);
}

#[test]
fn once_more_counts_together_and_a_better_gauge_stands_alone() {
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, 300_000);
    let plain = |value: f64| MeasuredReading::plain("leak-down", value, "%");
    read(&mut shop, &visit, "leak-down", "cylinder 1", plain(19.0));
    read(&mut shop, &visit, "leak-down", "cylinder 1", MeasuredReading { is_once_more: true, ..plain(18.0) });
    let leak = board(&mut shop, &visit, "leak-down");
    assert_eq!(leak.places[0].readings.len(), 2);
    assert!(leak.places[0].shown.as_deref().is_some_and(|shown| shown.ends_with("mean of 2")), "{leak:?}");
    let better = MeasuredReading { gauge_error: Some(0.5), is_once_more: true, ..plain(18.9) };
    read(&mut shop, &visit, "leak-down", "cylinder 1", better);
    let leak = board(&mut shop, &visit, "leak-down");
    assert_eq!(leak.places[0].readings.len(), 1, "readings of two gauges are not one mean");
    assert_eq!(outcomes(&leak)[0], Some(ReadingOutcome::Pass), "1.645·0.5/√3 = 0.47 below 20 %");
    read(&mut shop, &visit, "leak-down", "cylinder 1", plain(25.0));
    assert_eq!(outcomes(&board(&mut shop, &visit, "leak-down"))[0], Some(ReadingOutcome::Fail));
}

#[test]
fn a_grade_by_one_look_next_to_the_worst_wants_a_second_look() {
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, 300_000);
    let look = |value: f64, grade: &str| MeasuredReading {
        grade: Some(grade.into()),
        ..MeasuredReading::plain("running faces of the followers", value, "")
    };
    read(&mut shop, &visit, "cam-followers", "", look(1.0, "fine scores"));
    let faces = board(&mut shop, &visit, "cam-followers");
    assert_eq!(faces.places[0].shown.as_deref(), Some("fine scores"));
    assert_eq!(outcomes(&faces), [Some(ReadingOutcome::TooClose)]);
    let second = MeasuredReading { is_once_more: true, ..look(1.0, "fine scores") };
    read(&mut shop, &visit, "cam-followers", "", second);
    assert_eq!(outcomes(&board(&mut shop, &visit, "cam-followers")), [Some(ReadingOutcome::Pass)]);
}

#[test]
fn what_nobody_asked_for_is_a_board_of_its_own() {
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, 300_000);
    let reading =
        MeasuredReading { high: Some(0.1), ..MeasuredReading::plain("belt pulley run-out", 0.3, "mm") };
    say(&mut shop, &visit, VisitBody::Read { reading: Box::new(reading), at: EventPlace::default() });
    let live = shop.visit(&visit).expect("a visit");
    let boards = boards_of_visit(live.book(), &[], live.state());
    let own = boards.iter().find(|board| board.title == "belt pulley run-out").expect("its board");
    let verdict = own.places[0].verdict.as_ref().expect("a limit was told");
    assert_eq!(verdict.outcome, ReadingOutcome::Fail);
    assert!(verdict.words.contains("nobody says how far the gauge may be off"), "{}", verdict.words);
}

/// A finding with its price and the task that rights it.
fn late_thermostat() -> VisitBody {
    VisitBody::Found {
        words: "thermostat opens late".into(),
        price_from_cents: Some(9_000),
        price_to_cents: Some(12_000),
        if_left: "it runs hot".into(),
        task: Some("renew-thermostat".into()),
        at: EventPlace::default(),
    }
}

/// The plan of tasks of a book.
fn plan_of(book: &Book, store: &Store, tasks: &[&str]) -> Plan {
    let request = app::ask::PlanRequest {
        vehicle: "A".into(),
        tasks: tasks.iter().map(|task| (*task).to_owned()).collect(),
        objective: KitObjective::Balanced,
        seconds: None,
        stop_after_s: None,
        seed: 1,
        threads: 2,
    };
    app::ask::make_judged_plan(book, store, &request, &SilentObserver).expect("a plan").plan
}

fn vehicle_of(shop: &mut Workshop, visit: &VisitId) -> VehicleId {
    let opened = shop.visit(visit).expect("a visit").state().opened.clone().expect("it is open");
    opened.vehicle.and_then(|stream| stream.vehicle_id()).expect("its vehicle")
}

#[test]
fn wear_over_visits_runs_to_its_limit_and_a_single_visit_tells_no_rate() {
    let mut shop = workshop();
    let mut vehicle = None;
    // A straight 0.01 mm in 100,000 km, from 0.05 at 100,000 km on: 0.11 mm at 700,000 km.
    for (visits, km) in [100_000, 200_000, 300_000, 400_000].into_iter().enumerate() {
        let visit = visit_of(&mut shop, vehicle.clone(), km);
        let id = vehicle_of(&mut shop, &visit);
        let value = 0.05 + f64::from(km - 100_000) * 1.0e-7 + if visits % 2 == 0 { 0.0005 } else { -0.0005 };
        read(&mut shop, &visit, "shaft-play", "across", MeasuredReading::plain("play", value, "mm"));
        if visits == 0 {
            let history = shop.vehicle_history(&id).expect("a history");
            assert_eq!(history.wear, [], "one reading makes no rate");
        }
        vehicle = Some(id);
    }
    let history = shop.vehicle_history(&vehicle.expect("a vehicle")).expect("a history");
    let line =
        history.wear.iter().find(|line| line.what == "turbocharger shaft play, across").expect("a line");
    assert_eq!(line.points.len(), 4);
    let (estimate, low, high) = line.reached_km.unwrap_or_else(|| panic!("{}", line.forecast));
    assert!(low < 700_000.0 && 700_000.0 < high, "{low} to {high}");
    assert!((estimate - 700_000.0).abs() < 60_000.0, "{estimate}");
    assert!(line.to_svg().contains("<svg"));
    assert_eq!(history.visits.len(), 4);
}

#[test]
fn what_falls_due_counts_from_the_last_record_and_says_where_there_is_none() {
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, 300_000);
    let id = vehicle_of(&mut shop, &visit);
    let device = shop.device().clone();
    let km = |value: f64| OdometerValue { value, unit: OdometerUnit::Kilometre };
    let elsewhere = |task: &str, value: f64, date: &str| VehicleBody::DoneElsewhere {
        task: task.into(),
        odometer: Some(km(value)),
        date: Some(date.into()),
        told_by: "an invoice".into(),
    };
    let past = (2..8).map(|k| VehicleBody::OdometerClaimed {
        reading: km(200_000.0 + 15_000.0 * f64::from(k)),
        date: Some(format!("2026-{k:02}-01")),
        read_by: None,
    });
    let told = [
        elsewhere("renew-timing-belt", 150_000.0, "2019-03-01"),
        elsewhere("renew-oil-filter", 295_000.0, "2026-07-01"),
        elsewhere("renew-aux-belt", 290_000.0, "2026-07-01"),
    ];
    shop.say_of_vehicle(&id, &device, past.chain(told).collect()).expect("a disk");
    let history = shop
        .vehicle_history_on(&id, jiff::civil::date(2026, 9, 1), &jiff::tz::TimeZone::UTC)
        .expect("a history");
    let of = |task: &str| history.due.iter().find(|due| due.task == task).expect("a task with an interval");
    assert_eq!(of("renew-timing-belt").standing, DueStanding::Due, "{:?}", of("renew-timing-belt"));
    assert!(
        of("renew-timing-belt").words.starts_with("due since 270000 km"),
        "{:?}",
        of("renew-timing-belt")
    );
    let oil = of("renew-oil-filter");
    assert_eq!((oil.standing, oil.at), (DueStanding::Later, Some(km(315_000.0))), "{oil:?}");
    assert_eq!(oil.by_date.as_deref(), Some("2027-07-01"));
    assert!(oil.words.contains("315000 km") && oil.words.contains("about 202"), "{}", oil.words);
    assert_eq!(of("renew-thermostat").standing, DueStanding::NotKnown);
    assert!(of("renew-thermostat").words.contains("ask the owner"));
    let places: Vec<DueStanding> = history.due.iter().map(|due| due.standing).collect();
    assert!(places.is_sorted(), "what is due comes first, what is not known last: {places:?}");
}

#[test]
fn what_falls_due_is_told_as_of_the_day_that_it_is_asked() {
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, None);
    let id = vehicle_of(&mut shop, &visit);
    let device = shop.device().clone();
    let km = |value: f64| OdometerValue { value, unit: OdometerUnit::Kilometre };
    // 100 km a day, and an oil filter at 291,000 km with 20,000 km or a year to go.
    let past = (0..10).map(|k| VehicleBody::OdometerClaimed {
        reading: km(291_000.0 + 1_000.0 * f64::from(k)),
        date: Some((jiff::civil::date(2026, 8, 23) + jiff::Span::new().days(10 * k)).to_string()),
        read_by: None,
    });
    let filter = VehicleBody::DoneElsewhere {
        task: "renew-oil-filter".into(),
        odometer: Some(km(291_000.0)),
        date: Some("2026-08-23".into()),
        told_by: "an invoice".into(),
    };
    shop.say_of_vehicle(&id, &device, past.chain([filter]).collect()).expect("a disk");
    let mut on = |year: i16, month: i8, day: i8| {
        let today = jiff::civil::date(year, month, day);
        let history = shop.vehicle_history_on(&id, today, &jiff::tz::TimeZone::UTC).expect("a history");
        history.due.into_iter().find(|due| due.task == "renew-oil-filter").expect("a task with an interval")
    };
    let (soon, likely, over) = (on(2026, 12, 1), on(2027, 6, 1), on(2027, 9, 1));
    assert_eq!(soon.standing, DueStanding::Later, "{soon:?}");
    assert_eq!(likely.standing, DueStanding::Likely, "{likely:?}");
    assert!(likely.words.ends_with("; read the odometer"), "{likely:?}");
    assert_eq!(over.standing, DueStanding::Due, "{over:?}");
    assert_eq!(over.words, "due since 2027-08-23");
}

#[test]
fn a_task_done_in_a_visit_counts_from_there() {
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, 300_000);
    let id = vehicle_of(&mut shop, &visit);
    let done =
        VisitBody::Task { task: "renew-thermostat".into(), work: model::TaskKind::Renew, to: StepMark::Done };
    say(&mut shop, &visit, done);
    let history = shop.vehicle_history(&id).expect("a history");
    let thermostat = history.due.iter().find(|due| due.task == "renew-thermostat").expect("every 8 years");
    assert_eq!(thermostat.standing, DueStanding::Later);
    assert!(thermostat.last.as_deref().is_some_and(|last| last.contains("at 300000 km")), "{thermostat:?}");
    assert_eq!(history.visits[0].fitted, ["thermostat 88 °C"]);
}

#[test]
fn a_finding_that_is_approved_stands_open_until_it_is_done() {
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, 300_000);
    let found = say(&mut shop, &visit, late_thermostat());
    let finding = record::EventId::new(&found).expect("an id");
    let answer =
        |word| VisitBody::Answered { finding: finding.clone(), word, by: "owner, by telephone".into() };
    let open = |shop: &mut Workshop| {
        let live = shop.visit(&visit).expect("a visit");
        let ledger = record::ledger::Ledger::draw_up(live.state(), live.book());
        ledger.open_lines().filter(|line| line.key.starts_with("approved")).count()
    };
    assert_eq!(open(&mut shop), 0);
    say(&mut shop, &visit, answer(OwnerWord::Yes));
    assert_eq!(open(&mut shop), 1);
    let done =
        VisitBody::Task { task: "renew-thermostat".into(), work: model::TaskKind::Renew, to: StepMark::Done };
    say(&mut shop, &visit, done);
    assert_eq!(open(&mut shop), 0, "its task tells");
}

#[test]
fn a_refused_finding_stays_with_the_vehicle() {
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, 300_000);
    let id = vehicle_of(&mut shop, &visit);
    let found = say(
        &mut shop,
        &visit,
        VisitBody::Found {
            words: "boot of the shaft is cracked".into(),
            price_from_cents: None,
            price_to_cents: None,
            if_left: "grit gets into the joint".into(),
            task: None,
            at: EventPlace::default(),
        },
    );
    let finding = record::EventId::new(&found).expect("an id");
    say(&mut shop, &visit, VisitBody::Answered { finding, word: OwnerWord::No, by: "owner".into() });
    let history = shop.vehicle_history(&id).expect("a history");
    assert_eq!(history.left.len(), 1);
    assert_eq!(history.left[0].if_left, "grit gets into the joint");
    let found = shop.find_vehicles("CRACKED").expect("a search");
    assert_eq!((found.len(), found[0].lines.len()), (1, 1));
    assert!(shop.find_vehicles("no such word").expect("a search").is_empty());
}

#[test]
fn an_estimate_charges_the_shared_way_in_once() {
    let book = app::load::load_book(&demo("books/tern-24")).expect("the demo");
    let store = app::load::load_store(&demo("store")).expect("the demo");
    let terms = WorkshopTerms { cents_per_hour: Some(6_000), estimate_words: String::new() };
    let estimate = |tasks: &[&str]| {
        let plan = plan_of(&book, &store, tasks);
        estimate_job((&book, &plan), None, &terms, &app::job_hours::hours_as_assumed(&book, &plan))
    };
    let (both, one, other) = (
        estimate(&["renew-thermostat", "renew-fuel-filter"]),
        estimate(&["renew-thermostat"]),
        estimate(&["renew-fuel-filter"]),
    );
    assert_eq!(both.lines.len(), 3, "two tasks, one way in");
    let sum_s: f64 = both.lines.iter().map(|line| line.hands_s.p50_s).sum();
    assert!((sum_s - both.hands_s.p50_s).abs() < 1.0, "the lines are the whole");
    let parts: i64 = both.lines.iter().map(|line| line.parts_cents).sum();
    assert_eq!(parts, both.parts_cents);
    assert!(both.hands_s.p50_s <= one.hands_s.p50_s + other.hands_s.p50_s + 1.0);
    let fixed = both.fixed.expect("a rate");
    let labour = |hands_s: f64| (hands_s / 3_600.0 * 6_000.0).round() as i64;
    assert_eq!(fixed.from_cents, labour(both.hands_s.p50_s) + both.parts_cents);
    assert_eq!(fixed.to_cents, labour(both.hands_s.p80_s) + both.parts_cents);
}

#[test]
fn what_turned_up_on_others_counts_each_vehicle_once() {
    let mut shop = workshop();
    let own = visit_of(&mut shop, None, 100_000);
    let own = vehicle_of(&mut shop, &own);
    let (first, second) = (visit_of(&mut shop, None, 200_000), visit_of(&mut shop, None, 300_000));
    let again = vehicle_of(&mut shop, &first);
    let again = visit_of(&mut shop, Some(again), 260_000);
    for visit in [&first, &again] {
        read(&mut shop, visit, "shaft-play", "along", MeasuredReading::plain("play", 0.2, "mm"));
    }
    read(&mut shop, &second, "shaft-play", "along", MeasuredReading::plain("play", 0.05, "mm"));
    let history = shop.vehicle_history(&own).expect("a history");
    assert_eq!(history.alike.len(), 1, "{:?}", history.alike);
    let seen = &history.alike[0];
    assert_eq!((seen.vehicles, seen.of, seen.task.as_deref()), (1, 2, Some("inspect-turbo")));
    assert_eq!(seen.km, Some((200_000.0, 260_000.0)));
    let of_second = vehicle_of(&mut shop, &second);
    let others = shop.vehicle_history(&of_second).expect("a history").alike;
    assert_eq!((others[0].vehicles, others[0].of), (1, 2));
}

#[test]
fn a_record_goes_out_as_tables_that_are_read_back() {
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, 300_000);
    let reading =
        MeasuredReading { method: "gauge, \"new\"".into(), ..MeasuredReading::plain("play", 0.07, "mm") };
    read(&mut shop, &visit, "shaft-play", "along", reading);
    let id = vehicle_of(&mut shop, &visit);
    let history = shop.vehicle_history(&id).expect("a history");
    let files = app::evidence::export::vehicle_files(&history, Path::new("out"));
    let readings = &files.iter().find(|(path, _)| path.ends_with("readings.csv")).expect("a table").1;
    let mut table = csv::Reader::from_reader(readings.as_bytes());
    let rows: Vec<csv::StringRecord> = table.records().map(|row| row.expect("a row")).collect();
    assert_eq!(rows.len(), 1);
    assert_eq!(
        (&rows[0][2], &rows[0][4], &rows[0][8]),
        ("turbocharger shaft play", "0.07", "gauge, \"new\"")
    );
}

#[test]
fn a_finding_with_a_price_is_charged_once() {
    let mut shop = workshop();
    let visit = visit_of(&mut shop, None, 300_000);
    let found = say(&mut shop, &visit, late_thermostat());
    let finding = record::EventId::new(&found).expect("an id");
    say(&mut shop, &visit, VisitBody::Answered { finding, word: OwnerWord::Yes, by: "owner".into() });
    let book = app::load::load_book(&demo("books/tern-24")).expect("the demo");
    let store = app::load::load_store(&demo("store")).expect("the demo");
    let plan = plan_of(&book, &store, &["renew-fuel-filter", "renew-thermostat"]);
    let terms = WorkshopTerms { cents_per_hour: Some(0), estimate_words: String::new() };
    let state = shop.visit(&visit).expect("a visit").state().clone();
    let hours = app::job_hours::hours_as_assumed(&book, &plan);
    let with = estimate_job((&book, &plan), Some(&state), &terms, &hours);
    let without = estimate_job((&book, &plan), None, &terms, &hours);
    assert!(without.lines.iter().any(|line| line.what.contains("thermostat")));
    assert!(with.lines.iter().all(|line| !line.what.contains("thermostat")), "its price has it all");
    let thermostat = 3_100;
    assert_eq!(with.parts_cents, without.parts_cents - thermostat);
    let (with, without) = (with.fixed.expect("a rate"), without.fixed.expect("a rate"));
    assert_eq!(with.from_cents, without.from_cents - thermostat + 9_000);
    assert_eq!(with.to_cents, without.to_cents - thermostat + 12_000);
}
