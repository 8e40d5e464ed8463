//! Waits with their clocks: written by the server as they stand, and kept going in the page by `clocks.js`.

use app::bench::{StepSheet, WaitClock};
use app::workshop::{LiveVisit, now_ms};
use maud::{Markup, html};

use super::frame::{self, json_attribute};

/// Clocks besides its own that a sheet of a step shows; the ledger has all.
const MAX_ON_SHEET: usize = 1;

/// The clock of a wait, with all that the page needs to keep it going without the server.
pub(crate) fn clock_markup(clock: &WaitClock, class: &str) -> Markup {
    let words = if clock.begun_ms.is_some() { clock.words_at(now_ms()) } else { String::new() };
    html! {
        time.clock.(class) data-own="clock" data-what=(clock.what) data-begun=[clock.begun_ms] data-length=[clock.length_s]
            data-by=(clock.device) data-assumed[clock.is_assumed]
            data-begins=(json_attribute(&clock.begins_with)) { (frame::keep_units_together(&words)) }
    }
}

/// The large clock of the step that waits.
pub(crate) fn own_clock(view: &StepSheet) -> Markup {
    html! { @if let Some(clock) = &view.own_wait { div.reach { (clock_markup(clock, "figure")) } } }
}

/// What else runs while the step is done, in one line.
pub(crate) fn clocks_beside(view: &StepSheet) -> Markup {
    let now = now_ms();
    let shown: Vec<&WaitClock> = view.waits.iter().filter(|clock| clock.is_shown_at(now)).collect();
    html! {
        @for clock in shown.iter().take(MAX_ON_SHEET) {
            p.waits { (clock.what) ": " (clock_markup(clock, "line"))
                @if shown.len() > MAX_ON_SHEET { "; " (shown.len() - MAX_ON_SHEET) " more in the ledger" } }
        }
    }
}

/// Every wait that runs or has just ended.
pub(crate) fn clocks_section(live: &LiveVisit) -> Markup {
    let now = now_ms();
    let clocks = app::bench::wait_clocks(live.book(), live.state());
    let shown: Vec<&WaitClock> = clocks.iter().filter(|clock| clock.is_shown_at(now)).collect();
    html! {
        @if !shown.is_empty() { section #running {
            h2 { "Waiting for" }
            ul.rows { @for clock in shown { li { span { (clock.what) } span.where { (clock_markup(clock, "line")) } } } }
        } }
    }
}
