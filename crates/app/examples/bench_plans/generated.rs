//! Generated jobs of some 600 steps: set-ups and changes of place against the first order, the gap to the bound, and the
//! seconds to plan, and to plan anew half-way.

use std::time::Instant;

use app::model::plan::Plan;
use app::model::progress::Progress;
use app::model::{Book, Store};
use effort::{SolverBudget, SolverEffort, UnwatchedSolver};

/// Parts, fasteners and pieces of the books; plans of them have some 600 steps.
pub const SIZE: (usize, usize, usize) = (225, 900, 400);

/// Plans of five large generated books.
pub fn generated_section() -> String {
    let heads = [
        "seed",
        "steps",
        "set-ups, first order",
        "found",
        "less by",
        "places, first order",
        "found",
        "least",
        "gap",
        "seconds",
        "anew",
    ];
    let rows: Vec<Vec<String>> = (1..=5)
        .map(|seed| {
            let (book, store) = crate::cases::generated_book(seed, SIZE);
            row(seed, &book, &store)
        })
        .collect();
    format!(
        "## Plans of some 600 steps\n\nFive generated books of 225 parts and 900 fasteners, 400 pieces. *First order* is that of the beam, \
         before anything is bettered; *places* are changes of working position, with the *least* that the precedence forces on any order; \
         *gap* is that of the whole to its bound; *seconds* from the read book to the finished plan, *anew* planning again half-way.\n\n{}",
        crate::markdown_table(&heads, &rows)
    )
}

fn row(seed: u64, book: &Book, store: &Store) -> Vec<String> {
    let tasks = book.tasks.iter().map(|t| t.key.clone()).collect();
    let asked = crate::cases::plan_inputs(seed, tasks);
    // With no tries the order is the first one, that of the beam.
    let none = SolverBudget { effort: SolverEffort::Tries(0), watch: &UnwatchedSolver };
    let first = plan::make_plan(book, store, &asked, none).unwrap();
    let start = Instant::now();
    let found = plan::make_plan(book, store, &asked, SolverBudget::sized()).unwrap();
    let plan_s = start.elapsed().as_secs_f64();
    let steps: Vec<_> = found.all_steps().collect();
    let mut progress = Progress::default();
    steps[..steps.len() / 2].iter().for_each(|step| progress.do_step(book, &found, step));
    let start = Instant::now();
    let anew = plan::remake_plan(book, store, &found, &progress, &[], SolverBudget::sized()).unwrap();
    let anew_s = start.elapsed().as_secs_f64();
    assert!(!anew.refit.steps.is_empty());
    let setup_min = |plan: &Plan| plan.all_steps().map(|step| step.setup_s).sum::<f64>() / 60.0;
    let (a, b) = (setup_min(&first), setup_min(&found));
    let course = |plan: &Plan| plan.course.clone().unwrap();
    let (before, after) = (course(&first), course(&found));
    let places = after.moves.place;
    let gap = 100.0 * (after.outcome.value - after.outcome.bound) / after.outcome.value;
    vec![
        seed.to_string(),
        steps.len().to_string(),
        format!("{a:.0} min"),
        format!("{b:.0} min"),
        format!("{:.1} %", 100.0 * (a - b) / a),
        before.moves.place.count.to_string(),
        places.count.to_string(),
        places.bound.to_string(),
        format!("{gap:.1} %"),
        format!("{plan_s:.2}"),
        format!("{anew_s:.2}"),
    ]
}
