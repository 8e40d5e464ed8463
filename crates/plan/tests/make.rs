//! The whole plan on random books: with an empty store everything but the bare hand's work is a gap, and said to be.

mod common;

use std::collections::BTreeSet;

use common::{Size, book};
use effort::{SolverBudget, SolverEffort, UnwatchedSolver};
use model::Store;
use model::plan::{KitObjective, PlanInputs, StepKind};
use plan::{PlanError, make_plan};
use proptest::prelude::*;

fn asked(tasks: &[&str]) -> PlanInputs {
    PlanInputs {
        vehicle: "A".into(),
        tasks: tasks.iter().map(|t| (*t).to_owned()).collect(),
        objective: KitObjective::Quickest,
        seed: 3,
        threads: 1,
        seconds: None,
        stop_after_s: None,
        goal: None,
    }
}

fn bare_store() -> Store {
    Store { title: "bare hands".into(), pieces: Vec::new(), cart_places: None, trays: Vec::new() }
}

fn budget() -> SolverBudget<'static> {
    SolverBudget { effort: SolverEffort::Tries(500), watch: &UnwatchedSolver }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn bare_hands_leave_a_gap_for_every_turned_fastener(seed in any::<u64>()) {
        let book = book(seed, Size::SMALL);
        let plan = make_plan(&book, &bare_store(), &asked(&["t1", "t0", "t1"]), budget()).expect("the book is sound");
        prop_assert_eq!(&plan.asked.tasks, &["t0", "t1"]);
        for duty in &plan.duties {
            let fixing = book.fixing(book.fixing_by_key(&duty.fixing).expect("a key of the book"));
            prop_assert_eq!(duty.stack.is_none(), fixing.drive.is_turned());
            prop_assert_eq!(duty.seconds > 0.0, duty.stack.is_some());
        }
        let gaps = plan.duties.iter().filter(|d| d.stack.is_none()).count();
        prop_assert_eq!(plan.readiness.gaps.len(), gaps);
        // Without a gap only a question stands against it, as how a drained circuit is filled again.
        prop_assert_eq!(plan.readiness.go, gaps == 0 && plan.readiness.open.is_empty());
        prop_assert!(plan.kit.pieces.is_empty() && plan.stacks.len() <= 1);
        let off: BTreeSet<&String> = plan.way_in.parts.iter().map(|p| &p.part).collect();
        let removed = plan.strip.steps.iter().filter(|s| s.kind == StepKind::Remove).filter_map(|s| s.part.as_ref());
        let placed = plan.refit.steps.iter().filter(|s| s.kind == StepKind::Refit).filter_map(|s| s.part.as_ref());
        prop_assert_eq!(&off, &removed.collect::<BTreeSet<_>>());
        prop_assert_eq!(&off, &placed.collect::<BTreeSet<_>>());
        let undo = plan.strip.steps.iter().filter(|s| s.kind == StepKind::Undo);
        prop_assert!(undo.clone().all(|s| s.slot.is_some()));
        let again = make_plan(&book, &bare_store(), &asked(&["t0", "t1"]), budget()).expect("the book is sound");
        prop_assert_eq!(plan, again);
    }
}

#[test]
fn what_cannot_be_planned_is_said() {
    let book = book(1, Size::SMALL);
    let refused =
        |tasks: &[&str]| make_plan(&book, &bare_store(), &asked(tasks), budget()).expect_err("no such plan");
    assert_eq!(refused(&[]), PlanError::NoTask);
    assert_eq!(refused(&["t0", "paint"]), PlanError::UnknownTask { key: "paint".into() });
}
