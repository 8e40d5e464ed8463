//! A driver's readings kept in the workshop's stream, and what stands behind the figure of a step.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

use app::ask::{self, PlanRequest, SilentObserver};
use app::bolting_answers::driver::{
    self, AddReadingsRequest, CalibrationRequest, ClutchStepRequest, DriverToDo,
    readings::{self, ReadingLine},
};
use app::bolting_answers::{BoltingError, StepReasons, explain_step};
use app::load;
use app::model::plan::{KitObjective, Plan, StepKind};
use app::model::{Book, FastenerKind, Lubrication, StageTarget};
use app::workshop::{Workshop, carry};
use std::path::{Path, PathBuf};

fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

/// A file of this test's own, which is not there yet.
fn fresh(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_file(&path);
    path
}

fn workshop() -> Workshop {
    Workshop::over_archive(carry::SqliteArchive::in_memory().unwrap()).unwrap()
}

fn added(workshop: &mut Workshop, step: &str, torques: &[&str], check: bool) -> Result<usize, BoltingError> {
    let asked = AddReadingsRequest {
        driver: "driver 1".into(),
        joint: "M6 into aluminium, dry".into(),
        step: step.into(),
        torques: torques.iter().map(|t| (*t).to_owned()).collect(),
        date: Some("2026-03-14".into()),
        check,
    };
    let given = driver::check_readings(&asked)?;
    let fresh = readings::number_fresh_readings(workshop.driver_readings(), &given);
    let device = workshop.device().clone();
    Ok(workshop.keep_driver_readings(&device, fresh, false).unwrap())
}

fn lines(workshop: &Workshop) -> Vec<ReadingLine> {
    workshop.driver_readings().map(ReadingLine::of_kept_reading).collect()
}

fn wanted(workshop: &Workshop, torque: &str) -> driver::ClutchStepAnswer {
    driver::find_clutch_step(
        &lines(workshop),
        &ClutchStepRequest { torque: torque.into(), ..ClutchStepRequest::default() },
    )
    .unwrap()
}

/// Five run-downs on each of three steps, 4, 5 and 6 N·m in the mean.
fn calibrated() -> Workshop {
    let mut shop = workshop();
    for (step, torques) in [
        ("1", ["3.95 N·m", "4.05 N·m", "4.02 N·m", "3.97 N·m", "4.01 N·m"]),
        ("2", ["4.96 N·m", "5.04 N·m", "5.01 N·m", "4.98 N·m", "5.01 N·m"]),
        ("3", ["6.04 N·m", "5.95 N·m", "6.02 N·m", "5.98 N·m", "6.01 N·m"]),
    ] {
        assert_eq!(added(&mut shop, step, &torques, false).unwrap(), 5);
    }
    shop
}

#[test]
fn readings_are_kept_in_the_stream_and_too_few_are_told() {
    let mut path = workshop();
    added(&mut path, "2", &["5.0 N·m", "44 lbf·in"], false).unwrap();
    let kept: Vec<_> = path.driver_readings().map(|r| (r.torque_n_m, r.fastener)).collect();
    // 44 lbf·in by the units' definitions (NIST SP 811, appendix B): 44 × 0.112 984 829 N·m.
    assert_eq!(kept[0], (5.0, 1));
    assert!((kept[1].0 - 44.0 * 0.112_984_829).abs() < 1e-6 && kept[1].1 == 2, "{kept:?}");
    let answer = wanted(&path, "5 N·m");
    assert_eq!((answer.to_do, answer.step), (DriverToDo::ByHand, None));
    assert!(answer.words.contains("not enough"), "{}", answer.words);
    assert!(answer.calibration.steps.is_empty() && answer.calibration.points.len() == 2);
}

