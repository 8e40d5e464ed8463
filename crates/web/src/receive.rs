//! What devices send: events and pictures.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Extension, Path, State};
use serde_json::value::RawValue;

use crate::bench_state::SharedBench;
use crate::pages::PageFailure;
use app::workshop::{Device, SentEvent, SolverBudget, VisitId, leisure_budget};

/// Events of one visit, in the order of their writing.
pub(crate) async fn receive_events(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
    Json(events): Json<Vec<Box<RawValue>>>,
) -> Result<Json<Vec<SentEvent>>, PageFailure> {
    let id = VisitId::new(&visit).ok_or(PageFailure::NotFound)?;
    let texts: Vec<String> = events.iter().map(|event| event.get().to_owned()).collect();
    let of = id.clone();
    let taken = bench.with_workshop(move |workshop| workshop.take_events(&of, &device.id, &texts)).await?;
    bench.announce_change(&visit);
    if taken.asks_for_new_plan {
        tokio::spawn(plan_again(bench, id));
    }
    Ok(Json(taken.sent))
}

/// How often a plan of the rest may be overtaken by the work before it is left for the next happening.
const MAX_OVERTAKEN: usize = 5;

/// Least that a better order must save before it is put before the bench, s (assumption).
const WORTH_A_CHANGE_S: f64 = 60.0;

/// Plans the rest in the background and notifies the pages; the bench keeps to the old plan meanwhile. A first plan is there
/// at once; then an order that saves more is looked for at leisure, and left if the work goes on before it is found.
async fn plan_again(bench: SharedBench, visit: VisitId) {
    for _ in 0..MAX_OVERTAKEN {
        match plan_rest_once(&bench, &visit, "after what happened", SolverBudget::sized, f64::NEG_INFINITY)
            .await
        {
            ReplanOutcome::Taken => {
                let why = "a better order of the same work";
                plan_rest_once(&bench, &visit, why, leisure_budget, WORTH_A_CHANGE_S).await;
                return;
            }
            ReplanOutcome::Overtaken => {}
            ReplanOutcome::None => return,
        }
    }
}

/// What became of a plan of the rest.
enum ReplanOutcome {
    Taken,
    Overtaken,
    None,
}

/// Plans the rest once and takes it in where it saves so much.
async fn plan_rest_once(
    bench: &SharedBench,
    visit: &VisitId,
    why: &'static str,
    budget: fn() -> SolverBudget<'static>,
    least_s: f64,
) -> ReplanOutcome {
    let of = visit.clone();
    let Ok(replan) = bench.with_workshop(move |workshop| workshop.prepare_replan(&of, why)).await else {
        return ReplanOutcome::None;
    };
    let Ok(made) = tokio::task::spawn_blocking(move || replan.plan_rest(budget())).await else {
        return ReplanOutcome::None;
    };
    let remade = match made {
        Ok(remade) if remade.saves_s() < least_s => return ReplanOutcome::None,
        Ok(remade) => remade,
        // The old plan still applies, and the ledger shows what happened.
        Err(error) => {
            bench.set_trouble(visit.as_str(), Some(error.to_string()));
            bench.announce_change(visit.as_str());
            return ReplanOutcome::None;
        }
    };
    match bench.with_workshop(move |workshop| workshop.adopt_plan(&remade)).await {
        Ok(true) => {
            bench.set_trouble(visit.as_str(), None);
            bench.announce_change(visit.as_str());
            ReplanOutcome::Taken
        }
        _ => ReplanOutcome::Overtaken,
    }
}

/// A picture; answers with the names of the copy and of the original.
pub(crate) async fn receive_picture(
    State(bench): State<SharedBench>,
    Path(visit): Path<String>,
    body: Bytes,
) -> Result<Json<app::workshop::KeptPicture>, PageFailure> {
    let id = VisitId::new(&visit).ok_or(PageFailure::NotFound)?;
    Ok(Json(bench.with_workshop(move |workshop| workshop.put_picture(&id, &body)).await?))
}
