//! Generated bench plans of some 600 steps: set-ups against always taking what is nearest, the gap to the bound, and the
//! seconds to plan, and to plan anew half-way.
//!
//! `cargo run --release -p app --example bench_plans`
#![expect(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a measurement that stops at what it did not expect"
)]

use std::time::Instant;

use app::model::plan::{KitObjective, Plan, PlanInputs, StepSequence};
use app::model::progress::Progress;
use app::model::{Book, Store};
use effort::{SolverBudget, SolverEffort, UnwatchedSolver};

/// Size of the books; plans of them have some 600 steps.
const SIZE: (usize, usize, usize) = (225, 900, 400);

fn main() {
    println!(
        "| seed | steps | strip set-up, nearest | found | less by | refit, nearest | found | less by | gaps | plan | anew |"
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
    let asked = PlanInputs { vehicle, tasks, objective, seed, threads: 2, seconds: 600.0 };
    // With no tries the order is the first one: always the ready step that costs least to turn to.
    let none = SolverBudget { effort: SolverEffort::Tries(0), watch: &UnwatchedSolver };
    let nearest = plan::make_plan(book, store, &asked, none).unwrap();
    let start = Instant::now();
    let found = plan::make_plan(book, store, &asked, SolverBudget::sized()).unwrap();
    let plan_s = start.elapsed().as_secs_f64();
    let sequences = [&found.strip, &found.work, &found.refit];
    let steps: Vec<_> = sequences.into_iter().flat_map(|s| &s.steps).collect();
    let mut progress = Progress::default();
    steps[..steps.len() / 2].iter().for_each(|step| progress.do_step(book, &found, step));
    let start = Instant::now();
    let anew = plan::remake_plan(book, store, &found, &progress, &[], SolverBudget::sized()).unwrap();
    let anew_s = start.elapsed().as_secs_f64();
    assert!(!anew.refit.steps.is_empty());
    let gap = |s: &StepSequence| 100.0 * (s.outcome.value - s.outcome.bound) / s.outcome.value;
    let pair = |of: fn(&Plan) -> &StepSequence| {
        let (a, b) = (of(&nearest).setup_s, of(&found).setup_s);
        format!("{:.0} min | {:.0} min | {:.1} %", a / 60.0, b / 60.0, 100.0 * (a - b) / a)
    };
    let (strip, refit) = (pair(|p| &p.strip), pair(|p| &p.refit));
    let gaps = format!("{:.1} %, {:.1} %", gap(&found.strip), gap(&found.refit));
    format!("| {seed} | {} | {strip} | {refit} | {gaps} | {plan_s:.2} s | {anew_s:.2} s |", steps.len())
}
