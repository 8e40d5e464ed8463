//! What the tests of worlds share.

use app::ask::{self, AskError, JudgedPlan, PlanRequest, SilentObserver};
use app::model::plan::KitObjective;
use app::model::{Book, Store};

/// The plan of all tasks of a book, judged, by the same dice each time.
pub fn plan_all_tasks(book: &Book, store: &Store, threads: u16) -> Result<JudgedPlan, AskError> {
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks: book.tasks.iter().map(|task| task.key.clone()).collect(),
        objective: KitObjective::LeastToCarry,
        seconds: None,
        stop_after_s: None,
        seed: 7,
        threads,
    };
    ask::make_judged_plan(book, store, &request, &SilentObserver)
}
