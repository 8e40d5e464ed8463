//! What devices send: events and pictures.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Extension, Path, State};
use serde_json::value::RawValue;

use crate::bench::Shared;
use crate::pages::Failure;
use app::workshop::{Budget, Device, Sent, VisitId, at_leisure};

/// Events of one visit, in the order of their writing.
pub(crate) async fn events(
    State(bench): State<Shared>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
    Json(events): Json<Vec<Box<RawValue>>>,
) -> Result<Json<Vec<Sent>>, Failure> {
    let id = VisitId::new(&visit).ok_or(Failure::NotFound)?;
    let texts: Vec<String> = events.iter().map(|event| event.get().to_owned()).collect();
    let asks_for_plan = texts.iter().any(|text| PLAN_AGAIN.iter().any(|kind| text.contains(kind)));
    let of = id.clone();
    let sent = bench.with(move |workshop| workshop.take(&of, &device.id, &texts)).await?;
    bench.tell(&visit);
    if asks_for_plan {
        tokio::spawn(plan_again(bench, id));
    }
    Ok(Json(sent))
}

/// Events after which the rest is planned anew.
const PLAN_AGAIN: &[&str] = &["\"kind\":\"happened\"", "\"kind\":\"dealt-with\"", "\"kind\":\"given-up\""];

/// How often a plan of the rest may be overtaken by the work before it is left for the next happening.
const OVERTAKEN: usize = 5;

/// Least that a better order has to save before the bench is troubled with it, s (assumption).
const WORTH_A_CHANGE_S: f64 = 60.0;

/// Plans the rest in the background and tells the pages; the bench goes on by the old plan meanwhile. A first plan is there
/// at once; then an order that saves more is looked for at leisure, and left if the work goes on before it is found.
async fn plan_again(bench: Shared, visit: VisitId) {
    for _ in 0..OVERTAKEN {
        match planned(&bench, &visit, "after what happened", Budget::sized, f64::NEG_INFINITY).await {
            Planned::Taken => {
                let why = "a better order of the same work";
                planned(&bench, &visit, why, at_leisure, WORTH_A_CHANGE_S).await;
                return;
            }
            Planned::Overtaken => {}
            Planned::None => return,
        }
    }
}

/// What became of a plan of the rest.
enum Planned {
    Taken,
    Overtaken,
    None,
}

/// Plans the rest once and takes it in where it saves so much.
async fn planned(
    bench: &Shared,
    visit: &VisitId,
    why: &'static str,
    budget: fn() -> Budget<'static>,
    least_s: f64,
) -> Planned {
    let of = visit.clone();
    let Ok(replan) = bench.with(move |workshop| workshop.replan(&of, why)).await else {
        return Planned::None;
    };
    let Ok(made) = tokio::task::spawn_blocking(move || replan.run(budget())).await else {
        return Planned::None;
    };
    let remade = match made {
        Ok(remade) if remade.saves_s() < least_s => return Planned::None,
        Ok(remade) => remade,
        // The old plan stands, and the ledger shows what happened.
        Err(error) => {
            bench.set_trouble(visit.as_str(), Some(error.to_string()));
            bench.tell(visit.as_str());
            return Planned::None;
        }
    };
    match bench.with(move |workshop| workshop.adopt(&remade)).await {
        Ok(true) => {
            bench.set_trouble(visit.as_str(), None);
            bench.tell(visit.as_str());
            Planned::Taken
        }
        _ => Planned::Overtaken,
    }
}

/// A picture; answers with the names of the copy and of the original.
pub(crate) async fn picture(
    State(bench): State<Shared>,
    Path(visit): Path<String>,
    body: Bytes,
) -> Result<Json<app::workshop::KeptPicture>, Failure> {
    let id = VisitId::new(&visit).ok_or(Failure::NotFound)?;
    Ok(Json(bench.with(move |workshop| workshop.put_picture(&id, &body)).await?))
}
