//! The jobs that are planned: both demo books with all tasks and with six, four generated books.

use std::path::Path;

use app::model::plan::{KitObjective, PlanInputs};
use app::model::{Book, Store};
use effort::{RandomSeed, SolverBudget, SolverEffort, UnwatchedSolver};
use plan::course::operators::CourseOperators;
use plan::course::work_units::jobs_of_scope;
use plan::course::{CourseRequest, CourseSettings, SolvedCourse, solve_course};
use plan::joints::ScopeIndex;
use plan::scope::PlanScope;
use plan::steps::MechanicPosition;

/// Parts, fasteners and pieces of the generated books.
const GENERATED_SIZE: (usize, usize, usize) = (110, 420, 300);

/// One job.
pub struct BenchCase {
    /// Name in the tables.
    pub name: String,
    /// Book.
    pub book: Book,
    /// Store.
    pub store: Store,
    /// What is asked.
    pub asked: PlanInputs,
    scope: PlanScope,
    usable: Vec<Vec<u16>>,
}

impl BenchCase {
    pub fn new(name: String, book: Book, store: Store, tasks: Vec<String>) -> Self {
        let asked = plan_inputs(1, tasks);
        let (_, scope) = plan::assemble::find_plan_scope(&book, &store, &asked, &UnwatchedSolver).unwrap();
        let kit = plan::kit::choose_kit(&book, &store, &scope, asked.objective, &SolverBudget::sized());
        let inside = |duty| kit.workings_inside(duty).map(|at| at as u16).collect::<Vec<_>>();
        let usable = scope.duties.iter().map(inside).collect();
        Self { name, book, store, asked, scope, usable }
    }

    /// The course of the job by so much work, with some of the changes.
    pub fn solve(&self, effort: SolverEffort, operators: CourseOperators, threads: usize) -> SolvedCourse {
        let index = ScopeIndex::new(&self.book, &self.scope);
        let jobs = jobs_of_scope(&self.book, &self.scope, &index);
        let request = CourseRequest {
            book: &self.book,
            scope: &self.scope,
            usable: &self.usable,
            here: MechanicPosition::at_start(),
            holds_in_s: &[],
            settings: CourseSettings { seed: RandomSeed(self.asked.seed), threads, operators },
            kept: &[],
        };
        let budget = SolverBudget { effort, watch: &UnwatchedSolver };
        solve_course(&request, jobs, |machine| machine.start_world(&self.book), &budget).unwrap().1
    }
}

/// What a course comes to, s.
pub fn value_s(solved: &SolvedCourse) -> f64 {
    let mut tour = plan::course::tour::CourseTour::new(&solved.problem, &solved.start);
    tour.walk_course(&solved.course).and_then(|points| points.last().map(|end| end.value_s())).unwrap()
}

/// What is asked of a job.
pub fn plan_inputs(seed: u64, tasks: Vec<String>) -> PlanInputs {
    PlanInputs {
        vehicle: String::from("A"),
        tasks,
        objective: KitObjective::LeastToCarry,
        seed,
        threads: 2,
        seconds: None,
        stop_after_s: None,
        goal: None,
    }
}

/// A generated book and its store.
pub fn generated_book(seed: u64, (parts, fasteners, pieces): (usize, usize, usize)) -> (Book, Store) {
    let (book, store) = generate::generate_book_and_store(seed, parts, fasteners, pieces);
    let book = book::read_book(&[(String::from("book.toml"), book.into_bytes())]).book.unwrap();
    let store = tools::read_store(&[(String::from("store.toml"), store.into_bytes())]).store.unwrap();
    (book, store)
}

/// All jobs.
pub fn bench_cases() -> Vec<BenchCase> {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let keys = |book: &Book, most: usize| book.tasks.iter().take(most).map(|t| t.key.clone()).collect();
    let mut cases = Vec::new();
    for name in ["tern-24", "curlew-30"] {
        for (tasks, most) in [("all tasks", usize::MAX), ("six tasks", 6)] {
            let book = app::load::load_book(&demo.join("books").join(name)).unwrap();
            let store = app::load::load_store(&demo.join("store")).unwrap();
            let keys = keys(&book, most);
            cases.push(BenchCase::new(format!("{name}, {tasks}"), book, store, keys));
        }
    }
    for seed in 1..=4 {
        let (book, store) = generated_book(seed, GENERATED_SIZE);
        let keys = keys(&book, usize::MAX);
        cases.push(BenchCase::new(format!("generated {seed}"), book, store, keys));
    }
    cases
}