#[test]
fn the_step_stays_below_and_never_finishes_a_critical_fastener() {
    let path = calibrated();
    let answer = wanted(&path, "5.5 N·m");
    assert_eq!((answer.to_do, answer.step), (DriverToDo::RunDownThenWrench, Some(2)));
    assert!(answer.upper_n_m.unwrap() <= answer.ceiling_n_m && answer.ceiling_n_m < 5.5);
    let allowed = |plain: bool| {
        let asked = ClutchStepRequest {
            torque: "5.5 N·m".into(),
            allowed: Some("4 to 6 N·m".into()),
            plain,
            ..ClutchStepRequest::default()
        };
        driver::find_clutch_step(&lines(&path), &asked).unwrap().to_do
    };
    assert_eq!(allowed(false), DriverToDo::RunDownThenWrench, "critical unless said otherwise");
    assert_eq!(allowed(true), DriverToDo::RunDown);
    assert_eq!(wanted(&path, "3 N·m").step, None);
}

#[test]
fn a_drifted_clutch_makes_the_calibration_void() {
    let mut path = calibrated();
    added(&mut path, "2", &["5.00 N·m", "5.02 N·m", "4.98 N·m"], true).unwrap();
    assert_eq!(wanted(&path, "5.5 N·m").to_do, DriverToDo::RunDownThenWrench);
    added(&mut path, "2", &["5.60 N·m", "5.62 N·m", "5.58 N·m", "5.61 N·m"], true).unwrap();
    let answer = wanted(&path, "5.5 N·m");
    assert_eq!((answer.to_do, answer.step), (DriverToDo::CalibrateAnew, None));
    assert!(answer.calibration.is_void && answer.calibration.drift.contains("VOID"));
}

#[test]
fn plots_show_readings_bounds_and_the_torque_wanted() {
    let answer = wanted(&calibrated(), "5.5 N·m");
    let text = driver::plot_in_characters(&answer.calibration, Some(5.5), app::text::table::PageWidth::USUAL);
    for mark in ["o", "^", "====", "step"] {
        assert!(text.contains(mark), "{text}");
    }
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    let svg = driver::draw_calibration(&answer.calibration, Some(5.5));
    assert_eq!(svg.matches("<circle").count(), 15, "one circle a reading");
    assert!(svg.contains("wanted 5.5 N·m") && svg.ends_with("</svg>\n"));
}

#[test]
fn bad_readings_and_unknown_drivers_are_told() {
    let mut path = calibrated();
    let asked = CalibrationRequest { driver: Some("driver 2".into()), ..CalibrationRequest::default() };
    let said = driver::show_calibration(&lines(&path), &asked).unwrap_err().to_string();
    assert!(said.contains("`driver 1`"), "{said}");
    for (step, torque) in [("0", "4 N·m"), ("x", "4 N·m"), ("1", "4"), ("1", "-4 N·m")] {
        assert!(added(&mut path, step, &[torque], false).is_err(), "{step} {torque}");
    }
    assert!(driver::show_calibration(&[], &CalibrationRequest::default()).is_err());
    let asked = CalibrationRequest { today: Some("2026-02-31".into()), ..CalibrationRequest::default() };
    let said = driver::show_calibration(&lines(&path), &asked).unwrap_err().to_string();
    assert!(
        said.contains("now") && said.contains("2026-02-31") && said.contains("such as 2026-03-14"),
        "{said}"
    );
    let asked = AddReadingsRequest {
        driver: "driver 1".into(),
        joint: "M6".into(),
        step: "1".into(),
        torques: vec!["4 N·m".into()],
        date: Some("2025-02-29".into()),
        check: false,
    };
    let said = driver::check_readings(&asked).unwrap_err().to_string();
    assert!(said.contains("date") && said.contains("2025-02-29"), "{said}");
}

#[test]
fn a_file_of_readings_comes_in_once_however_often_it_is_read() {
    let path = fresh("import.csv");
    let text = "driver,joint,step,torque\nd,j,1,4 N·m\nd,j,1,4 N·m\nd,j,2,5 N·m\n";
    std::fs::write(&path, text).unwrap();
    let mut shop = workshop();
    let device = shop.device().clone();
    let mut take_in = |path: &Path| {
        shop.keep_driver_readings(&device, readings::import_readings(path).unwrap(), true).unwrap()
    };
    assert_eq!((take_in(&path), take_in(&path)), (3, 0), "alike lines of one file are two readings");
    std::fs::write(&path, format!("{text}d,j,2,5.1 N·m\n")).unwrap();
    assert_eq!(take_in(&path), 1, "a line that was added comes in alone");
    let fasteners: std::collections::BTreeSet<_> = shop.driver_readings().map(|r| r.fastener).collect();
    assert_eq!(fasteners.len(), 4, "each is a fresh fastener");
}

