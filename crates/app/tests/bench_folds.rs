//! A whole job at the bench, tap by tap: fewer taps by folding, and each says what the single steps would have said.
#![expect(clippy::unwrap_used, reason = "a test stops at what it did not expect")]

mod common;

use std::path::Path;

use app::bench::{DrawingRoom, step_in_hand, step_sheet};
use app::model::plan::{Plan, StepKind};
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
        walk.taps_unfolded += 1 + (sheet.last_number - number) as usize;
        if is_fold {
            let folded: Vec<_> =
                steps_of(plan).filter(|step| (number..=sheet.last_number).contains(&step.number)).collect();
            assert!(folded.len() <= 3, "{number}: {} steps in one tap", folded.len());
            for step in &folded {
                assert_eq!(step.part, folded[0].part, "one part");
                assert_eq!(step.station, folded[0].station, "one place");
            }
            let moved = tick.label.contains(" off")
                || tick.label.contains(" in place, ")
                || tick.label.to_lowercase().contains("in and tight");
            assert!(moved, "what is done in one tap is said: {}", tick.label);
            let (mut then, mut singly) = (visit.clone(), Vec::new());
            for step in &folded {
                let keys: Vec<&str> = step.fixings.iter().map(String::as_str).collect();
                let is_own = |body: &&VisitBody| matches!(body, VisitBody::Renewed { fixing, .. } if keys.contains(&fixing.as_str()) && step.kind == StepKind::RunIn);
                let renewed: Vec<_> = tick.bodies.iter().filter(is_own).cloned().collect();
                apply_pretended_events(&mut then, &renewed);
                let one = single_tick(book, plan, &then, step.number);
                apply_pretended_events(&mut then, &one);
                singly.extend(one);
            }
            assert_eq!(
                without_renewals(&tick.bodies),
                singly,
                "step {number}: a fold says what its steps say"
            );
        }
        apply_pretended_events(&mut visit, &tick.bodies);
        let views = PlanStepsView::of_plan(&visit, book, plan);
        if is_fold {
            for done in number..=sheet.last_number {
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
