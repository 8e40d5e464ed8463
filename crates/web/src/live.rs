//! Announces to open pages that a visit has changed, so that they reload themselves; nothing else is sent this way.

use core::convert::Infallible;
use core::time::Duration;

use axum::extract::{Path, State};
use axum::response::sse::{Event, KeepAlive, Sse};
use tokio_stream::wrappers::BroadcastStream;
use tokio_stream::{Stream, StreamExt};

use crate::bench_state::SharedBench;

/// How often a sign of life is sent, so that a sleeping link does not look dead.
const SIGN_OF_LIFE: Duration = Duration::from_secs(15);

/// A stream of changes of one visit.
pub(crate) async fn stream_changes(
    State(bench): State<SharedBench>,
    Path(visit): Path<String>,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let changes = BroadcastStream::new(bench.changed.subscribe()).filter_map(move |change| match change {
        Ok(changed) if changed != visit => None,
        // Too far behind counts as changed.
        Ok(_) | Err(_) => Some(Ok(Event::default().data("changed"))),
    });
    Sse::new(changes).keep_alive(KeepAlive::new().interval(SIGN_OF_LIFE))
}
