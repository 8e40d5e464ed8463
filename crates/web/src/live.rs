//! Announces to open pages that a visit has changed, so that they bring themselves up to date; nothing else is sent this way.
//!
//! Only a page that is seen has a stream (`bench.js`), and a device has few: a newer one ends the oldest, so that no number of
//! tabs uses up the connections that a browser makes to one server. None lasts for ever: the browser opens it again by itself.

use core::convert::Infallible;
use core::time::Duration;
use std::sync::PoisonError;

use app::workshop::{Device, DeviceId};
use axum::extract::{Extension, Path, State};
use axum::response::sse::{Event, KeepAlive, Sse};
use tokio::sync::broadcast::error::RecvError;
use tokio::sync::mpsc;
use tokio::time::{Instant, sleep, sleep_until};
use tokio_stream::wrappers::ReceiverStream;
use tokio_stream::{Stream, StreamExt};

use crate::bench_state::SharedBench;

/// How often a sign of life is sent, so that a sleeping link does not look dead.
const SIGN_OF_LIFE: Duration = Duration::from_secs(15);

/// How long a stream is kept open; the link of a device that has gone away is closed by then.
const MAX_STREAM_LIFE: Duration = Duration::from_secs(600);

/// Streams of one device at once: pages that are seen side by side. Browsers make six connections to one server.
const MAX_STREAMS_OF_DEVICE: u64 = 3;

/// How often a stream looks whether the device has opened newer ones.
const LOOK_FOR_NEWER: Duration = Duration::from_secs(2);

/// A stream of changes of one visit.
pub(crate) async fn stream_changes(
    State(bench): State<SharedBench>,
    Extension(device): Extension<Device>,
    Path(visit): Path<String>,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let number = count_stream(&bench, &device.id);
    let (tell, told) = mpsc::channel(4);
    tokio::spawn(follow_changes(bench, (device.id, number), visit, tell));
    Sse::new(ReceiverStream::new(told).map(Ok)).keep_alive(KeepAlive::new().interval(SIGN_OF_LIFE))
}

/// Tells the changes of a visit until the page goes, the device has opened newer streams, or the stream's life is over.
async fn follow_changes(
    bench: SharedBench,
    (device, number): (DeviceId, u64),
    visit: String,
    tell: mpsc::Sender<Event>,
) {
    let mut changes = bench.changed.subscribe();
    let ends = Instant::now() + MAX_STREAM_LIFE;
    loop {
        let is_ours = tokio::select! {
            () = tell.closed() => return,
            () = sleep_until(ends) => return,
            () = sleep(LOOK_FOR_NEWER) => {
                if newest_stream(&bench, &device) >= number + MAX_STREAMS_OF_DEVICE {
                    return;
                }
                false
            }
            change = changes.recv() => match change {
                Ok(changed) => changed == visit,
                // Too far behind counts as changed.
                Err(RecvError::Lagged(_)) => true,
                Err(RecvError::Closed) => return,
            },
        };
        if is_ours && tell.send(Event::default().data("changed")).await.is_err() {
            return;
        }
    }
}

/// Counts a new stream of a device; gives its number.
fn count_stream(bench: &SharedBench, device: &DeviceId) -> u64 {
    let mut streams = bench.streams.lock().unwrap_or_else(PoisonError::into_inner);
    let count = streams.entry(device.clone()).or_default();
    *count += 1;
    *count
}

fn newest_stream(bench: &SharedBench, device: &DeviceId) -> u64 {
    let streams = bench.streams.lock().unwrap_or_else(PoisonError::into_inner);
    streams.get(device).copied().unwrap_or_default()
}
