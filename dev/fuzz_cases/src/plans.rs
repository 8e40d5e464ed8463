//! Plans as JSON: what `judge` and `why` take from anybody.

use app::ask::{PlanRequest, SilentObserver, make_judged_plan};
use app::text::table::PageWidth;
use model::plan::{KitObjective, Plan};
use model::{Book, Store};
use std::sync::OnceLock;

use crate::{FuzzTarget, InputOutcome};

/// The target of plans.
pub const TARGET: FuzzTarget = FuzzTarget { name: "plans", try_input, sound_inputs };

const STORE: &str = "format = \"traywright-store/1\"\ntitle = \"Workshop\"\n\
                     [[set]]\nset = \"1/4 in deep sockets 8 to 13 mm\"\nplace = \"red cabinet / drawer 1\"\n\
                     [[set]]\nset = \"1/4 in extensions 50, 100 mm\"\nplace = \"red cabinet / drawer 1\"\n\
                     [[set]]\nset = \"1/4 in ratchet\"\nplace = \"red cabinet / drawer 2\"\n";

/// The smallest book and a small store, which every plan is judged against.
fn small_case() -> &'static (Book, Store) {
    static CASE: OnceLock<(Book, Store)> = OnceLock::new();
    CASE.get_or_init(|| {
        let engine = book::read_book(&[(String::from("book.toml"), book::SMALLEST.into())]).book;
        let store = tools::read_store(&[(String::from("store.toml"), STORE.into())]).store;
        (engine.expect("the smallest book is sound"), store.expect("the store above is sound"))
    })
}

fn try_input(bytes: &[u8]) -> InputOutcome {
    let Ok(plan) = serde_json::from_slice::<Plan>(bytes) else { return InputOutcome::Refused };
    // What did not agree in the file is worked out anew when it is written.
    let plan = Plan { amiss: Vec::new(), ..plan };
    let text = serde_json::to_string(&plan).expect("a plan is plain data");
    let again: Plan = serde_json::from_str(&text).expect("what was written can be read");
    assert_eq!(again, plan, "what was written reads otherwise");
    let (engine, store) = small_case();
    let _violations = judge::judge_plan(engine, store, &plan);
    let hours = app::job_hours::hours_as_assumed(engine, &plan);
    let _shown = (
        app::text::plan_text::format_plan(&plan, &hours, PageWidth::USUAL),
        app::text::plan_text::plan_summary(&plan, &hours, PageWidth::USUAL),
    );
    for step in [0, 1, 2, u32::MAX] {
        // A step that is not there, or none of the book, is refused with words.
        let _ = app::bolting_answers::explain_step(engine, &plan, step);
    }
    InputOutcome::Read
}

fn sound_inputs() -> Vec<Vec<u8>> {
    let (engine, store) = small_case();
    let request = PlanRequest {
        vehicle: String::from("A"),
        tasks: Vec::new(),
        objective: KitObjective::LeastToCarry,
        seconds: None,
        stop_after_s: None,
        seed: 1,
        threads: 1,
    };
    let judged =
        make_judged_plan(engine, store, &request, &SilentObserver).expect("the small case has a plan");
    assert!(judged.violations.is_empty(), "{:?}", judged.violations);
    vec![serde_json::to_vec(&judged.plan).expect("a plan is plain data")]
}
