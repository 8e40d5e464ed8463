//! The door: who asks, from where, and under which name of this machine.
//!
//! A page of somebody else's that is open on the same phone must not be able to write here. So a request is answered only
//! under a name that is ours (a foreign name that points at this machine is refused), a writing request only from our own
//! pages (`Origin`, or `Sec-Fetch-Site` where the browser sends it), and both only with the key of a paired device. The
//! cookie is `SameSite=Strict` besides.

use std::time::Duration;

use app::bench::capitalise_first;
use axum::extract::{MatchedPath, Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use crate::bench_state::SharedBench;
use crate::keys::COOKIE;
use crate::refusal::{ALL_VISITS, explain_refusal, refusal_page};
use crate::routes::is_open_to_all;

/// What our pages may load: our own, and drawings and pictures that the page itself makes.
const CONTENT: &str = "default-src 'self'; img-src 'self' blob: data:; style-src 'self' 'unsafe-inline'; \
     object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";

/// Why the door stays shut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum DoorRefusal {
    ForeignName,
    ForeignPage,
    NotPaired,
}

impl IntoResponse for DoorRefusal {
    fn into_response(self) -> Response {
        let (status, heading, words, way_on) = match self {
            Self::ForeignName => (
                StatusCode::MISDIRECTED_REQUEST,
                "Not the name of this server",
                "This server was asked for under a name that is not its own. Open the address that the computer shows when the \
                 server starts, or under Devices.",
                None,
            ),
            Self::ForeignPage => (
                StatusCode::FORBIDDEN,
                "Not from a page of ours",
                "What was sent does not come from a page of this server, so nothing of it was kept. Open this server's own page \
                 and do it there.",
                ALL_VISITS,
            ),
            Self::NotPaired => (
                StatusCode::UNAUTHORIZED,
                "Not paired",
                "This device is not paired, or its key was taken back, so nothing of what it sent was kept; what waits on the \
                 device stays there. Pair it with a code from Devices, on a device that is paired.",
                Some(("/enter", "Pair this device")),
            ),
        };
        refusal_page(status, heading, words, way_on)
    }
}

/// How long a request may take from its first byte to its answer's head: a large picture over a weak network, a pack while the
/// program plans. What takes longer is given up, and its connection is free again.
const MAX_REQUEST_WAIT: Duration = Duration::from_secs(120);

/// Gives up what takes too long.
async fn answer_in_time(request: Request, next: Next) -> Response {
    match tokio::time::timeout(MAX_REQUEST_WAIT, next.run(request)).await {
        Ok(response) => explain_refusal(response).await,
        Err(_) => refusal_page(
            StatusCode::REQUEST_TIMEOUT,
            "Too slow",
            "This took longer than two minutes and was given up; nothing of it was kept that was not acknowledged. Try again.",
            ALL_VISITS,
        ),
    }
}

/// Lets in only what may come in, and says to the browser what our pages may do.
pub(crate) async fn guard_request(
    State(bench): State<SharedBench>,
    mut request: Request,
    next: Next,
) -> Response {
    if let Err(refusal) = check_origin(&bench, request.headers(), request.method()) {
        return seal_response(refusal.into_response());
    }
    let route = request.extensions().get::<MatchedPath>();
    let open_to_all = route.is_some_and(|path| is_open_to_all(path.as_str()));
    if let Err(gone) = bench.check_place()
        && !(open_to_all && is_reading(request.method()))
    {
        let words = capitalise_first(&format!("{gone}."));
        return seal_response(refusal_page(
            StatusCode::SERVICE_UNAVAILABLE,
            "The journal is gone",
            &words,
            None,
        ));
    }
    let device = cookie_value(request.headers()).and_then(|value| bench.keys.device_of_cookie(value));
    let answer = match device {
        Some(device) => {
            request.extensions_mut().insert(device);
            answer_in_time(request, next).await
        }
        None if open_to_all => answer_in_time(request, next).await,
        None if is_reading(request.method()) => Redirect::to("/enter").into_response(),
        None => DoorRefusal::NotPaired.into_response(),
    };
    seal_response(answer)
}

fn is_reading(method: &Method) -> bool {
    matches!(*method, Method::GET | Method::HEAD)
}

/// Whether the name asked for is ours, and a writing request comes from our own pages.
fn check_origin(bench: &SharedBench, headers: &HeaderMap, method: &Method) -> Result<(), DoorRefusal> {
    let text = |name| headers.get(name).and_then(|value: &HeaderValue| value.to_str().ok());
    let host = text(header::HOST).unwrap_or_default();
    if !bench.addresses.is_ours(host) {
        return Err(DoorRefusal::ForeignName);
    }
    if is_reading(method) {
        return Ok(());
    }
    let from_us = match text(header::ORIGIN) {
        Some(origin) => origin.split_once("://").is_some_and(|(_, name)| name == host),
        None => headers.get("sec-fetch-site").is_some_and(|site| site == "same-origin"),
    };
    if from_us { Ok(()) } else { Err(DoorRefusal::ForeignPage) }
}

/// The value of our cookie.
fn cookie_value(headers: &HeaderMap) -> Option<&str> {
    let all = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    all.flat_map(|line| line.split(';')).find_map(|pair| {
        let (name, value) = pair.trim().split_once('=')?;
        (name == COOKIE).then_some(value)
    })
}

fn seal_response(mut response: Response) -> Response {
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(CONTENT));
    headers.insert(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    headers.insert(header::REFERRER_POLICY, HeaderValue::from_static("same-origin"));
    response
}
