//! What is only loosened, tap by tap: it never leaves its hole, has no slot, is not counted as out, and stands on the ledger until it is tight.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use std::path::{Path, PathBuf};

use effort::{SolverBudget, SolverEffort, UnwatchedSolver};

use app::bench::{DrawingRoom, step_in_hand, step_sheet};
use app::model::plan::{Plan, Step, StepKind};
use app::model::progress::Progress;
use app::model::{Act, Book, FastenerState, Store};
use app::record::ledger::{LedgerCountKind, LedgerLineKind};
use app::record::{
    FastenerKey, Ledger, TapDirection, Visit, VisitBody, VisitCommand, apply_pretended_events, decide,
};

/// Sheets of the job, and some.
const MAX_SHEETS: usize = 200;

fn root(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(path)
}

fn begun() -> (Book, Store, Plan, Visit) {
    let store = app::load::load_store(&root("demo/store")).unwrap();
    let book = app::load::load_book(&root("validation/worlds/situations/s30-slackened.toml")).unwrap();
    let judged = common::plan_all_tasks(&book, &store, 2).unwrap();
    assert!(judged.violations.is_empty(), "{:?}", judged.violations);
    let mut visit = Visit::default();
    let (letter, name) = (String::from("A"), String::from("test bus"));
    apply_pretended_events(&mut visit, &[VisitBody::Opened { vehicle: None, letter, name, odometer: None }]);
    (book, store, judged.plan, visit)
}

/// Taps on until a step of this kind about this part is in hand.
fn tap_until(
    (book, store, plan): (&Book, &Store, &Plan),
    visit: &mut Visit,
    is_there: impl Fn(&Step) -> bool,
) -> Vec<String> {
    let mut labels = Vec::new();
    for _ in 0..MAX_SHEETS {
        let Some(number) = step_in_hand(visit, book, plan) else { return labels };
        let sheet = step_sheet(book, store, plan, visit, number, DrawingRoom::default()).unwrap();
        let step = plan.all_steps().find(|step| step.number == number).unwrap();
        if is_there(step) {
            return labels;
        }
        let tick = sheet.tick.unwrap_or_else(|| panic!("step {number}: {:?}", sheet.against));
        labels.push(tick.label.clone());
        apply_pretended_events(visit, &tick.bodies);
    }
    panic!("the job never ends: {labels:?}");
}

#[test]
fn a_slackened_nut_stays_in_its_hole_and_on_the_ledger_until_it_is_tight() {
    let (book, store, plan, mut visit) = begun();
    assert!(plan.slots.iter().all(|line| line.fixing == "guard-bolts"), "{:?}", plan.slots);
    let acts: Vec<Act> = plan.duties.iter().filter(|d| d.fixing == "tensioner-nut").map(|d| d.act).collect();
    assert_eq!(acts, [Act::Free, Act::Tighten, Act::Tighten]);
    let all = (&book, &store, &plan);
    let labels = tap_until(all, &mut visit, |step| step.kind == StepKind::Inspect);
    assert!(labels.iter().any(|label| label.contains("lackened, left in place")), "{labels:?}");
    assert!(visit.is_part_off("belt") && visit.is_part_off("hose"));
    assert_eq!(visit.fastener_state("tensioner-nut", "1"), FastenerState::Freed);
    let ledger = Ledger::draw_up(&visit, &book);
    let line = ledger.lines.iter().find(|line| line.at.fixing.as_deref() == Some("tensioner-nut")).unwrap();
    assert_eq!((line.kind, line.slot.clone()), (LedgerLineKind::Freed, None));
    assert!(line.what.ends_with("is slackened, in its hole"), "{}", line.what);
    let of_fasteners = ledger.counts.iter().filter(|row| row.kind == LedgerCountKind::Fasteners);
    assert_eq!(of_fasteners.map(|row| row.out).sum::<u32>(), 2, "the two guard bolts alone are out");
    // Half through its passes it is not tight, and a tap too many goes back to slackened.
    tap_until(all, &mut visit, |step| {
        step.kind == StepKind::Tighten && step.fixings == ["tensioner-nut".to_owned()]
    });
    let key = FastenerKey { fixing: "tensioner-nut".into(), hole: "1".into() };
    let tap = |visit: &Visit, way| {
        decide(visit, &book, &plan, VisitCommand::Tap { fastener: key.clone(), way }).unwrap()
    };
    let on = tap(&visit, TapDirection::On);
    apply_pretended_events(&mut visit, &on);
    assert_eq!(visit.fastener_state("tensioner-nut", "1"), FastenerState::FingerTight);
    for _ in 0..2 {
        let back = tap(&visit, TapDirection::Back);
        apply_pretended_events(&mut visit, &back);
    }
    assert_eq!(visit.fastener_state("tensioner-nut", "1"), FastenerState::Freed);
    tap_until(all, &mut visit, |_| false);
    assert_eq!(visit.fastener_state("tensioner-nut", "1"), FastenerState::Tight);
    assert_eq!(visit.fastener_state("hose-clamp", "1"), FastenerState::Tight);
    let ledger = Ledger::draw_up(&visit, &book);
    assert!(ledger.lines.is_empty(), "{:?}", ledger.lines);
}

/// The rest of the job from half-way is planned and judged like the whole.
#[test]
fn the_rest_of_a_job_with_a_slackened_nut_is_sound() {
    let (book, store, plan, _) = begun();
    let mut progress = Progress::default();
    let steps: Vec<_> = plan.all_steps().cloned().collect();
    for (at, step) in steps.iter().enumerate() {
        let budget = SolverBudget { effort: SolverEffort::Tries(300), watch: &UnwatchedSolver };
        let rest = plan::remake_plan(&book, &store, &plan, &progress, &[], budget).unwrap();
        let found = judge::judge_rest(&book, &store, &rest, &progress);
        assert!(found.is_empty(), "after {at} steps: {found:?}");
        progress.do_step(&book, &plan, step);
    }
    assert_eq!(progress.fastener("tensioner-nut", "1").state, FastenerState::Tight);
}
