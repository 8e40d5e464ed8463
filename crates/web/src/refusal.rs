//! Every refusal is a page in plain words that says what to do, whoever refuses: the door, a page, or the framework.

use axum::body::{Body, to_bytes};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use maud::html;

use crate::pages::{PageFailure, frame};

/// Maximum number of bytes of the framework's own words.
const MAX_CAUSE_BYTES: usize = 4096;

/// Where to go on from a refusal: address and words.
pub(crate) type WayOn = (&'static str, &'static str);

/// The way on from most refusals.
pub(crate) const ALL_VISITS: Option<WayOn> = Some(("/", "All visits"));

/// A page that says why not, what to do, and where to go on.
pub(crate) fn refusal_page(
    status: StatusCode,
    heading: &str,
    words: &str,
    way_on: Option<WayOn>,
) -> Response {
    let body = html! { main.plain {
        h1 { (heading) }
        p.refusal role="alert" { (words) }
        @if let Some((way, name)) = way_on { div.one { a.main href=(way) { (name) } } }
    } };
    (status, frame::bare_page(heading, &body)).into_response()
}

/// Puts a page in the place of a refusal that the framework made, which is bare or in its own words.
pub(crate) async fn explain_refusal(response: Response) -> Response {
    let status = response.status();
    let media = response.headers().get(header::CONTENT_TYPE);
    let is_bare = media.is_none_or(|media| media.as_bytes().starts_with(b"text/plain"));
    if !status.is_client_error() || !is_bare {
        return response;
    }
    if status == StatusCode::NOT_FOUND {
        return PageFailure::NotFound.into_response();
    }
    let (head, body) = response.into_parts();
    let (heading, words) = words_of_status(status, &cause_words(body).await);
    let mut page = refusal_page(status, heading, &words, ALL_VISITS);
    if let Some(allowed) = head.headers.get(header::ALLOW) {
        page.headers_mut().insert(header::ALLOW, allowed.clone());
    }
    page
}

async fn cause_words(body: Body) -> String {
    let bytes = to_bytes(body, MAX_CAUSE_BYTES).await.unwrap_or_default();
    String::from_utf8_lossy(&bytes).trim().trim_end_matches('.').to_owned()
}

fn words_of_status(status: StatusCode, cause: &str) -> (&'static str, String) {
    match status {
        StatusCode::METHOD_NOT_ALLOWED => {
            let words = "This address is not used in this way, so nothing was done. Open the page and use its buttons.";
            ("Not in this way", words.to_owned())
        }
        StatusCode::PAYLOAD_TOO_LARGE => {
            let words = "More was sent than this address takes, so nothing of it was kept. Send less at a time: a shorter text, a \
                         smaller picture.";
            ("Too large", words.to_owned())
        }
        _ => {
            let words = format!(
                "What was sent, or the address, cannot be read, so nothing was kept: {cause}. Go back to the page, correct it \
                 and send it again."
            );
            ("Cannot be read", words)
        }
    }
}
