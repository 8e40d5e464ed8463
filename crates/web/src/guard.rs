//! The door: who asks, from where, and under which name of this machine.
//!
//! A page of somebody else's that is open on the same phone must not be able to write here. So a request is answered only
//! under a name that is ours (a foreign name that points at this machine is refused), a writing request only from our own
//! pages (`Origin`, or `Sec-Fetch-Site` where the browser sends it), and both only with the key of a paired device. The
//! cookie is `SameSite=Strict` besides.

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use crate::bench_state::SharedBench;
use crate::keys::COOKIE;

/// What our pages may load: our own, and drawings and pictures that the page itself makes.
const CONTENT: &str = "default-src 'self'; img-src 'self' blob: data:; style-src 'self' 'unsafe-inline'; \
     object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";

/// Lets in only what may come in, and says to the browser what our pages may do.
pub(crate) async fn guard_request(
    State(bench): State<SharedBench>,
    mut request: Request,
    next: Next,
) -> Response {
    if let Err(refusal) = check_origin(&bench, request.headers(), request.method()) {
        return seal_response(refusal.into_response());
    }
    let path = request.uri().path();
    let open_to_all = path == "/enter" || path.starts_with("/a/") || path == "/workshop.crt";
    let device = cookie_value(request.headers()).and_then(|value| bench.keys.device_of_cookie(value));
    match device {
        Some(device) => {
            request.extensions_mut().insert(device);
            seal_response(next.run(request).await)
        }
        None if open_to_all => seal_response(next.run(request).await),
        None if request.method() == Method::GET => seal_response(Redirect::to("/enter").into_response()),
        None => seal_response((StatusCode::UNAUTHORIZED, "this device is not paired").into_response()),
    }
}

/// Whether the name asked for is ours, and a writing request comes from our own pages.
fn check_origin(
    bench: &SharedBench,
    headers: &HeaderMap,
    method: &Method,
) -> Result<(), (StatusCode, &'static str)> {
    let text = |name| headers.get(name).and_then(|value: &HeaderValue| value.to_str().ok());
    let host = text(header::HOST).unwrap_or_default();
    if !bench.addresses.is_ours(host) {
        return Err((StatusCode::MISDIRECTED_REQUEST, "this is not the name of this server"));
    }
    if matches!(*method, Method::GET | Method::HEAD) {
        return Ok(());
    }
    let from_us = match text(header::ORIGIN) {
        Some(origin) => origin.split_once("://").is_some_and(|(_, name)| name == host),
        None => headers.get("sec-fetch-site").is_some_and(|site| site == "same-origin"),
    };
    if from_us { Ok(()) } else { Err((StatusCode::FORBIDDEN, "this page is not one of ours")) }
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
