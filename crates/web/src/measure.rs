//! Heads in pictures are measured beside the work: the bench waits for nothing.

use app::workshop::VisitId;

use crate::bench_state::SharedBench;
use crate::broken_work::broken_task_words;

/// Rounds of one call, at most: each takes what the one before left, and more only where pictures keep coming.
const MAX_ROUNDS: usize = 50;

/// Measures what is still to be measured in a visit, writes it down and notifies the pages. A device that was away brings picture and taps in either
/// order; whichever comes last finds the other.
pub(crate) async fn measure_in_background(bench: SharedBench, visit: VisitId) {
    for _ in 0..MAX_ROUNDS {
        let of = visit.clone();
        let Ok(Some(pictures)) = bench.with_workshop(move |workshop| workshop.prepare_measuring(&of)).await
        else {
            return;
        };
        let made = match tokio::task::spawn_blocking(move || pictures.measure_heads()).await {
            Ok(made) => made,
            Err(broken) => {
                bench.set_trouble(visit.as_str(), Some(broken_task_words(broken)));
                return bench.announce_change(visit.as_str());
            }
        };
        match bench.with_workshop(move |workshop| workshop.keep_measured(made)).await {
            Ok(kept) if kept > 0 => bench.announce_change(visit.as_str()),
            // Nothing is new, or the visit was closed meanwhile.
            Ok(_) | Err(_) => return,
        }
    }
}