fn planned(book: &Book) -> Plan {
    let store = load::load_store(&demo("store")).unwrap();
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks: vec![String::from("renew-thermostat")],
        objective: KitObjective::LeastToCarry,
        seconds: Some(1.0),
        stop_after_s: None,
        seed: 7,
        threads: 1,
    };
    ask::make_judged_plan(book, &store, &request, &SilentObserver).unwrap().plan
}

/// What a reader of the book would check by hand on one fixing.
fn check_one(book: &Book, why: &StepReasons) {
    for line in &why.fixings {
        let fixing = book.fixing(book.fixing_by_key(&line.fixing).unwrap());
        assert_eq!(line.source, fixing.tightening.source);
        assert!(!line.passes.is_empty(), "{}: no pass", line.fixing);
        let last = fixing.tightening.stages.iter().rev().find_map(|s| match s.target {
            StageTarget::Torque(torque) => Some(torque.as_n_m()),
            _ => None,
        });
        assert_eq!(line.torque_n_m, last);
        let hollow =
            matches!(fixing.kind, FastenerKind::ThreadedPlug | FastenerKind::Sensor | FastenerKind::Union);
        let known = last.is_some() && fixing.screw_thread().is_some() && !hollow;
        assert_eq!(line.preload_n.is_some(), known, "{}", line.fixing);
        if let Some(preload) = line.preload_n {
            assert!(0.0 < preload.low && preload.low < preload.high);
        }
        assert_eq!(line.strip_margin_ratio.is_some(), known && fixing.class.is_some());
        let is_against = |kind: &str| line.grounds.iter().any(|ground| ground.kind == kind);
        let gives_way = is_against("strips") || is_against("breaks");
        assert!(!gives_way || line.plausible != Some("plausible"), "{}: {:?}", line.fixing, line.grounds);
        let strips_first = line.strip_words().is_some_and(|words| words.contains("strips first"));
        assert_eq!(strips_first, is_against("strips") && known && fixing.class.is_some(), "{}", line.fixing);
        if let Some((torque, strips)) = last.zip(line.strips_at_n_m) {
            let says_bolt = line.strip_words().is_some_and(|words| words.contains("the bolt breaks"));
            let is_told = says_bolt || is_against("strips") || fixing.lubrication == Lubrication::Unstated;
            assert!(torque < strips.low || is_told, "{}", line.fixing);
        }
        for pass in line.passes.iter().filter(|p| p.setting_n_m.is_some()) {
            let is_corrected = pass.setting_n_m != pass.torque_n_m;
            assert_eq!(is_corrected, !pass.correction.starts_with("none"), "{}", pass.correction);
        }
    }
}

#[test]
fn every_tightening_step_of_a_plan_says_why() {
    let book = load::load_book(&demo("books/tern-24")).unwrap();
    let plan = planned(&book);
    let mut told = 0;
    for step in &plan.refit.steps {
        let answer = explain_step(&book, &plan, step.number);
        if step.kind == StepKind::Tighten {
            let answer = answer.unwrap();
            check_one(&book, &answer);
            let text =
                app::text::bolting_text::format_step_reasons(&answer, app::text::table::PageWidth::USUAL);
            assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
            told += 1;
        } else {
            assert!(answer.unwrap_err().to_string().contains("not a tightening step"));
        }
    }
    assert!(told >= 3, "{told} tightening steps");
    assert!(explain_step(&book, &plan, 10_000).is_err());
    let other = load::load_book(&demo("books/curlew-30")).unwrap();
    let step = plan.refit.steps.iter().find(|s| s.kind == StepKind::Tighten).unwrap();
    assert!(
        explain_step(&other, &plan, step.number).unwrap_err().to_string().contains("the plan was made from")
    );
}
