//! What devices send: events and pictures.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Extension, FromRequest, Path, Request, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde_json::value::RawValue;

use crate::bench_state::SharedBench;
use crate::broken_work::broken_task_words;
use crate::measure::measure_in_background;
use crate::pages::PageFailure;
use app::record::describe_json_error;
use app::workshop::{
    Device, DeviceContact, JournalStanding, SentEvent, SolverBudget, StreamLength, VisitId, leisure_budget,
};

/// The media type of events.
const EVENTS_MEDIA: &str = "application/json";

/// What a device sends: its events, each still the text that it wrote, and what it knows of the visit.
pub(crate) struct EventTexts {
    texts: Vec<String>,
    /// What the device says besides; `None`: a bare list, as from a page that has been open for long, answered by a bare list.
    contact: Option<DeviceContact>,
}

/// Events with what the device knows of the visit.
#[derive(serde::Deserialize)]
struct SentContact {
    events: Vec<Box<RawValue>>,
    #[serde(default)]
    known: Option<StreamLength>,
    #[serde(default)]
    written: u64,
}

impl<S: Send + Sync> FromRequest<S> for EventTexts {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        if !names_events_media(request.headers()) {
            let words = format!("events come as {EVENTS_MEDIA}");
            return Err((StatusCode::UNSUPPORTED_MEDIA_TYPE, words).into_response());
        }
        let body = Bytes::from_request(request, state).await.map_err(IntoResponse::into_response)?;
        let texts_of =
            |events: Vec<Box<RawValue>>| events.iter().map(|event| event.get().to_owned()).collect();
        if body.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'{') {
            let sent: SentContact = serde_json::from_slice(&body).map_err(|e| unreadable_events(&e))?;
            let contact = DeviceContact { known: sent.known, written: sent.written };
            return Ok(Self { texts: texts_of(sent.events), contact: Some(contact) });
        }
        let events: Vec<Box<RawValue>> = serde_json::from_slice(&body).map_err(|e| unreadable_events(&e))?;
        Ok(Self { texts: texts_of(events), contact: None })
    }
}

fn names_events_media(headers: &HeaderMap) -> bool {
    let media = headers.get(header::CONTENT_TYPE).and_then(|media| media.to_str().ok()).unwrap_or_default();
    media.split(';').next().is_some_and(|media| media.trim().eq_ignore_ascii_case(EVENTS_MEDIA))
}

/// The answer to a body that is no list of events; what to do is added where all refusals become pages.
fn unreadable_events(error: &serde_json::Error) -> Response {
    let status = if error.is_data() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::BAD_REQUEST };
    (status, format!("the list of events, {}", describe_json_error(error))).into_response()
}

/// What became of each event, and how the journal stands beside what the device knows.
#[derive(serde::Serialize)]
struct ContactAnswer {
    sent: Vec<SentEvent>,
    #[serde(flatten)]
    standing: JournalStanding,
}

/// Events of one visit, in the order of their writing.
pub(crate) async fn receive_events(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
    EventTexts { texts, contact }: EventTexts,
) -> Result<Response, PageFailure> {
    let id = VisitId::new(&visit).ok_or(PageFailure::NotFound)?;
    let (of, is_bare, has_events) = (id.clone(), contact.is_none(), !texts.is_empty());
    let contact = contact.unwrap_or_default();
    let taken =
        bench.with_workshop(move |workshop| workshop.take_contact(&of, &device.id, &texts, &contact)).await?;
    if has_events {
        bench.announce_change(&visit);
        tokio::spawn(measure_in_background(SharedBench::clone(&bench), id.clone()));
    }
    if taken.asks_for_new_plan {
        tokio::spawn(plan_again_or_tell(bench, id));
    }
    Ok(if is_bare {
        Json(taken.sent).into_response()
    } else {
        Json(ContactAnswer { sent: taken.sent, standing: taken.standing }).into_response()
    })
}

/// How often a plan of the rest may be overtaken by the work before it is left for the next happening.
const MAX_OVERTAKEN: usize = 5;

/// Least that a better order must save before it is put before the bench, s (assumption).
const WORTH_A_CHANGE_S: f64 = 60.0;

/// Plans the rest in the background; where the program breaks off over it, the pages say so.
async fn plan_again_or_tell(bench: SharedBench, visit: VisitId) {
    let planning = tokio::spawn(plan_again(SharedBench::clone(&bench), visit.clone()));
    if let Err(broken) = planning.await {
        tell_trouble(&bench, &visit, broken_task_words(broken));
    }
}

/// Keeps why the rest could not be planned anew and notifies the pages.
fn tell_trouble(bench: &SharedBench, visit: &VisitId, why: String) {
    bench.set_trouble(visit.as_str(), Some(why));
    bench.announce_change(visit.as_str());
}

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
    let made = match tokio::task::spawn_blocking(move || replan.plan_rest(budget())).await {
        Ok(made) => made,
        Err(broken) => {
            tell_trouble(bench, visit, broken_task_words(broken));
            return ReplanOutcome::None;
        }
    };
    let remade = match made {
        Ok(remade) if remade.saves_s() < least_s => return ReplanOutcome::None,
        Ok(remade) => remade,
        // The old plan still applies, and the ledger shows what happened.
        Err(error) => {
            tell_trouble(bench, visit, error.to_string());
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
