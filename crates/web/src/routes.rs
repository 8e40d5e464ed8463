//! The table of routes: address, method, who is answered, how much may be sent; router and door are built from it.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::handler::Handler;
use axum::http::Method;
use axum::middleware;
use axum::routing::{MethodRouter, get, post};
use tower_http::compression::CompressionLayer;

use crate::bench_state::SharedBench;
use crate::{assets, enter, guard, live, pages, receive, tls};

/// Maximum number of bytes of events sent in one go.
const MAX_EVENTS_BODY_BYTES: usize = 2 * 1024 * 1024;

/// Maximum number of bytes of a picture.
const MAX_PICTURE_BYTES: usize = 24 * 1024 * 1024;

/// Maximum number of bytes of a form. What a form says becomes an event; JSON may write a byte as six (`\u0001`), and an event of more than
/// [`app::record::MAX_EVENT_BYTES`] could not be read again.
const MAX_FORM_BYTES: usize = 8 * 1024;

/// Who is answered at an address.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AddressAccess {
    /// Whoever asks under a name of this server.
    Anyone,
    /// A device that is paired.
    PairedDevice,
}

/// One line of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AddressLine {
    /// How it is asked.
    pub method: Method,
    /// The address; its variable parts are in braces.
    pub path: &'static str,
    /// Who is answered.
    pub access: AddressAccess,
    /// Maximum number of bytes that may be sent.
    pub max_body_bytes: usize,
}

/// A line with what answers.
pub(crate) struct BenchRoute {
    line: AddressLine,
    handler: MethodRouter<SharedBench>,
}

impl BenchRoute {
    /// Something that is read, by a paired device.
    pub(crate) fn get<H, T>(path: &'static str, handler: H) -> Self
    where
        H: Handler<T, SharedBench>,
        T: 'static,
    {
        Self::new(Method::GET, path, get(handler))
    }

    /// Something that is written by a form, by a paired device.
    pub(crate) fn post<H, T>(path: &'static str, handler: H) -> Self
    where
        H: Handler<T, SharedBench>,
        T: 'static,
    {
        Self::new(Method::POST, path, post(handler))
    }

    const fn new(method: Method, path: &'static str, handler: MethodRouter<SharedBench>) -> Self {
        let line =
            AddressLine { method, path, access: AddressAccess::PairedDevice, max_body_bytes: MAX_FORM_BYTES };
        Self { line, handler }
    }

    /// The same for whoever asks.
    fn for_anyone(mut self) -> Self {
        self.line.access = AddressAccess::Anyone;
        self
    }

    /// The same for more than a form.
    fn up_to_bytes(mut self, max_body_bytes: usize) -> Self {
        self.line.max_body_bytes = max_body_bytes;
        self
    }
}

/// The whole table.
fn bench_routes() -> Vec<BenchRoute> {
    let mut routes = vec![
        BenchRoute::get("/enter", enter::show_pairing_page).for_anyone(),
        BenchRoute::post("/enter", enter::pair_by_code).for_anyone(),
        BenchRoute::post("/enter/code", enter::show_code_on_computer).for_anyone(),
        BenchRoute::get("/a/{edition}/{name}", assets::serve_asset).for_anyone(),
        BenchRoute::get("/workshop.crt", tls::serve_root_certificate).for_anyone(),
        BenchRoute::get("/keeper.js", assets::serve_keeper),
        BenchRoute::get("/bench.webmanifest", assets::serve_manifest),
        BenchRoute::get("/v/{visit}/live", live::stream_changes),
        BenchRoute::post("/v/{visit}/events", receive::receive_events).up_to_bytes(MAX_EVENTS_BODY_BYTES),
        BenchRoute::post("/v/{visit}/pictures", receive::receive_picture).up_to_bytes(MAX_PICTURE_BYTES),
    ];
    routes.extend(pages::page_routes());
    routes
}

/// Addresses that whoever asks is answered at.
static OPEN_PATHS: LazyLock<BTreeSet<&'static str>> = LazyLock::new(|| {
    let lines = list_routes().into_iter();
    lines.filter(|line| line.access == AddressAccess::Anyone).map(|line| line.path).collect()
});

/// Whether whoever asks is answered at an address of the table.
pub(crate) fn is_open_to_all(path: &str) -> bool {
    OPEN_PATHS.contains(path)
}

/// All addresses that are answered, with the method and who is answered.
#[must_use]
pub fn list_routes() -> Vec<AddressLine> {
    bench_routes().into_iter().map(|route| route.line).collect()
}

/// The router over the table, behind the door.
pub(crate) fn build_router(bench: SharedBench) -> Router {
    let all = bench_routes().into_iter().fold(Router::new(), |router, BenchRoute { line, handler }| {
        router.route(line.path, handler.layer(DefaultBodyLimit::max(line.max_body_bytes)))
    });
    all.fallback(pages::not_there)
        .layer(middleware::from_fn_with_state(SharedBench::clone(&bench), guard::guard_request))
        .layer(CompressionLayer::new())
        .with_state(bench)
}
