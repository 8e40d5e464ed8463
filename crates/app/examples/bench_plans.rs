//! Generated bench plans of some 600 steps: set-ups and changes of place against the first order, the gap to the bound, and the
//! seconds to plan, and to plan anew half-way.
//!
//! `cargo run --release -p app --example bench_plans`
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a measurement that stops at what it did not expect"
)]

use std::time::Instant;

use app::model::plan::{KitObjective, Plan, PlanInputs};
use app::model::progress::Progress;
use app::model::{Book, Store};
use effort::{SolverBudget, SolverEffort, UnwatchedSolver};

/// Size of the books; plans of them have some 600 steps.
const SIZE: (usize, usize, usize) = (225, 900, 400);

fn main() {
    println!(
        "| seed | steps | set-ups, first order | found | less by | places, first order | found | least | gap | plan | anew |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    for seed in 1..=5 {
        let (parts, fasteners, pieces) = SIZE;
        let (book, store) = generate::generate_book_and_store(seed, parts, fasteners, pieces);
        let book = book::read_book(&[(String::from("book.toml"), book.into_bytes())]).book.unwrap();
        let store = tools::read_store(&[(String::from("store.toml"), store.into_bytes())]).store.unwrap();
        println!("{}", line(seed, &book, &store));
    }
}

fn line(seed: u64, book: &Book, store: &Store) -> String {
    let tasks = book.tasks.iter().map(|t| t.key.clone()).collect();
    let (vehicle, objective) = (String::from("A"), KitObjective::LeastToCarry);
    let asked = PlanInputs {
        vehicle,
        tasks,
        objective,
        seed,
        threads: 2,
        seconds: None,
        stop_after_s: None,
        goal: None,
    };
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
    format!(
        "| {seed} | {} | {a:.0} min | {b:.0} min | {:.1} % | {} | {} | {} | {gap:.1} % | {plan_s:.2} s | {anew_s:.2} s |",
        steps.len(),
        100.0 * (a - b) / a,
        before.moves.place.count,
        places.count,
        places.bound
    )
}
