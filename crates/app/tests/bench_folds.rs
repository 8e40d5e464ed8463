//! A whole job at the bench, tap by tap: fewer taps by folding, and each says what the single steps would have said.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use std::path::Path;

use app::bench::{DrawingRoom, step_in_hand, step_sheet};
use app::model::plan::Plan;
use app::model::{Book, Store};
use app::record::{
    PlanStepsView, StepStanding, Visit, VisitBody, VisitCommand, apply_pretended_events, decide, steps_of,
};

/// Most of the taps of a job without folding that it may take with it: what was asked for.
const MOST_OF_TAPS: f64 = 0.75;

/// Sheets of the longest job, and some.
const MAX_SHEETS: usize = 3_000;

struct Walk {
    taps: usize,
    taps_unfolded: usize,
}

/// What one step by itself would write.
fn single_tick(book: &Book, plan: &Plan, visit: &Visit, number: u32) -> Vec<VisitBody> {
    decide(visit, book, plan, VisitCommand::Tick { step: number }).unwrap()
}

fn without_renewals(bodies: &[VisitBody]) -> Vec<VisitBody> {
    bodies.iter().filter(|body| !matches!(body, VisitBody::Renewed { .. })).cloned().collect()
}

fn work_through(book: &Book, store: &Store, plan: &Plan) -> Walk {
    let mut visit = Visit::default();
    let (letter, name) = (String::from("A"), String::from("test bus"));
    apply_pretended_events(&mut visit, &[VisitBody::Opened { vehicle: None, letter, name, odometer: None }]);
    let mut walk = Walk { taps: 0, taps_unfolded: 0 };
    for _ in 0..MAX_SHEETS {
        let Some(number) = step_in_hand(&visit, book, plan) else { return walk };
        let sheet = step_sheet(book, store, plan, &visit, number, DrawingRoom::default()).unwrap();
        let tick = sheet.tick.unwrap_or_else(|| panic!("step {number}: {:?}", sheet.against));
        let is_fold = sheet.last_number > sheet.number;
        walk.taps += 1;
        walk.taps_unfolded += 1 + usize::from(is_fold);
        if is_fold {
            let parts: Vec<_> = steps_of(plan)
                .filter(|step| step.number == number || step.number == sheet.last_number)
                .collect();
            assert_eq!(parts.len(), 2);
            assert_eq!(sheet.last_number, number + 1, "a fold is of two steps that follow one another");
            assert_eq!(parts[0].part, parts[1].part, "one part");
            assert_eq!(parts[0].station, parts[1].station, "one place");
            assert!(tick.label.contains(" off") || tick.label.contains(" in place, "), "{}", tick.label);
            let mut then = visit.clone();
            let mut singly = single_tick(book, plan, &then, number);
            apply_pretended_events(&mut then, &singly);
            let renewed: Vec<_> = tick.bodies.iter().filter(|b| matches!(b, VisitBody::Renewed { .. })).cloned().collect();
            apply_pretended_events(&mut then, &renewed);
            singly.extend(single_tick(book, plan, &then, number + 1));
            assert_eq!(
                without_renewals(&tick.bodies),
                singly,
                "step {number}: a fold says what both steps say"
            );
        }
        apply_pretended_events(&mut visit, &tick.bodies);
        let views = PlanStepsView::of_plan(&visit, book, plan);
        if is_fold {
            for done in [number, number + 1] {
                assert_eq!(views.step_numbered(done).unwrap().standing, StepStanding::Done, "step {done}");
            }
        }
    }
    panic!("the job never ends");
}

#[test]
fn folding_saves_a_quarter_of_the_taps() {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let store = app::load::load_store(&demo.join("store")).unwrap();
    for name in ["tern-24", "curlew-30"] {
        let book = app::load::load_book(&demo.join("books").join(name)).unwrap();
        let plan = common::plan_all_tasks(&book, &store, 2).unwrap().plan;
        let walk = work_through(&book, &store, &plan);
        let share = walk.taps as f64 / walk.taps_unfolded as f64;
        println!("{name}: {} taps, {} without folding, {share:.3}", walk.taps, walk.taps_unfolded);
        assert!(share <= MOST_OF_TAPS, "{name}: {share:.3} of the taps");
    }
}
